package model

import (
	"github.com/creasewright/creasewright/runtime/board"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/source"
)

// ToPanel is a panel as the target of a tab or a tuck.
func ToPanel(p *Panel) JoinEnd { return JoinEnd{Panel: p} }

// ToEdge is an edge as the target of a tab.
func ToEdge(e EdgeRef) JoinEnd { return JoinEnd{Panel: e.Panel, Edge: &e} }

// ToWindow is an opening as the target of a tuck.
func ToWindow(w *Window) JoinEnd { return JoinEnd{Panel: w.Panel, Window: w} }

// Meet asks that two edges come together in the closed pose, gap mm apart.
func (b *Builder) Meet(site source.Site, x, y EdgeRef, gap float64) (*Join, error) { panic("soon") }

// Glue asks that panel x lie on panel y, within its outline.
func (b *Builder) Glue(site source.Site, x, y *Panel) (*Join, error) { panic("soon") }

// Tuck asks that panel x be pushed into a panel or an opening.
func (b *Builder) Tuck(site source.Site, x *Panel, into JoinEnd) (*Join, error) { panic("soon") }

// PoseSpec asks for another state to fold to. Folds are degrees by hinge name.
type PoseSpec struct {
	Name    string
	Folds   map[string]float64
	At      *float64 // nil for 1
	Unglued bool     // glue need not hold
}

// Pose records a state to fold to and check.
func (b *Builder) Pose(site source.Site, s PoseSpec) (*Pose, error) { panic("soon") }

// ContentsSpec asks for the product in the closed piece. A cylinder's size is
// its diameter twice and its height.
type ContentsSpec struct {
	Name      string
	Size      [3]float64
	Round     bool // a cylinder
	On        *Panel
	At        *geom.Point // nil for where it has most room
	Turn      float64     // degrees
	Clearance float64
	Mass      *float64 // grams
}

// Contents records the product that stands on a panel.
func (b *Builder) Contents(site source.Site, s ContentsSpec) (*Contents, error) { panic("soon") }

// PieceSpec asks for a blank to be made.
type PieceSpec struct {
	Name   string
	Root   *Panel
	Board  *board.Board
	Copies int    // 1 and more
	View   string // "outside", or "inside" to mirror the cut files; "" for outside
}

// Piece claims the tree of panels under Root.
func (b *Builder) Piece(site source.Site, s PieceSpec) (*Piece, error) { panic("soon") }

// Allow waives a rule for one panel.
func (b *Builder) Allow(site source.Site, rule string, on *Panel, reason string) error { panic("soon") }

// Require records the designer's own rule when it does not hold.
func (b *Builder) Require(site source.Site, holds bool, message string) error { panic("soon") }

// Nearest is the name most like the one given, for a suggestion; ok is false
// when none is near enough to have been meant.
func Nearest(name string, names []string) (nearest string, ok bool) { panic("soon") }
