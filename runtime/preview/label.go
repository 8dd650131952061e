package preview

import (
	"cmp"
	"iter"
	"math"
	"slices"
	"strings"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/geom"
)

// label is text placed on a drawing, centred on mid.
type label struct {
	text   string // lines parted by "\n"
	font   font
	mid    geom.Point
	angle  float64 // degrees, as SVG turns: clockwise on the page
	colour string
	glue   bool // stands on hatching, which is cleared behind it
}

// Heights as parts of the type size: text is centred on half a capital's
// height, and its tile reaches past descenders and accents alike.
const (
	capHeight  = 0.72
	halfHeight = 0.56
	lineStep   = 1.2
)

// clearance in mm is what text keeps from lines and other text.
const clearance = 0.45

// tile is the room the text takes, without clearance.
func (l label) tile() tile {
	s, c := geom.SinCos(geom.Degrees(l.angle))
	lines := l.lines()
	width := 0.0
	for _, t := range lines {
		width = math.Max(width, l.font.width(t))
	}
	rest := float64(len(lines)-1) * l.font.size * lineStep
	return tile{l.mid, geom.Pt(c, s), width / 2, l.font.size*halfHeight + rest/2}
}

func (l label) lines() []string { return strings.Split(l.text, "\n") }

// write draws the label in a group that sets the type's family.
func (l label) write(w *writer) {
	if l.glue {
		b := l.tile().grow(0.3)
		c := b.corners()
		w.path(pathData(chain(c[:], true), true), "fill", glueTint)
	}
	down := l.tile().along.Left().Mul(l.font.size * lineStep)
	lines := l.lines()
	for i, t := range lines {
		p := l.mid.Add(down.Mul(float64(i) - float64(len(lines)-1)/2))
		writeText(w, t, l.font, p, l.angle, "middle", l.colour)
	}
}

// writeText sets a line of text with the middle of its capitals at p.
func writeText(w *writer, s string, f font, p geom.Point, angle float64, anchor, colour string) {
	sin, cos := geom.SinCos(geom.Degrees(angle))
	drop := f.size * capHeight / 2
	base := geom.Pt(p.X-drop*sin, p.Y+drop*cos)
	turn, weight := "", ""
	if angle != 0 {
		turn = "rotate(" + num(angle) + " " + pair(base) + ")"
	}
	if f.bold {
		weight = "bold"
	}
	if anchor == "start" {
		anchor = ""
	}
	w.start("text", []string{"x", num(base.X), "y", num(base.Y), "font-size", num(f.size),
		"font-weight", weight, "text-anchor", anchor, "fill", colour, "transform", turn, "xml:space", spaces(s)})
	w.buf.WriteByte('>')
	w.text(s)
	w.close("text")
}

// spaces keeps runs of blanks, which SVG would fold into one.
func spaces(s string) string {
	for i := 1; i < len(s); i++ {
		if s[i] == ' ' && s[i-1] == ' ' {
			return "preserve"
		}
	}
	return ""
}

// chain joins points by lines.
func chain(pts []geom.Point, closed bool) []geom.Curve {
	var cs []geom.Curve
	for i := 1; i < len(pts); i++ {
		cs = append(cs, geom.LineFrom(pts[i-1], pts[i]))
	}
	if closed && len(pts) > 2 {
		cs = append(cs, geom.LineFrom(pts[len(pts)-1], pts[0]))
	}
	return cs
}

// nameSizes are the type sizes in mm that panel names try in turn.
var nameSizes = []float64{3.2, 2.6, 2.1}

// tall is how many times higher than wide a panel is whose name would rather
// be turned than made smaller.
const tall = 2.2

// placeIn finds room for text inside one panel's board: near the middle,
// level or reading upward, as large as fits. The sheet is on the paper.
func (f *field) placeIn(s paperSheet, text string, sizes []float64) (label, bool) {
	turns := []float64{0, -90}
	if s.box.Height() > tall*s.box.Width() {
		turns = []float64{-90, 0}
	}
	settings := settingsOf(text)
	spots := s.spots()
	for _, size := range sizes {
		for _, turn := range turns {
			for _, set := range settings {
				l := label{text: set, font: font{size: size}, angle: turn, colour: inkColour, glue: s.glue}
				if !s.mayHold(l) {
					continue
				}
				if f.settle(&l, s, spots) {
					return l, true
				}
			}
		}
	}
	return label{}, false
}

// settingsOf gives a name on one line and broken into two and three, where its
// words allow.
func settingsOf(text string) []string {
	out := []string{text}
	f := font{size: 1}
	for n := 2.0; n <= 3; n++ {
		width := f.width(text) / n
		for step := 0; step < 8; step++ {
			lines := f.wrap(text, width*(1+float64(step)*0.1))
			if len(lines) == int(n) && strings.Join(lines, " ") == text {
				out = append(out, strings.Join(lines, "\n"))
				break
			}
		}
	}
	return out
}

// settle moves l to the first spot where it is clear and on the sheet's board.
func (f *field) settle(l *label, s paperSheet, spots iter.Seq[geom.Point]) bool {
	for p := range spots {
		l.mid = p
		if t := l.tile().grow(clearance); s.within(t) && f.clear(t) && s.holds(p) {
			return true
		}
	}
	return false
}

// paperSheet is one panel's board on the paper.
type paperSheet struct {
	rings  []blank.Ring
	box    geom.Box
	centre geom.Point // centroid of the board
	glue   bool
}

func newPaperSheet(m placing, s blank.Sheet, glue bool) paperSheet {
	p := paperSheet{box: geom.EmptyBox(), glue: glue}
	for _, r := range s.Rings {
		ring := m.curves(r)
		p.rings = append(p.rings, ring)
		for _, c := range ring {
			p.box = p.box.Union(c.Bounds())
		}
	}
	p.centre = centroid(p.rings, p.box)
	return p
}

// centroid is the centre of area of the rings, of their flattened outlines;
// the middle of the box where there is no area.
func centroid(rings []blank.Ring, box geom.Box) geom.Point {
	area, sum, from := 0.0, geom.Point{}, box.Mid()
	for _, r := range rings {
		for _, c := range r {
			prev := c.P.Sub(from)
			for _, p := range c.Flatten(nil, flatness) {
				p = p.Sub(from)
				k := prev.Cross(p)
				area += k
				sum = sum.Add(prev.Add(p).Mul(k / 3))
				prev = p
			}
		}
	}
	if math.Abs(area) < geom.Tiny {
		return from
	}
	return from.Add(sum.Mul(1 / area))
}

// mayHold rules out text that is larger than the panel's box.
func (s paperSheet) mayHold(l label) bool {
	b := l.tile().grow(clearance).bounds()
	return b.Width() < s.box.Width() && b.Height() < s.box.Height()
}

func (s paperSheet) within(t tile) bool {
	b := t.bounds()
	return b.Min.X > s.box.Min.X && b.Max.X < s.box.Max.X && b.Min.Y > s.box.Min.Y && b.Max.Y < s.box.Max.Y
}

// holds reports whether p lies on board, not in a window.
func (s paperSheet) holds(p geom.Point) bool {
	turns := 0
	for _, r := range s.rings {
		turns += geom.Winding(r, p)
	}
	return turns != 0
}

// sideways is how much worse a step to the side looks than one up or down.
const sideways = 1.7

// spotGrid is how finely a panel is searched for room, each way.
const spotGrid = 14

// spots gives places to try in a panel, those near the middle first: text that
// stays on the middle line looks placed rather than pushed. The grid is worked
// out once, and only when the middle will not do.
func (s paperSheet) spots() iter.Seq[geom.Point] {
	var grid []geom.Point
	return func(yield func(geom.Point) bool) {
		if !yield(s.centre) || !yield(s.box.Mid()) {
			return
		}
		if grid == nil {
			grid = s.grid()
		}
		for _, p := range grid {
			if !yield(p) {
				return
			}
		}
	}
}

// grid lists points of a grid and of the lines through the centre, nearest
// first.
func (s paperSheet) grid() []geom.Point {
	var pts []geom.Point
	for i := 1; i < spotGrid; i++ {
		x := s.box.Min.X + s.box.Width()*float64(i)/spotGrid
		for j := 1; j < spotGrid; j++ {
			pts = append(pts, geom.Pt(x, s.box.Min.Y+s.box.Height()*float64(j)/spotGrid))
		}
		pts = append(pts, geom.Pt(x, s.centre.Y),
			geom.Pt(s.centre.X, s.box.Min.Y+s.box.Height()*float64(i)/spotGrid))
	}
	off := func(p geom.Point) float64 {
		d := p.Sub(s.centre)
		return sideways*sideways*d.X*d.X + d.Y*d.Y
	}
	slices.SortStableFunc(pts, func(p, q geom.Point) int { return cmp.Compare(off(p), off(q)) })
	return pts
}
