package preview

import (
	"cmp"
	"context"
	"math"
	"slices"
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
	dimLift    = 0.7               // between the text and its line
	levelStep  = dimSize + dimLift // between levels of figures beyond a line
	figureGap  = 0.3               // between the text and the stroke at either end
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

// measure dimensions a blank along both axes: chains of panels in rows beside the
// board, and over all beyond. Dimensions are missing when the context ends.
func measure(ctx context.Context, b *blank.Blank, m placing, sheets []paperRegion) *dims {
	d, board, boxes := &dims{}, strokesOf(ctx, sheets), boardBoxes(b)
	for _, upright := range []bool{false, true} {
		sides := [2]side{{axis: axis{upright, false}}, {axis: axis{upright, true}}}
		for i := range sides {
			sides[i].m, sides[i].edge = m, newProfile(sides[i].axis, m.box(b.Bounds), board)
		}
		first := &sides[0]
		for i, k := range first.chains(b, boxes) {
			s := &sides[0]
			if sides[1].cost(k, b.Bounds) < shorter*s.cost(k, b.Bounds) {
				s = &sides[1]
			}
			if i == 0 {
				first = s
			}
			s.rows = append(s.rows, dimRow{chain: k, reach: s.reach(k, b.Bounds)})
		}
		for i := range sides {
			slices.SortStableFunc(sides[i].rows, func(p, q dimRow) int { return cmp.Compare(p.reach, q.reach) })
		}
		first.overall(b.Bounds)
		for i := range sides {
			sides[i].draw(ctx, d)
		}
	}
	return d
}

// shorter is how much less extension line the far side must need before
// dimensions leave the usual place, below and left.
const shorter = 0.8

// rowCost is how much longer, in mm of the design, the extension lines of a chain may
// be to save a row of dimensions.
const rowCost = 12.0

// side is the rows of dimensions on one side of a blank, the innermost first.
type side struct {
	axis
	m    placing
	edge profile
	rows []dimRow
}

// dimRow is a chain with its place on the paper.
type dimRow struct {
	chain
	reach float64 // mean length of its extension lines over the blank, mm of the design
	at    float64 // across the axis, on the paper
	drawn []bool  // by stop, whether a dimension line ends there
}

// reach is the mean distance of a chain's stops from the blank's rim on this side.
func (a axis) reach(k chain, bounds geom.Box) float64 {
	_, lo := a.split(bounds.Min)
	_, hi := a.split(bounds.Max)
	sum := 0.0
	for _, box := range k.reach {
		_, from := a.split(box.Min)
		_, to := a.split(box.Max)
		if a.far {
			sum += hi - to
		} else {
			sum += from - lo
		}
	}
	return sum / float64(len(k.reach))
}

// cost weighs the extension lines of one more chain on this side, and its row.
func (s *side) cost(k chain, bounds geom.Box) float64 {
	return s.reach(k, bounds) + rowCost*float64(len(s.rows))
}

// overall adds the row of the whole blank as the outermost, unless a chain is no more.
func (s *side) overall(bounds geom.Box) {
	lo, _ := s.split(bounds.Min)
	hi, _ := s.split(bounds.Max)
	s.rows = slices.DeleteFunc(s.rows, func(r dimRow) bool {
		return len(r.stops) == 2 && math.Abs(r.stops[0]-lo) < sameStation && math.Abs(r.stops[1]-hi) < sameStation
	})
	s.rows = append(s.rows, dimRow{chain: chain{stops: []float64{lo, hi}}})
}

// draw places the rows from the board outward, and then their extension lines. The
// figures of a row keep clear of the extension lines of those beyond.
func (s *side) draw(ctx context.Context, d *dims) {
	at := s.outward(s.edge.rim, firstRow)
	for i := range s.rows {
		var cross []float64
		for _, r := range s.rows[i+1:] {
			for _, stop := range r.stops {
				cross = append(cross, s.onPaper(s.m, stop))
			}
		}
		r := &s.rows[i]
		r.at = at
		levels := d.row(s, r, cross)
		if slices.Contains(r.drawn, true) {
			at = s.outward(at, rowStep+float64(levelStep*float64(levels)))
		}
	}
	var done []float64
	for i := len(s.rows) - 1; i >= 0; i-- {
		r := s.rows[i]
		for j, stop := range r.stops {
			if ctx.Err() != nil { // each goes over the whole outline
				return
			}
			along := s.onPaper(s.m, stop)
			same := func(v float64) bool { return math.Abs(v-along) < sameStation }
			if r.drawn[j] && !slices.ContainsFunc(done, same) {
				done = append(done, along)
				d.extend(s, along, r.at)
			}
		}
	}
}

// onPaper is the paper coordinate of a design coordinate along the axis.
func (a axis) onPaper(m placing, v float64) float64 {
	along, _ := a.split(m.point(a.point(v, 0)))
	return along
}

// row draws the dimension lines of a row. A stretch whose figure finds no room has
// none: the list of panels tells it. The answer is how many levels of figures stand
// beyond the lines.
func (d *dims) row(s *side, r *dimRow, cross []float64) (beyond int) {
	r.drawn = make([]bool, len(r.stops))
	f := rowFigures{side: s, dims: d, at: r.at, cross: cross}
	last := len(r.stops) - 2
	for i := 0; i <= last; i++ {
		from, to := s.onPaper(s.m, r.stops[i]), s.onPaper(s.m, r.stops[i+1])
		l := label{text: dimText(r.stops[i+1] - r.stops[i]), font: font{size: dimSize}, colour: inkColour}
		if s.upright {
			l.angle = -90
		}
		p, q := s.point(from, r.at), s.point(to, r.at)
		switch {
		case f.between(&l, from, to):
		case i == last && f.past(&l, from, to):
			d.runOn = append(d.runOn, segment{q, s.point(f.end, r.at)})
		case i == 0 && f.past(&l, to, from):
			d.runOn = append(d.runOn, segment{p, s.point(f.end, r.at)})
		case f.beyond(&l, from, to, 1):
			beyond = max(beyond, 1)
		case f.led((from+to)/2) && f.beyond(&l, from, to, 2):
			beyond = 2
			d.runOn = append(d.runOn, segment{p.Lerp(q, 0.5), s.point((from+to)/2, s.outward(r.at, levelStep+tick))})
		default:
			continue
		}
		r.drawn[i], r.drawn[i+1] = true, true
		d.lines = append(d.lines, dimension{p, q, l})
	}
	return beyond
}

// rowFigures finds room for the figures of one row.
type rowFigures struct {
	*side
	dims  *dims
	at    float64
	cross []float64       // places along the axis of extension lines of rows further out
	taken [3][][2]float64 // along the axis: at the line, beyond it, and further beyond
	end   float64         // of the line run on under the last figure past an end
}

// free takes room of a width round a place along the axis on a level, if it is free.
func (f *rowFigures) free(mid, width float64, level int) bool {
	lo, hi := mid-width/2-figureGap, mid+width/2+figureGap
	if slices.ContainsFunc(f.cross, func(c float64) bool { return lo < c && c < hi }) {
		return false
	}
	met := func(t [2]float64) bool { return t[0] < hi && t[1] > lo }
	if slices.ContainsFunc(f.taken[level], met) {
		return false
	}
	// Above a line, or left of it, is beyond it where the board lies below or right.
	if f.outwardSign() < 0 && level < 2 && slices.ContainsFunc(f.taken[1-level], met) {
		return false
	}
	f.taken[level] = append(f.taken[level], [2]float64{lo, hi})
	return true
}

// between places a figure above its line, or left of it, between the ends: in the
// middle if that is free.
func (f *rowFigures) between(l *label, from, to float64) bool {
	width := l.font.width(l.text)
	room := math.Abs(to-from) - width - 2*(tick+figureGap)
	if room < 0 {
		return false
	}
	for _, t := range []float64{0, -0.25, 0.25, -0.5, 0.5} {
		if mid := (from+to)/2 + float64(t*room); f.free(mid, width, 0) {
			f.put(l, mid, -dimSize*capHeight/2-dimLift)
			return true
		}
	}
	return false
}

// past places a figure on a line run on past the end to.
func (f *rowFigures) past(l *label, from, to float64) bool {
	width := l.font.width(l.text)
	way := math.Copysign(1, to-from)
	mid := to + float64(way*(width/2+1.5*tick))
	f.end = to + float64(way*(width+2*tick))
	f.put(l, mid, -dimSize*capHeight/2-dimLift)
	return f.dims.clearOf(l.tile().grow(figureGap), segment{f.point(to, f.at), f.point(f.end, f.at)}) && f.free(mid, width, 0)
}

// beyond places a figure on the side away from the board, past the ends of the
// extension lines, on a level counted from 1.
func (f *rowFigures) beyond(l *label, from, to float64, level int) bool {
	mid := (from + to) / 2
	if !f.free(mid, l.font.width(l.text), level) {
		return false
	}
	f.put(l, mid, float64(f.outwardSign()*(pastLine+dimLift+dimSize*capHeight/2+float64(levelStep*float64(level-1)))))
	return true
}

// led reports whether a leader from a place on the line to the second level meets no
// figure on the first.
func (f *rowFigures) led(mid float64) bool {
	over := func(t [2]float64) bool { return t[0] < mid && mid < t[1] }
	return !slices.ContainsFunc(f.taken[1], over) && (f.outwardSign() > 0 || !slices.ContainsFunc(f.taken[0], over))
}

// put sets a figure's middle, lift off the line across the axis.
func (f *rowFigures) put(l *label, mid, lift float64) { l.mid = f.point(mid, f.at+lift) }

// clearOf reports whether a figure on a line run on keeps off those of the other axis,
// which may run on past the same corner of the blank.
func (d *dims) clearOf(t tile, runOn segment) bool {
	for _, l := range d.lines {
		if o := l.label.tile(); o.meets(t) || o.crosses(runOn.a, runOn.b) {
			return false
		}
	}
	return !slices.ContainsFunc(d.runOn, func(s segment) bool { return t.crosses(s.a, s.b) })
}

// extend adds the extension line of a station on the paper: from gapAtBoard off the
// board to pastLine beyond the dimension line at row.
func (d *dims) extend(s *side, along, row float64) {
	d.ext = append(d.ext, segment{
		s.point(along, s.outward(s.edge.at(along), gapAtBoard)),
		s.point(along, s.outward(row, pastLine)),
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

// write draws rules, ticks and figures, in this order, in groups of a class.
func (d *dims) write(w Surface, class string) {
	if len(d.lines) == 0 {
		return
	}
	var rules, ticks []geom.Curve
	for _, s := range d.rules() {
		rules = append(rules, geom.LineFrom(s.a, s.b))
	}
	for _, l := range d.lines {
		for _, p := range []geom.Point{l.p, l.q} {
			ticks = append(ticks, geom.LineFrom(p.Add(geom.Pt(-tick, tick)), p.Add(geom.Pt(tick, -tick))))
		}
	}
	w.Open(Paint{Class: class, Fill: None, Stroke: greyColour, Width: hairline}, geom.Point{})
	w.Curves([]blank.Stroke{{Curves: rules}}, Paint{})
	w.Curves([]blank.Stroke{{Curves: ticks}}, stroked(inkColour, 2*narrow))
	w.Close()
	w.Open(Paint{Class: class}, geom.Point{})
	for _, l := range d.lines {
		l.label.write(w)
	}
	w.Close()
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
				out = appendStrokes(out, c)
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
