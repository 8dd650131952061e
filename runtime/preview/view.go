package preview

import (
	"strings"

	"github.com/creasewright/creasewright/runtime/geom"
)

// toneLook says how a shape of a view is painted.
type toneLook struct {
	fill, stroke string
	width        float64
	dash         []float64
}

// toneLooks is indexed by Tone.
var toneLooks = [...]toneLook{
	OutsideFace:  {fill: boardColour},
	InsideFace:   {fill: insideColour},
	ContentsFace: {fill: productColour},
	FaultFace:    {fill: vermilion},
	Rim:          {fill: "none", stroke: inkColour, width: 0.25},
	Crease:       {fill: "none", stroke: blue, width: narrow},
	Behind:       {fill: "none", stroke: greyColour, width: hairline, dash: dashed},
}

// viewBox is the smallest box round all that a view shows.
func viewBox(v View) geom.Box {
	b := geom.EmptyBox()
	for _, s := range v.Shapes {
		for _, r := range s.Rings {
			for _, c := range r {
				b = b.Union(c.Bounds())
			}
		}
	}
	return b
}

// folded is a view drawn at one scale.
type folded struct {
	view   View
	m      placing
	marks  []mark
	extent geom.Box
}

func layView(v View, scale float64, found []spotted) *folded {
	box := viewBox(v)
	fd := &folded{view: v, m: placeAt(scale, box, geom.Point{})}
	fd.extent = fd.m.box(box).Grow(wide / 2)
	f := newField()
	for _, s := range found {
		m := mark{spotted: s, spot: fd.m.point(*s.at)}
		m.disc = f.placeDisc(m.spot)
		f.addTile(discTile(m.disc))
		fd.extent = fd.extent.Union(discTile(m.disc).bounds())
		fd.marks = append(fd.marks, m)
	}
	return fd
}

func (fd *folded) write(w *writer) {
	for _, s := range fd.view.Shapes {
		look := toneLooks[s.Tone]
		closed := s.Tone < Rim
		var d strings.Builder
		for _, r := range s.Rings {
			d.WriteString(pathData(fd.m.curves(r), closed))
		}
		p := pen{look.stroke, look.width, look.dash}
		if closed { // a hair of its own colour hides seams between faces
			p = pen{look.fill, hairline / 2, nil}
		}
		w.path(d.String(), "fill", look.fill, "fill-rule", "evenodd", "stroke", p.colour,
			"stroke-width", num(p.width), "stroke-dasharray", p.dashes(), "stroke-linejoin", "round")
	}
	writeMarks(w, fd.marks)
}
