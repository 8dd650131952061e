package preview

import (
	"math"
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
	dimSize    = 2.4 // type size
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
// hinges divide it, from hinge to hinge.
func measure(b *blank.Blank, m placing, sheets []paperSheet) *dims {
	d := &dims{}
	for _, upright := range []bool{false, true} {
		near, far := &dims{}, &dims{}
		near.measure(axis{upright, false}, b, m, sheets)
		far.measure(axis{upright, true}, b, m, sheets)
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
func (d *dims) measure(a axis, b *blank.Blank, m placing, sheets []paperSheet) {
	stops := a.stations(b, m.scale)
	edge := newProfile(a, m.box(b.Bounds), sheets)
	row := a.outward(edge.rim, firstRow)
	if len(stops) > 2 {
		for i := 1; i < len(stops); i++ {
			d.add(a, m, stops[i-1], stops[i], row)
		}
		for _, s := range stops[1 : len(stops)-1] {
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

func (d *dims) extend(a axis, m placing, at float64, edge profile, row float64) {
	along := a.onPaper(m, at)
	d.ext = append(d.ext, segment{
		a.point(along, a.outward(edge.at(along), gapAtBoard)),
		a.point(along, a.outward(row, pastLine)),
	})
}

// dimText writes a size to a hundredth of a millimetre, without a unit.
func dimText(v float64) string {
	return strconv.FormatFloat(math.Round(v*100)/100, 'f', -1, 64)
}

// enter marks what the dimensions take up.
func (d *dims) enter(f *field) {
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
