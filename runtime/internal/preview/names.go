package preview

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/look"
	"github.com/creasewright/creasewright/runtime/model"
)

// note is said beside the drawing instead of on it: a panel's name, or the
// fold angle of a hinge.
type note struct {
	name   string
	fold   string // "" for a panel
	letter string // stands in the panel; "" where not even that has room
}

// Limits of naming beside the drawing.
const (
	mostLeaders = 8   // leader lines on one piece; with more panels, all get letters
	mostLetters = 16  // lettered panels of one piece; with more, only their number is told
	nameLimit   = 110 // mm in the largest type; longer names are cut short
	leaderLimit = 50  // mm for a name on a leader line
)

// letterSizes are the type sizes in mm that letters try in turn.
var letterSizes = []float64{lettering}

// placeText names every panel and writes every fold angle: on the board where
// there is room, then on leader lines, then by letters that a list explains, or
// only by their number.
func (fl *flatPicture) placeText() {
	var unnamed []int
	for i, s := range fl.blank.Regions {
		if fl.ctx.Err() != nil {
			return
		}
		if l, ok := fl.occupancy.placeIn(fl.regions[i], panelName(s.Panel), nameSizes); ok {
			fl.addLabel(l)
		} else if len(s.Rings) > 0 {
			unnamed = append(unnamed, i)
		}
	}
	fl.placeFolds()
	if len(unnamed) <= mostLeaders {
		unnamed = fl.placeLeaders(unnamed)
	}
	fl.placeLetters(unnamed)
	fl.placeOpenings()
	fl.placeSizes()
}

// panelName is a panel's name as it is printed.
func panelName(p *model.Panel) string {
	return font{size: nameSizes[0]}.shorten(diag.Printable(p.Name), nameLimit)
}

// addLabel adds a placed label: to what is drawn, to what others keep clear of, and
// to the extent.
func (fl *flatPicture) addLabel(l label) {
	fl.labels = append(fl.labels, l)
	fl.occupancy.addTile(l.tile())
	fl.extent = fl.extent.Union(l.tile().bounds())
}

// placeFolds writes the fold angles that are not the usual one and notes those that
// find no room.
func (fl *flatPicture) placeFolds() {
	usual := usualFold(fl.blank, fl.folds)
	for _, h := range fl.blank.Hinges {
		if fl.ctx.Err() != nil {
			return
		}
		text := foldText(h.Hinge, fl.folds)
		if len(h.Curves) == 0 || h.Kind == "" && !look.FoldedByHand(h) || usual != "" && creased(h) && angleOf(text) == usual {
			continue
		}
		if l, ok := fl.occupancy.placeFold(text, fl.m.curves(h.Curves)); ok {
			l.glue = fl.onGlue(l.mid)
			fl.addLabel(l)
		} else {
			fl.notes = append(fl.notes, note{name: diag.Printable(h.Hinge.Name), fold: l.text})
		}
	}
}

// leastUsual is how many creases at least an angle is told for in one place.
const leastUsual = 3

// usualFold is the angle of more than half of a blank's creases, "90°", which is told
// beside the drawing; "" when there is none, or for few.
func usualFold(b *blank.Blank, folds map[*model.Hinge]geom.Degrees) string {
	counts, all, best := map[string]int{}, 0, ""
	for _, h := range b.Hinges {
		if creased(h) && len(h.Curves) > 0 {
			all++
			angle := angleOf(foldText(h.Hinge, folds))
			if counts[angle]++; counts[angle] > counts[best] {
				best = angle
			}
		}
	}
	if counts[best] < leastUsual || 2*counts[best] <= all || !strings.HasSuffix(best, "°") {
		return ""
	}
	return best
}

// creased reports whether a hinge's line says which way it folds.
func creased(h blank.HingeLine) bool {
	switch h.Kind {
	case blank.ScoreLine, blank.BackScoreLine, blank.PartCutLine, blank.BackPartCutLine:
		return true
	}
	return false
}

// angleOf is the angle of a fold's text without the way that it goes.
func angleOf(text string) string {
	angle, _, _ := strings.Cut(text, " ")
	return angle
}

// onGlue reports whether p lies on hatched board.
func (fl *flatPicture) onGlue(p geom.Point) bool {
	for _, s := range fl.regions {
		if s.isGlued() && s.box.Contains(p) && (ringsContain(s.glue[outsideFace], p) || ringsContain(s.glue[insideFace], p)) {
			return true
		}
	}
	return false
}

// placeLetters letters panels that have no name on the drawing and notes what
// the letters stand for, or only how many there are.
func (fl *flatPicture) placeLetters(unnamed []int) {
	if len(unnamed) > mostLetters {
		fl.notes = append(fl.notes, note{name: fmt.Sprintf("%d panels of %q", len(unnamed), diag.Printable(fl.blank.Piece.Name))})
		return
	}
	next := 0
	for _, i := range unnamed {
		n := note{name: diag.Printable(fl.blank.Regions[i].Panel.Name)}
		if l, ok := fl.occupancy.placeIn(fl.regions[i], letters(next), letterSizes); ok {
			n.letter = l.text
			next++
			fl.addLabel(l)
		}
		fl.notes = append(fl.notes, n)
	}
}

// letters counts a, b … z, aa, ab …
func letters(n int) string {
	s := ""
	for ; n >= 0; n = n/26 - 1 {
		s = string(rune('a'+n%26)) + s
	}
	return s
}

// leader is a name that stands off its panel, on a thin line that ends in a
// dot on the board.
type leader struct {
	from, to geom.Point
	label    label
}

// Search for a leader's place: rings of this step round the panel, mm.
const (
	leaderStep  = 2.0
	leaderRings = 16
	leaderTurns = 24
)

// placeLeaders names panels by leader lines and gives back those that found no place.
func (fl *flatPicture) placeLeaders(unnamed []int) []int {
	var left []int
	for _, i := range unnamed {
		if l, ok := fl.findLeader(i); ok {
			fl.leaders = append(fl.leaders, l)
			fl.addLabel(l.label)
			fl.occupancy.addLine(l.from, l.to)
			fl.extent = fl.extent.Add(l.from)
		} else {
			left = append(left, i)
		}
	}
	return left
}

// leaderWays are the directions in which leaders are tried, counter-clockwise from +x.
var leaderWays = func() (ways [leaderTurns]geom.Point) {
	for turn := range ways {
		ways[turn] = geom.Polar(1, geom.Radians(2*math.Pi*float64(turn)/leaderTurns))
	}
	return ways
}()

// findLeader looks round the panel for the nearest clear place off the board.
func (fl *flatPicture) findLeader(i int) (leader, bool) {
	s := fl.regions[i]
	from := fl.occupancy.anchor(s)
	l := label{font: font{size: lettering}, colour: inkColour}
	l.text = l.font.shorten(panelName(fl.blank.Regions[i].Panel), leaderLimit)
	t := l.tile() // measuring text is most of the work: once
	for ring := 2; ring < leaderRings; ring++ {
		for _, dir := range leaderWays {
			t.mid = from.Add(dir.Mul(float64(ring) * leaderStep)).Add(geom.Pt(dir.X*t.hx, dir.Y*t.hy))
			to := leaderEnd(t, from)
			if fl.leaderFits(t, from, to) {
				l.mid = t.mid
				return leader{from, to, l}, true
			}
		}
	}
	return leader{}, false
}

// leaderEnd is where the line from a point meets level text of a tile: straight above
// or below it, or else the middle of the nearer end.
func leaderEnd(t tile, from geom.Point) geom.Point {
	b := t.grow(clearance).bounds()
	if from.X < b.Min.X || from.X > b.Max.X {
		return geom.Pt(max(b.Min.X, min(b.Max.X, from.X)), t.mid.Y)
	}
	return geom.Pt(from.X, max(b.Min.Y, min(b.Max.Y, from.Y)))
}

// leaderFits asks for clear paper off the board for the text of a tile, and for a line
// that runs over no text.
func (fl *flatPicture) leaderFits(text tile, from, to geom.Point) bool {
	t := text.grow(clearance)
	if !fl.occupancy.clear(t) || !fl.occupancy.lineClearOfText(from, to) || fl.crossesRules(from, to) {
		return false
	}
	for _, s := range fl.regions {
		if s.box.Intersects(t.bounds()) && s.contains(t.mid) {
			return false
		}
	}
	return true
}

// crossesRules reports whether a leader's line from a to b crosses a thin line: of a
// dimension or of another leader.
func (fl *flatPicture) crossesRules(a, b geom.Point) bool {
	t := tile{a.Lerp(b, 0.5), b.Sub(a).Unit(), a.Dist(b) / 2, narrow}
	for _, rules := range [][]segment{fl.dims.ext, fl.dims.runOn} {
		if slices.ContainsFunc(rules, func(s segment) bool { return t.crosses(s.a, s.b) }) {
			return true
		}
	}
	return slices.ContainsFunc(fl.dims.lines, func(l dimension) bool { return t.crosses(l.p, l.q) }) ||
		slices.ContainsFunc(fl.leaders, func(l leader) bool { return t.crosses(l.from, l.to) })
}

// anchor is a point on the panel's board, clear of lines and text and as near
// the middle as may be. A panel of almost nothing is pointed at in its middle.
func (f *occupancy) anchor(s paperRegion) geom.Point {
	for p := range s.spots() {
		if s.contains(p) && f.clear(dotTile(p).grow(clearance)) {
			return p
		}
	}
	return s.centre
}

// write draws the line and the dot at its end; the name is one of the labels.
func (l leader) write(w Surface) {
	w.Open(Paint{Class: "leader", Stroke: greyColour, Width: hairline}, geom.Point{})
	line(w, l.from, l.to, Paint{})
	w.Circle(l.from, 0.45, Paint{Fill: greyColour, Stroke: None})
	w.Close()
}
