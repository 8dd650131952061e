package check

import (
	"fmt"
	"math"
	"slices"

	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/model"
)

// spineThin tells of panels between two folds that are narrower than the layers
// they go round: n layers of caliper t between two panels keep these (n + 1)·t
// apart, from mid-surface to mid-surface, which is the spine's width from crease
// to crease.
var spineThin = Rule{
	ID: "spine-thin", Severity: diag.Error, Title: "a panel between two folds is narrower than what it goes round",
	after: []string{"panels-overlap", "loop-open", "loop-loose", "loop-unsolved", "flap-too-deep", "tuck-too-wide", "join-gap", "panels-collide", "layers-tangled"},
	find: func(f *facts) []Found {
		return f.each(func(s state) []Found {
			// Straight hinges by panel: every two of one panel may make it a spine.
			hinges := map[*model.Panel][]int{}
			for k, h := range s.Piece.Hinges {
				if h.Curve.Kind == geom.Line {
					hinges[h.Parent] = append(hinges[h.Parent], k)
					hinges[h.Child] = append(hinges[h.Child], k)
				}
			}
			var out []Found
			for _, p := range s.Piece.Panels {
				near := hinges[p]
				for i, k := range near {
					for _, l := range near[:i] {
						if f.ended() {
							return nil
						}
						if g, thin := judgeSpine(s, p, l, k); thin {
							out = append(out, g)
						}
					}
				}
			}
			return out
		})
	},
}

const (
	// spineTurn is the angle, in degrees, by which the two folds of a spine may
	// add up to more or less than half a turn: under it the panels beside it lie
	// over one another for all that matters here.
	spineTurn = 1
	// spineGive is the share of a caliper by which a spine may be too narrow:
	// creased board gives way by half of one (as in contact.OverlapLimit).
	spineGive = 0.5
)

// judgeSpine looks at a panel between two of its hinges, by number.
func judgeSpine(s state, spine *model.Panel, first, second int) (Found, bool) {
	h, k := s.Piece.Hinges[first], s.Piece.Hinges[second]
	u, v := s.Folds[first], s.Folds[second]
	if !u.OK || !v.OK || u.Degrees*v.Degrees <= 0 || ((u.Degrees+v.Degrees).Abs()-180).Abs() > spineTurn {
		return Found{}, false
	}
	a, b := beyond(h, spine), beyond(k, spine)
	i, j := s.Contacts().Index(a), s.Contacts().Index(b)
	if !s.Placements[i].OK || !s.Placements[j].OK {
		return Found{}, false
	}
	out := s.Placements[i].Normal()
	if across, _ := geom.Degrees(spineTurn).Angle().SinCos(); out.Cross(s.Placements[j].Normal()).Len() > across {
		return Found{}, false // its hinges run across one another
	}
	// The distance of the two planes, which for square folds is the spine's width.
	wide := math.Abs(s.Placements[j].T.Sub(s.Placements[i].T).Dot(out))
	t := s.Piece.Board.Caliper
	// A bound that spares the search: not even all panels of the piece are so thick.
	if wide > t*float64(len(s.Piece.Panels)) {
		return Found{}, false // wider than all there is
	}
	between, ok := s.Contacts().Between(i, j)
	needs := t * float64(len(between)+1)
	if !ok || len(between) == 0 || !exceeds(needs-wide, spineGive*t) {
		return Found{}, false
	}
	var layers []*model.Panel
	for _, n := range slices.Sorted(slices.Values(between)) {
		layers = append(layers, s.Piece.Panels[n])
	}
	return spineFound(s, spine, [2]*model.Hinge{h, k}, layers, wide, needs), true
}

// beyond is the panel that a hinge joins to another.
func beyond(h *model.Hinge, p *model.Panel) *model.Panel {
	if h.Parent == p {
		return h.Child
	}
	return h.Parent
}

// spineFound says how far apart the spine keeps its two panels and how far they have to be, in mm.
// The size is promised only where it is the very distance: square folds on whole edges.
func spineFound(s state, spine *model.Panel, at [2]*model.Hinge, layers []*model.Panel, wide, needs float64) Found {
	a, b := beyond(at[0], spine), beyond(at[1], spine)
	f := foundf(spine.Site, []*model.Panel{spine, a, b}, "panel %q keeps %q and %q %s apart in pose %q, and with %s between them they need %s",
		spine.Name, a.Name, b.Name, mm(wide), s.name(), quoted(layers), mm(needs)).
		in(s.Pose, fmt.Sprint(at[0].Name, " ", at[1].Name)).atPanel(spine)
	for _, p := range layers {
		f = f.relate(p.Site, "panel %q", p.Name)
	}
	f.Weight, f.Warn = needs-wide, exceeds(overlapError, needs-wide)
	c := Cure{Panel: spine, Edge: hingeEdge(at[1], spine), Across: hingeEdge(at[0], spine), By: roundUp(needs - wide)}
	// Slanting folds, or an edge that is hung on in part, leave the size to the reader.
	if size, word := c.size(); word != "" && math.Abs(size-wide) < shown {
		f.Cures = []Cure{c}
	}
	return f
}

// hingeEdge names the edge of a panel on which a hinge lies.
func hingeEdge(h *model.Hinge, p *model.Panel) string {
	if h.Child == p {
		return h.By.Name
	}
	return h.On.Name
}
