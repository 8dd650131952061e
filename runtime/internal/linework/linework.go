// Package linework measures the lines of a flat blank: which of them run close
// together and with what between them, what they are part of, which parts the
// cuts leave and what those hang by. It judges nothing and knows no limits.
package linework

import (
	"context"
	"fmt"
	"math"
	"slices"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/model"
	"github.com/creasewright/creasewright/runtime/source"
)

// Role says what a line does.
type Role uint8

// The roles of lines.
const (
	Rim    Role = iota // a cut with board on its left only
	Slit               // a cut with board on both sides
	Crease             // a fold with board on both sides, or a score
)

// Line is one curve of the blank that is cut or creased, in the blank frame.
type Line struct {
	geom.Curve
	Role  Role
	Kind  blank.Kind   // "" for a plain fold
	Hinge *model.Hinge // of a crease between panels
	Score *model.Work  // of a crease drawn by hand, which may reach past the board

	stroke     int     // of a cut, its number; −1 for a crease
	from       float64 // length along the stroke at which it begins
	prev, next int     // lines that run on at its ends; −1 for none
}

// Lines is the line work of one blank. It is for one goroutine.
type Lines struct {
	Blank *blank.Blank
	All   []Line

	strokes []blank.Stroke // of cuts
	lengths []float64      // of these strokes
	panels  *geom.BoxTree  // boxes round what each panel draws; nil until asked for
}

// New lists the lines of a blank: cuts, then hinges that fold, then scores
// drawn by hand. Perforations and drawn lines are left out. The error is the
// context's cause if that ends first.
func New(ctx context.Context, b *blank.Blank) (*Lines, error) {
	l := &Lines{Blank: b}
	for _, layer := range b.Layers {
		if layer.Kind == blank.CutLine {
			l.addCuts(ctx, layer.Strokes)
		}
	}
	for i, h := range b.Hinges {
		if ended(ctx, i) {
			break
		}
		if h.Kind == "" && h.Hinge.Line != model.PlainFold {
			continue // it never folds
		}
		for _, c := range h.Curves {
			l.add(Line{Curve: c, Role: Crease, Kind: h.Kind, Hinge: h.Hinge, stroke: -1})
		}
	}
	for i, p := range b.Piece.Panels {
		if ended(ctx, i) {
			break
		}
		for _, w := range p.Works {
			if w.Kind == model.ScoreLine {
				l.addScore(w)
			}
		}
	}
	if ctx.Err() != nil {
		return nil, context.Cause(ctx)
	}
	return l, nil
}

// lookEvery is after how many steps of a loop, each of some microseconds, the
// context is looked at again.
const lookEvery = 64

// ended looks at the context at every lookEvery-th step of a loop.
func ended(ctx context.Context, step int) bool { return step%lookEvery == 0 && ctx.Err() != nil }

func (l *Lines) add(line Line) {
	line.prev, line.next = -1, -1
	l.All = append(l.All, line)
}

// addCuts lists the curves of the cut strokes, as far as the context lets it.
func (l *Lines) addCuts(ctx context.Context, strokes []blank.Stroke) {
	l.strokes = strokes
	slits := l.slits(ctx)
	for i, s := range strokes {
		if ended(ctx, i) {
			return
		}
		role, first, length := Rim, len(l.All), 0.0
		if slits[i] {
			role = Slit
		}
		for _, c := range s.Curves {
			l.add(Line{Curve: c, Role: role, Kind: blank.CutLine, stroke: i, from: length})
			length += c.Length()
		}
		l.lengths = append(l.lengths, length)
		l.chain(first, s.Closed)
	}
}

// sameArea is the share by which two sums of one blank's areas may differ from
// rounding. A sum of n areas is off by at most n·2⁻⁵³ of it, 10⁻¹¹ for 10⁵ rims, while
// a closed slit that a tool can make encloses above 0.01 mm², which is 10⁻⁸ of a
// blank of a square metre.
const sameArea = 1e-9

// slits tells by stroke whether it has board on both sides. Open strokes have. Rims
// are closed, and their signed areas add up to that of the board; only where those
// of all closed strokes do not, by sameArea, is the board to the right of each
// looked up (see offsetPoint).
func (l *Lines) slits(ctx context.Context) []bool {
	out := make([]bool, len(l.strokes))
	sum := 0.0
	for i, s := range l.strokes {
		out[i] = !s.Closed
		if s.Closed {
			sum += signedArea(s.Curves)
		}
	}
	if math.Abs(sum-l.Blank.Area) <= sameArea*(1+l.Blank.Area) {
		return out
	}
	for i, s := range l.strokes {
		if ended(ctx, i) {
			break
		}
		out[i] = out[i] || l.PanelAt(offsetPoint(s.Curves[0], -1)) != nil
	}
	return out
}

// signedArea is the area inside a closed chain of curves, positive when it runs
// counter-clockwise.
func signedArea(curves []geom.Curve) float64 {
	sum := 0.0
	for _, c := range curves {
		sum += c.Area()
	}
	return sum
}

// offsetPoint is a point 4 snap tolerances off the middle of a curve, on its left for
// side 1, on its right for −1. Snapping has moved a line by up to 2 of them
// (coincidence), so the point is on the intended side of it, and at least 2 off.
func offsetPoint(c geom.Curve, side float64) geom.Point {
	const off = 4 * geom.SnapTolerance
	return c.At(0.5).Add(c.Tangent(0.5).Left().Mul(side * off))
}

// chain links the lines from first on, each to the next, and the last to the first
// where they are closed.
func (l *Lines) chain(first int, closed bool) {
	n := len(l.All) - first
	for i := range n {
		if i > 0 || closed {
			l.All[first+i].prev = first + (i+n-1)%n
		}
		if i < n-1 || closed {
			l.All[first+i].next = first + (i+1)%n
		}
	}
}

// addScore lists the curves of a score drawn by hand.
func (l *Lines) addScore(w *model.Work) {
	first := len(l.All)
	for _, e := range w.Path.Edges {
		l.add(Line{Curve: e.Transform(w.Panel.Flat), Role: Crease, Kind: blank.Kind(w.Line), Score: w, stroke: -1})
	}
	l.chain(first, w.Path.Closed)
}

// IsCut reports whether the line goes through the board.
func (l *Line) IsCut() bool { return l.Role != Crease }

// FoldSide is the side a crease folds to: 1 in, −1 out; 0 where that is not known,
// as for a plain fold, which has no line.
func (l *Line) FoldSide() int {
	switch l.Kind {
	case blank.ScoreLine, blank.PartCutLine:
		return 1
	case blank.BackScoreLine, blank.BackPartCutLine:
		return -1
	}
	return 0
}

// Feature says what a point of a line belongs to: a window, a slit or a score, or
// an edge of a panel. Features can be compared with ==.
type Feature struct {
	Panel  *model.Panel
	Edge   string        // of the panel
	Window *model.Window // instead
	Work   *model.Work   // instead
}

// coincidence is the distance in mm up to which a point of the blank lies on the line
// it came from: either may have been moved by geom.SnapTolerance.
const coincidence = 2 * geom.SnapTolerance

// FeatureAt tells what a point of a line belongs to: windows go before works, works
// before edges of panels, and what was made first before what was made later. Panel
// is nil when it belongs to nothing.
func (l *Lines) FeatureAt(at geom.Point) Feature {
	var found Feature
	for _, i := range l.panelsNear(at) {
		p := l.Blank.Piece.Panels[i]
		own := p.Flat.Inverse().Apply(at)
		for _, w := range p.Windows {
			if edgeAt(w.Outline, own) != "" {
				return Feature{Panel: p, Window: w}
			}
		}
		for _, w := range p.Works {
			if found.Work == nil && edgeAt(w.Path, own) != "" {
				found = Feature{Panel: p, Work: w}
			}
		}
		if found.Panel == nil {
			if name := edgeAt(p.Outline, own); name != "" {
				found = Feature{Panel: p, Edge: name}
			}
		}
	}
	return found
}

// panelsNear lists, in order, the panels that have a line or board near a point
// of the blank.
func (l *Lines) panelsNear(at geom.Point) []int {
	if l.panels == nil {
		boxes := make([]geom.Box, len(l.Blank.Piece.Panels))
		for i, p := range l.Blank.Piece.Panels {
			b := p.Outline.Bounds()
			for _, w := range p.Windows {
				b = b.Union(w.Outline.Bounds())
			}
			for _, w := range p.Works {
				b = b.Union(w.Path.Bounds())
			}
			boxes[i] = transformedBox(b, p.Flat).Grow(coincidence)
		}
		l.panels = geom.NewBoxTree(boxes)
	}
	found := l.panels.Intersecting(geom.BoxOf(at), nil)
	slices.Sort(found)
	return found
}

// transformedBox is the axis-aligned box round a box moved by an isometry.
func transformedBox(b geom.Box, m geom.Isometry) geom.Box {
	return geom.BoxOf(m.Apply(b.Min), m.Apply(b.Max), m.Apply(geom.Pt(b.Min.X, b.Max.Y)), m.Apply(geom.Pt(b.Max.X, b.Min.Y)))
}

// edgeAt is the name of the path's first edge within coincidence of a point, "" for
// none.
func edgeAt(p geom.Path, at geom.Point) string {
	if !p.Bounds().Grow(coincidence).Contains(at) {
		return ""
	}
	for _, e := range p.Edges {
		if _, far := e.Nearest(at); far <= coincidence {
			return e.Name
		}
	}
	return ""
}

// PanelAt is the first panel that has board at a point of the blank, or nil. It
// takes the winding number of the panel's region, which is certain at points further
// from its boundary than rounding; this package asks at offset points and
// within creases.
func (l *Lines) PanelAt(at geom.Point) *model.Panel {
	for _, i := range l.panelsNear(at) {
		turns := 0
		for _, r := range l.Blank.Regions[i].Rings {
			turns += geom.Winding(r, at)
		}
		if turns != 0 {
			return l.Blank.Regions[i].Panel
		}
	}
	return nil
}

// String names the feature for a message: the window in "front", edge "tip"
// of "lid".
func (s Feature) String() string {
	switch {
	case s.Panel == nil:
		return "a cut"
	case s.Window != nil:
		return fmt.Sprintf("the window in %q", s.Panel.Name)
	case s.Work != nil:
		return fmt.Sprintf("the %s in %q", [...]string{"slit", "score", "perforation", "drawn line"}[s.Work.Kind], s.Panel.Name)
	}
	return fmt.Sprintf("edge %q of %q", s.Edge, s.Panel.Name)
}

// Site is the call of the script that made the feature.
func (s Feature) Site() source.Site {
	switch {
	case s.Panel == nil:
		return nil
	case s.Window != nil:
		return s.Window.Site
	case s.Work != nil:
		return s.Work.Site
	}
	return s.Panel.Site
}
