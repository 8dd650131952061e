// Package model is what a script describes: pieces, panels, edges, hinges with
// their placement and stretch, joins, poses, contents and waivers, each with
// the site of the call that made it. A Builder validates and makes it, so Go
// callers get the same errors as scripts; once built it does not change. It
// knows no Starlark, and nothing of folding, files or pictures.
package model

import (
	"github.com/creasewright/creasewright/runtime/board"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/source"
)

// Design is one script's whole result.
type Design struct {
	Title    string // first line of the script's docstring
	Params   []Param
	Pieces   []*Piece
	Panels   []*Panel // in order of making
	Hinges   []*Hinge // in order of making, closing hinges among them
	Joins    []*Join
	Poses    []*Pose // as given; "flat" and "closed" come first and always exist
	Contents []*Contents
	Waivers  []*Waiver
	Failed   []*Requirement // require() calls that did not hold
}

// Param is one declared parameter and the value in force: int64, float64,
// string or bool.
type Param struct {
	Name    string
	Value   any
	Default any
	Min     any // nil where there is no limit
	Max     any
	Choices []any
	Doc     string
	Site    source.Site
}

// Piece is one blank to be made: the tree of panels under Root.
type Piece struct {
	Name   string
	Root   *Panel
	Board  *board.Board
	Copies int
	Inside bool // cut files are mirrored, for boards worked from the inside
	Panels []*Panel
	Hinges []*Hinge // tree hinges and closing hinges
	Joins  []*Join
	Site   source.Site
}

// Panel is one flat area of board. Its outline is in its own frame.
type Panel struct {
	Name    string
	Index   int // order of making, over the whole design
	Outline geom.Path
	Hang    *Hinge // the hinge it hangs by; nil for a root
	Piece   *Piece // nil until a piece claims its tree
	Flat    geom.Motion
	Bent    bool
	Over    bool    // overhang = True: may be wider than its edge
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

// Window is an opening made by cutting a closed outline: it takes all board of
// the blank under it but the panels that hang in it.
type Window struct {
	Panel   *Panel
	Outline geom.Path // panel frame, counter-clockwise; board lies outside
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
	Site     source.Site
}

// LineKind is how a hinge or a score is made.
type LineKind string

// The ways to make a hinge.
const (
	Score       LineKind = "score"
	Perforated  LineKind = "perforated"
	PartCut     LineKind = "part-cut"
	PlainFold   LineKind = "plain"         // folded by hand: no tool, no line in the files
	BackScore   LineKind = "back-score"    // scores drawn by hand only
	BackPartCut LineKind = "back-part-cut" // scores drawn by hand only
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
func (e EdgeRef) Stretch() geom.Curve {
	c := e.Curve()
	l := c.Length()
	if e.From <= 0 && e.To >= l {
		return c
	}
	return c.Part(c.ParamAt(l-e.To), c.ParamAt(l-e.From))
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

// Side is the asked sign of a free fold.
type Side int8

// Sides of a free fold: toward the inside (positive) or the outside.
const (
	In  Side = 1
	Out Side = -1
)

// Free is one unknown fold angle; hinges that share the pointer share the
// angle.
type Free struct {
	Side Side
	Near *float64 // degrees; where to look at a singular spot
	Site source.Site
}

// Fold is a fold angle in degrees, −180 to 180, or a free one.
type Fold struct {
	Degrees float64
	Free    *Free // nil for a given angle
}

// Hinge joins two panels along the stretch where their edges overlap. The
// child turns; a closing hinge joins two panels that both have a place already.
type Hinge struct {
	Name    string
	Index   int
	Parent  *Panel
	Child   *Panel
	On      EdgeRef // on the parent
	By      EdgeRef // on the child
	Slide   float64
	Fold    Fold
	Line    LineKind
	Closing bool
	Lay     geom.Motion // child's frame to parent's frame in the flat
	Curve   geom.Curve  // the stretch joined, parent's frame, parent's board on its left
	Site    source.Site
}

// JoinKind is the sort of join.
type JoinKind string

// The sorts of join.
const (
	TabJoin  JoinKind = "tab"
	GlueJoin JoinKind = "glue"
	MeetJoin JoinKind = "meet"
	TuckJoin JoinKind = "tuck"
)

// Join is a demand on a folded pose. A and B name what comes together.
type Join struct {
	Kind JoinKind
	A, B JoinEnd
	Gap  float64 // asked for, mm
	Site source.Site
}

// JoinEnd is a panel, an edge of one, or an opening in one.
type JoinEnd struct {
	Panel  *Panel
	Edge   *EdgeRef // for meet, and a tab's target edge
	Window *Window  // for tuck into an opening
}

// Pose is a state to fold to. Folds are by hinge, in degrees.
type Pose struct {
	Name  string
	Folds map[*Hinge]float64
	At    float64 // 0…1, scales the given folds that Folds does not name
	Glued bool
	Site  source.Site
}

// Contents is the product in the closed piece.
type Contents struct {
	Name      string
	Panel     *Panel
	Size      [3]float64 // x, y along the panel's axes, z inward
	Round     bool       // a cylinder: Size is d, d, h
	At        *geom.Point
	Turn      float64 // degrees about z
	Clearance float64
	Mass      *float64 // grams
	Site      source.Site
}

// Waiver is an allow() call.
type Waiver struct {
	Rule   string
	Panel  *Panel
	Reason string
	Site   source.Site
}

// Requirement is a require() call that did not hold.
type Requirement struct {
	Message string
	Site    source.Site
}
