package contact

import (
	"math"

	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/polygon"
)

// missHold is how much less of panel i lies along panel k than the reach asks
// for, or how far what lies over it is off the slab, whichever is more. Beyond is
// how much of it does lie there.
func (p *joints) missHold(i, k int, reach float64, s slab, move geom.Point3) Miss {
	from, to := p.Pose.Place[i].RigidTransform, p.Pose.Place[k].RigidTransform
	carry := from.Then(geom.RigidTransform{R: geom.Identity3().R, T: move}).Then(to.Inverse())
	over := laid(p.Piece.Panels[i].Outline.Flatten(Flatten), carry)
	on := p.Piece.Panels[k].Outline.Flatten(Flatten)
	held, spot := heldBy(over, on)
	n := carry.Normal()
	high := carry.T.Sub(spot.Space()).Dot(n) / n.Z // of the panel over the spot
	at := spot.Space()
	at.Z = high
	m := Miss{To: Held, Beyond: held, Raw: max(0, reach-held), Panel: p.Piece.Panels[i]}
	m.At = to.Apply(at)
	m.AtBlank = p.onBlank(k, m.At)
	if off := high - min(max(high, s.lo), s.hi); math.Abs(n.Z) < mostTilt {
		m.Raw = reach
	} else if math.Abs(off) > m.Raw {
		m.Raw, m.Off = math.Abs(off), off
	}
	return m
}

// heldBy is how far a shape reaches over another, in one plane: from the part of
// the other's rim that it covers to its farthest place over the other; all of it,
// +Inf, where it covers no rim. The farthest place is looked for on the rim of what
// the two share, at holdSamples places of each side.
func heldBy(over, on []geom.Point) (held float64, spot geom.Point) {
	shared := polygon.Clip(over, polygon.Hull([][]geom.Point{on}))
	if !polygon.Solid(shared) {
		return 0, polygon.Centroid(over)
	}
	spot = polygon.Centroid(shared)
	type segment struct{ p, q geom.Point }
	var rim []segment
	for i, p := range on {
		q := on[(i+1)%len(on)]
		length := p.Dist(q)
		if length == 0 {
			continue
		}
		dir := q.Sub(p).Mul(1 / length)
		for _, v := range common(Along([][]geom.Point{over}, p, dir), []Stretch{{0, length}}) {
			rim = append(rim, segment{p.Add(dir.Mul(v.From)), p.Add(dir.Mul(v.To))})
		}
	}
	if len(rim) == 0 {
		return math.Inf(1), spot
	}
	for i, p := range shared {
		q := shared[(i+1)%len(shared)]
		for k := range holdSamples {
			c, near := p.Lerp(q, float64(k)/holdSamples), math.Inf(1)
			for _, r := range rim {
				t := 0.0
				if d := r.q.Sub(r.p); d.Dot(d) > 0 {
					t = min(max(c.Sub(r.p).Dot(d)/d.Dot(d), 0), 1)
				}
				near = min(near, c.Dist(r.p.Lerp(r.q, t)))
			}
			held = max(held, near)
		}
	}
	return held, spot
}

// holdSamples is how many places of each side are looked at: what is found is
// less than the true reach by no more than a sixteenth of a side.
const holdSamples = 8
