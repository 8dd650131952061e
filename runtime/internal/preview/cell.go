package preview

import (
	"context"
	"fmt"
	"math"
	"strconv"
	"strings"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/model"
)

// picture is a drawing in its own paper coordinates.
type picture interface{ write(w Surface) }

// cell is one picture with its caption above and, under a flat blank, the
// scale bar and the grain.
type cell struct {
	title, detail string
	caption       struct{ title, detail []string } // the two broken into lines
	beside        []numbered                       // findings without a spot, numbered at the caption
	body          picture
	extent        geom.Box // of the body
	scale         float64
	flat          bool
	grain         *geom.Degrees
	notes         []note
	size          geom.Point
	// letter places the text of a flat blank, which may make the cell larger; nil when
	// that is done.
	letter func()
}

// Measures of a cell, mm.
const (
	captionHeight = 12.0 // title, detail and the gap below, of one line each
	titleLine     = 5.2  // distance of the title's lines
	titleLines    = 3    // most lines of title and detail
	captionWidth  = 88.0 // least width of a flat cell: its caption and foot
	captionMiddle = 2.2  // of the title's line
	detailMiddle  = 7.6  // and the detail's
	viewWidth     = 44.0 // least width of a view's cell, for its caption
	footGap       = 4.0  // between picture and foot
	footHeight    = 10.0
	barHeight     = 1.1
	barLimit      = 42.0 // longest scale bar
	grainLength   = 9.0  // of the grain arrow
	barb          = 0.9  // half the width of its heads
)

var (
	captionFont = font{4.2, true}
	detailFont  = font{lettering, false}
	smallFont   = font{lettering, false}
)

// flatCell lays out the i-th blank at the sheet's step of scale, or a larger one of
// its own where it would come out smaller than leastFlat, all but its text: see letter.
// split caches how names are broken into lines.
func flatCell(ctx context.Context, in Input, i, step int, split map[string][]string) *cell {
	b := in.Blanks[i]
	scale := scaleStep(ownStep(b.Bounds, step, leastFlat))
	found := findingsOnBlank(in, i)
	fl := drawFlat(ctx, b, in.Folds, scale, split)
	c := &cell{
		title: diag.Printable(b.Piece.Name), detail: "flat, seen from the " + sideText(b.Piece) + ", " + scaleText(scale) + ", sizes in mm",
		body: fl, extent: fl.extent, scale: scale, flat: true, grain: grainSeen(b),
	}
	c.letter = func() {
		fl.letter(found)
		c.extent, c.notes, c.letter = fl.extent, fl.notes, nil
		c.measure()
	}
	for _, s := range found {
		if s.at == nil && regionOf(b, s.panel) < 0 {
			c.beside = append(c.beside, s)
		}
	}
	c.measure()
	return c
}

// sideText is the side from which a piece is drawn flat.
func sideText(p *model.Piece) string {
	if p.Inside {
		return "inside"
	}
	return "outside"
}

// grainSeen is the grain's direction as it is seen; nil where it is not given.
func grainSeen(b *blank.Blank) *geom.Degrees {
	g := b.Piece.Board.GrainDegrees
	if g == nil || !b.Piece.Inside {
		return g
	}
	seen := 180 - *g
	return &seen
}

// viewCell lays out a view at a step of scale, its second picture beside or below the
// first.
func viewCell(in Input, v View, at viewSize) *cell {
	found := make([][]numbered, len(v.Aspects))
	for i, a := range v.Aspects {
		found[i] = findingsInView(in, a.Spots)
	}
	fd := layView(v, at.step, at.below, found)
	c := &cell{
		title: diag.Printable(v.Title), detail: v.detail(scaleStep(at.step)),
		body: fd, extent: fd.extent, scale: scaleStep(at.step),
	}
	c.measure()
	return c
}

// mostWithout is how many missing panels are named; of more only the number is
// told.
const mostWithout = 3

// detail is what a folded picture shows, and which panels it does not.
func (v View) detail(scale float64) string {
	text := v.Piece + ", folded, " + scaleText(scale)
	switch n := len(v.Without); {
	case n > mostWithout:
		text += fmt.Sprintf(", without %d panels", n)
	case n > 0:
		text += ", without " + strings.Join(v.Without, ", ")
	}
	return diag.Printable(text)
}

// Sizes in mm below which a picture takes a larger scale of its own beside
// much larger neighbours.
const (
	leastFlat = 14.0
	leastView = 22.0
)

// ownStep raises the sheet's step of scale for something it would leave smaller
// than least.
func ownStep(b geom.Box, step int, least float64) int {
	size := max(b.Width(), b.Height())
	for step < mostStep && size*scaleStep(step) < least {
		step++
	}
	return step
}

// measure breaks the caption into lines and sets the cell's size: the body's extent
// with caption and foot.
func (c *cell) measure() {
	w := max(c.extent.Width(), c.leastWidth())
	room := w - float64(float64(len(c.beside))*2*(discRadius+haloWidth))
	room = max(room, c.leastWidth()/2)
	c.caption.title = captionFont.clip(captionFont.wrap(c.title, room), titleLines, room)
	c.caption.detail = detailFont.clip(detailFont.wrap(c.detail, w), titleLines, w)
	h := c.captionHeight() + c.extent.Height()
	if c.flat {
		h += footGap + footHeight
	}
	c.size = geom.Pt(w, h)
}

// leastWidth is the width in mm that caption and foot ask for.
func (c *cell) leastWidth() float64 {
	if c.flat {
		return captionWidth
	}
	return viewWidth
}

// titleDepth is by how much the title's further lines push the rest down, mm.
func (c *cell) titleDepth() float64 {
	return float64(titleLine * float64(max(0, len(c.caption.title)-1)))
}

// captionHeight is the height of the caption with the gap below, mm.
func (c *cell) captionHeight() float64 {
	return captionHeight + c.titleDepth() + float64(captionLine*float64(max(0, len(c.caption.detail)-1)))
}

// write draws the cell with its upper left corner at p.
func (c *cell) write(w Surface, p geom.Point) {
	c.writeCaption(w, p)
	shift := p.Add(geom.Pt(0, c.captionHeight())).Sub(c.extent.Min)
	w.Open(Paint{Class: "picture"}, shift)
	c.body.write(w)
	w.Close()
	if c.flat {
		c.writeFoot(w, p.Add(geom.Pt(0, c.size.Y-footHeight/2)))
	}
}

// writeCaption draws title and detail with the upper left corner at p, and the
// numbers of findings that have no spot behind the title.
func (c *cell) writeCaption(w Surface, p geom.Point) {
	end := 0.0 // of the title's last line
	for k, text := range c.caption.title {
		writeText(w, text, captionFont, p.Add(geom.Pt(0, captionMiddle+float64(titleLine*float64(k)))), 0, AtStart, inkColour)
		end = captionFont.width(text)
	}
	for k, text := range c.caption.detail {
		y := detailMiddle + c.titleDepth() + float64(captionLine*float64(k))
		writeText(w, text, detailFont, p.Add(geom.Pt(0, y)), 0, AtStart, greyColour)
	}
	x := end + 1.5 + discRadius
	for _, s := range c.beside {
		w.Open(Paint{Class: "mark"}, geom.Point{})
		writeDisc(w, p.Add(geom.Pt(x, captionMiddle+c.titleDepth())), s.number, s.severity)
		w.Close()
		x += 2*discRadius + haloWidth
	}
}

// writeFoot draws scale bar and grain side by side round the middle line of p.
func (c *cell) writeFoot(w Surface, p geom.Point) {
	end := c.writeBar(w, p)
	if c.grain != nil {
		writeGrain(w, geom.Pt(end+7+grainReach(*c.grain), p.Y), *c.grain)
	}
}

// writeBar draws the scale bar from p to the right and gives its right end.
func (c *cell) writeBar(w Surface, p geom.Point) float64 {
	length, parts := barLength(barLimit / c.scale)
	step := length * c.scale / float64(parts)
	w.Open(Paint{Class: "scale-bar", Fill: inkColour, Stroke: inkColour, Width: narrow}, geom.Point{})
	top := p.Y + 0.6
	for i := range parts {
		x := p.X + float64(step*float64(i))
		fill := paperColour
		if i%2 == 0 {
			fill = inkColour
		}
		w.Rect(geom.BoxOf(geom.Pt(x, top), geom.Pt(x+step, top+barHeight)), filled(fill))
	}
	w.Close()
	writeText(w, "0", smallFont, geom.Pt(p.X, p.Y-1.8), 0, AtStart, greyColour)
	end := p.X + float64(length*c.scale)
	text := dimText(length) + " mm"
	writeText(w, text, smallFont, geom.Pt(end, p.Y-1.8), 0, AtEnd, greyColour)
	return end
}

// barLength is the longest length of 1, 2 or 5 times a power of ten that is
// not over limit, and the number of parts to show it in.
func barLength(limit float64) (length float64, parts int) {
	power := math.Pow(10, math.Floor(math.Log10(limit)))
	switch m := limit / power; {
	case m >= 5:
		return 5 * power, 5
	case m >= 2:
		return 2 * power, 4
	}
	return power, 5
}

// grainReach is how far the grain arrow reaches to either side of its middle.
func grainReach(degrees geom.Degrees) float64 {
	_, cos := degrees.Angle().SinCos()
	return max(grainLength/2*math.Abs(cos), barb)
}

// writeGrain draws a double arrow along the grain, centred on p, and its name.
func writeGrain(w Surface, p geom.Point, degrees geom.Degrees) {
	sin, cos := (-degrees).Angle().SinCos() // y runs down
	along, half := geom.Pt(cos, sin), grainLength/2
	w.Open(Paint{Class: "grain", Fill: None, Stroke: inkColour, Width: 0.25}, geom.Point{})
	line(w, p.Sub(along.Mul(half)), p.Add(along.Mul(half)), Paint{})
	for _, way := range []geom.Point{along, along.Mul(-1)} {
		tip := p.Add(way.Mul(half))
		back, side := tip.Sub(way.Mul(1.6)), way.Left().Mul(barb)
		w.Points([][]geom.Point{{back.Sub(side), tip, back.Add(side)}}, false, Paint{})
	}
	w.Close()
	writeText(w, "grain", smallFont, p.Add(geom.Pt(grainReach(degrees)+1.4, 0)), 0, AtStart, greyColour)
}

// Scales run 1, 2, 5, 10 … either way, the preferred steps of ISO 5455 (value
// from memory), carried on past the ends of its table for very large and very
// small pieces. Between 2 and 5 stand 2.5 and 4: without them many cartons would
// leave half of an A4 sheet empty, and their factors are still easy in the head.

var scaleFactors = [...]float64{1, 2, 2.5, 4, 5}

// scaleStep is the n-th scale: 0 is 1:1, −1 is 1:2, −2 is 1:2.5, 1 is 2:1.
func scaleStep(n int) float64 {
	m, inverse := n, false
	if n < 0 {
		m, inverse = -n, true
	}
	k := len(scaleFactors)
	v := scaleFactors[m%k] * math.Pow(10, float64(m/k))
	if inverse {
		return 1 / v
	}
	return v
}

// scaleText writes a scale as drawings do: "1:2.5", "5:1".
func scaleText(s float64) string {
	if s >= 1 {
		return scaleNumber(s) + ":1"
	}
	return "1:" + scaleNumber(1/s)
}

// scaleNumber rounds away the last bits of a factor.
func scaleNumber(v float64) string {
	return strconv.FormatFloat(math.Round(exact(v)*10)/10, 'f', -1, 64)
}

// Bounds of the search: a hundred metres on A4 is near 1:500, a hundredth of a
// millimetre near 10,000:1.
const (
	leastStep = -17
	mostStep  = 22
)
