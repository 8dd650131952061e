// Package preview draws the sheet that people look at: every piece laid flat,
// with names, fold angles, sizes and findings, and folded in its poses, on one
// page of paper. It judges nothing and writes no cut files.
//
// # Coordinates
//
// The design has y up and millimetres at true size. The paper has y down and
// millimetres of the page; a placing carries one to the other by a scale, a mirror
// in y and a shift. Scales are the steps of ISO 5455 with two more (scaleStep); a
// step is an integer, 0 for 1:1.
//
// # Choosing the page
//
// Sheets are tried from A4 up, four frames each (frames), and scales from the
// largest down. Text is flowed into columns first; the rest of the sheet is packed
// with pictures, in rows, in the order of the pieces. The first that fits is taken.
// Panels whose names find no room are listed in the text, which makes it longer, so
// the search is repeated with the longer list. Sheets only grow, and
// on one sheet scales only fall, so it ends. The room that is left goes to the folded
// views, a step of scale at a time and always to the smallest (pageSearch.grow).
//
// # Placing text
//
// Text is placed greedily: lines and dimensions first, then names, fold angles, leader
// lines or letters, sizes and the numbers of findings. A label is a rectangle at an angle (tile); candidates
// are tried in a fixed order of preference until one keeps clearance from all that is
// there already, lines included. The broad phase is a grid (occupancy). Greedy placement
// does not find room for as many labels as could be placed; what finds none becomes
// a leader line, then a letter, then a number in the lists.
//
// Widths of text are upper bounds (font.width), since the viewer's font is not
// known, so text may be set smaller than needed but does not run into its
// neighbours.
//
// # Same bytes everywhere
//
// Coordinates are rounded to a thousandth of a millimetre after their last bits have
// been rounded away (exact). Products are converted before they are added, which
// keeps processors from fusing them; ties are broken by the order of the piece.
package preview

import (
	"context"
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
	Folds    map[*model.Hinge]geom.Degrees // in degrees, of the free hinges of finished pieces, where they were found
	Views    []View                        // folded pictures, after the flat ones
	Findings []*diag.Finding               // numbered from 1 in this order; leave out what people need not see
	Cautions []string
}

// View is a piece in a pose, seen from one or more sides. The first aspect is
// drawn as large as there is room for, the others half as large or more beside it
// or below.
type View struct {
	Piece   string
	Title   string // the pose's name
	Aspects []Aspect
	Without []string // panels that have no place in the pose and are left out
}

// showsProduct reports whether a product shows in one of the pictures.
func (v View) showsProduct() bool {
	return slices.ContainsFunc(v.Aspects, func(a Aspect) bool { return len(a.Picture.Products) > 0 })
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

// Sheet is a page with everything in its place, which any Surface can draw. It
// may be drawn by several goroutines at a time.
type Sheet struct {
	Title string
	Size  geom.Point // of the page, mm
	desc  string     // what it shows, in words
	page  *page
}

// Ink and Paper are the colours that text and an empty page have.
const (
	Ink   = inkColour
	Paper = paperColour
)

// Lay lays the sheet out. The smallest ISO 216 sheet from A4 up that holds the
// lists is taken, turned so that the pieces come out largest. An error is that
// of a context which has ended.
func Lay(ctx context.Context, in Input) (*Sheet, error) {
	in = drawable(in)
	page := choosePage(ctx, in)
	if ctx.Err() != nil {
		return nil, context.Cause(ctx)
	}
	return &Sheet{sheetTitle(in), page.size, describe(in), page}, nil
}

// Draw draws everything but the paper.
func (s *Sheet) Draw(ctx context.Context, w Surface) error { return s.page.write(ctx, w) }

// SVG draws the sheet as a picture for people. Width and height are the
// physical page in millimetres, one user unit each; in a browser's window it is as
// wide as the window.
func SVG(ctx context.Context, s *Sheet) ([]byte, error) {
	w := &writer{}
	w.head(documentHead{s.Size, "sheet", s.Title, s.desc, s.style()})
	w.Rect(geom.Box{Max: s.Size}, filled(Paper))
	w.open("g", "id", "drawing", "font-family", fontFamily, "fill", Ink)
	w.hatch()
	if err := s.Draw(ctx, w); err != nil {
		return nil, err
	}
	w.close("g")
	w.close("svg")
	return w.bytes(), nil
}

// lookEvery is after how many steps of a loop, each of some microseconds, the
// context is looked at again.
const lookEvery = 64

// ended looks at the context at every lookEvery-th step of a loop.
func ended(ctx context.Context, step int) bool { return step%lookEvery == 0 && ctx.Err() != nil }

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
