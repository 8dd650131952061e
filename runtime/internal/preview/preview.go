// Package preview draws the sheet that people look at: every piece laid flat,
// with names, fold angles, sizes and findings, and folded in its poses, on one
// page of paper. It draws
// what it is given and decides nothing; cut files are none of its business.
package preview

import (
	"slices"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/scene"
	"github.com/creasewright/creasewright/runtime/model"
)

// Input is everything one sheet shows.
type Input struct {
	Script   string // the script's base name
	Design   *model.Design
	Blanks   []*blank.Blank
	Folds    map[*model.Hinge]float64 // in degrees, of the free hinges of finished pieces, where they were found
	Views    []View                   // folded pictures, after the flat ones
	Findings []*diag.Finding          // numbered from 1 in this order; leave out what people need not see
	Cautions []string
}

// View is a piece in a pose, seen from one or more sides. The first aspect is
// drawn to the same scale as the blanks where it fits, the others small beside
// it.
type View struct {
	Piece   string
	Title   string // the pose's name
	Aspects []Aspect
	Without []string // panels that have no place in the pose and are left out
}

// Aspect is a view from one side.
type Aspect struct {
	Title   string // "from behind"
	Picture *scene.Picture
	Spots   []Spot
}

// Spot is where a finding shows in a picture, in the picture's millimetres.
type Spot struct {
	Finding *diag.Finding // one of Input.Findings
	At      geom.Point
}

// SVG draws the sheet. The smallest ISO 216 sheet from A4 up that holds the
// lists is taken, turned so that the pieces come out largest. Width and height
// are the physical page in millimetres, one user unit each.
func SVG(in Input) []byte {
	in = drawable(in)
	page := choosePage(in)
	w := &writer{}
	w.head(page.size, "sheet", sheetTitle(in))
	w.rect(geom.Box{Max: page.size}, "fill", paperColour)
	w.open("g", "id", "drawing", "font-family", fontFamily, "fill", inkColour)
	page.write(w)
	w.close("g")
	w.close("svg")
	return w.bytes()
}

// drawable leaves out blanks and views with nothing to draw, such as a piece
// whose windows took all its board.
func drawable(in Input) Input {
	in.Blanks = slices.DeleteFunc(slices.Clone(in.Blanks), func(b *blank.Blank) bool { return b.Bounds.Empty() })
	in.Views = slices.DeleteFunc(slices.Clone(in.Views), func(v View) bool { return len(v.Aspects) == 0 || v.box().Empty() })
	return in
}

// sheetTitle is the design's title, or the script's name where it has none.
func sheetTitle(in Input) string {
	if in.Design != nil && in.Design.Title != "" {
		return in.Design.Title
	}
	return in.Script
}
