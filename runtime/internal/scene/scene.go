// Package scene draws a folded piece as seen from one side: a parallel
// projection with hidden surfaces taken away exactly. Panels are flat, so how
// far one stands before another changes evenly over the picture, and what a
// panel hides is its own shape cut off by one straight line. Nothing is sorted
// by distance, so panels may cross or overlap each other in a ring. The result
// is plain shapes; how they look on paper is decided elsewhere.
package scene

import (
	"context"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/fold"
	"github.com/creasewright/creasewright/runtime/internal/polygon"
	"github.com/creasewright/creasewright/runtime/model"
)

// Input is one piece in one pose.
type Input struct {
	Blank *blank.Blank
	Pose  *fold.Pose
	// Layers gives, by panel of the piece, its place among the panels that lie
	// on one another; each layer is drawn a hair further in (see Hair), so that
	// overlaps can be read. Nil leaves all in place; of panels that coincide the
	// one made later is then drawn on the inside of the other.
	Layers []Layer
	// Piercing lists, by their places in the piece, the pairs of panels whose
	// crossing is a fault and drawn as such.
	Piercing [][2]int
}

// Layer is a panel's place in its stack. The zero value stays in place.
type Layer struct {
	In  int         // how many layers lie further out
	Out geom.Point3 // the way out of the stack, unit
}

// Side is the side of the board that a face shows.
type Side uint8

// The sides of a board.
const (
	Outside Side = iota // the print side
	Inside
)

// Picture is what is seen. Faces do not overlap, so they and the lines can be
// painted in any order, lines last. Coordinates are millimetres in the picture
// plane, x to the right and y up; the world's origin is its origin.
type Picture struct {
	View   View
	Bounds geom.Box // of the whole piece, hidden parts included
	Faces  []Face
	Lines  []Line

	stage *stage
}

// Face is the visible part of one panel. Outer rings run counter-clockwise,
// holes clockwise.
type Face struct {
	Panel *model.Panel
	Side  Side
	Shade float64 // light that falls on it, 0…1
	Rings [][]geom.Point
}

// LineKind is what a line of a picture stands for.
type LineKind uint8

// Kinds of line.
const (
	Rim        LineKind = iota // a raw edge of board, or a slit
	Hinge                      // a crease, folded or not
	Perforated                 // a perforation within a panel
	Drawn                      // pen or print, on the outside only
	Crossing                   // where two panels pierce each other: a fault
)

// Line is a visible stretch of a line.
type Line struct {
	Kind   LineKind
	Points []geom.Point
}

// Draw makes the picture from one side. It may be called from several
// goroutines at a time. An error is that of a context which has ended.
func (sc *Scene) Draw(ctx context.Context, v View) (*Picture, error) {
	s := sc.from(v)
	p := &Picture{View: v, Bounds: s.bounds, stage: s}
	for _, f := range s.faces {
		if ctx.Err() != nil {
			return nil, context.Cause(ctx)
		}
		if rings := s.visible(ctx, f); len(rings) > 0 {
			p.Faces = append(p.Faces, Face{f.board.panel, f.side(), f.light, rings})
		}
	}
	var err error
	p.Lines, err = s.lines(ctx)
	return p, err
}

// Share is the part of all that is seen that shows one side of the board, 0…1.
func (p *Picture) Share(side Side) float64 {
	all, part := 0.0, 0.0
	for _, f := range p.Faces {
		area := 0.0
		for _, r := range f.Rings {
			area += polygon.Area(r)
		}
		if all += area; f.Side == side {
			part += area
		}
	}
	return part / max(all, geom.Tiny)
}

// Hair is the height of one layer in mm, the same in all pictures of a piece.
func Hair(b *blank.Blank) float64 { return min(hairMost, hairPart*diagonal(b)) }

func diagonal(b *blank.Blank) float64 { return b.Bounds.Min.Dist(b.Bounds.Max) }
