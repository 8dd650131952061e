package script

import (
	"fmt"
	"math/rand"
	"strings"
	"testing"

	"go.starlark.net/syntax"
)

func scanned(text string) (ts []token) {
	for s := newScanner(text); ; {
		t, ok := s.next()
		if !ok {
			return ts
		}
		ts = append(ts, t)
	}
}

func TestTokens(t *testing.T) {
	for text, want := range map[string]string{
		"a = width+1 # note\nb":  `a|=|width|+|1|\n|b`,
		"5mm 1.5e3cm 0xfg 1e 2.": `5|mm|1.5e3|cm|0xfg|1|e|2.`,
		`"a'b" 'c"' 'it\'s'`:     `"a'b"|'c"'|'it\'s'`,
		"\"\"\"one\ntwo\"\"\"+x": `"""one\ntwo"""|+|x`,
		"'open\nx":               `'open|\n|x`,
		`'\`:                     `'\`,
		`"\"`:                    `"\"`,
		`""" "`:                  `""" "`,
		"a + \\\n  größe_2 “":    `a|+|größe_2|“`,
		"front.top[.5]":          `front|.|top|[|.5|]`,
		"x\\":                    `x`,
		"":                       ``,
	} {
		var got []string
		for _, tok := range scanned(text) {
			got = append(got, strings.ReplaceAll(tok.text, "\n", `\n`))
		}
		if strings.Join(got, "|") != want {
			t.Errorf("%q: %s, want %s", text, strings.Join(got, "|"), want)
		}
	}
}

// Law: every name, string and number that the language's own parser finds in a
// sound text is a token of just that stretch.
func TestTokensAreThoseOfTheLanguage(t *testing.T) {
	r := rand.New(rand.NewSource(4))
	texts := []string{sleeveScript}
	for _, w := range Words() {
		texts = append(texts, w.Example)
	}
	seen := 0
	for range 3000 {
		text := texts[r.Intn(len(texts))]
		if r.Intn(4) > 0 {
			text = spoil(r, text)
		}
		file, err := dialect.Parse("a.star", text, 0)
		if err != nil || badByte([]byte(text)) >= 0 || strings.Contains(text, "\r") {
			continue
		}
		at := map[place]place{}
		for _, tok := range scanned(text) {
			at[tok.start] = tok.end
		}
		syntax.Walk(file, func(n syntax.Node) bool {
			switch n.(type) {
			case *syntax.LoadStmt: // its names stand within quotes
				return false
			case *syntax.Ident, *syntax.Literal:
				seen++
				start, end := n.Span()
				if got := at[place{start.Line, start.Col}]; got != (place{end.Line, end.Col}) {
					t.Errorf("%q: the token at %v ends at %v, not %v", text, start, got, end)
				}
			}
			return true
		})
	}
	if seen < 10_000 {
		t.Errorf("only %d tokens compared", seen)
	}
}

func TestOpenBracket(t *testing.T) {
	for text, want := range map[string]string{
		"a = (1 + 2)\n":            "",
		"a = (1 + 2\n":             "1:5 (",
		"a = [\n  (1, 2),\n  {3\n": "3:3 {",
		"a = \")\" + f(\"(\"\n":    "1:12 (",
		"# (\na = (\n":             "2:5 (",
		"a = \"\"\"(\n(\"\"\" + (": "2:8 (",
		"a = '\\'(' + (":           "1:13 (",
		"é = (":                    "1:5 (",
		")":                        "",
		"a = \"(":                  "",
	} {
		got := ""
		if b, ok := openBracket(scanned(text)); ok {
			got = fmt.Sprintf("%d:%d %s", b.start.line, b.start.column, b.text)
		}
		if got != want {
			t.Errorf("%q: %q, want %q", text, got, want)
		}
	}
}

// What is marked for a position of the parser's: the token there, the one that
// ends before it, or one character.
func TestTokensAtPositions(t *testing.T) {
	h := newHost(files{"a.star": "a = größe + \"\"\"b\nc\"\"\"  \nd\n"}.store(), "a.star", Options{})
	name := "a.star"
	for _, c := range []struct {
		line, column int32
		at, before   string
	}{
		{1, 1, "1:1-1:2 a", "1:1-1:2 "},
		{1, 5, "1:5-1:10 größe", "1:3-1:4 ="},
		{1, 7, "1:5-1:10 größe", "1:3-1:4 ="},
		{1, 10, "1:10-1:11 ", "1:5-1:10 größe"},
		{2, 2, "1:13-2:5 \"\"\"b\nc\"\"\"", "1:11-1:12 +"},
		{2, 5, "2:5-2:6 ", "1:13-2:5 \"\"\"b\nc\"\"\""},
		{3, 1, "3:1-3:2 d", "2:7-2:8 \n"},
		{9, 9, "9:9-9:10 ", "3:2-3:3 \n"},
	} {
		show := func(tok token) string {
			return fmt.Sprintf("%d:%d-%d:%d %s", tok.start.line, tok.start.column, tok.end.line, tok.end.column, tok.text)
		}
		pos := syntax.MakePosition(&name, c.line, c.column)
		at, _ := h.tokenAt(pos)
		before, _ := h.tokenBefore(pos)
		if show(at) != c.at || show(before) != c.before {
			t.Errorf("%d:%d: at %q, before %q", c.line, c.column, show(at), show(before))
		}
	}
}
