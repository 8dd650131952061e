package scene

import (
	"cmp"
	"math"
	"slices"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/model"
)

// stroke is a polyline in the world before hidden parts are removed. It belongs to
// the boards of its owners, which cannot hide it.
type stroke struct {
	kind   LineKind
	work   blank.Kind // of a crease
	owners [2]*plate  // the second may be nil
	points []geom.Point3
	// sides tells on which sides of the line board of an owner lies: +1 to the
	// left of the way it runs, seen from outside that panel, −1 to the right.
	sides [2]float64
}

// placedHinge is a hinge whose two panels both have plates.
type placedHinge struct {
	*blank.HingeLine
	parent, child *plate
	folded        bool // by other than 0 in this pose
}

// hinges lists the hinges between plates, in the order of the blank's.
func (s *Scene) hinges() []placedHinge {
	of := make(map[*model.Panel]*plate, len(s.plates))
	for _, b := range s.plates {
		of[b.panel] = b
	}
	var out []placedHinge
	for i := range s.in.Blank.Hinges {
		l, angle := &s.in.Blank.Hinges[i], s.in.Pose.Angles[i]
		h := placedHinge{l, of[l.Hinge.Parent], of[l.Hinge.Child], angle.OK && angle.Degrees != 0}
		if h.parent != nil && h.child != nil {
			out = append(out, h)
		}
	}
	return out
}

// worldStrokes lists the lines of the pose: every raw edge, every hinge that is folded
// or has a line of its own, and whatever is worked on the panels.
func (s *Scene) worldStrokes(hinges []placedHinge) []stroke {
	joined := make(map[*plate][]geom.Curve, len(s.plates))
	for _, h := range hinges {
		joined[h.parent] = append(joined[h.parent], h.Curves...)
		joined[h.child] = append(joined[h.child], h.Curves...)
	}
	var out []stroke
	for _, b := range s.plates {
		for _, r := range s.in.Blank.Regions[b.index].Rings {
			for _, run := range freeRuns(r, joined[b]) {
				out = append(out, s.stroke(Rim, b, run, 1))
			}
		}
	}
	for _, h := range hinges {
		if h.folded || h.Kind != "" {
			out = append(out, s.creases(h)...)
		}
	}
	for _, b := range s.plates {
		for _, w := range s.in.Blank.Regions[b.index].Worked {
			k := s.stroke(lineKindOf(w.Kind), b, []geom.Curve{w.Curve}, 0)
			if k.kind == Hinge {
				k.work = w.Kind
			}
			out = append(out, k)
		}
	}
	return out
}

// lineKindOf is the kind of line that work within a panel is drawn as.
func lineKindOf(k blank.Kind) LineKind {
	switch k {
	case blank.CutLine:
		return Rim
	case blank.PerforatedLine:
		return Perforated
	case blank.DrawnLine:
		return Drawn
	}
	return Hinge
}

// creases gives the strokes of a hinge: one that belongs to both plates where its
// two images coincide. Two where they do not, since the plates lie on one another
// a layer apart or a loop does not close. Where a lift has moved one plate along the
// other, the hinge is drawn on the one that moved less, where the corner between
// the two is seen.
func (s *Scene) creases(h placedHinge) []stroke {
	var out []stroke
	for _, c := range h.Curves {
		run := []geom.Curve{c}
		on, by := s.stroke(Hinge, h.parent, run, 1), s.stroke(Hinge, h.child, run, -1)
		on.work, by.work = h.Kind, h.Kind
		lifted := h.parent.lift.Dist(h.child.lift) > geom.Tiny
		switch {
		case differ(on.points, by.points) && (!lifted || parallel(h.parent, h.child)):
			out = append(out, on, by)
		case lifted && h.child.lift.Len() < h.parent.lift.Len():
			out = append(out, withOwner(by, on))
		default:
			out = append(out, withOwner(on, by))
		}
	}
	return out
}

// withOwner is stroke a with the owner of b as its second.
func withOwner(a, b stroke) stroke {
	a.owners[1], a.sides[1] = b.owners[0], b.sides[0]
	return a
}

// parallel reports whether two plates lie in parallel planes before layers are drawn
// apart, facing the same way or opposite ways: within parallelCosine.
func parallel(a, b *plate) bool { return math.Abs(a.out.Dot(b.out)) > parallelCosine }

// differ reports whether two images of one polyline, with equally many points, are
// further apart than depthTolerance anywhere: by tolerance, as the images of a hinge
// are computed from either panel and solved folds leave gaps far below it.
func differ(a, b []geom.Point3) bool {
	for i, p := range a {
		if p.Dist(b[i]) > depthTolerance {
			return true
		}
	}
	return false
}

// stroke flattens a run of curves of the blank frame and places it where a plate
// is. side is +1 where the board is on the left of the run, −1 on the right, 0 on
// both sides.
func (s *Scene) stroke(k LineKind, b *plate, run []geom.Curve, side float64) stroke {
	out := stroke{kind: k, owners: [2]*plate{b}, sides: [2]float64{side}}
	pts := []geom.Point{run[0].P}
	for _, c := range run {
		pts = c.Flatten(pts, flatness*diagonal(s.in.Blank))
	}
	for _, p := range pts {
		out.points = append(out.points, b.world(p))
	}
	return out
}

// freeRuns is the part of a boundary along which no hinge runs, as unbroken runs of
// curves. Neighbours are recognised by equal end points, which Part and Ring give
// exactly.
func freeRuns(r blank.Ring, joined []geom.Curve) [][]geom.Curve {
	var runs [][]geom.Curve
	for _, c := range r {
		for _, part := range uncoveredParts(c, joined) {
			if n := len(runs) - 1; n >= 0 && runs[n][len(runs[n])-1].Q == part.P {
				runs[n] = append(runs[n], part)
			} else {
				runs = append(runs, []geom.Curve{part})
			}
		}
	}
	if n := len(runs) - 1; n > 0 && runs[n][len(runs[n])-1].Q == runs[0][0].P {
		runs[0] = append(runs[n], runs[0]...)
		runs = runs[:n]
	}
	return runs
}

// uncoveredParts is the part of a curve along which none of the others runs; pieces
// no longer than geom.SnapTolerance are left out. Which curves coincide is decided by
// geom.Intersect within that tolerance.
func uncoveredParts(c geom.Curve, others []geom.Curve) []geom.Curve {
	var gone []span
	for _, o := range others {
		for _, t := range geom.Intersect(c, o) {
			if !t.IsPoint() {
				gone = append(gone, span{t.A0, t.A1})
			}
		}
	}
	var out []geom.Curve
	length := c.Length()
	for _, k := range complement(gone) {
		if (k.to-k.from)*length > geom.SnapTolerance {
			out = append(out, c.Part(k.from, k.to))
		}
	}
	return out
}

// span is a stretch of a line or curve by parameter, 0…1.
type span struct{ from, to float64 }

// complement is what spans leave of 0…1, in rising order; gone is sorted in place.
func complement(gone []span) []span {
	slices.SortFunc(gone, func(a, b span) int { return cmp.Compare(a.from, b.from) })
	var out []span
	at := 0.0
	for _, g := range gone {
		if g.from > at {
			out = append(out, span{at, g.from})
		}
		at = max(at, g.to)
	}
	if at < 1 {
		out = append(out, span{at, 1})
	}
	return out
}
