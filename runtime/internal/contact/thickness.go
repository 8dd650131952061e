package contact

import (
	"cmp"
	"context"
	"math"
	"slices"

	"github.com/creasewright/creasewright/runtime/geom"
)

// Flat reports whether all panels lie within FlatLimit of one plane; where some
// have no place in the pose, nobody knows.
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
		if lo, hi := p.plates[first].heights(s.hull); lo < -FlatLimit || hi > FlatLimit {
			return false
		}
	}
	return first >= 0
}

// Thickness is the largest number of panels over one spot of a flat pose: how
// thick it is at its thickest, in calipers. Places narrower than the snap tolerance do not
// count. Call it for flat poses only.
func (p *Posed) Thickness(ctx context.Context) (int, error) {
	chords := p.chords()
	most := 0
	var active []chord
	next := 0
	stops, err := stops(ctx, chords)
	if err != nil {
		return 0, err
	}
	for i := 1; i < len(stops); i++ {
		if err := ended(ctx); err != nil {
			return 0, err
		}
		x := (stops[i-1] + stops[i]) / 2
		for ; next < len(chords) && chords[next].from.X < x; next++ {
			active = append(active, chords[next])
		}
		active = slices.DeleteFunc(active, func(c chord) bool { return c.to.X <= x })
		most = max(most, p.deepest(active, x))
	}
	return most, nil
}

// chord is one side of a panel's board seen in the plane of a flat pose, from
// its left end to its right.
type chord struct {
	from, to geom.Point
	panel    int // the first of its group
}

// at is the chord's y over x.
func (c chord) at(x float64) float64 {
	return c.from.Y + (c.to.Y-c.from.Y)*(x-c.from.X)/(c.to.X-c.from.X)
}

// chords lists all chords that are not upright, by their left ends: of
// coincident panels those of the first, which stands for all.
func (p *Posed) chords() []chord {
	var out []chord
	var first *plate
	for i := range p.plates {
		s := &p.plates[i]
		if !s.ok || p.layers.members(i)[0] != i {
			continue
		}
		if first == nil {
			first = s
		}
		m := s.onto(first)
		for _, loop := range s.body.Loops {
			flat := laid(loop, m)
			for k, q := range flat {
				if r := flat[(k+1)%len(flat)]; q.X < r.X {
					out = append(out, chord{q, r, i})
				} else if r.X < q.X {
					out = append(out, chord{r, q, i})
				}
			}
		}
	}
	slices.SortFunc(out, func(a, b chord) int {
		return cmp.Or(cmp.Compare(a.from.X, b.from.X), cmp.Compare(a.from.Y, b.from.Y), cmp.Compare(a.panel, b.panel))
	})
	return out
}

// stops lists where, along x, chords begin, end or cross, no two within the snap tolerance.
func stops(ctx context.Context, chords []chord) ([]float64, error) {
	var xs []float64
	for i, c := range chords {
		if err := ended(ctx); err != nil {
			return nil, err
		}
		xs = append(xs, c.from.X, c.to.X)
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

// crossAt is where two chords cross inside the stretch of x they share.
func crossAt(c, d chord) (float64, bool) {
	lo, hi := max(c.from.X, d.from.X), min(c.to.X, d.to.X)
	u, v := c.at(lo)-d.at(lo), c.at(hi)-d.at(hi)
	if (u > 0) == (v > 0) || max(math.Abs(u), math.Abs(v)) <= geom.SnapTolerance {
		return 0, false
	}
	return lo + (hi-lo)*u/(u-v), true
}

// deepest is the largest number of panels over one place of the upright line
// at x, which no chord ends on.
func (p *Posed) deepest(active []chord, x float64) int {
	type mark struct {
		y     float64
		panel int
	}
	marks := make([]mark, len(active))
	for i, c := range active {
		marks[i] = mark{c.at(x), c.panel}
	}
	slices.SortFunc(marks, func(a, b mark) int { return cmp.Or(cmp.Compare(a.y, b.y), cmp.Compare(a.panel, b.panel)) })
	in := make([]bool, len(p.plates))
	most, now := 0, 0
	for i, m := range marks {
		if in[m.panel] = !in[m.panel]; in[m.panel] {
			now += len(p.layers.members(m.panel))
		} else {
			now -= len(p.layers.members(m.panel))
		}
		if i+1 < len(marks) && marks[i+1].y-m.y > geom.SnapTolerance {
			most = max(most, now)
		}
	}
	return most
}
