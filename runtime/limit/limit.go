// Package limit holds the bounds within which a script is run, so that one from
// a stranger, or a slip in one's own, cannot take the machine with it: how they
// are called, what they are unless raised, and how they are raised.
package limit

import (
	"fmt"
	"time"
)

// Limit is one thing that is bounded.
type Limit int

// The limits. Those up to Text are checked where the script asks for too much;
// Time and Memory by the process that the run has to itself.
const (
	Steps   Limit = iota // computation steps of the script
	Time                 // ms of processor time, from the script's text to the files' bytes
	Memory               // bytes
	Panels               // of all pieces together
	Edges                // of all outlines and paths together
	Output               // bytes of all files
	Prints               // bytes of all that is printed, and a few for each line
	Nesting              // brackets or blocks within one another
	Digits               // of one number in the script
	Text                 // characters of one text
	count
)

// Set is a value for every limit. The zero Set stands for Defaults.
type Set [count]int64

// facts is what is to be known about each limit.
var facts = [count]struct {
	name     string
	unit     unit
	standard int64
	most     int64
	doc      string
}{
	// Some hundred times what a blank of 10,000 panels needs.
	Steps: {"steps", plain, 50_000_000, 1e15, "computation steps of the script"},
	// Some fifty times what a carton takes; many panels are given more.
	Time: {"time", duration, 2_000, 24 * 3_600_000, "processor time from reading the script to the finished files"},
	// Three times what 10,000 panels take.
	Memory: {"memory", size, 256 << 20, 64 << 30, "what a run may hold in memory"},
	Panels: {"panels", plain, 20_000, 1e9, "panels, flaps and tabs"},
	// 20,000 panels of four edges and a round window each, and some to spare.
	Edges:  {"edges", plain, 200_000, 1e9, "edges of all outlines and paths together"},
	Output: {"output", size, 64 << 20, 4 << 30, "all files together"},
	// Some ten thousand lines, more than anybody reads.
	Prints: {"prints", size, 1 << 20, 64 << 20, "all that is printed"},
	// The parser's own bound is 1,000.
	Nesting: {"nesting", plain, 100, 900, "brackets or indented blocks within one another"},
	Digits:  {"digits", plain, 1_000, 200_000, "digits of a number"},
	Text:    {"text", plain, 100_000, 1e9, "characters of a text"},
}

// Limits lists all limits in the order in which they are best read.
func Limits() []Limit {
	all := make([]Limit, count)
	for i := range all {
		all[i] = Limit(i)
	}
	return all
}

func (l Limit) String() string { return facts[l].name }

// Doc says in a few words what is bounded.
func (l Limit) Doc() string { return facts[l].doc }

// Defaults are the limits unless raised.
func Defaults() Set {
	var s Set
	for l, f := range facts {
		s[l] = f.standard
	}
	return s
}

// OrDefaults is the set itself, or Defaults for the zero Set.
func (s Set) OrDefaults() Set {
	if s == (Set{}) {
		return Defaults()
	}
	return s
}

// Amount is a limit's value as people read it: 20,000 or 256 MB or 3 s.
func (s Set) Amount(l Limit) string { return facts[l].unit.format(s[l]) }

// Raise is the hint that says how to be allowed more, twice as much for a
// beginning.
func (s Set) Raise(l Limit) string {
	f := facts[l]
	if s[l] >= f.most {
		return fmt.Sprintf("%s is the most that can be allowed", s.Amount(l))
	}
	return fmt.Sprintf("--limit %s=%s allows more", f.name, f.unit.typed(min(2*s[l], f.most)))
}

// manyPanels is from how many panels on a run is given panelFactor times more
// than the Time. On a machine that does nothing else they take some half of
// that; more is given to nobody unasked, so that a stranger's script ends soon
// whatever it makes.
const (
	manyPanels  = 10_000
	panelFactor = 2
)

// TimeFor is how much processor time a run of so many panels may take, all of
// its threads together.
func (s Set) TimeFor(panels int) time.Duration {
	base := time.Duration(s[Time]) * time.Millisecond
	return base + panelFactor*base*time.Duration(min(max(panels, 0), manyPanels))/manyPanels
}

// clockFactor is how many times its processor time a run may take by the clock:
// it then has an eighth of a processor to itself, or waits for something.
const clockFactor = 8

// ClockFor is how long a run of so many panels may take by the clock, whatever
// else the machine does.
func (s Set) ClockFor(panels int) time.Duration { return clockFactor * s.TimeFor(panels) }
