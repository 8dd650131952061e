package printer

import (
	"maps"
	"math"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/engine"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/look"
	"github.com/creasewright/creasewright/runtime/internal/pdf"
	"github.com/creasewright/creasewright/runtime/internal/preview"
	"github.com/creasewright/creasewright/runtime/model"
)

const (
	legendTolerance = 0.05 // of rings that only make room for words, mm
	legendWidth     = 0.18
	foldType        = 1.9 // size of the type of folds and of panels' sizes, mm
	foldGap         = 0.7 // between a fold's line and its words
	labelGap        = 1.5 // between labels, mm: nearer ones read as one
)

// drawLegend names the panels, draws the folds that have no line, tells how each fold
// goes, and sets the words below.
func (t *template) drawLegend(c pdf.Colour) {
	t.rooms, t.taken = map[*model.Panel][][]geom.Point{}, crowd{}
	for _, r := range t.blank.Regions {
		rings := flatRings(r.Rings, t.place, legendTolerance)
		if l, ok := placeName(t.text.regular, diag.Printable(r.Panel.Name), rings); ok {
			t.set(l, c)
		}
		t.rooms[r.Panel] = rings
	}
	t.drawHandFolds(c)
	folds := closedFolds(t.made)
	for _, h := range t.blank.Hinges {
		if len(h.Curves) > 0 && (h.Kind != "" || look.FoldedByHand(h)) {
			t.tellFold(h, preview.FoldText(h.Hinge, folds), c)
		}
	}
	for _, l := range t.info {
		l.colour = c
		t.text.write(t.page, l)
	}
}

// set writes a label and keeps others off it.
func (t *template) set(l label, c pdf.Colour) {
	l.colour = c
	t.text.write(t.page, l)
	t.taken.add(geom.BoxOf(l.corners(t.text.face(l.bold))...).Grow(labelGap))
}

// free reports whether a label lies within rings and on no other.
func (t *template) free(l label, rings [][]geom.Point) bool {
	corners := l.corners(t.text.face(l.bold))
	for _, p := range corners {
		if !within(rings, p) {
			return false
		}
	}
	return t.taken.clear(geom.BoxOf(corners...))
}

// drawHandFolds draws the hinges that are folded by hand.
func (t *template) drawHandFolds(c pdf.Colour) {
	pen := pdf.Pen{Colour: c, Width: legendWidth}
	for _, l := range look.Lines(false) {
		if l.Kind == look.HandFold {
			for _, d := range l.Dash {
				pen.Dash = append(pen.Dash, d*l.Width)
			}
		}
	}
	var strokes []blank.Stroke
	for _, h := range t.blank.Hinges {
		if look.FoldedByHand(h) {
			strokes = append(strokes, blank.Stroke{Curves: h.Curves})
		}
	}
	t.page.Stroke(t.placed(strokes), pen)
}

// closedFolds are the folds of all pieces in the pose "closed".
func closedFolds(m engine.Made) map[*model.Hinge]geom.Degrees {
	out := map[*model.Hinge]geom.Degrees{}
	for _, s := range m.States {
		if s.Pose.Name == "closed" {
			maps.Copy(out, s.Folds)
		}
	}
	return out
}

// Places along a hinge where its fold is told, as shares of its longest line.
var foldPlaces = [...]float64{0.5, 0.3, 0.7, 0.15, 0.85}

// tellFold sets the words of a fold beside its longest straight line, on the child's side or
// the parent's, where there is room in the panel.
func (t *template) tellFold(h blank.HingeLine, text string, c pdf.Colour) {
	var line geom.Curve
	for _, curve := range h.Curves {
		if curve.Kind == geom.Line && curve.Length() > line.Length() {
			line = curve.Transform(t.place)
		}
	}
	if line.P == line.Q {
		return
	}
	along := line.Q.Sub(line.P).Unit()
	if along.X < -1e-6 || math.Abs(along.X) <= 1e-6 && along.Y < 0 {
		along = along.Mul(-1) // words are read from below or from the right
	}
	l := label{text: text, size: foldType, angle: along.Angle()}
	for _, panel := range []*model.Panel{h.Hinge.Child, h.Hinge.Parent} {
		for _, share := range foldPlaces {
			for _, side := range []float64{1, -1} {
				off := along.Left().Mul(side * (foldGap + foldType*capHeight/2))
				if l = l.middle(line.At(share).Add(off)); t.free(l, t.rooms[panel]) {
					t.set(l, c)
					return
				}
			}
		}
	}
}

// drawDimensions draws the sizes of the whole, below and to the left, and those of panels
// that are nearly rectangles, under their names.
func (t *template) drawDimensions(c pdf.Colour) {
	at := func(x, y float64) geom.Point { return geom.Pt(x, y) }
	y, x := t.bleedBox.Min.Y-dimensionGap, t.bleedBox.Min.X-dimensionGap
	t.dimension(at(t.trim.Min.X, t.trim.Min.Y), at(t.trim.Min.X, y), at(t.trim.Max.X, y), at(t.trim.Max.X, t.trim.Min.Y), c)
	t.dimension(at(t.trim.Min.X, t.trim.Min.Y), at(x, t.trim.Min.Y), at(x, t.trim.Max.Y), at(t.trim.Min.X, t.trim.Max.Y), c)
	for _, r := range t.blank.Regions {
		w, h, ok := nearlyRectangle(r)
		rings := t.rooms[r.Panel]
		if !ok || len(rings) == 0 {
			continue
		}
		room := roomiest(rings)
		l := label{text: geom.Num(round2(w)) + " × " + geom.Num(round2(h)), size: foldType, colour: c}
		for _, drop := range []float64{0, -3.6, 3.6, -6, 6} {
			if l = l.middle(room.mid.Add(geom.Pt(0, drop))); t.free(l, rings) {
				t.set(l, c)
				break
			}
		}
	}
}

// dimension draws a dimension line from p to q with arrows, lines to what it measures, a
// at p and b at q, and its figure.
func (t *template) dimension(a, p, q, b geom.Point, c pdf.Colour) {
	const head, past, gap = 2.5, 1.5, 1.0
	u := q.Sub(p).Unit()
	away := p.Sub(a).Unit()
	var paths []pdf.Path
	line := func(points ...geom.Point) {
		path := pdf.Path{}
		for i := range len(points) - 1 {
			path.Curves = append(path.Curves, geom.LineFrom(points[i], points[i+1]))
		}
		paths = append(paths, path)
	}
	line(a.Add(away.Mul(gap)), p.Add(away.Mul(past)))
	line(b.Add(away.Mul(gap)), q.Add(away.Mul(past)))
	line(p, q)
	for _, end := range [][2]geom.Point{{p, u}, {q, u.Mul(-1)}} {
		back := end[0].Add(end[1].Mul(head))
		line(back.Add(u.Left().Mul(head/6)), end[0], back.Sub(u.Left().Mul(head/6)))
	}
	t.page.Stroke(paths, pdf.Pen{Colour: c, Width: legendWidth})
	l := label{text: geom.Num(round2(a.Dist(b))), size: templateType, angle: u.Angle(), colour: c}
	t.text.write(t.page, l.middle(p.Lerp(q, 0.5).Add(u.Left().Mul(templateType*capHeight/2+0.8))))
}

// nearlyRectangle reports whether three sides of the box round a panel's board are, over
// half of their length, straight edges of the board; and how wide and high the box is.
func nearlyRectangle(r blank.Region) (w, h float64, ok bool) {
	box := geom.EmptyBox()
	for _, ring := range r.Rings {
		for _, c := range ring {
			box = box.Union(c.Bounds())
		}
	}
	var sides [4]float64 // length of edge on the left, right, lower and upper side
	for _, ring := range r.Rings {
		for _, c := range ring {
			if c.Kind != geom.Line {
				continue
			}
			for i, off := range [4][2]float64{
				{c.P.X - box.Min.X, c.Q.X - box.Min.X}, {c.P.X - box.Max.X, c.Q.X - box.Max.X},
				{c.P.Y - box.Min.Y, c.Q.Y - box.Min.Y}, {c.P.Y - box.Max.Y, c.Q.Y - box.Max.Y},
			} {
				if math.Abs(off[0]) <= geom.SnapTolerance && math.Abs(off[1]) <= geom.SnapTolerance {
					sides[i] += c.Length()
				}
			}
		}
	}
	n := 0
	for i, s := range sides {
		if whole := [...]float64{box.Height(), box.Width()}[i/2]; s > whole/2 {
			n++
		}
	}
	return box.Width(), box.Height(), n >= 3
}
