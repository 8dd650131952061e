package contact

import (
	"context"
	"math"
	"slices"

	"github.com/creasewright/creasewright/runtime/board"
	"github.com/creasewright/creasewright/runtime/geom"
)

// Overlap is two panels, at an angle to one another and not hinged, that would
// share board: their plates are the outlines, half a caliper thick to either
// side. A and B are their places in the piece, A < B.
//
// Toward is a unit vector in the plane of the panel, across the line.
type Overlap struct {
	A, B  int
	Depth float64 // of the shared board across the line of intersection of the planes, mm: the shortest move within the section
	// Trims are how much each of the two would have to end earlier for the other
	// to have room, in mm and toward where in the world; 0 where the panel runs
	// on to both sides.
	Trims   [2]float64
	Toward  [2]geom.Point3
	At      geom.Point3
	AtBlank geom.Point // At on panel B, in the blank frame
}

// leastOverlap is how much board, in mm, two panels may share whatever it is:
// that much gives way (common practice, no source).
const leastOverlap = 0.5

// OverlapLimit is how deep, in mm, panels of a board may not share it. Creased
// board gives way by up to half a caliper, which is what two walls share that
// run to the crease at a corner; greyboard does not.
func OverlapLimit(b *board.Board) float64 {
	if b.Kind == board.Greyboard {
		return max(b.Caliper/2, leastOverlap+geom.SnapTolerance)
	}
	return max(b.Caliper/2, leastOverlap) + geom.SnapTolerance
}

// Overlaps lists the panels that would share board deeper than a limit, over
// more than that of their length, by A, then B. Panels of which one passes
// through an opening of the other are left out.
func (p *Posed) Overlaps(ctx context.Context, limit float64) ([]Overlap, error) {
	if p.caliper <= leastOverlap {
		return nil, nil // deeper than that their middles cross, which is a penetration
	}
	var out []Overlap
	err := p.angled(ctx, p.caliper, func(q pair) {
		if o, ok := p.overlapOf(q, limit); ok {
			out = append(out, o)
		}
	})
	return out, err
}

// bar is a plate cut across the line in which two planes meet: a rectangle from
// one place to another along its plane, a caliper thick.
// From and To are distances from the line, mm, in the direction along; normal is
// square to it.
type bar struct {
	Stretch
	along, normal geom.Point // unit, in the plane of the section
}

// reach is the stretch that a bar takes up along a unit direction.
// half is half the caliper, mm.
func (b bar) reach(dir geom.Point, half float64) Stretch {
	thick := half * math.Abs(b.normal.Dot(dir))
	u, v := b.From*b.along.Dot(dir), b.To*b.along.Dot(dir)
	return Stretch{min(u, v) - thick, max(u, v) + thick}
}

// barDepth is how deep two bars lie in one another: the shortest move that parts
// them, by the separating axes of two rectangles; 0 when they are apart.
// The four axes are exact for two rectangles (separating axis theorem).
func barDepth(a, b bar, half float64) float64 {
	depth := math.Inf(1)
	for _, dir := range [...]geom.Point{a.along, a.normal, b.along, b.normal} {
		s, t := a.reach(dir, half), b.reach(dir, half)
		depth = min(depth, s.To-t.From, t.To-s.From)
	}
	return max(0, depth)
}

// overlapOf looks at two plates along the line in which their planes meet. Cut
// square to the line, each plate is a row of bars, rectangles a caliper thick.
// Which bars there are changes only at corners of the two outlines, so one section
// half-way between neighbouring corners stands for the stretch between them. The
// deepest section counts, but no deeper than the run of the line over which the
// depth exceeds the limit: the plates could as well part along it.
// Between two corners the ends of the bars move linearly along the line; the section
// half-way gives their mean there, not the deepest place.
func (p *Posed) overlapOf(q pair, limit float64) (Overlap, bool) {
	x := cross(&p.plates[q.a], &p.plates[q.b])
	half := p.caliper / 2
	sides := [2]*plate{x.a, x.b}
	normals := [2]geom.Point3{x.a.normal, x.b.normal}
	// The section is looked at along the line: its axes are the first plate's
	// normal and the way across the line in its plane.
	across := [2]geom.Point3{normals[0].Cross(x.dir), normals[1].Cross(x.dir)}
	flat := func(v geom.Point3) geom.Point { return geom.Pt(v.Dot(across[0]), v.Dot(normals[0])) }
	sine := normals[0].Cross(normals[1]).Len()
	// Two slabs share a parallelogram about that line; along either plane it
	// reaches half·(1 + |cos|)/sin to both sides.
	far := half * (1 + math.Abs(normals[0].Dot(normals[1]))) / sine // as far from the line as the plates can meet
	us := p.cornersNear(x, sides, across, far)
	var best Overlap
	run, deepest := 0.0, Overlap{}
	// flush ends a run of sections that are deeper than the limit.
	flush := func() {
		deepest.Depth = min(deepest.Depth, run)
		if Exceeds(deepest.Depth, best.Depth) {
			best = deepest
		}
		run, deepest = 0, Overlap{}
	}
	for k := 1; k < len(us); k++ {
		if us[k]-us[k-1] <= geom.SnapTolerance {
			continue
		}
		at := x.place((us[k-1] + us[k]) / 2)
		var bars [2][]bar
		for n, s := range sides {
			dir := s.back.ApplyDir(across[n]).Plane()
			for _, v := range Along(s.body.Loops, s.local(at).Plane(), dir) {
				if v.From < far && v.To > -far {
					bars[n] = append(bars[n], bar{v, flat(across[n]), flat(normals[n])})
				}
			}
		}
		depth, trims := 0.0, Overlap{}
		for _, a := range bars[0] {
			for _, b := range bars[1] {
				if d := barDepth(a, b, half); d > depth {
					depth, trims = d, trim([2]bar{a, b}, across, half)
				}
			}
		}
		// A run ends where the depth falls under the limit.
		if depth < limit-Resolution {
			flush()
			continue
		}
		run += us[k] - us[k-1]
		if depth > deepest.Depth {
			deepest = trims
			deepest.Depth, deepest.At = depth, at
		}
	}
	flush()
	best.A, best.B = q.a, q.b
	best.AtBlank = p.onBlank(q.b, best.At)
	return best, best.Depth >= limit-Resolution
}

// trim is how much either of two bars that share board would have to end
// earlier: to where the other begins.
func trim(bars [2]bar, across [2]geom.Point3, half float64) Overlap {
	var o Overlap
	for n := range bars {
		own, other := bars[n].Stretch, bars[1-n].reach(bars[n].along, half)
		low, high := other.To-own.From, own.To-other.From // off the near end, off the far one
		if own.From < other.From && own.To > other.To {
			continue // it runs on to both sides
		}
		if low < high {
			o.Trims[n], o.Toward[n] = low, across[n]
		} else {
			o.Trims[n], o.Toward[n] = high, across[n].Mul(-1)
		}
	}
	return o
}

// cornersNear lists, in order along the line, where the rims of two plates have
// corners near it or come near it or leave.
// far is a distance from the line in either plane, mm; places are mm along it. Values
// may repeat, and callers skip stretches of geom.SnapTolerance or less.
func (p *Posed) cornersNear(x *crossing, sides [2]*plate, across [2]geom.Point3, far float64) []float64 {
	var us []float64
	for n, s := range sides {
		at, dir := x.inFrame(s)
		out := s.back.ApplyDir(across[n]).Plane()
		for _, loop := range s.body.Loops {
			prev := loop[len(loop)-1].Sub(at)
			for _, q := range loop {
				q = q.Sub(at)
				u, v := prev.Dot(out), q.Dot(out)
				for _, level := range [...]float64{-far, 0, far} {
					if (u < level) != (v < level) {
						us = append(us, prev.Lerp(q, (level-u)/(v-u)).Dot(dir))
					}
				}
				if math.Abs(v) <= far {
					us = append(us, q.Dot(dir))
				}
				prev = q
			}
		}
	}
	slices.Sort(us)
	return us
}
