package preview

import (
	"math"
	"sort"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/geom"
)

// axis is a direction that is measured: across the page, with dimensions below
// the blank, or up the page, with dimensions left of it; on the far side they
// stand above and right of it. It lets all share one code: "along" is the
// measured coordinate and "across" the other.
type axis struct{ upright, far bool }

func (a axis) split(p geom.Point) (along, across float64) {
	if a.upright {
		return p.Y, p.X
	}
	return p.X, p.Y
}

func (a axis) point(along, across float64) geom.Point {
	if a.upright {
		return geom.Pt(across, along)
	}
	return geom.Pt(along, across)
}

// outward moves a paper coordinate across the axis away from the blank.
func (a axis) outward(across, d float64) float64 {
	return across + float64(d*a.outwardSign())
}

// outwardSign is the sign of an outward step on the paper, where y runs down.
func (a axis) outwardSign() float64 {
	if a.upright != a.far {
		return -1
	}
	return 1
}

// outer is whichever of two paper coordinates lies further from the blank.
func (a axis) outer(v, w float64) float64 {
	if a.outwardSign() < 0 {
		return min(v, w)
	}
	return max(v, w)
}

// stations lists, in the design's own coordinates, the places to measure
// between: the ends of the blank and, between them, straight hinges square to
// the axis, the longest first, as long as every figure has room.
func (a axis) stations(b *blank.Blank, scale float64) []float64 {
	lo, _ := a.split(b.Bounds.Min)
	hi, _ := a.split(b.Bounds.Max)
	taken := []float64{lo, hi}
	for _, s := range a.hingeLines(b) {
		i := sort.SearchFloat64s(taken, s)
		if i == 0 || i == len(taken) || !roomy(s-taken[i-1], scale) || !roomy(taken[i]-s, scale) {
			continue
		}
		taken = append(taken[:i], append([]float64{s}, taken[i:]...)...)
	}
	return taken
}

// roomy reports whether a stretch of mm in the design holds its own figure.
func roomy(mm, scale float64) bool {
	return fitsBetween(mm*scale, (font{size: dimSize}).width(dimText(mm)))
}

// hingeLines lists the places along the axis where straight hinges run square
// to it, those with most hinge on them first.
func (a axis) hingeLines(b *blank.Blank) []float64 {
	type place struct{ at, length float64 }
	var places []place
	seen := map[int64]int{} // by place in steps of a weld
	for _, h := range b.Hinges {
		for _, c := range h.Curves {
			p, _ := a.split(c.P)
			q, _ := a.split(c.Q)
			if c.Kind != geom.Line || math.Abs(p-q) > geom.SnapTolerance {
				continue
			}
			key := int64(math.Round(p / geom.SnapTolerance))
			if _, ok := seen[key]; !ok {
				seen[key] = len(places)
				places = append(places, place{at: p})
			}
			places[seen[key]].length += c.Length()
		}
	}
	sort.SliceStable(places, func(i, j int) bool {
		return places[i].length > places[j].length+geom.SnapTolerance
	})
	out := make([]float64, len(places))
	for i, p := range places {
		out[i] = p.at
	}
	return out
}

// profile tells how far the board reaches toward the dimensions of an axis, so
// that extension lines start clear of it. Everything is on the paper.
type profile struct {
	a    axis
	rim  float64 // of the whole blank, across the axis
	segs []segment
}

func newProfile(a axis, box geom.Box, sheets []paperSheet) profile {
	_, v := a.split(box.Min)
	_, w := a.split(box.Max)
	p := profile{a: a, rim: a.outer(v, w)}
	for _, s := range sheets {
		for _, r := range s.rings {
			for _, c := range r {
				p.segs = append(p.segs, flatten(c)...)
			}
		}
	}
	return p
}

// at is the outermost board beside the place along; the blank's rim where there
// is none, as in a faulty blank whose boundary could not be traced.
func (p profile) at(along float64) float64 {
	const beside = 0.2 // mm on the paper, about a line's width
	from, found := p.rim, false
	for _, s := range p.segs {
		u, _ := p.a.split(s.a)
		v, _ := p.a.split(s.b)
		lo, hi := 0.0, 1.0
		if clipAxis(u-along, v-u, beside, &lo, &hi) {
			_, x := p.a.split(s.a.Lerp(s.b, lo))
			_, y := p.a.split(s.a.Lerp(s.b, hi))
			if x = p.a.outer(x, y); found {
				x = p.a.outer(from, x)
			}
			from, found = x, true
		}
	}
	return from
}
