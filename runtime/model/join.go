package model

import "github.com/creasewright/creasewright/runtime/source"

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
