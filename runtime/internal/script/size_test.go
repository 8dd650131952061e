package script

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/creasewright/creasewright/runtime/limit"
)

// bound is the default limits but one.
func bound(l limit.Limit, v int64) limit.Set {
	s := limit.Defaults()
	s[l] = v
	return s
}

func steps(n int64) limit.Set { return bound(limit.Steps, n) }

// chain is a text of n links.
func chain(n int, head, link string) string { return head + strings.Repeat(link, n) + "\n" }

func TestOversizedTexts(t *testing.T) {
	few := limit.Defaults()
	few[limit.Nesting], few[limit.Digits], few[limit.Text] = 3, 12, 20
	links := 3 * linksPerNesting
	blocks := "if a:\n if a:\n  if a:\n   if a:\n    pass\n"
	for text, want := range map[string]string{
		"x = ((((1))))":                   "1:8 brackets stand within one another more than 3 times",
		"x = [\n[(\n{}\n)]]":              "3:1 brackets stand within one another more than 3 times",
		blocks:                            "5:5 blocks are indented within one another more than 3 times",
		"x = 1234567890123":               "1:5 a number has more than 12 digits",
		"é = 1\nx = 0xABCDEFABCDEF0":      "2:5 a number has more than 12 digits",
		"x = 'a text of many characters'": "1:5 a text has more than 20 characters",
		`x = """` + "a\ntext of many lines\n" + `"""`: "1:5 a text has more than 20 characters",

		chain(links+1, "x = 1", "+1"):           fmt.Sprintf("1:%d one expression is a chain of more than 120 parts", 6+2*links),
		chain(links+1, "x = ", "-") + "1":       "",
		chain(links+1, "x = a", ".b"):           "",
		chain(links+1, "x = a", "()"):           "",
		chain(links+1, "x = a", "[0]"):          "",
		chain(links+1, "x = a", " and a"):       "",
		chain(links+1, "x = a", "+\\\na"):       "",
		chain(links+1, "x = (a", "\n+a"):        "",
		chain(links+1, "x = [a", " for a in b"): "",
		chain(links+1, "x = a", " * # b\n"):     "sound", // the parser stops at the first line end

		chain(links+1, "if a: pass\n", "elif a: pass\n"): "122:1 the script has more than 120 elif",

		// Long, but flat.
		chain(1000, "x = [1", ",1+1"):                "sound",
		chain(1000, "", "x = 1 + 1\n"):               "sound",
		chain(1000, "x = 1", ";x=1+1"):               "sound",
		chain(1000, "f(", "a=1,"):                    "sound",
		chain(1000, "", "if a:\n pass\n"):            "sound",
		chain(links, "x = 1", "+1"):                  "sound",
		"x = '((((((' # ((((((\n":                    "sound",
		"x = '\\'((((('":                             "sound",
		"x = 123456789012\ny = 'twenty characters!'": "sound",
		"if a:\n if a:\n  pass\n\n# note\n if b:\n  pass\nif a:\n if a:\n  if a:\n   pass": "sound",
		")))": "sound", "": "sound", "'": "sound", "\"\"\"": "sound",
	} {
		f := oversized("a.star", []byte(text), few)
		switch {
		case want == "sound":
			if f != nil {
				t.Errorf("%.40q: %v", text, f)
			}
		case f == nil:
			t.Errorf("%.40q: nothing is found, want %q", text, want)
		default:
			if want == "" {
				want = "one expression is a chain of more than 120 parts"
			}
			at := f.Site.First()
			if got := fmt.Sprintf("%d:%d %s", at.Line, at.Column, f.Message); !strings.HasSuffix(got, want) || !strings.Contains(f.Hint, "--limit ") {
				t.Errorf("%.40q: %q, hint %q, want %q", text, got, f.Hint, want)
			}
		}
	}
}

// No honest script comes near.
func TestScriptsOfTheProjectAreNotOversized(t *testing.T) {
	few := limit.Defaults()
	few[limit.Nesting] = 10
	n := 0
	for _, pattern := range []string{"../../../scripts/*.star", "../../../stdlib/*.star", "../../../testdata/words/*.star"} {
		paths, err := filepath.Glob(pattern)
		if err != nil {
			t.Fatal(err)
		}
		for _, path := range paths {
			n++
			text, err := os.ReadFile(path)
			if err != nil {
				t.Fatal(err)
			}
			if f := oversized(path, text, few); f != nil {
				t.Error(f)
			}
		}
	}
	if n < 10 {
		t.Errorf("only %d scripts looked at", n)
	}
}

// The longest texts that pass, in every shape that is known to cost the parser
// or its followers more than its length, are done with in bearable time. The
// bound is loose: without the limits some of these take half a minute, and
// some end the process.
func TestTheWorstTextsAreBearable(t *testing.T) {
	links := 100*linksPerNesting - 2
	for name, text := range map[string]string{
		"sum":           chain(links, "x = 1", "+1"),
		"and":           chain(links, "x = 1", " and 1"),
		"or":            chain(links, "x = 1", " or 1"),
		"calls":         chain(links/2, "x = a", ".b()"),
		"index":         chain(links, "x = a", "[0]"),
		"elif":          chain(links, "if 1: pass\n", "elif 1: pass\n"),
		"clauses":       chain(links/2, "x = [1 for a in [1]", " if a") + "]",
		"many":          strings.Repeat(chain(400, "x = 1", " and 1"), MaxText/2500),
		"brackets":      strings.Repeat("x = "+strings.Repeat("[", 99)+strings.Repeat("]", 99)+"\n", MaxText/210),
		"one long list": chain(MaxText/2-10, "x = [", "1,") + "]",
		"digits":        strings.Repeat("x = "+strings.Repeat("9", 1000)+"\n", MaxText/1010),
	} {
		start := time.Now()
		done := make(chan struct{})
		go func() {
			defer close(done)
			runText(text[:min(len(text), MaxText)])
		}()
		select {
		case <-done:
			t.Logf("%s: %v", name, time.Since(start))
		case <-time.After(20 * time.Second):
			t.Fatalf("%s: still not done", name)
		}
	}
}
