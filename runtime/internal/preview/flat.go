package preview

import (
	"context"
	"slices"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/look"
	"github.com/creasewright/creasewright/runtime/internal/region"
	"github.com/creasewright/creasewright/runtime/model"
)

// flatPicture is one piece laid flat and drawn at one scale. The upper left corner of
// the blank's box is the origin of its paper; extent says what it takes up.
type flatPicture struct {
	ctx       context.Context               // of its layout
	blank     *blank.Blank                  // as it is seen, see seen
	view      geom.Isometry                 // from the blank frame to what is seen
	folds     map[*model.Hinge]geom.Degrees // see Input
	m         placing
	regions   []paperRegion
	runs      []run
	dims      *dims
	openings  dims            // place the windows of panels
	told      map[string]bool // sizes of openings on the drawing
	occupancy *occupancy

	labels  []label
	leaders []leader
	marks   []mark
	notes   []note // panels and folds that found no room
	extent  geom.Box
}

// layFlat places everything that belongs to one blank, in order of precedence:
// lines, dimensions, the spots of findings, names, fold angles, leader lines or
// letters, sizes, and then the numbers of the findings wherever they can be read. When the context ends what
// is not placed yet stays out.
func layFlat(ctx context.Context, b *blank.Blank, folds map[*model.Hinge]geom.Degrees, scale float64, found []numbered, split map[string][]string) *flatPicture {
	fl := drawFlat(ctx, b, folds, scale, split)
	fl.letter(found)
	return fl
}

// drawFlat places lines and dimensions. The extent is the least that the picture takes.
func drawFlat(ctx context.Context, b *blank.Blank, folds map[*model.Hinge]geom.Degrees, scale float64, split map[string][]string) *flatPicture {
	view := viewOf(b)
	fl := &flatPicture{
		ctx: ctx, blank: seen(b, view), view: view, folds: folds, m: placeAt(scale, b.Bounds, geom.Point{}), occupancy: newOccupancy(),
	}
	fl.occupancy.split = split
	glued := gluedBoard(b.Piece)
	for i, s := range b.Regions {
		if ctx.Err() != nil {
			return fl
		}
		var glue [2][]blank.Ring
		for f := range glue {
			glue[f] = ringsSeen(glued.on(s, face(f)), view)
		}
		fl.regions = append(fl.regions, newPaperRegion(fl.m, fl.blank.Regions[i], glue))
	}
	fl.dims = measure(ctx, fl.blank, fl.m, fl.regions)
	if ctx.Err() != nil {
		return fl
	}
	fl.extent = fl.m.box(fl.blank.Bounds).Grow(wide / 2).Union(fl.dims.extent())
	return fl
}

// letter places the spots of findings, all text but the dimensions' and the numbers.
// The lines, which text keeps clear of, are drawn for it alone: many a scale is given up
// for the extent before.
func (fl *flatPicture) letter(found []numbered) {
	if fl.ctx.Err() != nil {
		return
	}
	fl.runs = runsOf(fl.ctx, fl.blank, fl.m)
	for _, r := range fl.runs {
		r.register(fl.ctx, fl.occupancy)
	}
	fl.dims.register(fl.occupancy)
	fl.reserveSpots(found)
	fl.placeText()
	fl.placeMarks(found)
}

// viewOf carries the blank frame to what is seen of a piece: nothing changes from the
// outside; from the inside left and right change places within the blank's box, as in
// its cut files.
func viewOf(b *blank.Blank) geom.Isometry {
	if !b.Piece.Inside {
		return geom.Identity()
	}
	return geom.FlipX().Then(geom.Translation(b.Bounds.Min.X+b.Bounds.Max.X, 0))
}

// seen is a blank as it is seen; the panels that it names stay in the blank frame.
func seen(b *blank.Blank, view geom.Isometry) *blank.Blank {
	if !view.Mirrors() {
		return b
	}
	out := *b
	out.Layers, out.Regions, out.Hinges = slices.Clone(b.Layers), slices.Clone(b.Regions), slices.Clone(b.Hinges)
	for i, l := range out.Layers {
		out.Layers[i].Strokes = slices.Clone(l.Strokes)
		for j, s := range l.Strokes {
			out.Layers[i].Strokes[j].Curves = curvesSeen(s.Curves, view)
		}
	}
	for i, r := range out.Regions {
		out.Regions[i].Rings = ringsSeen(r.Rings, view)
		out.Regions[i].Worked = slices.Clone(r.Worked)
		for j, w := range r.Worked {
			out.Regions[i].Worked[j].Curve = w.Curve.Transform(view)
		}
	}
	for i, h := range out.Hinges {
		out.Hinges[i].Curves = curvesSeen(h.Curves, view)
	}
	return &out
}

// curvesSeen carries curves to what is seen.
func curvesSeen(cs []geom.Curve, view geom.Isometry) []geom.Curve {
	out := make([]geom.Curve, len(cs))
	for i, c := range cs {
		out[i] = c.Transform(view)
	}
	return out
}

// ringsSeen does the same with rings, which a mirror would turn round: they are run
// through backwards, so that board stays on their left.
func ringsSeen(rs []blank.Ring, view geom.Isometry) []blank.Ring {
	if !view.Mirrors() {
		return rs
	}
	out := make([]blank.Ring, len(rs))
	for i, r := range rs {
		out[i] = curvesSeen(r, view)
		slices.Reverse(out[i])
		for j, c := range out[i] {
			out[i][j] = c.Reverse()
		}
	}
	return out
}

// face is a side of the board.
type face int

const (
	outsideFace face = iota
	insideFace
)

// fill is how glued board of that side is hatched.
func (f face) fill() string { return [...]string{Hatch, HatchInside}[f] }

// boardSide is a panel's board on one side.
type boardSide struct {
	panel *model.Panel
	face  face
}

// glueOf is what of each panel's board carries glue, by side: the areas that joins
// name, or all of it where one names none.
type glueOf map[boardSide]*gluedPart

// gluedPart is what of one panel carries glue, areas in the panel's frame.
type gluedPart struct {
	whole bool
	areas []geom.Path
}

// gluedBoard finds tabs that are joined, and the first of two panels glued
// together. What lies on the inside of the other carries glue on its outside.
func gluedBoard(p *model.Piece) glueOf {
	out := glueOf{}
	for _, j := range p.Joins {
		if j.Kind != model.TabJoin && j.Kind != model.GlueJoin || j.A.Panel == nil {
			continue
		}
		on := boardSide{j.A.Panel, outsideFace}
		if j.Outside {
			on.face = insideFace
		}
		part := out[on]
		if part == nil {
			part = &gluedPart{}
			out[on] = part
		}
		if j.Area == nil {
			part.whole = true
		} else {
			part.areas = append(part.areas, *j.Area)
		}
	}
	return out
}

// on is the board of a region that carries glue on a side, in the blank frame.
func (g glueOf) on(s blank.Region, f face) []blank.Ring {
	part := g[boardSide{s.Panel, f}]
	if part == nil {
		return nil
	}
	if part.whole {
		return s.Rings
	}
	var out []blank.Ring
	for _, area := range part.areas {
		rings, err := region.Intersect(s.Rings, []blank.Ring{area.Transform(s.Panel.Flat).Curves()})
		if err == nil { // rings that do not close are told of where the blank is laid
			out = append(out, rings...)
		}
	}
	return out
}

// Glued is the board that carries glue on one side, region by region, in the blank
// frame.
func Glued(b *blank.Blank, inside bool) [][]blank.Ring {
	glued, f := gluedBoard(b.Piece), outsideFace
	if inside {
		f = insideFace
	}
	out := make([][]blank.Ring, len(b.Regions))
	for i, s := range b.Regions {
		out[i] = glued.on(s, f)
	}
	return out
}

// run is the line work of one kind, on the paper.
type run struct {
	style   lineStyle
	strokes []blank.Stroke
}

// runsOf gathers a blank's line work by look, in the order it is painted.
func runsOf(ctx context.Context, b *blank.Blank, m placing) []run {
	var out []run
	for _, l := range looks {
		r := run{style: l}
		if l.kind == look.HandFold {
			r.addHandFolds(b, m)
		}
		for _, layer := range b.Layers {
			if layer.Kind == l.kind {
				r.addLayer(ctx, layer, m)
			}
		}
		if len(r.strokes) > 0 {
			out = append(out, r)
		}
	}
	return out
}

// addHandFolds adds the hinges that are folded by hand.
func (r *run) addHandFolds(b *blank.Blank, m placing) {
	for _, h := range b.Hinges {
		if look.FoldedByHand(h) {
			r.strokes = append(r.strokes, blank.Stroke{Curves: m.curves(h.Curves)})
		}
	}
}

// sparse is the share of a dotted pattern's period by which two perforation cuts
// must lie apart on the paper; of closer ones some are left out, so that the dots do
// not run together.
const sparse = 0.6

// addLayer adds the strokes of a layer, as far as the context lets it.
func (r *run) addLayer(ctx context.Context, layer blank.Layer, m placing) {
	var last geom.Point
	for i, s := range layer.Strokes {
		if ended(ctx, i) {
			return
		}
		if len(s.Curves) == 0 {
			continue
		}
		start := m.point(s.Curves[0].P)
		if layer.Kind == blank.PerforatedLine && len(r.strokes) > 0 && start.Dist(last) < sparse*r.style.pen.period() {
			continue
		}
		last = start
		r.strokes = append(r.strokes, blank.Stroke{Curves: m.curves(s.Curves), Closed: s.Closed})
	}
}

// register enters the run's lines in the occupancy grid, as far as the context lets it.
func (r run) register(ctx context.Context, f *occupancy) {
	for i, s := range r.strokes {
		if ended(ctx, i) {
			return
		}
		for _, c := range s.Curves {
			f.addCurve(c)
		}
	}
}

// write draws the run as one path.
func (r run) write(w Surface) {
	w.Open(r.style.pen.paint(string(r.style.kind)), geom.Point{})
	w.Curves(r.strokes, Paint{})
	w.Close()
}

// write draws the piece: board, lines, sizes, names, and marks on top.
func (fl *flatPicture) write(w Surface) {
	fl.writeBoard(w)
	for _, r := range fl.runs {
		r.write(w)
	}
	fl.dims.write(w, "dimensions")
	fl.openings.write(w, "openings")
	for _, l := range fl.leaders {
		l.write(w)
	}
	w.Open(Paint{Class: "names"}, geom.Point{})
	for _, l := range fl.labels {
		l.write(w)
	}
	w.Close()
	writeMarks(w, fl.marks)
}

// writeBoard fills the board panel by panel, each with a stroke of its own colour
// half a hairline beyond its edge so that no seam shows, and hatches what is glued.
func (fl *flatPicture) writeBoard(w Surface) {
	var board []blank.Stroke
	var glue [2][]blank.Stroke
	for _, s := range fl.regions {
		for _, r := range s.rings {
			board = append(board, blank.Stroke{Curves: r, Closed: true})
		}
		for f, rings := range s.glue {
			for _, r := range rings {
				glue[f] = append(glue[f], blank.Stroke{Curves: r, Closed: true})
			}
		}
	}
	w.Open(Paint{Class: "board", Fill: boardColour, Stroke: boardColour, Width: hairline}, geom.Point{})
	w.Curves(board, Paint{})
	w.Close()
	for f, g := range glue {
		if len(g) > 0 {
			w.Open(Paint{Class: "glue"}, geom.Point{})
			w.Curves(g, filled(glueTint))
			w.Curves(g, filled(face(f).fill()))
			w.Close()
		}
	}
}
