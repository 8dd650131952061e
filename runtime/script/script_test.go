package script

import (
	"context"
	"testing"

	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/model"
	"github.com/creasewright/creasewright/runtime/source"
	"github.com/creasewright/creasewright/stdlib"
)

// files is a folder in memory, beside the standard library.
type files map[string]string

func (f files) store() *source.Store {
	return source.NewStore(func(label string) ([]byte, error) {
		if text, ok := f[label]; ok {
			return []byte(text), nil
		}
		if text, ok := stdlib.Text(label); ok {
			return text, nil
		}
		return nil, source.ErrAbsent
	})
}

func runText(text string) (*model.Design, []*diag.Finding) {
	return Run(context.Background(), files{"main.star": text}.store(), "main.star", Options{})
}

const sleeveScript = `"""Sleeve for a bar of soap, open at both ends."""

length = param("length", 90, min = 20, max = 300, doc = "bar length")
width  = param("width", 60)
depth  = param("depth", 28)
card   = board("uncoated card", caliper = thou(14), gsm = 250, grain = 0)

top   = panel("top",   rect(width, length))
left  = panel("left",  rect(depth, length), on = top.left)
right = panel("right", rect(depth, length), on = top.right)
base  = panel("base",  rect(width, length), on = right.right)
seam  = tab("seam", on = base.right, depth = 12, to = left.left)

top.cut(circle(18).shift(width / 2, length / 2))
piece("sleeve", top, board = card)
`

// The script that opens the vocabulary, with what the contract says of it.
func TestSleeve(t *testing.T) {
	d, fs := runText(sleeveScript)
	for _, f := range fs {
		t.Error(f, f.Hint)
	}
	if d == nil {
		t.FailNow()
	}
	if d.Title != "Sleeve for a bar of soap, open at both ends." {
		t.Errorf("title %q", d.Title)
	}
	if at := d.Panels[0].Site.First(); at.Line != 8 || at.Column != 9 || at.EndColumn != 44 {
		t.Errorf("top was made at %+v", at)
	}
	if n := len(d.Pieces[0].Panels); n != 5 {
		t.Errorf("%d panels in the piece", n)
	}
}
