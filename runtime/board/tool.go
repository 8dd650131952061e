package board

import (
	"errors"
	"fmt"
	"strings"

	"github.com/creasewright/creasewright/runtime/geom"
)

// ToolKind is how a tool works the board.
type ToolKind string

// The tools that machines carry.
const (
	Knife ToolKind = "knife" // a blade that trails behind the axis it swivels about
	Beam  ToolKind = "beam"  // a laser, or another tool that takes a width away
	Wheel ToolKind = "wheel" // a creasing wheel
	Pen   ToolKind = "pen"
)

// Tool is one tool of a machine. Figures that its kind does not have are zero.
type Tool struct {
	Kind    ToolKind
	Number  int        // pen or tool number, from 1; 0 is given one by NewMachine
	Offset  float64    // knife: mm by which the blade's tip trails the axis; 0 when it does not
	Overcut float64    // knife: mm that it runs on past the start of a closed cut
	Swivel  geom.Angle // knife: where a path turns more than this, the blade is turned in place
	Kerf    float64    // beam: mm of board that it takes away, across the line
	Power   float64    // beam: share of the full power, 0 to 1
	Passes  int        // beam: how often it runs over a line, 1 or more
	Depth   *float64   // knife, wheel: mm below the board's upper face; nil when not given
	Feed    *float64   // mm/s; nil for what is set on the machine
	Lead    float64    // knife, beam: mm of way through waste before a closed cut begins
	// Compensate says that paths are written for the axis: led by Offset, or moved
	// into the waste by half of Kerf. Otherwise they are the lines of the design.
	Compensate bool
}

// Bounds of figures that are no lengths.
const (
	// leastPower is the least share of its power that a beam may have: less is a share
	// that was taken for per cent.
	leastPower = 0.01
	// mostPasses is how often a beam may run over a line: more sets board on fire.
	mostPasses = 20
	// MostFeed is the fastest feed, mm/s: faster than any machine moves, so that a slip
	// between mm/s and mm/min is told.
	MostFeed = 5000
)

// Check holds the figures to what a tool can have. NewMachine calls it.
func (t Tool) Check() error {
	switch t.Kind {
	case Knife, Beam, Wheel, Pen:
	default:
		return fmt.Errorf("%q is no tool", t.Kind)
	}
	if t.Number < 0 || t.Number > MostTools {
		return fmt.Errorf("number = %d is not between 1 and %d", t.Number, MostTools)
	}
	for _, l := range []struct {
		name string
		v    float64
	}{{"offset", t.Offset}, {"overcut", t.Overcut}, {"kerf", t.Kerf}, {"lead", t.Lead}} {
		if !(l.v >= 0 && l.v <= mostReach) {
			return fmt.Errorf("%s = %.10g mm is not between 0 and %d mm", l.name, l.v, mostReach)
		}
	}
	switch {
	case t.Kind == Knife && !(t.Swivel.Radians() >= 0 && t.Swivel.Degrees() <= 180):
		return fmt.Errorf("swivel = %.10g degrees is not between 0 and 180", float64(t.Swivel.Degrees()))
	case t.Kind == Beam && !(t.Power > 0 && t.Power <= 1):
		return fmt.Errorf("power = %.10g %% is not over 0 and up to 100", t.Power*100)
	case t.Kind == Beam && t.Power < leastPower:
		return fmt.Errorf("power = %.10g is in per cent, of which a beam that does anything has %g or more", t.Power*100, leastPower*100)
	case t.Kind == Beam && (t.Passes < 1 || t.Passes > mostPasses):
		return fmt.Errorf("passes = %d is not between 1 and %d", t.Passes, mostPasses)
	case t.Feed != nil && !(*t.Feed > 0 && *t.Feed <= MostFeed):
		return fmt.Errorf("feed = %.10g mm/s is not over 0 and up to %d", *t.Feed, MostFeed)
	case t.Depth != nil && !(*t.Depth > 0 && *t.Depth <= mostReach):
		return fmt.Errorf("depth = %.10g mm is not over 0 and up to %d mm", *t.Depth, mostReach)
	}
	return t.checkCompensation()
}

// mostReach is the largest figure of a tool in mm: larger ones are slips of a unit.
const mostReach = 100

// checkCompensation refuses what would compensate for nothing.
func (t Tool) checkCompensation() error {
	switch {
	case !t.Compensate:
		return nil
	case t.Kind == Knife && t.Offset == 0:
		return errors.New("compensate = True needs the blade's offset, which is 0: as in offset = 0.25")
	case t.Kind == Beam && t.Kerf == 0:
		return errors.New("compensate = True needs the kerf, which is 0: as in kerf = 0.15")
	case t.Kind == Wheel || t.Kind == Pen:
		return errors.New("it has nothing to compensate for")
	}
	return nil
}

// same reports whether two tools are one: all figures are equal.
func (t Tool) same(u Tool) bool {
	equal := func(a, b *float64) bool { return a == b || a != nil && b != nil && *a == *b }
	depth, feed := equal(t.Depth, u.Depth), equal(t.Feed, u.Feed)
	t.Depth, t.Feed, u.Depth, u.Feed = nil, nil, nil, nil
	return depth && feed && t == u
}

// Caution is what a file for such a tool says once, in ASCII and without
// parentheses, so that it may stand in the comment of any format; "" for tools that do no harm
// worth a word (EHS guidance for laser cutters; for blades common practice, no source).
func (k ToolKind) Caution() string {
	switch k {
	case Beam:
		return "Laser: never leave it running alone, keep an extinguisher at hand, extract the fumes. Never PVC or vinyl. " +
			"Not assessed for your machine or stock: its manual and local rules come first."
	case Knife:
		return "Knife: the blade is exposed when lifted, keep hands clear. Try the first run in air. " +
			"Not assessed for your machine or stock: its manual and local rules come first."
	case Wheel:
		return "Wheel: keep hands clear of the moving head. " +
			"Not assessed for your machine or stock: its manual and local rules come first."
	}
	return ""
}

// String is the tool as a script writes it: "knife(offset = 0.25)".
func (t Tool) String() string {
	var args []string
	say := func(name string, v, standard float64) {
		if v != standard {
			args = append(args, name+" = "+geom.Num(v))
		}
	}
	optional := func(name string, v *float64) {
		if v != nil {
			say(name, *v, 0)
		}
	}
	say("offset", t.Offset, 0)
	say("overcut", t.Overcut, 0)
	if t.Kind == Knife {
		say("swivel", float64(t.Swivel.Degrees()), float64(StandardSwivel))
	}
	say("kerf", t.Kerf, 0)
	if t.Kind == Beam {
		say("power", t.Power*100, 100)
		say("passes", float64(t.Passes), 1)
	}
	optional("depth", t.Depth)
	optional("feed", t.Feed)
	say("lead", t.Lead, 0)
	if t.Compensate {
		args = append(args, "compensate = True")
	}
	say("number", float64(t.Number), 0)
	return string(t.Kind) + "(" + strings.Join(args, ", ") + ")"
}

// StandardSwivel is from which turn of the path a knife is turned in place, where
// nothing else is said: within the 15 to 30 degrees that are common practice, no source.
const StandardSwivel = geom.Degrees(20)
