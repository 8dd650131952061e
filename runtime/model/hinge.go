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
	Groove      LineKind = "groove"        // a V-groove from the side it folds to; turns about the other skin
	PlainFold   LineKind = "plain"         // folded by hand: no tool, no line in the files
	BackScore   LineKind = "back-score"    // scores drawn by hand only
	BackPartCut LineKind = "back-part-cut" // scores drawn by hand only
)

// hingeLines are the lines a script may ask of a hinge; a fold's sign makes
// the back- forms of them.
var hingeLines = []LineKind{Score, Perforated, PartCut, Groove, PlainFold}

// scoreLines are the lines a script may draw as a score.
var scoreLines = []LineKind{Score, PartCut, BackScore, BackPartCut}

// Hinge joins two panels along the stretch where their edges overlap. The
// child turns; a closing hinge joins two panels that both have a place already.
type Hinge struct {
	Name     string
	Index    int
	Parent   *Panel
	Child    *Panel
	On       EdgeRef // on the parent
	By       EdgeRef // on the child
	Slide    float64
	Fold     Fold
	Line     LineKind
	Closing  bool
	ToParent geom.Isometry // child's frame to parent's frame in the flat
	Curve    geom.Curve    // the stretch joined, parent's frame, parent's board on its left
	Site     source.Site
}

// Leans is the side that the hinge of the finished piece folds to, In for one
// that stays flat.
func (h *Hinge) Leans() Side {
	if h.Fold.Free != nil {
		return h.Fold.Free.Side
	}
	if h.Fold.Degrees < 0 {
		return Out
	}
	return In
}

// AxisHeight is how far outside the middle of the board the hinge turns, mm: a
// crease turns about the middle, a groove about the skin that it leaves whole,
// which is the outside when it folds in.
func (h *Hinge) AxisHeight(caliper float64) float64 {
	if h.Line == Groove {
		return float64(h.Leans()) * caliper / 2
	}
	return 0
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
	Side        Side
	Either      bool          // may go to the other side as well: a tab that was given no fold
	NearDegrees *geom.Degrees // where to look at a singular spot
	Site        source.Site
}

// Fold is a fold angle in degrees, −180 to 180, or a free one.
type Fold struct {
	Degrees geom.Degrees
	Free    *Free // nil for a given angle
}
