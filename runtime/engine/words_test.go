package engine

import (
	"testing"

	"github.com/creasewright/creasewright/runtime/diag"
)

// drawsPiece holds a script that the manual shows to what its reader expects:
// pasted as it stands it makes a piece, writes cut files and finds nothing wrong.
func drawsPiece(t *testing.T, of, script string) {
	t.Helper()
	res := runs(script)
	for _, f := range res.Findings {
		if f.Severity != diag.Note {
			t.Errorf("%s: %v %s\n%s", of, f, f.Hint, script)
		}
	}
	if res.Exit != Clean || len(res.Pieces) == 0 {
		t.Errorf("%s: exit %v, pieces %q\n%s", of, res.Exit, res.Pieces, script)
	}
}

// Every word's example runs as it stands and draws a piece.
func TestExamplesOfWordsDraw(t *testing.T) {
	for _, w := range Words() {
		drawsPiece(t, w.Name, w.Example)
	}
}
