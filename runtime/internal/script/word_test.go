package script

import (
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
)

// Every word of the vocabulary says how it is written, what its numbers mean
// and shows itself at work.
func TestWordsAreDocumented(t *testing.T) {
	seen := map[string]bool{}
	for _, w := range Words() {
		if w.Signature == "" || w.Units == "" || w.Doc == "" || w.Example == "" || w.Group == "" || w.Kind == "" {
			t.Errorf("%s: an entry is empty: %+v", w.Name, w)
		}
		if seen[w.Name] {
			t.Errorf("%s is there twice", w.Name)
		}
		seen[w.Name] = true
	}
}

// wrapping makes a whole script of an example that shows no piece.
const wrapping = `
piece("wrapping", panel("wrapping", rect(10, 10)), board = board("wrapping", caliper = 1))
`

// Every example is a script that runs as it stands, but for a piece to make.
func TestExamplesRun(t *testing.T) {
	for _, w := range Words() {
		text := w.Example
		if !strings.Contains(text, "piece(") {
			text += wrapping
		}
		_, fs := runText(text)
		for _, f := range fs {
			t.Errorf("%s: %v %s", w.Name, f, f.Hint)
		}
	}
}

// errorCases is the text of all error cases.
func errorCases(t *testing.T) string {
	t.Helper()
	paths, err := filepath.Glob("../../../testdata/errors/*.star")
	if err != nil || len(paths) == 0 {
		t.Fatal("no error cases", err)
	}
	var all strings.Builder
	for _, path := range paths {
		text, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		all.Write(text)
	}
	return all.String()
}

// Every word that can be called wrongly is, in some error case.
func TestErrorCasesCoverEveryWord(t *testing.T) {
	cases := errorCases(t)
	for _, w := range vocabulary().words {
		if w.run != nil && !regexp.MustCompile(`\b`+w.short()+`\(.*#!`).MatchString(cases) {
			t.Errorf("no error case calls %s", w.Name)
		}
	}
}

// Every rewording of Starlark's messages shows in some error case, but for
// those that only a limit brings up.
func TestErrorCasesCoverEveryRewording(t *testing.T) {
	cases := errorCases(t)
	group := regexp.MustCompile(`(\\\$\d)+`)
	for _, rules := range [][]rewording{syntaxRewordings, resolveRewordings, runRewordings} {
		for _, r := range rules {
			if strings.Contains(r.forms, "cancelled") {
				continue
			}
			message := strings.NewReplacer("‹", "", "›", "").Replace(r.message)
			shown := group.ReplaceAllString(regexp.QuoteMeta(message), `.*`)
			if !regexp.MustCompile(`#! ` + shown + `( #\?|\n)`).MatchString(cases) {
				t.Errorf("no error case says %q", r.message)
			}
		}
	}
}

// What a word's text sets apart is one of its own arguments, or another word.
func TestDocsNameArguments(t *testing.T) {
	set := regexp.MustCompile("`(\\w+)[^`]*`")
	for _, w := range vocabulary().words {
		args := regexp.MustCompile(`\w+`).FindAllString(w.Args, -1)
		for _, m := range set.FindAllStringSubmatch(w.Doc, -1) {
			if !slices.Contains(args, m[1]) && vocabulary().byName[m[1]] == nil {
				t.Errorf("%s: %s is neither its argument nor a word", w.Name, m[1])
			}
		}
	}
}
