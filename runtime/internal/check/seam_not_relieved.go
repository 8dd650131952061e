package check

import (
	"fmt"
	"math"
	"strings"

	"github.com/creasewright/creasewright/runtime/board"
	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/model"
)

// seamNotRelieved notes, once a piece, walls that reach into the crease of the
// tab they are glued to.
var seamNotRelieved = Rule{
	ID: "seam-not-relieved", Severity: diag.Note, Title: "a wall that ends at a glued seam is not trimmed",
	after: []string{"loop-open", "loop-loose", "loop-unsolved", "join-gap"},
	find: func(f *facts) []Found {
		return f.closed(func(s *closing) []Found {
			var out []Found
			for _, t := range s.inserts(model.TabJoin) {
				if off, ok := s.offCrease(&t); ok && exceeds(s.limit(board.SeamRelief), off) {
					out = append(out, s.seamFound(&t, off))
				}
			}
			return mergedSeams(out)
		})
	},
}

// goodRelief is what a hint asks a wall to be trimmed by, 0.5 to 1 mm being
// usual. Common practice, no source.
const goodRelief = 0.5

// seamFound gives the two sizes that together relieve a seam: the panel under the tab ends short
// of the crease, and the tab asks for as much of a gap.
func (s *closing) seamFound(t *insert, off float64) Found {
	wall := t.into.Panel
	how := "reaches to"
	if exceeds(off, seamHair) {
		how = fmt.Sprintf("ends only %s from", mm(off))
	}
	trim := Cure{wall, t.into.Edge.Name, opposite(wall, t.into.Edge.Curve()), off - goodRelief}
	return s.found([]*model.Panel{wall, t.panel}, "%q %s the crease of its glue tab %q", wall.Name, how, t.panel.Name).
		relate(t.panel.Site, "tab %q", t.panel.Name).
		hint("%s, and gap = %s for %q,", trim, geom.Num(goodRelief), t.panel.Name)
}

// mergedSeams tells all seams of a piece as one, with what cures each.
func mergedSeams(found []Found) []Found {
	var cures []string
	for _, f := range found {
		cures = append(cures, f.Hint)
	}
	out := merged(found)
	for i := range out {
		if len(cures) > mostCures {
			return []Found{out[i].hint("trim each wall by %s and ask its tab for the same gap", mm(goodRelief))}
		}
		out[i] = out[i].hint("%s would put it right", strings.Join(cures, " and "))
	}
	return out
}

// seamHair is the distance in mm that counts as none.
const seamHair = 0.005

// offCrease is how far the edge that a tab is glued along lies from the tab's
// crease; ok is false where the tab asks for a gap, or is not bent round the
// crease by more than half a right angle.
func (s *closing) offCrease(t *insert) (off float64, ok bool) {
	if t.into.Edge == nil || t.join.Gap > 0 || s.Of(t.panel).Normal.Dot(s.Of(t.carrier()).Normal) > math.Sqrt2/2 {
		return 0, false
	}
	edge, to := t.into.Edge.Stretch(), s.Of(t.into.Panel)
	off = math.Inf(1)
	for _, q := range []geom.Point{t.fold.Curve.P, t.fold.Curve.Q} {
		at := to.Back.Apply(s.Of(t.carrier()).Frame.Apply(q.Space()))
		_, d := edge.Nearest(at.Plane())
		off = math.Min(off, geom.Pt(d, at.Z).Len())
	}
	return off, true
}

// merged tells findings as one: the first, with the others beside it.
func merged(found []Found) []Found {
	if len(found) < 2 {
		return found
	}
	first := found[0]
	for _, f := range found[1:] {
		first.Panels = append(first.Panels, f.Panels...)
	}
	for _, f := range found[1:min(len(found), 1+mostRelated)] {
		first = first.relate(f.Site, "with it: %s", f.Message)
	}
	if more := len(found) - 1; more > mostRelated {
		first.Message += "; with it " + counted(more, "more")
	}
	return []Found{first}
}
