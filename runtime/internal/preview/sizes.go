package preview

import (
	"cmp"
	"context"
	"math"
	"slices"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/model"
)

// Limits of the sizes that stand at their lines, beside the dimension lines
// along the axes.
const (
	mostSizes  = 10  // different ones on a blank; more would hide the lines
	mostTried  = 200 // lines tried for one figure, which bounds the time of blanks with thousands
	leastSized = 4.0 // mm of line on the paper
	leastBend  = 2.0 // mm of arc on the paper
	// askew is the sine of the angle to both axes from which a line is measured
	// along itself; others are measured by the dimension lines.
	askew = 1e-3
)

// size is a figure and the lines that it holds for, on the paper. A circle's
// stands in its middle if it can.
type size struct {
	text   string
	lines  []geom.Curve
	circle bool
}

// placeSizes writes what the dimension lines do not tell: the length of slanting
// edges and creases of panels, the radius of arcs and the diameter of round
// windows, each figure once, where it finds room; the longest lines come first.
func (fl *flatPicture) placeSizes() {
	all := sizesOf(fl.ctx, fl.blank, fl.m)
	for _, s := range all[:min(len(all), mostSizes)] {
		if fl.ctx.Err() != nil {
			return
		}
		if l, ok := fl.occupancy.placeSize(s); ok {
			l.glue = fl.onGlue(l.mid)
			fl.addLabel(l)
		}
	}
}

// placeSize finds room for a figure at one of its lines, off the board for
// choice: windows and contours have board on their left.
func (f *occupancy) placeSize(s size) (label, bool) {
	l := label{text: s.text, font: font{size: foldSize}, colour: inkColour}
	for _, c := range s.lines[:min(len(s.lines), mostTried)] {
		if s.circle {
			l.mid, l.angle = c.C, 0
			if f.clear(l.tile().grow(clearance)) {
				return l, true
			}
		}
		if found, ok := f.placeBeside(l, []geom.Curve{c}, 1); ok {
			return found, true
		}
	}
	return l, false
}

// sizesOf lists the figures of a blank, those of the longest lines first.
func sizesOf(ctx context.Context, b *blank.Blank, m placing) []size {
	found := map[string]int{}
	var out []size
	add := func(s size, c geom.Curve, least float64) {
		if c = m.curve(c); c.Length() < least {
			return
		}
		i, ok := found[s.text]
		if !ok {
			i = len(out)
			found[s.text] = i
			out = append(out, s)
		}
		out[i].lines = append(out[i].lines, c)
	}
	for i, s := range b.Regions {
		if ended(ctx, i) {
			break
		}
		for _, r := range s.Rings {
			if c, ok := circleOf(r); ok {
				add(size{text: diameterSign + dimText(2*c.R), circle: true}, c, 0)
				continue
			}
			for _, c := range r {
				switch {
				case c.Kind == geom.Arc:
					add(size{text: "R" + dimText(c.R)}, c, leastBend)
				case c.Kind == geom.Line && s.Panel.Role == model.Plain && slants(c):
					add(size{text: dimText(c.Length())}, c, leastSized)
				}
			}
		}
	}
	slices.SortStableFunc(out, func(a, b size) int { return cmp.Compare(b.lines[0].Length(), a.lines[0].Length()) })
	return out
}

// diameterSign is written before a diameter, as R is before a radius (ISO 129-1
// has U+2300, which few fonts have; value from memory).
const diameterSign = "Ø"

// slants reports whether a line runs along neither axis.
func slants(c geom.Curve) bool {
	d := c.Q.Sub(c.P).Unit()
	return math.Min(math.Abs(d.X), math.Abs(d.Y)) > askew
}

// circleOf is the first arc of a ring that is one whole circle.
func circleOf(r blank.Ring) (geom.Curve, bool) {
	turned := 0.0
	for _, c := range r {
		if c.Kind != geom.Arc || c.C.Dist(r[0].C) > geom.SnapTolerance || math.Abs(c.R-r[0].R) > geom.SnapTolerance {
			return geom.Curve{}, false
		}
		turned += c.Sweep.Radians()
	}
	return r[0], math.Abs(turned) > 1.9*math.Pi // a ring is closed, so all or nothing
}
