package preview

import (
	"iter"
	"strings"

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
	s, c := geom.Degrees(l.angle).SinCos()
	lines := l.lines()
	width := 0.0
	for _, t := range lines {
		width = max(width, l.font.width(t))
	}
	rest := float64(float64(len(lines)-1) * l.font.size * lineStep)
	return tile{l.mid, geom.Pt(c, s), width / 2, float64(l.font.size*halfHeight) + float64(rest/2)}
}

func (l label) lines() []string { return strings.Split(l.text, "\n") }

// write draws the label in a group that sets the type's family.
func (l label) write(w Surface) {
	if l.glue {
		b := l.tile().grow(0.3)
		c := b.corners()
		w.Points([][]geom.Point{append(c[:], c[0])}, true, filled(glueTint))
	}
	down := l.tile().along.Left().Mul(l.font.size * lineStep)
	lines := l.lines()
	for i, t := range lines {
		p := l.mid.Add(down.Mul(float64(i) - float64(len(lines)-1)/2))
		writeText(w, t, l.font, p, l.angle, AtMiddle, l.colour)
	}
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
	if !strings.Contains(text, " ") {
		return out
	}
	f := font{size: 1}
	for n := 2.0; n <= 3; n++ {
		width := f.width(text) / n
		for step := 0; step < 8; step++ {
			lines := f.wrap(text, width*(1+float64(float64(step)*0.1)))
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
