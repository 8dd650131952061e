package script

import (
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
