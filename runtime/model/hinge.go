package model

import (
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/source"
)

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

// hingeLines are the lines a script may ask of a hinge; a fold's sign makes
// the back- forms of them.
var hingeLines = []LineKind{Score, Perforated, PartCut, PlainFold}

// scoreLines are the lines a script may draw as a score.
var scoreLines = []LineKind{Score, PartCut, BackScore, BackPartCut}

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
	Lay     geom.Isometry // child's frame to parent's frame in the flat
	Curve   geom.Curve    // the stretch joined, parent's frame, parent's board on its left
	Site    source.Site
}
