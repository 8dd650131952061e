package check

import (
	"fmt"
	"iter"
	"math"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/model"
	"github.com/creasewright/creasewright/runtime/simulate"
)

// panelsCollide tells of panels that cross in a pose.
var panelsCollide = Rule{
	ID: "panels-collide", Severity: diag.Error, Title: "two panels cross in a pose",
	after: []string{"panels-overlap", "loop-open", "loop-loose", "loop-unsolved", "flap-too-deep", "tuck-too-wide", "join-gap"},
	pairs: penetrations(pierces),
}

// panelsTouch notes panels that press on one another no deeper than board gives
// way.
var panelsTouch = Rule{
	ID: "panels-touch", Severity: diag.Note, Title: "two panels press on one another in a pose",
	after: []string{"panels-overlap", "loop-open", "loop-loose", "loop-unsolved", "flap-too-deep", "tuck-too-wide", "join-gap", "boards-overlap"},
	pairs: penetrations(func(t simulate.Penetration, piece *model.Piece) bool { return !pierces(t, piece) }),
}

// collideLimit is how deep panels may press on one another: the smaller of a
// caliper and half a millimetre.
func collideLimit(piece *model.Piece) float64 { return math.Min(piece.Board.Caliper, 0.5) }

// pierceSlack is how far beyond the far surface of another, in mm, board may come
// out before it counts as through: what sizes are rounded by. Common practice, no
// source.
const pierceSlack = 0.05

// comesOut reports whether each of two panels comes out on the far side of the
// other, half a caliper beyond its mid-surface. That is so whatever the shortest
// move that parts them: a rim may end close by.
func comesOut(t simulate.Penetration, piece *model.Piece) bool {
	return exceeds(min(t.Out[0], t.Out[1]), piece.Board.Caliper/2+pierceSlack)
}

// pierces reports whether two panels cross deeper than a touch, or right through.
func pierces(t simulate.Penetration, piece *model.Piece) bool {
	return exceeds(t.Depth, collideLimit(piece)) || comesOut(t, piece)
}

// penetrations is what a rule about some of the crossings is made of.
func penetrations(meant func(simulate.Penetration, *model.Piece) bool) *pairRule {
	return &pairRule{blames: true, list: func(s state) iter.Seq[pairFound] {
		return func(yield func(pairFound) bool) {
			for _, t := range s.Penetrations {
				if meant(t, s.Piece) && !yield(pairFound{int32(t.A), int32(t.B), t.Depth}) {
					return
				}
			}
		}
	}, tell: penetrationFound}
}

// penetrationFound tells how deep two panels cross, or, where the shortest move that parts them is
// short by the luck of a rim near by, that one comes out on the far side of the other.
func penetrationFound(s state, q pairFound) Found {
	t, _ := s.Penetration(int(q.a), int(q.b))
	a, b := s.pair(t.A, t.B)
	what := fmt.Sprintf("panels %q and %q cross by %s", b.Name, a.Name, mm(t.Depth))
	if comesOut(t, s.Piece) && !exceeds(t.Depth, collideLimit(s.Piece)) {
		through, wall, out := b, a, t.Out[1]
		if t.Out[0] > out {
			through, wall, out = a, b, t.Out[0]
		}
		what = fmt.Sprintf("panel %q goes through panel %q and comes out by %s", through.Name, wall.Name, mm(out-s.Piece.Board.Caliper/2))
	}
	f := foundf(b.Site, []*model.Panel{b, a}, "%s in pose %q, at x %s, y %s of the blank", what, s.name(), short(t.AtBlank.X), short(t.AtBlank.Y)).
		in(s.Pose, "").
		relate(a.Site, "panel %q", a.Name)
	f.At = &t.AtBlank
	f.Cures = append(trims(s, t.B, t.Part, t.Depth, t.At), trims(s, t.A, t.Part.Mul(-1), t.Depth, t.At)...)
	return f
}

// Pierced lists the pairs of panels, by their places in the piece, that cross
// deeper in a pose than a touch: what the rule panels-collide tells of.
func Pierced(s *simulate.State) [][2]int {
	var out [][2]int
	for _, t := range s.Penetrations {
		if pierces(t, s.Piece) {
			out = append(out, [2]int{t.A, t.B})
		}
	}
	return out
}

// trims gives the edge of a panel to take back so that it clears another: of those
// that look against the way in which it would have to move, the one nearest to
// where the two meet; nil where there is none.
func trims(p state, i int, way geom.Point3, depth float64, at geom.Point3) []Cure {
	panel, back := p.Piece.Panels[i], p.Placements[i].Inverse()
	local, spot := back.ApplyDir(way), back.Apply(at).Plane()
	if math.Abs(local.Z) > geom.SmoothSine {
		return nil
	}
	var out []Cure
	nearest := math.Inf(1)
	for _, e := range panel.Outline.Edges {
		if e.Kind != geom.Line || e.Tangent(0).Left().Mul(-1).Dot(local.Plane()) >= -1+geom.SmoothSine {
			continue
		}
		if _, d := e.Nearest(spot); exceeds(nearest, d) {
			nearest, out = d, []Cure{{panel, e.Name, opposite(panel, e.Curve), -math.Ceil(depth*100-1e-6) / 100}}
		}
	}
	return out
}

// opposite names the straight edge that looks the other way, "" when there is
// none.
func opposite(panel *model.Panel, c geom.Curve) string {
	for _, e := range panel.Outline.Edges {
		if e.Kind == geom.Line && e.Tangent(0).Dot(c.Tangent(0)) < -1+geom.SmoothSine {
			return e.Name
		}
	}
	return ""
}

// panelsLayered notes panels that lie on one another and are not glued, nor
// folded on one another.
var panelsLayered = Rule{
	ID: "panels-layered", Severity: diag.Note, Title: "two panels lie on one another in a pose",
	pairs: &pairRule{list: func(s state) iter.Seq[pairFound] {
		return func(yield func(pairFound) bool) {
			for l := range s.Layers() {
				if !l.Glued && !l.Hinged && !yield(pairFound{int32(l.A), int32(l.B), l.Area}) {
					return
				}
			}
		}
	}, tell: layerFound},
}

// layerFound notes which of two panels lies inside, so that an order of layers that is not meant
// can be seen.
func layerFound(s state, q pairFound) Found {
	a, b := s.pair(int(q.a), int(q.b))
	f := foundf(b.Site, []*model.Panel{b, a}, "panels %q and %q lie on one another over %.0f mm² in pose %q, %s",
		b.Name, a.Name, q.weight, s.name(), s.facing(int(q.a), int(q.b))).
		in(s.Pose, "").
		relate(a.Site, "panel %q", a.Name).
		hint("pose(%q, order = […]) lists panels that fold in another order, side = … turns a join over", s.name())
	_, at := s.Spot(simulate.Layer{A: int(q.a), B: int(q.b)})
	f.At = &at
	return f
}

// facing says how two panels that lie on one another do.
func (s state) facing(i, j int) string {
	a, b := s.pair(i, j)
	inside := s.LiesInside(i, j)
	switch {
	case s.Placements[i].Normal().Dot(s.Placements[j].Normal()) < 0 && inside:
		return "inside to inside"
	case s.Placements[i].Normal().Dot(s.Placements[j].Normal()) < 0:
		return "outside to outside"
	case inside:
		return fmt.Sprintf("%q inside", b.Name)
	}
	return fmt.Sprintf("%q inside", a.Name)
}

// panelsOverlap tells of panels that ask for the same board. The blank finds
// them when it is laid.
var panelsOverlap = Rule{
	ID: blank.RuleOverlap, Severity: diag.Error, Title: "two panels lie on one another in the flat",
	find: early(blank.RuleOverlap),
}
