package model

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"unicode/utf8"

	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/source"
)

// call checks the arguments of one call of the builder and keeps the first
// fault it meets, so that a method reads as a list of what must hold.
type call struct {
	site  source.Site
	who   subject
	fault *diag.Finding
}

// call begins a call of the builder's, one that fails if the builder is spent.
func (b *Builder) call(site source.Site, what string) *call {
	return b.callOf(site, subject{what: what})
}

// callOf begins a call with its subject made already.
func (b *Builder) callOf(site source.Site, who subject) *call {
	c := &call{site: site, who: who}
	if b.spent {
		c.failf("the design is finished, and its builder makes no other").WithHint("start another with NewBuilder")
	}
	return c
}

// named begins a call that makes something with a name.
func (b *Builder) named(site source.Site, what, name string) *call {
	return b.callOf(site, quoted(what, name))
}

// subject is how messages begin: panel "lid". Most calls give no message, so that
// it is put together when it is shown.
type subject struct {
	what, name string
	named      bool
}

// quoted is a subject with a name, which messages put in quotation marks.
func quoted(what, name string) subject { return subject{what, name, true} }

// String is the subject as messages show it.
func (s subject) String() string {
	if !s.named {
		return s.what
	}
	return fmt.Sprintf("%s %q", s.what, s.name)
}

// failf records a fault unless there is one already, and gives it to add a
// hint or a related spot to.
func (c *call) failf(format string, args ...any) *diag.Finding {
	f := diag.Scriptf(c.site, "%s: %s", c.who, fmt.Sprintf(format, args...))
	if c.fault == nil {
		c.fault = f
	}
	return f
}

// ok reports whether all held so far.
func (c *call) ok() bool { return c.fault == nil }

// err is the fault as an error, nil when there is none.
func (c *call) err() error {
	if c.fault == nil {
		return nil
	}
	return c.fault
}

// own is a copy of an optional value, which its giver's no longer changes.
// Only the value itself is copied, not what it may point to.
func own[T any](v *T) *T {
	if v == nil {
		return nil
	}
	c := *v
	return &c
}

// finite reports a number that is neither NaN nor infinite.
func finite[T ~float64](v T) bool { return !math.IsNaN(float64(v)) && !math.IsInf(float64(v), 0) }

// finite asks for an ordinary number.
func (c *call) finite(name string, v float64) {
	if !finite(v) {
		c.failf("%s = %.10g is not a number", name, v)
	}
}

// size asks for a length that a script may give.
// In mm, from geom.MinSize to geom.MaxSize, both allowed; NaN is refused.
func (c *call) size(name string, v float64) {
	if !(v >= geom.MinSize && v <= geom.MaxSize) {
		c.failf("%s = %.10g mm is not between %.10g and %.10g mm", name, v, geom.MinSize, geom.MaxSize).
			WithHint("%s", SizeHint(v))
	}
}

// SizeHint says what to write for a size in mm that is none: v is not between
// geom.MinSize and geom.MaxSize.
func SizeHint(v float64) string {
	switch {
	case -v >= geom.MinSize && -v <= geom.MaxSize:
		return fmt.Sprintf("sizes have no sign: write %.10g", -v)
	case v > geom.MaxSize:
		return "sizes are in millimetres"
	}
	return "give the size in millimetres, or leave out what has none"
}

// notNegative asks for a length that may be nothing.
func (c *call) notNegative(name string, v float64) {
	if !(v >= 0 && v <= geom.MaxSize) {
		f := c.failf("%s = %.10g mm is not between 0 and %.10g mm", name, v, geom.MaxSize)
		if v < 0 {
			f.WithHint("%s", SizeHint(v))
		}
	}
}

// offset asks for a length that may be negative.
// In mm, its size at most geom.MaxSize.
func (c *call) offset(name string, v float64) {
	if !(math.Abs(v) <= geom.MaxSize) {
		c.failf("%s = %.10g mm is not between -%.10g and %.10g mm", name, v, geom.MaxSize, geom.MaxSize)
	}
}

// between asks for a number in a range, both ends allowed.
// NaN lies in no range.
func between[T ~float64](c *call, name string, v, lo, hi T) {
	if !(v >= lo && v <= hi) {
		f := c.failf("%s = %.10g is not between %.10g and %.10g", name, v, lo, hi)
		switch round := math.Remainder(float64(v), 360); {
		case hi == 180 && lo == -180 && finite(v):
			f.WithHint("a fold goes half round at most, up to 180 to the inside and down to -180 to the outside: %.10g ends in the same place", round)
		case hi == 1 && lo == 0 && v > 1 && v <= 100:
			f.WithHint("it is a part of the whole: %.10g percent is %.10g", v, v/100)
		}
	}
}

// text asks for words: something that is not blank and not too long.
func (c *call) text(name, v string) {
	switch n := utf8.RuneCountInString(v); {
	case strings.TrimSpace(v) == "":
		c.failf("%s is empty", name)
	case !utf8.ValidString(v):
		c.failf("%s is not valid UTF-8", name)
	case n > MaxText:
		c.failf("%s has %d characters, at most %d are allowed", name, n, MaxText)
	}
}

// ownNameHint is the hint where a name is taken, as a format without values.
const ownNameHint = `each has a name of its own; in a loop a number makes one, as in "side %%d" %% i`

// name asks for a name and complains about it without quoting it in full.
func (c *call) name(v string) {
	if n := utf8.RuneCountInString(v); n > MaxName {
		c.who = subject{what: c.who.what}
		c.failf("a name of %d characters is too long, at most %d are allowed", n, MaxName)
	}
	c.text("the name", v)
}

// oneOf asks for one of a few words.
func (c *call) oneOf(name, v string, words ...string) {
	if slices.Contains(words, v) {
		return
	}
	f := c.failf("%s = %q is not one of %s", name, v, strings.Join(words, ", "))
	if n, ok := Nearest(v, words); ok {
		f.WithHint("did you mean %q?", n)
	} else {
		f.WithHint("write one of these, in quotes")
	}
}

// Nearest is the name most like the one given, for a suggestion; ok is false
// when none is near enough to have been meant. Letters differ by at most a
// third of the name's length, and case does not count; of equally near names
// the first wins.
func Nearest(name string, names []string) (nearest string, ok bool) {
	if len(name) > 4*MaxName {
		return "", false
	}
	want := []rune(strings.ToLower(name))
	best := max(1, len(want)/3) + 1
	for _, n := range names {
		have := []rune(strings.ToLower(n))
		// The lengths alone may put it out of reach.
		if d := len(have) - len(want); d >= best || -d >= best {
			continue
		}
		if d := editDistance(want, have); d < best && d < len(want) {
			nearest, ok, best = n, true, d
		}
	}
	return nearest, ok
}

// editDistance counts the letters to add, drop, change or swap with a
// neighbour to turn a into b (optimal string alignment distance).
// Letters that were swapped are not changed again. It takes len(a)·len(b) steps and keeps three
// rows of the table: before and last are those of two and one letters fewer of a.
func editDistance(a, b []rune) int {
	before, last := make([]int, len(b)+1), make([]int, len(b)+1)
	for j := range last {
		last[j] = j
	}
	for i := range a {
		row := make([]int, len(b)+1)
		row[0] = i + 1
		for j := range b {
			change := last[j]
			if a[i] != b[j] {
				change++
			}
			row[j+1] = min(change, last[j+1]+1, row[j]+1)
			if i > 0 && j > 0 && a[i] == b[j-1] && a[i-1] == b[j] {
				row[j+1] = min(row[j+1], before[j-1]+1)
			}
		}
		before, last = last, row
	}
	return last[len(b)]
}

// suggest is the hint for an unknown name: the nearest one, or else all there
// are when they are few.
func suggest(name string, names []string) string {
	if n, ok := Nearest(name, names); ok {
		return `did you mean "` + n + `"?`
	}
	const few = 12
	if len(names) == 0 || len(names) > few {
		return ""
	}
	return "choose from " + strings.Join(names, ", ")
}

// outline asks for a sound closed path and turns it counter-clockwise.
func (c *call) outline(p geom.Path) geom.Path {
	if !p.Closed {
		c.failf("the outline is not closed").WithHint("end the path with .close()")
		return p
	}
	return c.path(p)
}

// path asks for a sound path, closed or not, and turns a closed one
// counter-clockwise. An open one may cross itself. The path has edges of its
// own, which the caller's no longer change.
func (c *call) path(p geom.Path) geom.Path {
	p.Edges = slices.Clone(p.Edges)
	if !p.Closed {
		c.chain(p)
		return p
	}
	sound, err := p.Check()
	if err != nil {
		c.failf("%v", err)
	}
	return sound
}

// chain asks for edges that lie within reach, end to end.
// Ends count as joined within geom.SnapTolerance, in mm.
func (c *call) chain(p geom.Path) {
	if len(p.Edges) == 0 {
		c.failf("the path has no steps")
	}
	for i, e := range p.Edges {
		for _, q := range []geom.Point{e.P, e.Q, e.C, e.D} {
			if err := geom.CheckPlace("the path", q); err != nil {
				c.failf("%v", err)
				return
			}
		}
		c.size("the length of step "+e.Name, e.Length())
		if i > 0 && p.Edges[i-1].Q.Dist(e.P) > geom.SnapTolerance {
			c.failf("step %q starts %s mm from where step %q ends", e.Name,
				geom.Num(p.Edges[i-1].Q.Dist(e.P)), p.Edges[i-1].Name)
		}
	}
}
