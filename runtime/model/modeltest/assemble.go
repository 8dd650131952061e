// Package modeltest makes designs for tests whose figures are known before
// anything is laid out: hand-placed panels, and seeded random hinge trees. It
// fills the model's plain data itself and so checks the builder as well as
// what reads the model.
package modeltest

import (
	"math"
	"math/rand"

	"github.com/creasewright/creasewright/runtime/board"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/model"
	"github.com/creasewright/creasewright/runtime/source"
)

// Cell is one panel told by its place in the blank. Every later cell hangs on
// an earlier one, edge On of the parent to edge By of its own.
type Cell struct {
	Name    string
	Outline geom.Path // blank frame, counter-clockwise
	Parent  int       // index of the parent cell; of no meaning in the first
	On, By  string
	Fold    model.Fold
	Line    model.LineKind // "" for a score
}

// Right is a square fold toward the inside, the usual one.
var Right = model.Fold{Degrees: 90}

// Assemble makes a design of one piece from cells. With frames, every panel
// but the root is drawn in axes of its own, turned and shifted at random; with
// nil each is drawn where it lies.
func Assemble(cells []Cell, frames *rand.Rand) *model.Design {
	piece := &model.Piece{
		Name: "piece", Copies: 1, Site: At(len(cells) + 1),
		Board: &board.Board{Name: "card", Kind: board.Card, Caliper: 0.4},
	}
	for i, c := range cells {
		flat := geom.Identity()
		if i > 0 && frames != nil {
			flat = geom.Rotation(geom.Radians(frames.Float64()*7), geom.Point{}).Then(geom.Translation(frames.Float64()*90, frames.Float64()*90))
		}
		p := &model.Panel{
			Name: c.Name, Index: i, Piece: piece, Flat: flat, Site: At(i + 1),
			Outline: c.Outline.Transform(flat.Inverse()),
		}
		if i == 0 {
			piece.Root = p
		} else {
			piece.Hinges = append(piece.Hinges, hang(piece.Panels[c.Parent], p, c))
		}
		piece.Panels = append(piece.Panels, p)
	}
	return &model.Design{
		Title: "known figures", Pieces: []*model.Piece{piece}, Panels: piece.Panels, Hinges: piece.Hinges,
		Poses: []*model.Pose{
			{Name: "flat", FoldDegrees: map[*model.Hinge]geom.Degrees{}, At: 0},
			{Name: "closed", FoldDegrees: map[*model.Hinge]geom.Degrees{}, At: 1, Glued: true},
		},
	}
}

// At is a site at a line of a script that is not there.
func At(line int) source.Site {
	return source.Site{{File: "known.star", Line: line, Column: 1, EndLine: line, EndColumn: 8}}
}

// Edge is the whole of a panel's named edge; the name must exist.
func Edge(p *model.Panel, name string) model.EdgeRef {
	i := p.Outline.Index(name)
	return model.EdgeRef{Panel: p, Name: name, Index: i, To: p.Outline.Edges[i].Length()}
}

// OpeningEdge is the whole of a window's named edge; the name must exist.
func OpeningEdge(w *model.Window, name string) model.EdgeRef {
	i := w.Outline.Index(name)
	return model.EdgeRef{Panel: w.Panel, Window: w, Name: name, Index: i, To: w.Outline.Edges[i].Length()}
}

// hang hangs child on parent, both in place already.
func hang(parent, child *model.Panel, c Cell) *model.Hinge {
	child.In = parent.In
	return Join(parent, child, c)
}

// Join makes the hinge between two panels that lie in place, as c says, and
// hangs the child by it unless the child hangs already: then it closes a loop.
func Join(parent, child *model.Panel, c Cell) *model.Hinge {
	return JoinEdges(Edge(parent, c.On), Edge(child, c.By), c)
}

// JoinEdges is Join with the edges given; an opening's edge may be the first.
func JoinEdges(on, by model.EdgeRef, c Cell) *model.Hinge {
	if c.Line == "" {
		c.Line = model.Score
	}
	toParent := by.Panel.Flat.Then(on.Panel.Flat.Inverse())
	h := &model.Hinge{
		Name: c.Name, Index: by.Panel.Index, Parent: on.Panel, Child: by.Panel, On: on, By: by,
		Fold: c.Fold, Line: c.Line, Closing: by.Panel.Hang != nil, ToParent: toParent,
		Curve: Overlap(on.Stretch(), by.Stretch().Transform(toParent)), Site: At(by.Panel.Index + 1),
	}
	if on.Curve().Kind == geom.Line {
		// The right, looking out over the edge, is where its curve starts.
		right := on.Curve().Tangent(0).Mul(-1)
		h.Slide = by.Stretch().Transform(toParent).At(0.5).Sub(on.Stretch().At(0.5)).Dot(right)
	}
	if !h.Closing {
		by.Panel.Hang = h
	}
	return h
}

// Overlap is the part of a that b runs along, directed like a. The two must
// lie on one line or one circle, or be the same curve.
func Overlap(a, b geom.Curve) geom.Curve {
	t, _ := a.Nearest(b.P)
	u, _ := a.Nearest(b.Q)
	return a.Part(math.Min(t, u), math.Max(t, u))
}

// sideNames are the edges of a four-sided cell, counter-clockwise.
var sideNames = [...]string{"bottom", "right", "top", "left"}

// opposite is the edge across a four-sided cell.
var opposite = map[string]string{"bottom": "top", "top": "bottom", "left": "right", "right": "left"}

// Rect is an upright rectangle with its lower-left corner at (x, y) and edges
// bottom, right, top, left.
func Rect(x, y, width, height float64) geom.Path {
	return Outline(geom.Pt(x, y), geom.Pt(x+width, y), geom.Pt(x+width, y+height), geom.Pt(x, y+height))
}

// Outline is a closed polygon, counter-clockwise as given; four corners give
// edges bottom, right, top, left, any other number e0, e1 and so on.
func Outline(corners ...geom.Point) geom.Path {
	curves := make([]geom.Curve, len(corners))
	for i, p := range corners {
		curves[i] = geom.LineFrom(p, corners[(i+1)%len(corners)])
	}
	return Closed(curves...)
}

// Closed is a closed path of curves end to end, named as Outline names them.
func Closed(curves ...geom.Curve) geom.Path {
	p := Open(curves...)
	p.Closed = true
	if len(curves) == len(sideNames) {
		for i := range p.Edges {
			p.Edges[i].Name = sideNames[i]
		}
	}
	return p
}

// Open is an open path of curves end to end, edges e0, e1 and so on.
func Open(curves ...geom.Curve) geom.Path {
	p := geom.Path{}
	for i, c := range curves {
		p.Edges = append(p.Edges, geom.Edge{Name: "e" + string(rune('0'+i%10)), Curve: c})
	}
	return p
}

// Polyline is an open path of straight lines.
func Polyline(points ...geom.Point) geom.Path {
	var curves []geom.Curve
	for i := 1; i < len(points); i++ {
		curves = append(curves, geom.LineFrom(points[i-1], points[i]))
	}
	return Open(curves...)
}

// Disc is a circle of four quarter arcs, counter-clockwise from its right.
func Disc(x, y, r float64) geom.Path {
	centre := geom.Pt(x, y)
	var curves []geom.Curve
	for _, d := range [...]geom.Point{{X: 1}, {Y: 1}, {X: -1}, {Y: -1}} {
		p, q := centre.Add(d.Mul(r)), centre.Add(d.Left().Mul(r))
		curves = append(curves, geom.ArcBetween(p, q, centre, geom.Degrees(90).Angle()))
	}
	p := Open(curves...)
	p.Closed = true
	return p
}
