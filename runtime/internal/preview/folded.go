package preview

import (
	"context"
	"fmt"
	"math"
	"slices"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/scene"
)

// Folded is the view of a piece in a pose, standing as Scene.Stand has it: from the
// front and small from behind or, where the root panel lies level, from above and
// small from below; one that stands open to the back is seen from there, one pressed
// flat nearly square to its board. An error is that of a context which has ended.
func Folded(ctx context.Context, in scene.Input) (View, error) {
	sc, err := scene.New(ctx, in)
	if err != nil {
		return View{}, err
	}
	v := View{Piece: in.Blank.Piece.Name, Title: in.Pose.Pose.Name}
	stand, level, stands := sc.Stand(in.StandsOn, in.Foot)
	from := standing
	switch {
	case sc.Flat():
		from = pressed
		if !stands {
			stand, level = laidDown, true
		}
	case level:
		from = lying
	}
	if err := v.draw(ctx, sc, from, stand); err != nil {
		return View{}, err
	}
	for i, p := range in.Blank.Piece.Panels {
		if !in.Pose.Place[i].OK {
			v.Without = append(v.Without, p.Name)
		}
	}
	if leans := math.Abs(stand.R[7]) > leastLean; !level && !leans && v.opensBehind() {
		about := geom.RotationAbout(geom.Point3{}, geom.Point3{Y: 1}, geom.Degrees(180).Angle())
		if !stands {
			about, from = laidDown, lying
		}
		if err := v.draw(ctx, sc, from, about.Then(stand)); err != nil {
			return View{}, err
		}
	}
	return v, nil
}

// leastLean is the sine of the angle from upright, three degrees, from which a root panel
// leans: it is the face of a display, and seen from before.
const leastLean = 0.05

// laidDown lays a piece that stands on nothing on the outside of its root panel.
var laidDown = geom.RotationAbout(geom.Point3{}, geom.Point3{X: 1}, geom.Degrees(-90).Angle())

// Mark marks those of some findings that are about the view's pose, each where its
// spot can be seen, in the first picture for choice; where board hides it from both
// sides the first picture is marked at that place all the same.
func (v *View) Mark(found []*diag.Finding) {
	for _, f := range found {
		if f.Piece == v.Piece && f.Pose == v.Title && f.At != nil && f.At.Finite() {
			v.mark(f)
		}
	}
}

// direction is where a pair of pictures is seen from: the first from the one of some views
// that shows most, the second from the other side.
type direction struct {
	views         []scene.View
	title, second string
}

// The directions of a piece that stands, of one that lies open and of one pressed flat.
var (
	standing = direction{scene.Standing(), "from the front", "from behind, below"}
	lying    = direction{scene.Lying(), "from above", "from below"}
	pressed  = direction{[]scene.View{scene.Pressed()}, "from above", "from below"}
)

// draw makes the pictures of a piece that stands as a motion has it.
func (v *View) draw(ctx context.Context, sc *scene.Scene, from direction, stand geom.RigidTransform) error {
	views := make([]scene.View, len(from.views))
	for i, w := range from.views {
		views[i] = w.Turn(stand)
	}
	first := views[sc.Choose(views)]
	v.Aspects = nil
	for _, a := range []struct {
		title string
		view  scene.View
	}{{from.title, first}, {from.second, first.Opposite()}} {
		p, err := sc.Draw(ctx, a.view)
		if err != nil {
			return err
		}
		v.Aspects = append(v.Aspects, Aspect{Title: a.title, Picture: p})
	}
	return nil
}

// Parts of a picture's board that tell a piece that stands open to the back: it
// shows little of its inside in front, past an open corner at most, and much of
// it behind.
const (
	closedShare = 0.08
	openShare   = 0.25
)

// opensBehind reports whether the piece stands open to the back.
func (v *View) opensBehind() bool {
	return v.Aspects[0].Picture.Share(scene.Inside) < closedShare && v.Aspects[1].Picture.Share(scene.Inside) > openShare
}

// mark gives a finding a spot in the aspect that shows it.
func (v *View) mark(f *diag.Finding) {
	for _, mayHide := range []bool{false, true} {
		for i := range v.Aspects {
			a := &v.Aspects[i]
			if at, hidden, ok := a.Picture.Spot(f.Panel, *f.At); ok && (mayHide || !hidden) {
				a.Spots = append(a.Spots, Spot{f, at})
				return
			}
		}
	}
}

// foldedPens says how the lines of a folded picture are drawn, by kind. Creases that
// a tool works are drawn as on the blank instead.
var foldedPens = [...]pen{
	scene.Rim:        {inkColour, 0.25, nil},
	scene.Hinge:      {blue, narrow, nil},
	scene.Perforated: {lookOf(blank.PerforatedLine).pen.colour, 0.3, lookOf(blank.PerforatedLine).pen.dash},
	scene.Drawn:      {lookOf(blank.DrawnLine).pen.colour, narrow, nil},
	scene.Crossing:   {vermilion, 0.5, nil},

	scene.ProductEdge: {productInk, narrow, nil},
}

// foldedLines is the order in which they are drawn, what matters most last.
var foldedLines = [...]scene.LineKind{scene.ProductEdge, scene.Drawn, scene.Perforated, scene.Hinge, scene.Rim, scene.Crossing}

// sideColours are the colours of a board's two sides in full light.
var sideColours = [...]string{scene.Outside: boardColour, scene.Inside: insideColour}

// darkest is the part of its light that a face keeps on the side away from the
// lamp. Lower values tell faces apart better; below this one the outside of a shaded
// face gets the colour of a lit inside.
const darkest = 0.76

// box is the box round the first picture.
func (v View) box() geom.Box { return v.Aspects[0].Picture.Bounds }

// folded is a view laid out at one scale, on the paper.
type folded struct {
	parts  []foldedPart
	marks  []mark
	extent geom.Box
}

// foldedPart is one picture with its caption below; the first has none.
type foldedPart struct {
	picture *scene.Picture
	m       placing
	caption []string   // lines
	at      geom.Point // where the caption's first line starts, at half its height
}

// leastSecond is half, less rounding.
const leastSecond = 0.5 - 1e-9

const (
	partGap      = 5.0  // between pictures of one view
	partCaption  = 4.2  // height of a caption of one line below
	captionLine  = 4.0  // distance of its lines
	partWidth    = 24.0 // least width of a caption of several lines
	captionLines = 3    // most lines of it
)

// layView puts the pictures of a view side by side, all standing on one line, or one
// below the other, and numbers the findings that show in them; found runs parallel to
// the aspects.
func layView(v View, step int, below bool, found [][]numbered) *folded {
	fd := &folded{parts: make([]foldedPart, 0, len(v.Aspects)), extent: geom.EmptyBox()}
	for i, a := range v.Aspects {
		part := fd.part(a, i, step, below)
		fd.parts = append(fd.parts, part)
		fd.extent = fd.extent.Union(part.bounds())
	}
	if slices.ContainsFunc(found, func(n []numbered) bool { return len(n) > 0 }) {
		fd.placeMarks(found)
	}
	return fd
}

// placeMarks gives the findings discs that keep off the captions and one another.
func (fd *folded) placeMarks(found [][]numbered) {
	f := newOccupancy()
	for _, part := range fd.parts {
		for k := range part.caption {
			f.addTile(part.tile(k))
		}
	}
	for i, part := range fd.parts {
		for _, s := range found[i] {
			m := mark{numbered: s, spot: part.m.point(*s.at)}
			m.disc = f.placeDisc(m.spot)
			f.addTile(discTile(m.disc))
			fd.extent = fd.extent.Union(discTile(m.disc).bounds())
			fd.marks = append(fd.marks, m)
		}
	}
}

// secondStep is the step of scale of the pictures after the first: the smallest that
// is at least half of the first's.
func secondStep(step int) int {
	n := step
	for scaleStep(n-1) > scaleStep(step)*leastSecond {
		n--
	}
	return n
}

// part places the i-th picture right of those before it, or below.
func (fd *folded) part(a Aspect, i, step int, below bool) foldedPart {
	box := a.Picture.Bounds
	if i == 0 {
		return foldedPart{picture: a.Picture, m: placeAt(scaleStep(step), box, geom.Point{})}
	}
	scale := scaleStep(secondStep(step))
	width, height := float64(box.Width()*scale), float64(box.Height()*scale)
	room := max(width, partWidth)
	lines := smallFont.clip(smallFont.wrap(a.Title+", "+scaleText(scale), room), captionLines, room)
	corner := geom.Pt(0, fd.extent.Max.Y+partGap)
	if !below {
		foot := fd.parts[0].bounds().Max.Y - partCaption - float64(captionLine*float64(len(lines)-1))
		corner = geom.Pt(fd.extent.Max.X+partGap, foot-height)
	}
	return foldedPart{
		picture: a.Picture, m: placeAt(scale, box, corner),
		caption: lines, at: corner.Add(geom.Pt(0, height+partCaption-smallFont.size/2)),
	}
}

// bounds is what the part takes up, its caption included.
func (p foldedPart) bounds() geom.Box {
	b := p.m.box(p.picture.Bounds).Grow(wide / 2)
	for k := range p.caption {
		b = b.Union(p.tile(k).bounds())
	}
	return b
}

// lineAt is where the k-th line of the caption starts.
func (p foldedPart) lineAt(k int) geom.Point {
	return p.at.Add(geom.Pt(0, float64(captionLine*float64(k))))
}

// tile is the place of the k-th line of the caption.
func (p foldedPart) tile(k int) tile {
	w := smallFont.width(p.caption[k])
	return tile{p.lineAt(k).Add(geom.Pt(w/2, 0)), geom.Pt(1, 0), w / 2, smallFont.size / 2}
}

// write draws the pictures with their captions, then the marks.
func (fd *folded) write(w Surface) {
	for _, p := range fd.parts {
		w.Open(Paint{Class: "folded", RoundJoin: true, RoundCap: true}, geom.Point{})
		for _, f := range p.picture.Faces {
			p.fill(w, f.Rings, sideColours[f.Side], f.Shade)
		}
		for _, f := range p.picture.Products {
			p.fill(w, f.Rings, productColour, f.Shade)
		}
		for _, k := range foldedLines {
			p.writeLines(w, k)
		}
		w.Close()
		for k, text := range p.caption {
			writeText(w, text, smallFont, p.lineAt(k), 0, AtStart, greyColour)
		}
	}
	writeMarks(w, fd.marks)
}

// fill fills the visible part of a face with a colour as the light falls on it, and a
// hairline of that round it, which hides the seams between faces.
func (p foldedPart) fill(w Surface, rings [][]geom.Point, colour string, shade float64) {
	colour = shaded(colour, darkest+float64((1-darkest)*shade))
	w.Points(p.m.runs(rings), true, Paint{Fill: colour, EvenOdd: true, Stroke: colour, Width: hairline / 2})
}

// writeLines draws all lines of a kind as one path, and creases as one for each way
// to work them.
func (p foldedPart) writeLines(w Surface, k scene.LineKind) {
	p.writeRuns(w, k, "", foldedPens[k])
	if k == scene.Hinge {
		for _, l := range looks {
			p.writeRuns(w, k, l.kind, l.pen)
		}
	}
}

// writeRuns draws the lines of a kind that are worked in one way.
func (p foldedPart) writeRuns(w Surface, k scene.LineKind, work blank.Kind, with pen) {
	var runs [][]geom.Point
	for _, l := range p.picture.Lines {
		if l.Kind == k && l.Work == work {
			runs = append(runs, l.Points)
		}
	}
	if len(runs) > 0 || work == "" {
		w.Points(p.m.runs(runs), false, with.paint(""))
	}
}

// shaded is a colour with a part of its light.
func shaded(colour string, part float64) string {
	var r, g, b float64
	var v [3]uint8
	_, _ = fmt.Sscanf(colour, "#%02X%02X%02X", &v[0], &v[1], &v[2]) // one of our own
	r, g, b = float64(v[0])*part, float64(v[1])*part, float64(v[2])*part
	return fmt.Sprintf("#%02X%02X%02X", int(math.Round(r)), int(math.Round(g)), int(math.Round(b)))
}
