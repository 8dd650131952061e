package preview

import (
	"testing"

	"github.com/creasewright/creasewright/runtime/geom"
)

// SheetText is a text of a sheet read back from its file, for tests that make whole
// designs.
type SheetText struct {
	Text  string
	Mid   geom.Point
	Turn  float64  // of its direction, radians
	Class []string // of the groups it stands in, outermost first
	tile  tile
}

// Meets reports whether two texts overlap, by the widths used in drawing.
func (x SheetText) Meets(y SheetText) bool { return x.tile.meets(y.tile) }

// In reports whether the text stands in a group of the class.
func (x SheetText) In(class string) bool { return in(x.Class, class) }

// SheetTexts reads a sheet's texts.
func SheetTexts(t testing.TB, svg []byte) []SheetText {
	t.Helper()
	var out []SheetText
	for _, x := range readBack(t, svg).texts {
		out = append(out, SheetText{x.text, x.tile.mid, x.tile.along.Angle().Radians(), x.class, x.tile})
	}
	return out
}
