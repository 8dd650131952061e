package model

import (
	"github.com/creasewright/creasewright/runtime/board"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/source"
)

// BoardSpec asks for a board. GSM and Grain are nil when not given; an empty
// Kind is card.
type BoardSpec struct {
	Name       string
	Caliper    float64
	GSM, Grain *float64
	Kind       string
}

// Board makes a stock.
func (b *Builder) Board(site source.Site, s BoardSpec) (*board.Board, error) { panic("soon") }

// PanelSpec asks for a panel. Without On it is a root, and By, Fold, Line,
// Slide and Overhang may not be given.
type PanelSpec struct {
	Name     string
	Outline  geom.Path
	On       *EdgeRef
	By       string   // "" to go by the edges' names
	Fold     *Fold    // nil for DefaultFold
	Line     LineKind // "" for Score
	Slide    float64
	Overhang bool
	Bent     bool
}

// Panel makes a panel and hangs it on its edge.
func (b *Builder) Panel(site source.Site, s PanelSpec) (*Panel, error) { panic("soon") }

// Pair is one value for the left and one for the right, as seen looking out
// over the hinge.
type Pair struct{ Left, Right float64 }

// Both is the same value on either side.
func Both(v float64) Pair { return Pair{v, v} }

// FlapSpec asks for a flap on a straight edge.
type FlapSpec struct {
	Name  string
	On    EdgeRef
	Depth float64
	Taper Pair     // degrees by which the sides lean in
	Round Pair     // radii of the tip's corners
	Inset Pair     // how far the base stops short of the edge's ends
	Fold  *Fold    // nil for DefaultFold
	Line  LineKind // "" for Score
}

// Flap makes a panel sized to the edge it hangs on. Its frame has the base on
// the x axis from the origin and the tip at y = Depth.
func (b *Builder) Flap(site source.Site, s FlapSpec) (*Panel, error) { panic("soon") }

// TabTaper is the taper in degrees of a tab that asks for none.
const TabTaper = 15

// TabSpec asks for a tab: a flap, and what it is glued to. A nil Fold is a
// free one toward the inside; Taper is as given, so pass Both(TabTaper) for
// the usual one.
type TabSpec struct {
	FlapSpec
	To  JoinEnd // a panel or an edge
	Gap float64
}

// Tab makes a flap that is glued to its target when folded.
func (b *Builder) Tab(site source.Site, s TabSpec) (*Panel, error) { panic("soon") }

// Edge is the whole of a panel's named edge.
func (b *Builder) Edge(site source.Site, p *Panel, name string) (EdgeRef, error) { panic("soon") }

// OpeningEdge is the whole of a window's named edge, to hang a panel in it.
func (b *Builder) OpeningEdge(site source.Site, w *Window, name string) (EdgeRef, error) {
	panic("soon")
}

// Part is the stretch of e from from to to mm, counted from its left end.
func (b *Builder) Part(site source.Site, e EdgeRef, from, to float64) (EdgeRef, error) { panic("soon") }

// Cut cuts through the panel: a closed path opens a window, which is
// returned; an open one is a slit, and the window is nil.
func (b *Builder) Cut(site source.Site, p *Panel, path geom.Path) (*Window, error) { panic("soon") }

// WorkSpec asks for a score, a perforation or a drawn line on a panel.
type WorkSpec struct {
	Kind     WorkKind
	Panel    *Panel
	Path     geom.Path
	Line     LineKind // for ScoreLine; "" for Score
	Cut, Tie float64  // for Perforation
}

// Work works a path on a panel without cutting it out.
func (b *Builder) Work(site source.Site, s WorkSpec) (*Work, error) { panic("soon") }

// DefaultFold is the fold angle in degrees of a panel or flap that asks for
// none.
const DefaultFold = 90

// Degrees is a given fold angle.
func Degrees(d float64) *Fold { return &Fold{Degrees: d} }

// Freely is a fold that takes the angle of f.
func Freely(f *Free) *Fold { return &Fold{Free: f} }

// Free makes one unknown fold angle: side is "in" or "out", near is nil or an
// angle to look at first.
func (b *Builder) Free(site source.Site, side string, near *float64) (*Free, error) { panic("soon") }

// HingeSpec asks for a closing hinge between two edges.
type HingeSpec struct {
	A, B EdgeRef
	Fold *Fold    // nil for a free one toward the inside
	Line LineKind // "" for Score
	Name string   // "" for the panels' names, a|b
}

// Hinge joins two edges that already lie against each other in the flat blank.
func (b *Builder) Hinge(site source.Site, s HingeSpec) (*Hinge, error) { panic("soon") }
