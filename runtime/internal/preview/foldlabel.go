package preview

import (
	"math"
	"strconv"

	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/model"
)

// foldSize is the type size of fold angles, mm.
const foldSize = 2.0

// foldText writes the angle of a finished fold with the way the panel goes: "90°
// in" folds away from the viewer, "free, out" was to be solved toward the
// viewer and was not found.
func foldText(h *model.Hinge, found map[*model.Hinge]float64) string {
	degrees := h.Fold.Degrees
	if free := h.Fold.Free; free != nil {
		var ok bool
		if degrees, ok = found[h]; !ok && free.Side == model.Out {
			return "free, out"
		} else if !ok {
			return "free, in"
		}
	}
	angle := strconv.FormatFloat(math.Round(math.Abs(degrees)*100)/100, 'f', -1, 64) + "°"
	switch {
	case angle == "0°":
		return angle
	case degrees < 0:
		return angle + " out"
	}
	return angle + " in"
}

// along lists the places on a hinge where its angle may stand, in parts of its
// length: the middle first.
var along = []float64{0.5, 0.36, 0.64, 0.22, 0.78, 0.12, 0.88}

// placeFold finds room for a hinge's angle close beside its line, reading
// along it: on the child's side where possible. The curves are on the paper.
func (f *field) placeFold(text string, curves []geom.Curve) (label, bool) {
	return f.placeBeside(label{text: text, font: font{size: foldSize}, colour: greyColour}, curves, 1)
}

// placeBeside finds room for a label beside a line, on the side given for
// choice: 1 is on the right of the way it runs, −1 on its left.
func (f *field) placeBeside(l label, curves []geom.Curve, first float64) (label, bool) {
	off := float64(l.font.size*halfHeight) + 2*clearance
	for _, turned := range []bool{false, true} {
		for _, side := range []float64{first, -first} {
			for _, t := range along {
				l.stand(curves, t, side*off, turned)
				if f.clear(l.tile().grow(clearance)) {
					return l, true
				}
			}
		}
	}
	return l, false
}

// stand puts the label beside the point a part t along the curves, off mm to
// the right of travel: paper coordinates run down, so that is their left turn.
// Turned text stands square to the line.
func (l *label) stand(curves []geom.Curve, t, off float64, turned bool) {
	p, dir := pointAlong(curves, t)
	l.angle = readable(dir.Angle().Degrees())
	if turned {
		l.angle = readable(l.angle + 90)
		reach := l.font.width(l.text)/2 + 2*clearance
		off = math.Copysign(reach, off)
	}
	l.mid = p.Add(dir.Left().Mul(off))
}

// readable brings a direction to one that reads from the bottom or the right
// edge of the page, as ISO 129-1 asks: −90 up to, not including, 90.
func readable(deg float64) float64 {
	deg = math.Mod(deg, 180)
	switch {
	case deg >= 90-1e-6:
		deg -= 180
	case deg < -90-1e-6:
		deg += 180
	}
	return math.Round(deg*1000) / 1000
}

// pointAlong is the place a part t of the whole length along the curves, with
// the direction of travel there.
func pointAlong(curves []geom.Curve, t float64) (geom.Point, geom.Point) {
	total := 0.0
	for _, c := range curves {
		total += c.Length()
	}
	left := t * total
	for i, c := range curves {
		l := c.Length()
		if left <= l || i == len(curves)-1 {
			k := c.ParamAt(left)
			return c.At(k), c.Tangent(k)
		}
		left -= l
	}
	return geom.Point{}, geom.Pt(1, 0)
}
