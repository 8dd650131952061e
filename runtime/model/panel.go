package model

import (
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/source"
)

// Panel is one flat area of board. Its outline is in its own frame.
type Panel struct {
	Name    string
	Index   int // order of making, over the whole design
	Outline geom.Path
	Hang    *Hinge // the hinge it hangs by; nil for a root
	Piece   *Piece // nil until a piece claims its tree
	Flat    geom.Isometry
	Bent    bool
	Over    bool    // overhang = True: may be wider than its edge, and stick out of the closed piece
	Role    Role    // which word made it
	Depth   float64 // for flaps and tabs: square to the hinge
	Site    source.Site

	Windows []*Window
	Works   []*Work
	In      *Window // the window it hangs in, itself or an ancestor; else nil
}

// Role says which word made a panel.
type Role uint8

// Roles of panels.
const (
	Plain Role = iota
	FlapRole
	TabRole
)

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

// Window is an opening made by cutting a closed outline: it takes all board of
// the blank under it but the panels that hang in it.
type Window struct {
	Panel   *Panel
	Outline geom.Path // panel frame, counter-clockwise; board lies outside
	Through *Through  // the cut that it is part of where that goes through several panels; else nil
	Site    source.Site
}

// WorkKind is what an open path does to the board.
type WorkKind uint8

// Kinds of work along an open path (scores and perforations may be closed too).
const (
	Slit WorkKind = iota
	ScoreLine
	Perforation
	Drawn
)

// Work is one path worked on a panel; it runs on over hinges.
type Work struct {
	Kind     WorkKind
	Panel    *Panel
	Path     geom.Path // panel frame
	Line     LineKind  // for ScoreLine
	Cut, Tie float64   // for Perforation, mm
	Through  *Through  // for Slit, as for a Window
	Site     source.Site
}
