// Package limit holds the bounds within which a script is run, so that one from
// a stranger, or a slip in one's own, cannot take the machine with it: how they
// are called, what they are unless raised, and how they are raised. It is for Go
// users, and stable but for the defaults.
package limit

import (
	"fmt"
	"math"
	"strconv"
	"strings"
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

// unit is how a limit's value is written.
type unit int

const (
	plain unit = iota
	duration
	size
)

// factors are the endings a value may have, the one to print it with first.
// Bytes count in 1,024s, as memory is sold.
var factors = map[unit][]struct {
	ending string
	factor float64
}{
	plain:    {{"", 1}},
	duration: {{"ms", 1}, {"s", 1_000}, {"min", 60_000}, {"", 1_000}},
	size:     {{"KB", 1 << 10}, {"MB", 1 << 20}, {"GB", 1 << 30}},
}

// wants says what a value looks like.
var wants = map[unit]string{
	plain:    "a whole number",
	duration: "a time such as 10s or 2min",
	size:     "a size such as 512MB or 1GB",
}

// Put reads one limit as it is typed, "memory=1GB", and puts it in force.
func (s *Set) Put(text string) error {
	name, value, ok := strings.Cut(text, "=")
	if !ok {
		return fmt.Errorf("%q is not of the form name=value", text)
	}
	l, ok := named(strings.TrimSpace(name))
	if !ok {
		return fmt.Errorf("there is no limit called %q; the limits are %s", strings.TrimSpace(name), names())
	}
	f := facts[l]
	v, ok := f.unit.parse(strings.TrimSpace(value))
	if !ok {
		return fmt.Errorf("the limit %s = %q is not %s", f.name, strings.TrimSpace(value), wants[f.unit])
	}
	if v < 1 || v > f.most {
		return fmt.Errorf("the limit %s = %s is not between %s and %s", f.name, strings.TrimSpace(value), f.unit.format(1), f.unit.format(f.most))
	}
	s[l] = v
	return nil
}

func named(name string) (Limit, bool) {
	for l, f := range facts {
		if f.name == name {
			return Limit(l), true
		}
	}
	return 0, false
}

func names() string {
	var all []string
	for _, f := range facts {
		all = append(all, f.name)
	}
	return strings.Join(all[:count-1], ", ") + " and " + all[count-1]
}

func (u unit) parse(s string) (int64, bool) {
	digits := strings.TrimRight(s, "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ ")
	ending := strings.TrimSpace(s[len(digits):])
	for _, f := range factors[u] {
		if !strings.EqualFold(f.ending, ending) {
			continue
		}
		v, err := strconv.ParseFloat(digits, 64)
		if v *= f.factor; err != nil || v != math.Trunc(v) || math.Abs(v) > 1e18 {
			return 0, false
		}
		return int64(v), true
	}
	return 0, false
}

// format is a value for a sentence.
func (u unit) format(v int64) string {
	switch u {
	case duration:
		d := time.Duration(v) * time.Millisecond
		if d < time.Second {
			return fmt.Sprintf("%d ms", v)
		}
		return strconv.FormatFloat(d.Seconds(), 'g', 6, 64) + " s"
	case size:
		number, ending := largest(v)
		return number + " " + ending
	}
	return grouped(v)
}

// typed is a value as it is given on the command line.
func (u unit) typed(v int64) string {
	if u == plain {
		return strconv.FormatInt(v, 10)
	}
	return strings.ReplaceAll(u.format(v), " ", "")
}

// largest writes bytes in the largest unit in which they are a whole number or
// at least ten.
func largest(v int64) (number, ending string) {
	all := factors[size]
	for i := len(all) - 1; i > 0; i-- {
		if f := float64(v) / all[i].factor; f == math.Trunc(f) && f > 0 || f >= 10 {
			return strconv.FormatFloat(math.Round(f), 'f', 0, 64), all[i].ending
		}
	}
	return strconv.FormatFloat(math.Ceil(float64(v)/all[0].factor), 'f', 0, 64), all[0].ending
}

// grouped parts thousands with commas.
func grouped(v int64) string {
	s := strconv.FormatInt(v, 10)
	for i := len(s) - 3; i > 0; i -= 3 {
		s = s[:i] + "," + s[i:]
	}
	return s
}
