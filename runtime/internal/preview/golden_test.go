package preview

import (
	"context"
	"testing"

	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/internal/golden"
	"github.com/creasewright/creasewright/runtime/internal/scene"
)

// The goldens are a whole sheet and a fault over an empty page. They were
// looked at as pictures; look again after every update.
func TestGoldens(t *testing.T) {
	goldens := golden.In(t, "testdata", ".svg")
	goldens.Check("sleeve.svg", svg(sleeve()))
	goldens.Check("fault.svg", Fault(t.Context(), lidFault(), lidLine, nil))
}

// svg is the sheet of an input, drawn with a context that does not end.
func svg(in Input) []byte {
	sheet, err := Lay(context.Background(), in)
	if err == nil {
		var b []byte
		if b, err = SVG(context.Background(), sheet); err == nil {
			return b
		}
	}
	panic(err)
}

// foldedView is Folded with a context that does not end, marked.
func foldedView(in scene.Input, found []*diag.Finding) View {
	v, err := Folded(context.Background(), in)
	if err != nil {
		panic(err)
	}
	v.Mark(found)
	return v
}
