package preview

import (
	"math"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/geom"
)

// placeOpenings measures the windows of panels on the drawing where there is room:
// their size, and their place from the panel's left or right and lower or upper edge,
// of those alike in one panel that of the first. The list of panels tells all.
func (fl *flatPicture) placeOpenings() {
	var boxes []geom.Box
	for i, s := range fl.blank.Regions {
		if fl.ctx.Err() != nil || len(fl.openings.lines) >= mostSizes {
			return
		}
		if len(s.Panel.Windows) == 0 {
			continue
		}
		if boxes == nil {
			boxes = boardBoxes(fl.blank)
		}
		m := measuring{panel: s.Panel, box: boxes[i]}
		if m.settle(); m.turned {
			continue
		}
		seen := map[string]bool{}
		for _, w := range s.Panel.Windows {
			o, ok := m.opening("", w.Outline)
			if !ok || seen[o.what] {
				continue
			}
			seen[o.what] = true
			for _, a := range []axis{{upright: false}, {upright: true}} {
				fl.placeOpening(a, o, m.box)
			}
			if !o.circle && !fl.told[o.what] {
				fl.placeOpeningSize(o, w.Outline.Transform(m.m).Curves())
			}
		}
	}
}

// placeOpeningSize writes the size of an opening in its middle, or beside its edge.
func (fl *flatPicture) placeOpeningSize(o opening, ring blank.Ring) {
	l := label{text: o.what, font: font{size: lettering}, colour: inkColour, mid: fl.m.point(o.box.Mid())}
	for _, l.angle = range []float64{0, -90} {
		if fl.occupancy.clear(l.tile().grow(clearance)) {
			fl.tellOpening(l)
			return
		}
	}
	for _, c := range ring {
		if found, ok := fl.occupancy.placeBeside(l, []geom.Curve{fl.m.curve(c)}, -1); ok {
			fl.tellOpening(found)
			return
		}
	}
}

// tellOpening adds the label of an opening's size, which is told once a blank.
func (fl *flatPicture) tellOpening(l label) {
	if fl.told == nil {
		fl.told = map[string]bool{}
	}
	fl.told[l.text] = true
	l.glue = fl.onGlue(l.mid)
	fl.addLabel(l)
}

// placeOpening draws the dimension along an axis from an edge of the panel's box to an
// opening, if one of a few places has room for it.
func (fl *flatPicture) placeOpening(a axis, o opening, box geom.Box) {
	lo, _ := a.split(box.Min)
	hi, _ := a.split(box.Max)
	near, below := a.split(o.box.Min)
	far, above := a.split(o.box.Max)
	levels := []float64{0.5, 0.25, 0.75}
	ends := [2]float64{near, far}
	if o.circle {
		mid, _ := a.split(o.at)
		levels, ends = levels[:1], [2]float64{mid, mid}
	}
	for _, t := range levels {
		across := below + float64(t*(above-below))
		if fl.placeStretch(a, lo, ends[0], near, across) || fl.placeStretch(a, hi, ends[1], far, across) {
			return
		}
	}
}

// placeStretch draws a dimension from an edge at one place along an axis to an opening
// at another, whose rim it meets first, if that lies within the panel, its figure has
// room and neither crosses anything.
func (fl *flatPicture) placeStretch(a axis, edge, to, rim, across float64) bool {
	p, q := fl.m.point(a.point(edge, across)), fl.m.point(a.point(to, across))
	r := fl.m.point(a.point(rim, across))
	l := label{text: dimText(math.Abs(to - edge)), font: font{size: dimSize}, colour: inkColour}
	lift := geom.Pt(0, -dimSize*capHeight/2-dimLift)
	if a.upright {
		l.angle, lift = -90, geom.Pt(lift.Y, 0)
	}
	l.mid = p.Lerp(r, 0.5).Add(lift)
	room := p.Dist(r)
	bare := tile{p.Lerp(r, 0.5), r.Sub(p).Unit(), room/2 - tick, narrow}
	if (rim-edge)*(to-edge) <= 0 || room < l.font.width(l.text)+2*(tick+figureGap) || !fl.occupancy.clear(bare) || !fl.occupancy.clear(l.tile().grow(figureGap)) {
		return false
	}
	l.glue = fl.onGlue(l.mid)
	fl.openings.lines = append(fl.openings.lines, dimension{p, q, l})
	fl.occupancy.addLine(p, q)
	fl.occupancy.addTile(l.tile())
	return true
}
