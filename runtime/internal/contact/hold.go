package contact

import (
	"cmp"
	"math"
	"slices"

	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/polygon"
	"github.com/creasewright/creasewright/runtime/model"
)

// goesThrough reports whether a tuck is a tongue: a panel held in part that
// carries on in the plane of the panel it hangs on. What it hangs on stays on the
// side from which it folded, and the tongue bends past a rim of the target, that
// of a notch or a window, to the other side.
func (p *Posed) goesThrough(j *model.Join) bool {
	if j.Kind != model.TuckJoin || j.Reach <= 0 || j.B.IsThrough() || j.A.Panel.Hang == nil {
		return false
	}
	turn := p.Pose.Angles[p.hang[p.index[j.A.Panel]]]
	return turn.OK && turn.Degrees.Abs() <= flatTurn
}

// leastHeldCosine is the cosine of the angle, 60°, over which a panel held in part
// stands so steeply on its target that it lies along none of it.
const leastHeldCosine = 0.5

// missHold is by how much a panel held in part misses: how much less of it lies
// along the target's board than the reach asks for, how far what lies there is off
// the slab, or how much of a tongue's width meets board wherever it could go
// through, whichever is most. Beyond is how much of it does lie there, or how much
// of the width is stopped.
// A panel tilted by more than 60° to its target (|cos| under leastHeldCosine) lies along none
// of it and misses by all of its reach.
func (p *joints) missHold(j *model.Join, s slab, move geom.Point3) Miss {
	i, k := p.index[j.A.Panel], p.index[j.B.Panel]
	from, to := p.Pose.Place[i].RigidTransform, p.Pose.Place[k].RigidTransform
	carry := from.Then(geom.RigidTransform{R: geom.Identity3().R, T: move}).Then(to.Inverse())
	over, on := laid(j.A.Panel.Outline.Flatten(Flatten), carry), p.plates[k].body.Loops
	held, spot := heldBy(over, on)
	n := carry.Normal()
	high := carry.T.Sub(spot.Space()).Dot(n) / n.Z // of the panel over the spot
	at := spot.Space()
	at.Z = high
	m := Miss{To: Held, Beyond: held, Raw: max(0, j.Reach-held), Panel: j.A.Panel}
	m.At = to.Apply(at)
	m.AtBlank = p.onBlank(k, m.At)
	through := p.goesThrough(j)
	if through {
		s.lo, s.hi = min(s.lo, -s.hi), max(s.hi, -s.lo) // it bends from either side
	}
	if off := high - min(max(high, s.lo), s.hi); math.Abs(n.Z) < leastHeldCosine {
		m.Raw = j.Reach
	} else if math.Abs(off) > m.Raw {
		m.Raw, m.Off = math.Abs(off), off
	}
	if through && math.Abs(n.Z) >= leastHeldCosine {
		base := j.A.Panel.Hang.By.Stretch()
		start, end := carry.Apply(base.P.Space()).Plane(), carry.Apply(base.Q.Space()).Plane()
		in := end.Sub(start).Unit().Left()
		if n.Z < 0 {
			in = in.Mul(-1) // seen from its back
		}
		if wide, by := stopped(over, p.barriers(j, k), start, in, j.Reach); wide > max(Rim, m.Raw) {
			m.To, m.Raw, m.Beyond, m.Off, m.By = Stopped, wide, wide, 0, p.Piece.Panels[by]
		}
	}
	return m
}

// heldBy is how far a shape reaches over board, in one plane: from the part of the
// board's rim that it covers to its farthest place over the board; all of it, +Inf,
// where it covers no rim. The region that the two share ends at the shape's own
// rim or at the board's, and there at nought, so the farthest place is looked for on
// the shape's rim over board, at holdSamples places of each stretch.
func heldBy(over []geom.Point, on [][]geom.Point) (held float64, spot geom.Point) {
	spot = polygon.Centroid(over)
	var rim []geom.Curve
	for _, loop := range on {
		sides(loop, func(p, dir geom.Point, length float64) {
			for _, v := range common(Along([][]geom.Point{over}, p, dir), []Stretch{{0, length}}) {
				rim = append(rim, geom.LineFrom(p.Add(dir.Mul(v.From)), p.Add(dir.Mul(v.To))))
			}
		})
	}
	sides(over, func(p, dir geom.Point, length float64) {
		for _, v := range common(Along(on, p, dir), []Stretch{{0, length}}) {
			for k := range holdSamples + 1 {
				c := p.Add(dir.Mul(v.From + v.Length()*float64(k)/holdSamples))
				if onRim(c, on) {
					continue // a side along the board's own rim lies beside it as well
				}
				near := math.Inf(1)
				for _, r := range rim {
					_, d := r.Nearest(c)
					near = min(near, d)
				}
				if near > held {
					held, spot = near, c
				}
			}
		}
	})
	return held, spot
}

// holdSamples is how many parts of a stretch there are between the places looked
// at. Distance is 1-Lipschitz, so what is found is less than the true reach by no
// more than half a part, a sixteenth of the stretch.
const holdSamples = 8

// sides calls visit with the sides of a loop that have a length: where each
// begins, its direction and its length.
// The loop is closed: the last point is joined to the first.
func sides(loop []geom.Point, visit func(p, dir geom.Point, length float64)) {
	for i, p := range loop {
		q := loop[(i+1)%len(loop)]
		if length := p.Dist(q); length > geom.Tiny {
			visit(p, q.Sub(p).Mul(1/length), length)
		}
	}
}

// onRim reports whether a point lies on a side of some loops, within
// geom.SnapTolerance.
func onRim(c geom.Point, loops [][]geom.Point) bool {
	for _, loop := range loops {
		for i, p := range loop {
			if _, d := geom.LineFrom(p, loop[(i+1)%len(loop)]).Nearest(c); d <= geom.SnapTolerance {
				return true
			}
		}
	}
	return false
}

// barrier is board that a tongue has to go through: of a panel, in the frame of the
// tongue's target.
type barrier struct {
	panel int
	loops [][]geom.Point
}

// barriers lists the target of a tongue, panel k, and the panels that lie between
// it and what the tongue hangs on: on one side of the tongue and on the other of
// its carrier, in the cells that each shares with them.
// Which side a panel lies on is read off the order of the cells (isInside), exact once
// that order is decided. Loops are brought into the frame of panel k.
func (p *Posed) barriers(j *model.Join, k int) []barrier {
	tongue, carrier := p.index[j.A.Panel], p.index[j.A.Panel.Hang.Parent]
	out := []barrier{{k, p.plates[k].body.Loops}}
	for i := range p.plates {
		if i == k || !p.plates[i].ok {
			continue
		}
		a, okA := p.isInside(i, tongue)
		b, okB := p.isInside(i, carrier)
		if !okA || !okB || a == b {
			continue
		}
		m := p.plates[i].onto(&p.plates[k])
		between := barrier{panel: i}
		for _, loop := range p.plates[i].body.Loops {
			between.loops = append(between.loops, laid(loop, m))
		}
		out = append(out, between)
	}
	return out
}

// stopped is how much of a tongue's width meets board where it goes through at the
// best place: the least, over lines across the tongue, of what it has in common
// with the barriers on the line; by is the panel that most of this is of. The tongue
// begins at a point with its board toward in; all but the last reach mm of it may
// lie before the line.
// in is a unit vector. Lines start geom.SnapTolerance beyond the hinge, for the rim of
// a target along it would count or not by rounding. Between the lines tried it may miss
// a notch narrower than a step, (depth − reach)/throughSamples.
func stopped(over []geom.Point, barriers []barrier, at, in geom.Point, reach float64) (least float64, by int) {
	deep := 0.0
	for _, q := range over {
		deep = max(deep, q.Sub(at).Dot(in))
	}
	least, by = math.Inf(1), barriers[0].panel
	for k := range throughSamples + 1 {
		d := max(0, deep-reach) * float64(k) / throughSamples
		start, dir := at.Add(in.Mul(d+geom.SnapTolerance)), in.Left()
		width := Along([][]geom.Point{over}, start, dir)
		var all []Stretch
		most, own := -1, 0.0
		for _, b := range barriers {
			met := common(width, Along(b.loops, start, dir))
			all = append(all, met...)
			if l := union(met); Exceeds(l, own) {
				most, own = b.panel, l
			}
		}
		if wide := union(all); Exceeds(least, wide) {
			least = wide
			if most >= 0 {
				by = most
			}
		}
	}
	return least, by
}

// union is the length that some stretches of a line cover together.
// The list itself is left as it is.
func union(all []Stretch) (length float64) {
	all = slices.Clone(all)
	slices.SortFunc(all, func(a, b Stretch) int { return cmp.Compare(a.From, b.From) })
	end := math.Inf(-1)
	for _, v := range all {
		if v.To > end {
			length += v.To - max(v.From, end)
			end = v.To
		}
	}
	return length
}

// throughSamples is how many steps there are between the lines across a tongue
// that are tried: notches are some millimetres deep, tongues some tens.
const throughSamples = 64
