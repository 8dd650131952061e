package printer

import (
	"cmp"
	"context"
	"fmt"
	"slices"
	"strings"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/engine"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/look"
	"github.com/creasewright/creasewright/runtime/internal/pdf"
)

// Tiles is a piece at true size on paper that many have at home, for people with
// scissors: a plan of the sheets first, then the sheets, which overlap and carry marks to
// join them by; each has a scale bar to measure. A piece that one sheet holds is on one.
// Line kinds are told apart by their dashes as well as by colour. A piece worked from the inside is seen from there,
// as in its cut files. One that takes more sheets than anybody tapes gets a page that says
// so. The error is the context's cause.
func Tiles(ctx context.Context, m engine.Made) ([]byte, error) {
	b := m.Blanks[m.Index]
	t := &tiledPrint{made: m, blank: b, doc: pdf.New(cmp.Or(m.Design.Title, m.Script)+" - "+b.Piece.Name, "True size, to be printed at 100 %.")}
	var err error
	if t.text, err = newLettering(t.doc); err != nil {
		return nil, err
	}
	if t.lay(ctx); ctx.Err() != nil {
		return nil, context.Cause(ctx)
	}
	w, h := m.Paper.Size()
	t.draw(geom.Pt(w, h))
	if err := t.text.embed(t.doc); err != nil {
		return nil, err
	}
	return t.doc.Bytes()
}

// tiledPrint is such a print while it is being made. The frame of the laid blank has its
// bounding box's lower left corner at 0, 0, y up.
type tiledPrint struct {
	made  engine.Made
	blank *blank.Blank
	doc   *pdf.Document
	text  *lettering

	size   geom.Point // of the blank
	lines  []laidLine
	boards [][][]geom.Point // rings of the panels' board
	names  []laidName
	glue   []laidGlue
}

// laidName is a panel's name, the box that it takes and the board round it.
type laidName struct {
	label
	box   geom.Box
	rings [][]geom.Point
}

// jointRoom is how far from its place a joint reaches with its number, mm.
const jointRoom = 5.0

// nameMoves are how far a name is moved up or down from where a joint is, mm.
var nameMoves = [...]float64{0, 4, -4, 8, -8, 12, -12}

// off is the name moved on its board off all joints, the same on each sheet that shows it; where
// it cannot be, it stays.
func (n laidName) off(joints []joint) laidName {
	for _, up := range nameMoves {
		move := geom.Pt(0, up)
		box := geom.Box{Min: n.box.Min.Add(move), Max: n.box.Max.Add(move)}
		met := slices.ContainsFunc(joints, func(j joint) bool { return geom.BoxOf(j.at).Grow(jointRoom).Intersects(box) })
		corners := []geom.Point{box.Min, geom.Pt(box.Max.X, box.Min.Y), box.Max, geom.Pt(box.Min.X, box.Max.Y)}
		if !met && !slices.ContainsFunc(corners, func(p geom.Point) bool { return !within(n.rings, p) }) {
			n.at, n.box = n.at.Add(move), box
			return n
		}
	}
	return n
}

// laidLine is a stroke as it lies.
type laidLine struct {
	kind blank.Kind
	path pdf.Path
	box  geom.Box
	flat []geom.Point // for asking what is where
}

// lay carries the blank to its frame, mirrored where it is worked from the inside.
func (t *tiledPrint) lay(ctx context.Context) {
	b := t.blank
	place := geom.Translation(-b.Bounds.Min.X, -b.Bounds.Min.Y)
	if b.Piece.Inside {
		place = geom.FlipX().Then(geom.Translation(b.Bounds.Max.X, -b.Bounds.Min.Y))
	}
	t.size = geom.Pt(b.Bounds.Width(), b.Bounds.Height())
	add := func(kind blank.Kind, s blank.Stroke) {
		l := laidLine{kind: kind, path: pdf.Path{Closed: s.Closed}, box: geom.EmptyBox()}
		for i, c := range s.Curves {
			c = c.Transform(place)
			if i == 0 {
				l.flat = []geom.Point{c.P}
			}
			l.path.Curves, l.box = append(l.path.Curves, c), l.box.Union(c.Bounds())
			l.flat = c.Flatten(l.flat, legendTolerance)
		}
		t.lines = append(t.lines, l)
	}
	for _, h := range b.Hinges {
		if look.FoldedByHand(h) {
			add(look.HandFold, blank.Stroke{Curves: h.Curves})
		}
	}
	for _, l := range b.Layers {
		for _, s := range l.Strokes {
			add(l.Kind, s)
		}
	}
	for _, r := range b.Regions {
		if ctx.Err() != nil {
			return
		}
		rings := flatRings(r.Rings, place, legendTolerance)
		t.boards = append(t.boards, rings)
		if l, ok := placeName(t.text.regular, diag.Printable(r.Panel.Name), rings); ok {
			l.colour = colourRGB(look.Grey)
			t.names = append(t.names, laidName{l, geom.BoxOf(l.corners(t.text.regular)...), rings})
		}
	}
	t.layGlue(place)
}

// empty reports whether a box shows no line and no board. Where no line runs it is all
// board or none, so its middle stands for it.
func (t *tiledPrint) empty(b geom.Box) bool {
	for _, l := range t.lines {
		if !l.box.Intersects(b) {
			continue
		}
		for i := 1; i < len(l.flat); i++ {
			if touches(l.flat[i-1], l.flat[i], b) {
				return false
			}
		}
	}
	return !slices.ContainsFunc(t.boards, func(rings [][]geom.Point) bool { return within(rings, b.Mid()) })
}

// draw chooses between one sheet and several, and draws them.
func (t *tiledPrint) draw(paper geom.Point) {
	const gap = 2.0
	foot := func(width float64) float64 {
		return t.foot(width, t.sheetName(tile{row: 98, column: 98, number: 999}, 999)).height + gap
	}
	all := func(width float64) float64 { return foot(width) + t.head(width).height + gap }
	if page, g := spread(t.size, paper, all, func(geom.Box) bool { return false }); g.sheets == 1 {
		t.sheet(page, &g, &g.tiles[0], "one sheet", true)
		return
	}
	page, g := spread(t.size, paper, foot, t.empty)
	t.plan(page, &g)
	if g.sheets > mostSheets {
		return
	}
	for i := range g.tiles {
		if at := &g.tiles[i]; at.number > 0 {
			t.sheet(page, &g, at, t.sheetName(*at, g.sheets), false)
		}
	}
}

// sheetName is what a sheet is called on itself.
func (t *tiledPrint) sheetName(at tile, of int) string {
	return fmt.Sprintf("sheet %d of %d, row %d column %d", at.number, of, at.row+1, at.column+1)
}

// sheet is one page: the window, in it the joints, below it the foot, and between them
// what is told once where there is no plan.
func (t *tiledPrint) sheet(size geom.Point, g *tiling, at *tile, name string, alone bool) {
	p := t.doc.Page(pdf.Boxes{Media: geom.Box{Max: size}})
	inner := size.X - 2*paperMargin
	foot := t.foot(inner, name)
	foot.write(p, geom.Pt(paperMargin, paperMargin+foot.height))
	if alone {
		head := t.head(inner)
		head.write(p, geom.Pt(paperMargin, paperMargin+foot.height+2+head.height))
	}
	corner := geom.Pt(paperMargin, size.Y-paperMargin-at.window.Height())
	shift := corner.Sub(at.window.Min)
	seen := geom.Box{Min: corner, Max: geom.Pt(size.X-paperMargin, size.Y-paperMargin)}
	p.Window(seen, shift, func() {
		for _, l := range t.names {
			if l = l.off(g.joints); l.box.Intersects(at.window) {
				t.text.write(p, l.label)
			}
		}
		t.strokes(p, at.window)
		t.joins(p, g, at)
	})
}

// strokes draws the glue and the lines that a window shows, each kind in its look.
func (t *tiledPrint) strokes(p *pdf.Page, window geom.Box) {
	for _, g := range t.glue {
		var paths []pdf.Path
		for _, l := range g.lines {
			if l.Bounds().Intersects(window) {
				paths = append(paths, pdf.Path{Curves: []geom.Curve{l}})
			}
		}
		if len(paths) > 0 {
			p.Stroke(paths, g.pen)
		}
	}
	for _, l := range look.Lines(t.blank.Piece.Inside) {
		var paths []pdf.Path
		for _, line := range t.lines {
			if line.kind == l.Kind && line.box.Intersects(window) {
				paths = append(paths, line.path)
			}
		}
		if len(paths) > 0 {
			p.Stroke(paths, penOf(l))
		}
	}
}

// penOf draws lines in the look of their kind.
func penOf(l look.Line) pdf.Pen {
	pen := pdf.Pen{Colour: colourRGB(l.Colour), Width: l.Width}
	for _, d := range l.Dash {
		pen.Dash = append(pen.Dash, d*l.Width)
	}
	return pen
}

// joins draws the lines to cut along, on the left and on top, those to lay the edge on, and
// the marks.
func (t *tiledPrint) joins(p *pdf.Page, g *tiling, at *tile) {
	c, w := at.core, at.window
	grey := colourRGB(look.Grey)
	cut, lay := pdf.Pen{Colour: grey, Width: 0.2, Dash: []float64{3, 1.5}}, pdf.Pen{Colour: grey, Width: 0.1}
	upright := func(x float64) []pdf.Path { return lines(geom.Pt(x, w.Min.Y), geom.Pt(x, w.Max.Y)) }
	level := func(y float64) []pdf.Path { return lines(geom.Pt(w.Min.X, y), geom.Pt(w.Max.X, y)) }
	for _, side := range []struct {
		row, column int
		path        []pdf.Path
		pen         pdf.Pen
	}{{0, -1, upright(c.Min.X), cut}, {-1, 0, level(c.Max.Y), cut}, {0, 1, upright(c.Max.X), lay}, {1, 0, level(c.Min.Y), lay}} {
		if g.at(at.row+side.row, at.column+side.column) != nil {
			p.Stroke(side.path, side.pen)
		}
	}
	for _, j := range g.joints {
		if slices.Contains(j.sheets[:], at.number) {
			t.joint(p, j)
		}
	}
}

// joint draws a diamond with a cross, its number on both sides of the seam.
func (t *tiledPrint) joint(p *pdf.Page, j joint) {
	const r = 3.0
	at := func(x, y float64) geom.Point { return j.at.Add(geom.Pt(x, y)) }
	diamond := lines(at(-r, 0), at(0, r), at(0, r), at(r, 0), at(r, 0), at(0, -r), at(0, -r), at(-r, 0), at(-r, 0), at(r, 0), at(0, r), at(0, -r))
	p.Stroke(diamond, pdf.Pen{Colour: colourRGB(""), Width: 0.15})
	l := label{text: fmt.Sprint(j.number), size: 2.2, colour: colourRGB("")}
	half := t.text.regular.width(l.text, l.size) / 2
	places := []geom.Point{at(-1-half, 3.4), at(1+half, 3.4)}
	if !j.upright {
		places = []geom.Point{at(2.4+half, 2), at(2.4+half, -2)}
	}
	for _, q := range places {
		t.text.write(p, l.middle(q))
	}
}

// foot is the band below the window on every page: the scale bar, and what this is.
func (t *tiledPrint) foot(width float64, sheet string) *column {
	const left, gutter, arrow = 104.0, 4.0, 18.0
	piece := t.blank.Piece
	bar := t.scaleBar(left)
	about := &column{text: t.text, width: width - left - gutter - arrow}
	about.add(cmp.Or(t.made.Design.Title, t.made.Script), style{size: 3.4, bold: true, most: 2})
	name := piece.Name
	if piece.Copies > 1 {
		name += fmt.Sprintf(", make %d", piece.Copies)
	}
	about.add(name, style{size: 2.8, most: 1})
	about.add(stockWords(piece), style{size: 2.8, most: 2})
	side := "seen from the outside"
	if piece.Inside {
		side = "seen from the inside, as in its cut files"
	}
	about.add(side, plainStyle)
	about.add(sheet, style{size: 2.8, bold: true, most: 2})
	out := &column{text: t.text, width: width}
	out.draw(max(bar.height, about.height, arrow), func(p *pdf.Page, top geom.Point) {
		bar.write(p, top)
		about.write(p, top.Add(geom.Pt(left+gutter, 0)))
		if piece.Board.GrainDegrees != nil {
			t.grain(p, top.Add(geom.Pt(width-arrow/2, -arrow/2+1)))
		}
	})
	return out
}

// scaleBar is ruled every 10 mm, with the words that say what to do with it.
func (t *tiledPrint) scaleBar(width float64) *column {
	const length = 100
	out := &column{text: t.text, width: width}
	out.draw(3.6, func(p *pdf.Page, top geom.Point) {
		at := func(x, y float64) geom.Point { return top.Add(geom.Pt(x, -y)) }
		p.Stroke(lines(at(0, 3), at(length, 3)), pdf.Pen{Colour: colourRGB(""), Width: 0.4})
		p.Stroke(lines(at(0, 0), at(0, 3), at(length, 0), at(length, 3)), pdf.Pen{Colour: colourRGB(""), Width: 0.25})
		for x := 10.0; x < length; x += 10 {
			p.Stroke(lines(at(x, 1.6), at(x, 3)), pdf.Pen{Colour: colourRGB(""), Width: 0.15})
		}
	})
	out.add(fmt.Sprintf("must measure %d mm; print at 100 %%, not fitted to the page", length), style{size: 2.6})
	return out
}

// grain draws an arrow the way the grain runs, about a point.
func (t *tiledPrint) grain(p *pdf.Page, mid geom.Point) {
	angle := t.blank.Piece.Board.GrainDegrees.Angle()
	if t.blank.Piece.Inside {
		angle = angle.Neg()
	}
	along := geom.Polar(1, angle)
	at := func(x, y float64) geom.Point { return mid.Add(along.Mul(x)).Add(along.Left().Mul(y)) }
	arrow := lines(at(-6, 0), at(6, 0), at(4, 1), at(6, 0), at(6, 0), at(4, -1), at(-4, 1), at(-6, 0), at(-6, 0), at(-4, -1))
	p.Stroke(arrow, pdf.Pen{Colour: colourRGB(""), Width: 0.3})
	t.text.write(p, label{text: "grain", size: 2.8, colour: colourRGB("")}.middle(mid.Add(geom.Pt(0, -9))))
}

// head is what is told once: what the lines mean, what to be careful of, and the values
// that the design was made with.
func (t *tiledPrint) head(width float64) *column {
	out := &column{text: t.text, width: width}
	t.key(out)
	for _, c := range t.made.Cautions {
		out.add(c, plainStyle)
	}
	var values []string
	for _, p := range t.made.Design.Params {
		value := fmt.Sprint(p.Value)
		if v, ok := p.Value.(float64); ok {
			value = geom.Num(v)
		}
		values = append(values, p.Name+" "+value)
	}
	if len(values) > 0 {
		out.add("Sizes: "+strings.Join(values, ", "), style{size: 2.6, colour: look.Grey, most: 4})
	}
	return out
}

// key adds a line of each kind and of glue with what it means, the cut first, in as many columns as fit.
func (t *tiledPrint) key(out *column) {
	const sample, row = 18.0, 4.4
	var used []look.Line
	widest := 0.0
	words := func(l look.Line) string { return string(l.Kind) + ": " + l.Does }
	for _, l := range slices.Backward(look.Lines(t.blank.Piece.Inside)) {
		if slices.ContainsFunc(t.lines, func(line laidLine) bool { return line.kind == l.Kind }) {
			used = append(used, l)
			widest = max(widest, t.text.regular.width(words(l), plainStyle.size))
		}
	}
	type entry struct {
		words string
		draw  func(p *pdf.Page, at geom.Point)
	}
	var all []entry
	for _, l := range used {
		all = append(all, entry{words(l), func(p *pdf.Page, at geom.Point) { p.Stroke(lines(at, at.Add(geom.Pt(sample, 0))), penOf(l)) }})
	}
	for _, g := range t.glue {
		widest = max(widest, t.text.regular.width(g.does, plainStyle.size))
		all = append(all, entry{g.does, func(p *pdf.Page, at geom.Point) {
			box := []geom.Point{at.Add(geom.Pt(0, -1.5)), at.Add(geom.Pt(sample, -1.5)), at.Add(geom.Pt(sample, 1.5)), at.Add(geom.Pt(0, 1.5))}
			var paths []pdf.Path
			for _, l := range hatching([][]geom.Point{box}, g.upright, tileGlueStep, g.pen.Width) {
				paths = append(paths, pdf.Path{Curves: []geom.Curve{l}})
			}
			p.Stroke(paths, g.pen)
		}})
	}
	columns := max(1, int(out.width/(sample+8+widest)))
	for chunk := range slices.Chunk(all, columns) {
		out.draw(row, func(p *pdf.Page, top geom.Point) {
			for i, e := range chunk {
				at := top.Add(geom.Pt(float64(out.width/float64(columns)*float64(i)), -1.8))
				e.draw(p, at)
				t.text.write(p, label{text: e.words, size: plainStyle.size, at: at.Add(geom.Pt(sample+2, -1)), colour: colourRGB("")})
			}
		})
	}
	out.height++
}

// joinWords say how the sheets are put together.
var joinWords = [...]string{
	"1. Print all sheets at 100 %, not fitted to the page, and measure the scale bar on each of them.",
	"2. Where a sheet has a dashed line, cut along it: on its left, its top, or both.",
	"3. Lay the cut edge on the fine line of the sheet before it, so that diamonds of one number become whole, and tape.",
}

// plan is the first page of several: how they are joined, how they lie, what the lines mean.
func (t *tiledPrint) plan(size geom.Point, g *tiling) {
	p := t.doc.Page(pdf.Boxes{Media: geom.Box{Max: size}})
	inner := size.X - 2*paperMargin
	foot := t.foot(inner, fmt.Sprintf("plan of %d sheets", g.sheets))
	foot.write(p, geom.Pt(paperMargin, paperMargin+foot.height))
	top := &column{text: t.text, width: inner}
	said := style{size: 3.2}
	if g.sheets > mostSheets {
		top.add(fmt.Sprintf("At true size this piece would take some %d sheets, more than anybody tapes together (%d at the most): have its print template printed on one wide page.", g.sheets, mostSheets), said)
		top.write(p, geom.Pt(paperMargin, size.Y-paperMargin))
		return
	}
	for _, words := range joinWords {
		top.add(words, said)
	}
	if empty := len(g.tiles) - g.sheets; empty == 1 {
		top.add("One place of the plan shows nothing of the blank and is left out.", said)
	} else if empty > 1 {
		top.add(fmt.Sprintf("%d places of the plan show nothing of the blank and are left out.", empty), said)
	}
	head := t.head(inner)
	room := size.Y - 2*paperMargin - foot.height - top.height - head.height - 12
	top.height += 3
	t.picture(top, g, max(room, 30))
	top.height += 4
	head.write(p, geom.Pt(paperMargin, size.Y-paperMargin-top.height))
	top.write(p, geom.Pt(paperMargin, size.Y-paperMargin))
}

// picture adds a small drawing of how the sheets lie on the blank.
func (t *tiledPrint) picture(out *column, g *tiling, height float64) {
	all := geom.EmptyBox()
	for _, at := range g.tiles {
		all = all.Union(at.window)
	}
	scale := min(out.width/all.Width(), height/all.Height(), 0.5)
	out.draw(float64(all.Height()*scale), func(p *pdf.Page, top geom.Point) {
		at := func(q geom.Point) geom.Point {
			return geom.Pt(q.X-all.Min.X, q.Y-all.Max.Y).Mul(scale).Add(top)
		}
		var paths []pdf.Path
		for _, l := range t.lines {
			path := pdf.Path{Closed: l.path.Closed}
			for i := 1; i < len(l.flat); i++ {
				path.Curves = append(path.Curves, geom.LineFrom(at(l.flat[i-1]), at(l.flat[i])))
			}
			paths = append(paths, path)
		}
		p.Stroke(paths, pdf.Pen{Colour: colourRGB(look.Grey), Width: 0.15})
		for _, tile := range g.tiles {
			t.frame(p, tile, geom.BoxOf(at(tile.core.Min), at(tile.core.Max)))
		}
	})
}

// frame draws a sheet's core on the plan, with its number.
func (t *tiledPrint) frame(p *pdf.Page, at tile, b geom.Box) {
	c, d := geom.Pt(b.Max.X, b.Min.Y), geom.Pt(b.Min.X, b.Max.Y)
	rim := lines(b.Min, c, c, b.Max, b.Max, d, d, b.Min)
	size := min(5, b.Height()*0.3)
	if at.number > 0 {
		p.Stroke(rim, pdf.Pen{Colour: colourRGB(""), Width: 0.25})
		t.text.write(p, label{text: fmt.Sprint(at.number), size: size, bold: true, colour: colourRGB("")}.middle(b.Mid()))
		return
	}
	p.Stroke(rim, pdf.Pen{Colour: colourRGB(look.Grey), Width: 0.15, Dash: []float64{1, 1}})
	size = min(size*0.6, b.Width()*0.8/t.text.regular.width("left out", 1))
	t.text.write(p, label{text: "left out", size: size, colour: colourRGB(look.Grey)}.middle(b.Mid()))
}
