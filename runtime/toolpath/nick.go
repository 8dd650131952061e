package toolpath

import (
	"cmp"
	"math"
	"slices"

	"github.com/creasewright/creasewright/runtime/board"
	"github.com/creasewright/creasewright/runtime/geom"
)

const (
	// nickTurn is how far, in radians, a cut may turn within a nick: on a tighter curve
	// the rest of the bridge shows as a flat and cannot be trimmed flush.
	nickTurn = 0.5

	// nickCorner is from which turn on two curves meet in a corner, in radians: 5°. Less is
	// seen as one curve.
	nickCorner = 5 * math.Pi / 180
)

// nickMargins is how far, in mm, nicks stay from corners and from where other lines end. The
// first is what makers keep to where they can (common practice, no source); the next ones serve cuts that
// are too short for it.
var nickMargins = [...]float64{10, 5, 2}

// nicked leaves bridges in a closed chain of curves, each gap mm long, and gives the
// open chains between, end to end; the first holds the chain's start. want is how many bridges were asked
// for. Fewer were made if got is less: the chain has no more places that are far enough
// from its corners and from the points of keepOff, at most near mm off it, lie
// within one curve, and on none that turns more than nickTurn there. Bridges are spread evenly, as
// nearly as the places allow, and of all ways to begin the one is taken that is
// symmetric where the chain is, moves them least, and keeps them furthest from what they
// have to avoid, which puts them into the middle of sides.
func nicked(curves []geom.Curve, n board.Nicks, gap float64, keepOff []geom.Point, near float64) (parts [][]geom.Curve, got, want int) {
	r := newRim(curves)
	want = max(n.Count, 1)
	if n.Spacing > 0 {
		want = int(math.Min(board.MostNicks, math.Ceil(r.total/n.Spacing-geom.Tiny)))
	}
	avoid := r.avoid(keepOff, near)
	var at []float64
	for _, margin := range nickMargins {
		if at = r.places(want, gap, avoid, margin); len(at) == want {
			break
		}
	}
	if len(at) == 0 {
		return nil, 0, want
	}
	for i := range at {
		from, to := at[(i+len(at)-1)%len(at)], at[i]
		if i == 0 {
			from -= r.total
		}
		parts = append(parts, r.part(from+gap/2, to-gap/2))
	}
	return parts, len(at), want
}

// rim is a closed chain of curves with the length, in mm, from its start to each.
type rim struct {
	curves []geom.Curve
	starts []float64
	total  float64
}

func newRim(curves []geom.Curve) rim {
	r := rim{curves: curves}
	for _, c := range curves {
		r.starts = append(r.starts, r.total)
		r.total += c.Length()
	}
	return r
}

// part is the stretch of the rim from one length along it to a later one, less than a
// round apart. Lengths may lie a round outside.
func (r rim) part(from, to float64) []geom.Curve {
	var out []geom.Curve
	for round := -1.0; round <= 1; round++ {
		for i, c := range r.curves {
			start := r.starts[i] + float64(round*r.total)
			length := c.Length()
			a, b := max(from-start, 0), min(to-start, length)
			if b-a > geom.Tiny {
				out = append(out, c.Part(c.ParamAt(a), c.ParamAt(b)))
			}
		}
	}
	return out
}

// avoid lists the lengths along the rim of its corners and of the points that lie no more than
// near mm off it.
func (r rim) avoid(points []geom.Point, near float64) []float64 {
	var out []float64
	for i, c := range r.curves {
		before := r.curves[(i+len(r.curves)-1)%len(r.curves)]
		if geom.AngleBetween(before.Tangent(1), c.Tangent(0)).Abs().Radians() > nickCorner {
			out = append(out, r.starts[i])
		}
		box := c.Bounds().Grow(near)
		for _, p := range points {
			if !box.Contains(p) {
				continue
			}
			if t, d := c.Nearest(p); d <= near {
				out = append(out, r.starts[i]+c.Part(0, max(t, geom.Tiny)).Length())
			}
		}
	}
	return out
}

// span is a stretch of lengths along a rim.
type span struct{ from, to float64 }

// tight lists where the rim turns too much for a nick.
func (r rim) tight(gap float64) []span {
	const steps = 64
	var out []span
	for i, c := range r.curves {
		switch {
		case c.Kind == geom.Arc && c.R*nickTurn < gap:
			out = append(out, span{r.starts[i], r.starts[i] + c.Length()})
		case c.Kind == geom.Cubic:
			for k := range steps {
				d1, d2 := c.Derivatives((float64(k) + 0.5) / steps)
				if v := d1.Len(); math.Abs(d1.Cross(d2))*gap > nickTurn*v*v*v {
					from := r.starts[i] + c.Part(0, max(float64(k)/steps, geom.Tiny)).Length()
					to := r.starts[i] + c.Part(0, float64(k+1)/steps).Length()
					out = append(out, span{from, to})
				}
			}
		}
	}
	return out
}

// free lists where the middle of a nick may lie, in order. The ends of all curves are taken,
// the rim's start among them, so that no stretch leads over that.
func (r rim) free(gap float64, avoid []float64, margin float64) []span {
	var taken []span
	for _, s := range r.starts {
		taken = append(taken, span{s - gap/2, s + gap/2})
	}
	for _, s := range avoid {
		taken = append(taken, span{s - gap/2 - margin, s + gap/2 + margin})
	}
	for _, s := range r.tight(gap) {
		taken = append(taken, span{s.from - gap/2, s.to + gap/2})
	}
	for _, s := range slices.Clone(taken) {
		taken = append(taken, span{s.from - r.total, s.to - r.total}, span{s.from + r.total, s.to + r.total})
	}
	slices.SortFunc(taken, func(a, b span) int { return cmp.Compare(a.from, b.from) })
	var out []span
	at := 0.0
	for _, s := range taken {
		if s.from > at && at < r.total {
			out = append(out, span{at, min(s.from, r.total)})
		}
		at = max(at, s.to)
	}
	return out
}

// places chooses where the middles of the nicks lie, in order; fewer than wanted where
// there is no room.
func (r rim) places(want int, gap float64, avoid []float64, margin float64) []float64 {
	free := r.free(gap, avoid, margin)
	if len(free) == 0 {
		return nil
	}
	step := r.total / float64(want)
	axes := r.axes()
	anchors := slices.Concat(axes, avoid)
	for _, s := range free {
		anchors = append(anchors, s.from, (s.from+s.to)/2, s.to)
	}
	var best spread
	for i, a := range anchors {
		for _, phase := range [...]float64{a, a + step/2} {
			s := r.spread(want, step, math.Mod(phase, step), free, 2*gap)
			s.symmetric = i < len(axes)
			if best.at == nil || s.before(best) {
				best = s
			}
		}
	}
	return best.at
}

// axes lists the lengths along the rim at which an axis crosses it that mirrors the rim onto
// itself: ends and middles of curves are tried, no more than mostAxes.
func (r rim) axes() []float64 {
	if len(r.curves) > mostAxes {
		return nil
	}
	var out []float64
	for i, c := range r.curves {
		for _, a := range [...]float64{r.starts[i], r.starts[i] + c.Length()/2} {
			if r.mirrors(a) {
				out = append(out, a)
			}
		}
	}
	return out
}

// mostAxes is of how many curves a rim may be for axes to be looked for, as the time grows with the
// square of their number.
const mostAxes = 200

// mirrors reports whether the rim is its own mirror image in the axis through its
// points at a and half a round further, at the ends and middles of all curves within
// seenEven mm.
func (r rim) mirrors(a float64) bool {
	const seenEven = 0.05
	from := r.at(a)
	dir := r.at(a + r.total/2).Sub(from).Unit()
	for i, c := range r.curves {
		for _, s := range [...]float64{r.starts[i], r.starts[i] + c.Length()/2} {
			off := r.at(s).Sub(from)
			image := from.Add(dir.Mul(2 * off.Dot(dir))).Sub(off)
			if r.at(2*a-s).Dist(image) > seenEven {
				return false
			}
		}
	}
	return true
}

// at is the point at a length along the rim, counted round it.
func (r rim) at(s float64) geom.Point {
	s = math.Mod(math.Mod(s, r.total)+r.total, r.total)
	i, found := slices.BinarySearch(r.starts, s)
	if !found {
		i--
	}
	c := r.curves[i]
	return c.At(c.ParamAt(s - r.starts[i]))
}

// spread is one way to lay nicks.
type spread struct {
	at        []float64
	moved     float64 // sum of the squares of the distances from even spacing
	clearance float64 // least way to the end of a free stretch
	symmetric bool
	phase     float64
}

// before reports whether s is better than o. Figures are compared in steps that
// rounding does not reach.
func (s spread) before(o spread) bool {
	step := func(v float64) float64 { return math.Round(v * 1e5) }
	return cmp.Or(
		cmp.Compare(len(o.at), len(s.at)),
		cmp.Compare(one(o.symmetric), one(s.symmetric)),
		cmp.Compare(step(s.moved), step(o.moved)),
		cmp.Compare(step(o.clearance), step(s.clearance)),
		cmp.Compare(step(s.phase), step(o.phase))) < 0
}

func one(yes bool) int {
	if yes {
		return 1
	}
	return 0
}

// spread lays nicks every step mm from phase on, each moved to the nearest free place; one that
// would come closer than apart to the one before it, or to the first, is left out.
func (r rim) spread(want int, step, phase float64, free []span, apart float64) spread {
	s := spread{phase: phase, clearance: math.Inf(1)}
	for i := range want {
		ideal := phase + float64(float64(i)*step)
		at, stretch := nearestFree(ideal, free, r.total)
		if k := len(s.at); k > 0 && (at-s.at[k-1] < apart || s.at[0]+r.total-at < apart) {
			continue
		}
		s.at = append(s.at, at)
		off := math.Remainder(at-ideal, r.total)
		s.moved += float64(off * off)
		s.clearance = min(s.clearance, at-stretch.from, stretch.to-at)
	}
	slices.Sort(s.at)
	return s
}

// nearestFree is the free place nearest to a length along a closed rim, and its stretch.
func nearestFree(ideal float64, free []span, total float64) (float64, span) {
	best, in, least := 0.0, span{}, math.Inf(1)
	i, _ := slices.BinarySearchFunc(free, ideal, func(s span, v float64) int { return cmp.Compare(s.to, v) })
	n := len(free)
	for _, k := range [...]int{(i + n - 1) % n, i % n, (i + 1) % n} {
		s := free[k]
		for _, round := range [...]float64{-total, 0, total} {
			at := min(max(ideal, s.from+round), s.to+round)
			if d := math.Abs(at - ideal); d < least {
				best, in, least = at-round, s, d
			}
		}
	}
	return best, in
}
