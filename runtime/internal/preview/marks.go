package preview

import (
	"strconv"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/geom"
)

// mostFindings is how many findings a sheet shows; the rest are counted. Their
// numbers have two digits, and the report lists all.
const mostFindings = 99

// numbered is a numbered finding as one drawing shows it: at a spot, in a panel
// or, with neither, beside the drawing's caption.
type numbered struct {
	number   int
	severity diag.Severity
	at       *geom.Point // in the drawing's own millimetres
	panel    string
}

// shown are the findings that the sheet numbers.
func shown(in Input) []*diag.Finding {
	return in.Findings[:min(len(in.Findings), mostFindings)]
}

// findingsOnBlank picks the findings that belong to the i-th blank: by piece, else
// by panel, else the first blank takes them.
func findingsOnBlank(in Input, i int) []numbered {
	var out []numbered
	for n, f := range shown(in) {
		if blankOf(in, f) != i {
			continue
		}
		s := numbered{number: n + 1, severity: f.Severity, panel: f.Panel}
		if f.At != nil && f.At.Finite() {
			s.at = f.At
		}
		out = append(out, s)
	}
	return out
}

// blankOf is the place in in.Blanks of the blank that a finding shows on.
func blankOf(in Input, f *diag.Finding) int {
	for i, b := range in.Blanks {
		if f.Piece != "" && b.Piece.Name == f.Piece {
			return i
		}
	}
	for i, b := range in.Blanks {
		if regionOf(b, f.Panel) >= 0 {
			return i
		}
	}
	return 0
}

// regionOf is the place of a panel's sheet in a blank, −1 when the panel is not
// there or has no board to show a mark on.
func regionOf(b *blank.Blank, panel string) int {
	for i, s := range b.Regions {
		if panel != "" && s.Panel.Name == panel && len(s.Rings) > 0 {
			return i
		}
	}
	return -1
}

// findingsInView picks the findings that a picture has spots for.
func findingsInView(in Input, spots []Spot) []numbered {
	var out []numbered
	for _, s := range spots {
		for n, f := range shown(in) {
			if f == s.Finding && s.At.Finite() {
				at := s.At
				out = append(out, numbered{number: n + 1, severity: f.Severity, at: &at})
			}
		}
	}
	return out
}

// mark is a finding's number in a disc, with a dot on its spot and a line
// between the two where they stand apart.
type mark struct {
	numbered
	spot geom.Point // on the paper
	disc geom.Point
	free bool // the disc stands by itself, without a dot
}

// Sizes of marks on the paper, mm.
const (
	discRadius = 2.6
	dotRadius  = 0.55
	haloWidth  = 0.5
	nearDisc   = discRadius + 1.7 // from a spot to the middle of its disc
	discSize   = lettering        // type size of the number
)

// discTile is the room that a disc at p takes, halo included.
func discTile(p geom.Point) tile {
	return tile{p, geom.Pt(1, 0), discRadius + haloWidth, discRadius + haloWidth}
}

// dotTile is the room that a dot at p takes.
func dotTile(p geom.Point) tile { return tile{p, geom.Pt(1, 0), dotRadius, dotRadius} }

// spotOn is a finding's spot on the paper, kept within reach of the blank
// however far off it was reported.
func (fl *flatPicture) spotOn(at geom.Point) geom.Point {
	p, b := fl.m.point(fl.view.Apply(at)), fl.m.box(fl.blank.Bounds).Grow(discRadius)
	return geom.Pt(max(b.Min.X, min(b.Max.X, p.X)), max(b.Min.Y, min(b.Max.Y, p.Y)))
}

// reserveSpots keeps text off the spots of findings.
func (fl *flatPicture) reserveSpots(found []numbered) {
	for _, s := range found {
		if s.at != nil {
			fl.occupancy.addTile(dotTile(fl.spotOn(*s.at)))
		}
	}
}

// placeMarks numbers the findings that have a spot or a panel.
func (fl *flatPicture) placeMarks(found []numbered) {
	for _, s := range found {
		if fl.ctx.Err() != nil {
			return
		}
		m := mark{numbered: s}
		switch i := regionOf(fl.blank, s.panel); {
		case s.at != nil:
			m.spot = fl.spotOn(*s.at)
			m.disc = fl.occupancy.placeDisc(m.spot)
		case i >= 0:
			m.spot, m.free = fl.occupancy.discIn(fl.regions[i])
			m.disc = m.spot
			if !m.free {
				m.disc = fl.occupancy.placeDisc(m.spot)
			}
		default:
			continue // beside the caption
		}
		fl.occupancy.addTile(discTile(m.disc))
		fl.extent = fl.extent.Union(discTile(m.disc).bounds())
		fl.marks = append(fl.marks, m)
	}
}

// discIn finds room for a disc by itself on a panel's board; without any, a
// clear place on it serves as a spot.
func (f *occupancy) discIn(s paperRegion) (geom.Point, bool) {
	for p := range s.spots() {
		if t := discTile(p); s.boxContains(t) && f.clear(t) && s.contains(p) {
			return p, true
		}
	}
	return f.anchor(s), false
}

// placeDisc finds the nearest place for a disc beside a spot: clear of text
// and lines if it can be had near by, else clear of text.
func (f *occupancy) placeDisc(spot geom.Point) geom.Point {
	reached := func(t tile) bool {
		way := t.mid.Sub(spot).Unit()
		return f.clear(t) && f.lineClearOfText(spot.Add(way.Mul(2*dotRadius)), t.mid)
	}
	for _, clear := range []func(tile) bool{reached, f.clear, f.clearOfText} {
		for ring := range 14 {
			r := nearDisc + 2*float64(ring)
			for turn := range 16 {
				p := spot.Add(geom.Polar(r, geom.Degrees(-45+22.5*float64(turn)).Angle()))
				if clear(discTile(p)) {
					return p
				}
			}
		}
	}
	return spot.Add(geom.Polar(nearDisc, geom.Degrees(-45).Angle()))
}

// writeMarks draws marks with a halo of paper, so that they stand off any
// line; the discs come last, so that no line runs over a number.
func writeMarks(w Surface, ms []mark) {
	for _, m := range ms {
		if !m.free {
			m.writeLine(w)
		}
	}
	for _, m := range ms {
		w.Open(Paint{Class: "mark"}, geom.Point{})
		writeDisc(w, m.disc, m.number, m.severity)
		w.Close()
	}
}

// writeLine draws the dot on the spot and the line from there to the disc.
func (m mark) writeLine(w Surface) {
	colour := severityColour(m.severity)
	w.Open(Paint{Class: "spot", RoundCap: true}, geom.Point{})
	line(w, m.spot, m.disc, stroked(paperColour, narrow+2*haloWidth))
	w.Circle(m.spot, dotRadius+haloWidth, filled(paperColour))
	line(w, m.spot, m.disc, stroked(colour, narrow*1.5))
	w.Circle(m.spot, dotRadius, filled(colour))
	w.Close()
}

// severityColour is vermilion for what must be seen to, grey for notes.
func severityColour(s diag.Severity) string {
	if s == diag.Note {
		return greyColour
	}
	return vermilion
}

// writeDisc draws a finding's number: full for an error, in a ring for less.
func writeDisc(w Surface, p geom.Point, number int, s diag.Severity) {
	colour := severityColour(s)
	w.Circle(p, discRadius+haloWidth, filled(paperColour))
	figure := paperColour
	if s == diag.Error {
		w.Circle(p, discRadius, filled(colour))
	} else {
		figure = colour
		w.Circle(p, discRadius-0.2, Paint{Fill: paperColour, Stroke: colour, Width: 0.4})
	}
	writeText(w, strconv.Itoa(number), font{discSize, true}, p, 0, AtMiddle, figure)
}
