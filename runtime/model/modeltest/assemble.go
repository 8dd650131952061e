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
			{Name: "flat", FoldDegrees: map[*model.Hinge]float64{}, At: 0},
			{Name: "closed", FoldDegrees: map[*model.Hinge]float64{}, At: 1, Glued: true},
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
		Fold: c.Fold, Line: c.Line, Closing: by.Panel.Hang != nil, Lay: toParent,
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
