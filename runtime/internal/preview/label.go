package preview

import (
	"iter"
	"math"
	"strconv"
	"strings"

	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/model"
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
	s, c := geom.Degrees(l.angle).Angle().SinCos()
	width, more := 0.0, 0.0
	line, left, found := strings.Cut(l.text, "\n")
	for ; found; line, left, found = strings.Cut(left, "\n") {
		width = max(width, l.font.width(line))
		more++
	}
	width = max(width, l.font.width(line))
	rest := float64(more * l.font.size * lineStep)
	return tile{l.mid, geom.Pt(c, s), width / 2, float64(l.font.size*halfHeight) + float64(rest/2)}
}

// lines gives the text line by line.
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
var nameSizes = []float64{4.2, lettering}

// tall is the ratio of height to width from which a panel's name is turned before it
// is made smaller.
const tall = 2.2

// placeIn finds room for text inside one panel's board: near the middle,
// level or reading upward, as large as fits. The sheet is on the paper.
func (f *occupancy) placeIn(s paperRegion, text string, sizes []float64) (label, bool) {
	turns := []float64{0, -90}
	if s.box.Height() > tall*s.box.Width() {
		turns = []float64{-90, 0}
	}
	settings, ok := f.split[text]
	if !ok {
		settings = settingsOf(text)
		if f.split != nil {
			f.split[text] = settings
		}
	}
	spots := s.spots()
	for _, size := range sizes {
		for _, turn := range turns {
			for _, set := range settings {
				l := label{text: set, font: font{size: size}, angle: turn, colour: inkColour, glue: s.isGlued()}
				if !s.fitsBox(l) {
					continue
				}
				if f.placeAtClear(&l, s, spots) {
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

// placeAtClear moves l to the first spot where it is clear and on the sheet's board.
func (f *occupancy) placeAtClear(l *label, s paperRegion, spots iter.Seq[geom.Point]) bool {
	for p := range spots {
		l.mid = p
		if t := l.tile().grow(clearance); s.boxContains(t) && f.clear(t) && s.contains(p) {
			return true
		}
	}
	return false
}

// foldSize is the type size of fold angles, mm.
const foldSize = lettering

// FoldText is foldText, for other drawings of the blank.
func FoldText(h *model.Hinge, found map[*model.Hinge]geom.Degrees) string { return foldText(h, found) }

// foldText writes the angle of a finished fold with the way the panel goes: "90°
// in" folds away from the viewer, "free, out" was to be solved toward the
// viewer and was not found.
func foldText(h *model.Hinge, found map[*model.Hinge]geom.Degrees) string {
	degrees := h.Fold.Degrees
	if free := h.Fold.Free; free != nil {
		var ok bool
		if degrees, ok = found[h]; !ok && free.Side == model.Out {
			return "free, out"
		} else if !ok {
			return "free, in"
		}
	}
	angle := strconv.FormatFloat(math.Round(exact(float64(degrees.Abs()))*100)/100, 'f', -1, 64) + "°"
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
func (f *occupancy) placeFold(text string, curves []geom.Curve) (label, bool) {
	return f.placeBeside(label{text: text, font: font{size: foldSize}, colour: greyColour}, curves, 1)
}

// placeBeside finds room for a label beside a line, on the side given for
// choice: 1 is on the right of the way it runs, −1 on its left.
func (f *occupancy) placeBeside(l label, curves []geom.Curve, first float64) (label, bool) {
	off := float64(l.font.size*halfHeight) + 2*clearance
	for _, turned := range []bool{false, true} {
		for _, side := range []float64{first, -first} {
			for _, t := range along {
				l.setBeside(curves, t, side*off, turned)
				if f.clear(l.tile().grow(clearance)) {
					return l, true
				}
			}
		}
	}
	return l, false
}

// setBeside puts the label beside the point a part t along the curves, off mm to
// the right of travel: paper coordinates run down, so that is their left turn.
// Turned text stands square to the line.
func (l *label) setBeside(curves []geom.Curve, t, off float64, turned bool) {
	p, dir := pointAlong(curves, t)
	l.angle = readable(float64(dir.Angle().Degrees()))
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
