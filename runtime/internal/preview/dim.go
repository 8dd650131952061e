package preview

import (
	"context"
	"math"
	"sort"
	"strconv"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/geom"
)

// Distances round dimension lines on the paper, mm.
const (
	firstRow   = 7.0 // from the board to the nearest dimension line
	rowStep    = 6.0 // from there to the next
	gapAtBoard = 1.2 // between board and extension line
	pastLine   = 1.3 // an extension line's overshoot
	tick       = 1.0 // half the extent of the oblique stroke at either end
	dimSize    = lettering
	dimLift    = 0.7 // between the text and its line
	figureGap  = 0.3 // between the text and the stroke at either end
)

// dimension is one measured stretch with its figure, on the paper.
type dimension struct {
	p, q  geom.Point
	label label
}

// dims are the dimension lines of one blank with their extension lines.
type dims struct {
	lines []dimension
	ext   []segment // extension lines
	runOn []segment // dimension lines carried on under a figure outside
}

// measure dimensions a blank along both axes: over all and, where straight
// hinges divide it, from hinge to hinge. Dimensions are missing when the context
// ends.
func measure(ctx context.Context, b *blank.Blank, m placing, sheets []paperRegion) *dims {
	d, board := &dims{}, strokesOf(ctx, sheets)
	for _, upright := range []bool{false, true} {
		if ctx.Err() != nil {
			break
		}
		near, far := &dims{}, &dims{}
		near.measure(ctx, axis{upright, false}, b, m, board)
		far.measure(ctx, axis{upright, true}, b, m, board)
		if far.reach() < shorter*near.reach() {
			near = far
		}
		d.lines, d.ext = append(d.lines, near.lines...), append(d.ext, near.ext...)
		d.runOn = append(d.runOn, near.runOn...)
	}
	return d
}

// shorter is how much less extension line the far side must need before
// dimensions leave the usual place, below and left.
const shorter = 0.8

// reach is the length of all extension lines.
func (d *dims) reach() float64 {
	sum := 0.0
	for _, s := range d.ext {
		sum += s.a.Dist(s.b)
	}
	return sum
}

// measure draws the dimensions along one axis: from hinge to hinge in the row
// next to the board, over all in the row beyond.
func (d *dims) measure(ctx context.Context, a axis, b *blank.Blank, m placing, board []segment) {
	stops := a.stations(b, m.scale)
	edge := newProfile(a, m.box(b.Bounds), board)
	row := a.outward(edge.rim, firstRow)
	if len(stops) > 2 {
		for i := 1; i < len(stops); i++ {
			d.add(a, m, stops[i-1], stops[i], row)
		}
		for _, s := range stops[1 : len(stops)-1] {
			if ctx.Err() != nil { // each goes over the whole outline
				return
			}
			d.extend(a, m, s, edge, row)
		}
		row = a.outward(row, rowStep)
	}
	lo, hi := stops[0], stops[len(stops)-1]
	d.add(a, m, lo, hi, row)
	d.extend(a, m, lo, edge, row)
	d.extend(a, m, hi, edge, row)
}

// onPaper is the paper coordinate of a design coordinate along the axis.
func (a axis) onPaper(m placing, v float64) float64 {
	along, _ := a.split(m.point(a.point(v, 0)))
	return along
}

// add draws one dimension line with its figure above it, or left of it.
func (d *dims) add(a axis, m placing, from, to, row float64) {
	p, q := a.point(a.onPaper(m, from), row), a.point(a.onPaper(m, to), row)
	l := label{text: dimText(to - from), font: font{size: dimSize}, colour: inkColour}
	lift := geom.Pt(0, -dimSize*capHeight/2-dimLift)
	if a.upright {
		l.angle, lift = -90, geom.Pt(lift.Y, 0)
	}
	l.mid = p.Lerp(q, 0.5).Add(lift)
	if width := l.font.width(l.text); !fitsBetween(p.Dist(q), width) {
		// No room between the ends: the figure goes beyond the far one, and
		// the line runs on under it.
		end := q.Add(q.Sub(p).Unit().Mul(width + 2*tick))
		l.mid = q.Lerp(end, 0.5).Add(q.Sub(p).Unit().Mul(tick / 2)).Add(lift)
		d.runOn = append(d.runOn, segment{q, end})
	}
	d.lines = append(d.lines, dimension{p, q, l})
}

// fitsBetween reports whether a figure of that width stands clear of the
// strokes at both ends of a dimension line of that length.
func fitsBetween(length, width float64) bool { return width+2*(tick+figureGap) <= length }

// extend adds the extension line of a station at a design coordinate: from
// gapAtBoard off the board to pastLine beyond the dimension line at row.
func (d *dims) extend(a axis, m placing, at float64, edge profile, row float64) {
	along := a.onPaper(m, at)
	d.ext = append(d.ext, segment{
		a.point(along, a.outward(edge.at(along), gapAtBoard)),
		a.point(along, a.outward(row, pastLine)),
	})
}

// dimText writes a size to a hundredth of a millimetre, without a unit.
func dimText(v float64) string {
	return strconv.FormatFloat(math.Round(exact(v)*100)/100, 'f', -1, 64)
}

// register marks what the dimensions take up.
func (d *dims) register(f *occupancy) {
	for _, s := range d.rules() {
		f.addLine(s.a, s.b)
	}
	for _, l := range d.lines {
		f.addTile(l.label.tile())
	}
}

// rules lists every thin line of the dimensions.
func (d *dims) rules() []segment {
	out := append(append([]segment{}, d.ext...), d.runOn...)
	for _, l := range d.lines {
		out = append(out, segment{l.p, l.q})
	}
	return out
}

// extent is the box round all dimensions.
func (d *dims) extent() geom.Box {
	b := geom.EmptyBox()
	for _, s := range d.rules() {
		b = b.Add(s.a).Add(s.b)
	}
	for _, l := range d.lines {
		b = b.Union(l.label.tile().bounds()).Union(geom.BoxOf(l.p, l.q).Grow(tick))
	}
	return b
}

// write draws rules, ticks and figures, in this order.
func (d *dims) write(w Surface) {
	var rules, ticks []geom.Curve
	for _, s := range d.rules() {
		rules = append(rules, geom.LineFrom(s.a, s.b))
	}
	for _, l := range d.lines {
		for _, p := range []geom.Point{l.p, l.q} {
			ticks = append(ticks, geom.LineFrom(p.Add(geom.Pt(-tick, tick)), p.Add(geom.Pt(tick, -tick))))
		}
	}
	w.Open(Paint{Class: "dimensions", Fill: None, Stroke: greyColour, Width: hairline}, geom.Point{})
	w.Curves([]blank.Stroke{{Curves: rules}}, Paint{})
	w.Curves([]blank.Stroke{{Curves: ticks}}, stroked(inkColour, 2*narrow))
	w.Close()
	for _, l := range d.lines {
		l.label.write(w)
	}
}

// axis is a direction that is measured: across the page, with dimensions below
// the blank, or up the page, with dimensions left of it; on the far side they
// stand above and right of it. It lets all share one code: "along" is the
// measured coordinate and "across" the other.
type axis struct{ upright, far bool }

// split takes a point apart into its coordinates along and across the axis.
func (a axis) split(p geom.Point) (along, across float64) {
	if a.upright {
		return p.Y, p.X
	}
	return p.X, p.Y
}

// point is the inverse of split.
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
	seen := map[int64]int{} // by place in steps of the snap tolerance
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
	rim  float64   // of the whole blank, across the axis
	segs []segment // the outlines of all panels
}

// strokesOf gives the outlines of all panels as straight strokes, as far as the
// context lets it.
func strokesOf(ctx context.Context, sheets []paperRegion) []segment {
	var out []segment
	for i, s := range sheets {
		if ended(ctx, i) {
			break
		}
		for _, r := range s.rings {
			for _, c := range r {
				out = append(out, flatten(c)...)
			}
		}
	}
	return out
}

// newProfile is the profile of a blank with a box on the paper and panels whose
// outlines are board.
func newProfile(a axis, box geom.Box, board []segment) profile {
	_, v := a.split(box.Min)
	_, w := a.split(box.Max)
	return profile{a: a, rim: a.outer(v, w), segs: board}
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
