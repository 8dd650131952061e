package script

import "testing"

func TestOpenBracket(t *testing.T) {
	for _, c := range []struct {
		text         string
		line, column int
		bracket      rune
	}{
		{"a = (1 + 2)\n", 0, 0, 0},
		{"a = (1 + 2\n", 1, 5, '('},
		{"a = [\n  (1, 2),\n  {3\n", 3, 3, '{'},
		{"a = \")\" + f(\"(\"\n", 1, 12, '('},
		{"# (\na = (\n", 2, 5, '('},
		{"a = \"\"\"(\n(\"\"\" + (\n", 2, 8, '('},
		{"a = '\\'(' + (", 1, 13, '('},
		{"a = \"\" + (", 1, 10, '('},
		{"é = (", 1, 5, '('},
		{")", 0, 0, 0},
		{"a = \"(", 0, 0, 0},
		{"a = '\\", 0, 0, 0},
	} {
		line, column, bracket, ok := openBracket(c.text)
		if ok != (c.bracket != 0) || line != c.line || column != c.column || bracket != c.bracket {
			t.Errorf("%q: %d:%d %q %v", c.text, line, column, bracket, ok)
		}
	}
}
