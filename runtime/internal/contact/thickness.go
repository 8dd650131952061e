package contact

import (
	"context"
	"math"
	"slices"

	"github.com/creasewright/creasewright/runtime/geom"
)

// Flat reports whether all panels lie within FlatLimit of one plane, that of the
// first panel with board. It is false where a panel has no place in the pose
// or none has board.
func (p *Posed) Flat() bool {
	first := -1
	for i := range p.plates {
		s := &p.plates[i]
		if !p.Pose.Place[i].OK {
			return false
		}
		if !s.ok {
			continue // no board
		}
		if first < 0 {
			first = i
		}
		// The hull is enough: height over a plane is linear, so it is extreme at a corner of the
		// hull.
		if lo, hi := p.plates[first].heights(s.hull); lo < -FlatLimit || hi > FlatLimit {
			return false
		}
	}
	return first >= 0
}

// Thickness is the largest number of panels over one spot of a flat pose: how
// thick it is at its thickest, in calipers. Cells of no width do not count. Call
// it for flat poses only.
func (p *Posed) Thickness() int {
	// One panel alone is in no stack and one caliper thick.
	most := 0
	for i := range p.plates {
		if p.plates[i].ok {
			most = 1
			break
		}
	}
	for _, s := range p.Stacks {
		for _, c := range s.Cells {
			most = max(most, len(c.Panels))
		}
	}
	return most
}

// stops lists where, along x, chords begin, end or cross, no two within the snap tolerance.
func stops(ctx context.Context, chords []chord) ([]float64, error) {
	var xs []float64
	for i, c := range chords {
		if err := ended(ctx); err != nil {
			return nil, err
		}
		xs = append(xs, c.from.X, c.to.X)
		// Chords are sorted by their left ends, so that none after the first that begins beyond c
		// meets it. At most n² pairs, few where chords are short.
		for _, d := range chords[i+1:] {
			if d.from.X >= c.to.X {
				break
			}
			if x, ok := crossAt(c, d); ok {
				xs = append(xs, x)
			}
		}
	}
	slices.Sort(xs)
	out := xs[:0]
	for _, x := range xs {
		if len(out) == 0 || x-out[len(out)-1] > geom.SnapTolerance {
			out = append(out, x)
		}
	}
	return out, nil
}

// crossAt is where two chords cross inside the stretch of x they share. By
// tolerance: chords that part by no more than the snap tolerance at both ends of
// the stretch count as one and do not cross.
func crossAt(c, d chord) (float64, bool) {
	lo, hi := max(c.from.X, d.from.X), min(c.to.X, d.to.X)
	// The difference of two chords is linear over the stretch, so its sign changes at most once.
	u, v := c.at(lo)-d.at(lo), c.at(hi)-d.at(hi)
	if (u > 0) == (v > 0) || max(math.Abs(u), math.Abs(v)) <= geom.SnapTolerance {
		return 0, false
	}
	return lo + (hi-lo)*u/(u-v), true
}
