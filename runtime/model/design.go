// Package model is what a script describes: pieces, panels, edges, hinges with
// their placement and stretch, joins, poses, contents and waivers, each with
// the site of the call that made it. A Builder validates and makes it, so Go
// callers get the same errors as scripts; once built it does not change. It
// knows no Starlark, and nothing of folding, files or pictures.
//
// The package is for Go users, and stable. A Design is shared by all stages and
// pictures, some of which run side by side: what it points to, slices and maps
// included, is read-only, as every reader would else need a copy of its own.
// Angles that a designer gave are kept in degrees to the last digit, in fields
// named so; geom.Degrees makes them angles to compute with.
package model

import (
	"slices"

	"github.com/creasewright/creasewright/runtime/board"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/source"
)

// Design is one script's whole result.
type Design struct {
	Title    string // first line of the script's docstring
	Sheet    *Sheet // nil where the script says nothing of it
	Params   []Param
	Pieces   []*Piece
	Panels   []*Panel // in order of making
	Hinges   []*Hinge // in order of making, closing hinges among them
	Joins    []*Join
	Throughs []*Through // cuts that go through several panels
	Poses    []*Pose    // as given; "flat" and "closed" come first and always exist
	Contents []*Contents
	Settings []*Setting // limits() calls, in order
	Machines []*Machine // what every piece must fit
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

// Sheet is a sheet() call: what the title block says of the job. What was not
// given is "".
type Sheet struct {
	Customer, Job, Revision, DrawnBy string
	Date                             string // as it was given; the clock is never asked
	Site                             source.Site
}

// SheetFact is one line of a title block.
type SheetFact struct{ Name, Value string }

// Facts lists what was given, under the names of the call's arguments and in the order
// of a title block. A nil Sheet has none.
func (s *Sheet) Facts() []SheetFact {
	if s == nil {
		return nil
	}
	return slices.DeleteFunc([]SheetFact{
		{"customer", s.Customer}, {"job", s.Job}, {"revision", s.Revision}, {"drawn_by", s.DrawnBy}, {"date", s.Date},
	}, func(f SheetFact) bool { return f.Value == "" })
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

// Piece is one blank to be made: the tree of panels under Root.
type Piece struct {
	Name     string
	Root     *Panel
	Board    *board.Board
	Copies   int
	Inside   bool    // cut files are mirrored, for boards worked from the inside
	Bleed    float64 // mm by which print runs on over the cut
	Panels   []*Panel
	Hinges   []*Hinge // tree hinges and closing hinges
	Joins    []*Join
	Cautions []string // kinds of caution asked for
	Site     source.Site

	BoardSite source.Site // where its board was made; nil for one that the builder did not make
}

// The poses that every design has: laid flat, and folded and glued.
const (
	PoseFlat   = "flat"
	PoseClosed = "closed"
)

// Pose is a state to fold to. FoldDegrees are by hinge.
type Pose struct {
	Name        string
	FoldDegrees map[*Hinge]geom.Degrees
	At          float64 // 0…1, scales the given folds that FoldDegrees does not name
	Glued       bool
	Order       []*Panel // fold in this order among themselves; the rest as made
	StandsOn    *Panel   // lies on the ground in pictures; nil where they choose
	Foot        *EdgeRef // the straight edge of StandsOn that it stands on instead of lying; else nil
	Site        source.Site
}

// Ground is the panel that a piece stands on in a pose: the one that the script names
// or else the one that carries its contents; nil where neither says.
func (d *Design) Ground(piece *Piece, pose *Pose) *Panel {
	if pose.StandsOn != nil {
		return pose.StandsOn
	}
	for _, c := range d.Contents {
		if c.Panel.Piece == piece {
			return c.Panel
		}
	}
	return nil
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
	// Outside says that A lies on the outside of B; else on its inside.
	Outside bool
	// Area is the part of A that is glued, in A's frame; nil for all of it.
	Area *geom.Path
	// Reach is how much of a tuck must lie behind its panel, mm; 0 for all of it.
	Reach float64
	// Locked asks that a tuck through an opening cannot slip back by itself.
	Locked bool
	Site   source.Site
}

// JoinEnd is a panel, an edge of one, or an opening or a slit in one.
type JoinEnd struct {
	Panel  *Panel
	Edge   *EdgeRef // for meet, and a tab's target edge
	Window *Window  // for tuck into an opening
	Slit   *Work    // for tuck into a slit
}

// Layers lists an opening or a slit in all panels that its cut goes through, the
// end itself first; any other end is the only one.
func (e JoinEnd) Layers() []JoinEnd {
	out := []JoinEnd{e}
	var t *Through
	switch {
	case e.Window != nil:
		t = e.Window.Through
	case e.Slit != nil:
		t = e.Slit.Through
	}
	if t == nil {
		return out
	}
	for _, l := range t.Layers {
		if l.Window != nil || l.Slit != nil {
			out = append(out, JoinEnd{Panel: l.Panel, Window: l.Window, Slit: l.Slit})
		}
	}
	return out
}

// IsThrough reports whether it is an opening or a slit: what is joined to it goes
// through the panel rather than along it.
func (e JoinEnd) IsThrough() bool { return e.Window != nil || e.Slit != nil }

// Contents is the product in the closed piece.
type Contents struct {
	Name        string
	Panel       *Panel
	Size        [3]float64 // x, y along the panel's axes, z inward
	Round       bool       // a cylinder: Size is d, d, h
	At          *geom.Point
	TurnDegrees geom.Degrees // about z
	Clearance   float64
	Mass        *float64 // grams
	Cautions    []string // kinds of caution asked for
	Site        source.Site
}

// Setting is one limits() call: what designs are held to in place of the
// defaults.
type Setting struct {
	Board  *board.Board // the board it is for; nil for every board
	Values map[board.Limit]float64
	Site   source.Site
}

// Machine is one machine() call: every piece must fit its bed.
type Machine struct {
	*board.Machine
	Site source.Site
}

// Limit is the limit in force for a board: what the script set for that board,
// else for every board, else the default, which for the finest detail is the
// coarsest machine's. set is the call that decided, nil for a default; machine
// the machine that did.
func (d *Design) Limit(l board.Limit, b *board.Board) (v float64, set *Setting, machine *Machine) {
	for _, s := range d.Settings {
		if w, ok := s.Values[l]; ok && (s.Board == b || s.Board == nil && set == nil) {
			v, set = w, s
		}
	}
	if set != nil {
		return v, set, nil
	}
	if l == board.Detail {
		for _, m := range d.Machines {
			if finest, ok := m.Finest(); ok && (machine == nil || finest > v) {
				v, machine = finest, m
			}
		}
		if machine != nil {
			return v, nil, machine
		}
	}
	return l.Default(b), nil, nil
}
