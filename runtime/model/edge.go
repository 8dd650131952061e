package model

import "github.com/creasewright/creasewright/runtime/geom"

// EdgeRef is a stretch of a panel's or an opening's edge. Exactly one of Panel
// and Window is the owner; for an opening Panel is the panel it was cut in.
type EdgeRef struct {
	Panel  *Panel
	Window *Window // nil for a panel's own edge
	Name   string
	Index  int     // place in the outline
	From   float64 // mm from the left end, as seen from the board looking out
	To     float64
}

// Curve is the whole edge in the panel's frame, directed with board on its
// left: its left end, seen from the board, is the curve's Q.
func (e EdgeRef) Curve() geom.Curve {
	if e.Window != nil {
		return e.Window.Outline.Edges[e.Index].Curve.Reverse()
	}
	return e.Panel.Outline.Edges[e.Index].Curve
}

// Stretch is the part of the edge meant, directed like Curve.
func (e EdgeRef) Stretch() geom.Curve { return stretch(e.Curve(), e.From, e.To) }

// stretch is the part of an edge's curve between two distances from its left
// end, directed like the edge. A hair at either end belongs to the part.
func stretch(c geom.Curve, from, to float64) geom.Curve {
	l := c.Length()
	lo, hi := 0.0, 1.0
	if to < l-geom.Tiny {
		lo = c.ParamAt(l - to)
	}
	if from > geom.Tiny {
		hi = c.ParamAt(l - from)
	}
	return c.Part(lo, hi)
}

// Length is the length of the stretch.
func (e EdgeRef) Length() float64 { return e.To - e.From }

// String is panel.edge, as messages name it.
func (e EdgeRef) String() string {
	if e.Panel == nil {
		return e.Name
	}
	if e.Window != nil {
		return e.Panel.Name + " opening." + e.Name
	}
	return e.Panel.Name + "." + e.Name
}

// Start is the left end of the stretch, seen from the board, in the panel's
// frame.
func (e EdgeRef) Start() geom.Point { return e.Stretch().Q }

// End is the right end of the stretch.
func (e EdgeRef) End() geom.Point { return e.Stretch().P }
