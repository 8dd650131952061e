package check

import (
	"fmt"
	"iter"
	"math"
	"slices"
	"strings"

	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/contact"
	"github.com/creasewright/creasewright/runtime/model"
)

// Cure is one change of a panel's size that alone would put a finding right.
type Cure struct {
	Panel        *model.Panel
	Edge, Across string  // the size is the one between these edges; Across may be ""
	By           float64 // mm to grow, negative to shrink
}

// cureOf is the change that contact found to close a join.
func cureOf(r contact.Resize) Cure { return Cure{r.Panel, r.Edge, r.Across, r.By} }

// String says what the size should be, in the words of the script where the
// script has a word for it.
func (c Cure) String() string {
	size, word := c.size()
	if size+c.By <= 0 {
		word = ""
	}
	if word == "" {
		if c.By > 0 {
			return fmt.Sprintf("%q larger by %s at its edge %q", c.Panel.Name, mm(c.By), c.Edge)
		}
		return fmt.Sprintf("%q smaller by %s at its edge %q", c.Panel.Name, mm(-c.By), c.Edge)
	}
	return fmt.Sprintf("%s = %s for %q instead of %s", word, short(size+c.By), c.Panel.Name, short(size))
}

// short prints a length for a script, to a hundredth.
func short(v float64) string { return geom.Num(math.Round(v*100) / 100) }

// size is the distance between the two edges and the word that sets it, ""
// when there is none.
func (c Cure) size() (mm float64, word string) {
	a, okA := edgeOf(c.Panel, c.Across)
	b, okB := edgeOf(c.Panel, c.Edge)
	if !okA || !okB || math.Abs(a.Tangent(0).Cross(b.Tangent(0))) > geom.SmoothSine {
		return 0, ""
	}
	size := math.Abs(b.At(0.5).Sub(a.At(0.5)).Cross(a.Tangent(0)))
	// Flaps and tabs are sized by depth, panels of rect by width and height; what the script draws
	// by points has no one word for a size.
	switch edges := []string{c.Edge, c.Across}; {
	case c.Panel.Role != model.Plain && both(edges, "base", "tip"):
		return size, "depth"
	case c.Panel.Role == model.Plain && both(edges, "left", "right"):
		return size, "width"
	case c.Panel.Role == model.Plain && both(edges, "bottom", "top"):
		return size, "height"
	}
	return size, ""
}

// shifts reports whether the change would move what hangs across too: a panel hung
// on an edge that runs along the change stays in the middle of that edge, which
// grows with it.
func (c Cure) shifts() bool {
	a, okA := edgeOf(c.Panel, c.Across)
	b, okB := edgeOf(c.Panel, c.Edge)
	if !okA || !okB || math.Abs(a.Tangent(0).Cross(b.Tangent(0))) <= geom.SmoothSine {
		return false
	}
	h := c.Panel.Hang
	return h == nil || h.By.Name != c.Across
}

// both reports whether two edges have two names, in either order.
func both(edges []string, a, b string) bool {
	return slices.Contains(edges, a) && slices.Contains(edges, b)
}

// edgeOf is the straight edge of a name.
func edgeOf(p *model.Panel, name string) (geom.Curve, bool) {
	for _, e := range p.Outline.Edges {
		if e.Name == name {
			return e.Curve, e.Kind == geom.Line
		}
	}
	return geom.Curve{}, false
}

// alike reports whether two cures change the same size the same way: that of
// one panel, or of panels that one line of the script makes.
func (c Cure) alike(d Cure) bool {
	same := c.Edge == d.Edge && c.Across == d.Across || c.Edge == d.Across && c.Across == d.Edge
	line := c.Panel == d.Panel || c.Panel.Site.First().Known() && c.Panel.Site.First() == d.Panel.Site.First()
	return line && same && (c.By > 0) == (d.By > 0)
}

// mostCures is how many ways out a hint offers.
const mostCures = 3

// cureHint offers cures; "" when there are none.
func cureHint(cures []Cure) string {
	var parts []string
	cures = slices.DeleteFunc(slices.Clone(cures), func(c Cure) bool { return math.Abs(c.By) < shown }) // reads as no change
	for _, c := range cures[:min(len(cures), mostCures)] {
		parts = append(parts, c.String())
	}
	if parts == nil {
		return ""
	}
	return strings.Join(parts, ", or ") + " would put it right"
}

// hintFor offers cures of a finding that speaks for others too: those that help
// all, or else the first of each together; "" when some has none, or they are
// many.
func hintFor(best *Found, others iter.Seq[*Found]) string {
	if left, ok := common(best.Cures, others); ok {
		return cureHint(left)
	}
	// No one cure helps all: the first of each, those that change the same size once.
	all := []Cure{best.Cures[0]}
	for f := range others {
		if len(f.Cures) == 0 {
			return ""
		}
		if slices.ContainsFunc(f.Cures, func(c Cure) bool { return slices.ContainsFunc(all, c.alike) }) {
			continue
		}
		if all = append(all, f.Cures[0]); len(all) > mostCures {
			return ""
		}
	}
	var parts []string
	for _, c := range all {
		parts = append(parts, c.String())
	}
	return strings.Join(parts, ", and ") + " would put it right"
}

// common keeps the cures of one finding that help all others of its cause too,
// ok is false when it has cures and none of them does.
func common(cures []Cure, others iter.Seq[*Found]) (left []Cure, ok bool) {
	left = slices.Clone(cures)
	for f := range others {
		left = slices.DeleteFunc(left, func(c Cure) bool { return !slices.ContainsFunc(f.Cures, c.alike) })
	}
	return left, len(left) > 0 || len(cures) == 0
}
