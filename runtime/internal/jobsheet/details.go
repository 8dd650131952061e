package jobsheet

import (
	"context"
	"math"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/linework"
)

// Measure is what a detail is the smallest of.
type Measure uint8

// The measures, in the order of Piece.Details.
const (
	Web        Measure = iota // board between two cuts that face each other
	Gap                       // a gap between two cuts that face each other
	Opening                   // a closed cut within the board: the shorter side of its bounding box
	Slit                      // the length of an open cut
	CreasePair                // the distance of two creases that run side by side
	CreaseEdge                // the distance of a crease from a cut that lies beside it
)

// Measures lists every measure.
func Measures() []Measure { return []Measure{Web, Gap, Opening, Slit, CreasePair, CreaseEdge} }

// Reach is up to which distance lines that face each other are measured, in mm. More is no
// detail.
const Reach = 16

// Detail is the smallest of its measure on a blank.
type Detail struct {
	Measure Measure
	Found   bool // else there is none, or none below Reach
	Size    float64
	Other   float64    // of an opening, the longer side of its box
	At      geom.Point // in the blank frame
	// A and B are what it lies between, a cut before a crease; the feature of a crease between
	// panels is the child's edge. Of an opening or a slit A alone says whose it is.
	A, B linework.Feature
}

// detailsOf measures the smallest details of a blank, one of each measure.
func detailsOf(ctx context.Context, b *blank.Blank) ([]Detail, error) {
	lines, err := linework.New(ctx, b)
	if err != nil {
		return nil, err
	}
	d := detailing{lines: lines, least: make([]Detail, len(Measures()))}
	for _, m := range Measures() {
		d.least[m].Measure = m
	}
	d.strokes(b)
	return d.least, d.facings(ctx)
}

// detailing is a search for the smallest details.
type detailing struct {
	lines *linework.Lines
	least []Detail // by measure
}

// take keeps a detail that is smaller than the one of its measure so far. Of equals, within
// the snap tolerance, the first stays.
func (d *detailing) take(x Detail) {
	if was := d.least[x.Measure]; !was.Found || x.Size < was.Size-geom.SnapTolerance {
		x.Found = true
		d.least[x.Measure] = x
	}
}

// strokes looks for the smallest opening and the shortest slit.
func (d *detailing) strokes(b *blank.Blank) {
	for _, l := range b.Layers {
		if l.Kind != blank.CutLine {
			continue
		}
		for _, s := range l.Strokes {
			at := s.Curves[0].At(0.5)
			x := Detail{Measure: Slit, Size: s.Length(), At: at}
			if s.Closed {
				area, box := 0.0, geom.EmptyBox()
				for _, c := range s.Curves {
					area += c.Area()
					box = box.Union(c.Bounds())
				}
				if area >= 0 {
					continue // the outer contour of a part
				}
				x.Measure, x.Size, x.Other = Opening, min(box.Width(), box.Height()), max(box.Width(), box.Height())
			}
			d.take(x)
		}
	}
	for _, m := range [...]Measure{Opening, Slit} {
		if x := &d.least[m]; x.Found {
			x.A = d.lines.FeatureAt(x.At)
		}
	}
}

// facings looks for the smallest distances between lines: up to 1 mm, and as long as some
// measure has none, up to twice as far as before, so that only few pairs are looked at.
func (d *detailing) facings(ctx context.Context) error {
	for reach := 1.0; reach <= Reach; reach *= 2 {
		found := [...]bool{Web: d.least[Web].Found, Gap: d.least[Gap].Found, CreasePair: d.least[CreasePair].Found, CreaseEdge: d.least[CreaseEdge].Found}
		wanted := func(a, b *linework.Line) float64 {
			done := found[CreaseEdge]
			switch {
			case a.IsCut() && b.IsCut():
				done = found[Web] && found[Gap]
			case !a.IsCut() && !b.IsCut():
				done = found[CreasePair]
			}
			if done {
				return 0
			}
			return reach
		}
		err := d.lines.Facings(ctx, reach, wanted, func(f linework.Facing) {
			if f.B.IsCut() && !f.A.IsCut() {
				f.A, f.B, f.P, f.Q = f.B, f.A, f.Q, f.P
			}
			if m, ok := measureOf(f); ok && !found[m] {
				d.take(Detail{Measure: m, Size: f.Gap, At: f.P.Lerp(f.Q, 0.5), A: d.featureOf(f.A, f.P), B: d.featureOf(f.B, f.Q)})
			}
		})
		if err != nil {
			return err
		}
	}
	return nil
}

// nib is how many times the distance of two cuts of one stroke the stroke must run from one
// to the other for them to have a web or a gap between them: less is a corner or a step.
const nib = 4

// beside is the cosine up to which a cut counts as lying square beside a crease: six
// degrees, as for all lines that face.
const beside = 0.1

// measureOf is what two lines that face each other are measured for, if anything: cuts by
// what lies between them, creases where they run side by side for longer than they are
// apart, a cut where it does not lie ahead of a crease's end.
func measureOf(f linework.Facing) (Measure, bool) {
	switch {
	case f.A.IsCut() && f.B.IsCut():
		if f.Board {
			return Web, f.ArcLength >= nib*f.Gap
		}
		return Gap, f.ArcLength >= nib*f.Gap
	case !f.A.IsCut() && !f.B.IsCut():
		return CreasePair, f.Board && f.Beside(f.Gap+geom.SnapTolerance) > f.Gap
	}
	t, _ := f.B.Nearest(f.Q)
	return CreaseEdge, f.Board && math.Abs(f.B.Tangent(t).Dot(f.P.Sub(f.Q))) <= beside*f.Gap
}

// featureOf says what a line is at a point. A crease is the edge of its child.
func (d *detailing) featureOf(l *linework.Line, at geom.Point) linework.Feature {
	switch {
	case l.Hinge != nil:
		return linework.Feature{Panel: l.Hinge.Child, Edge: l.Hinge.By.Name, Window: l.Hinge.By.Window}
	case l.Score != nil:
		return linework.Feature{Panel: l.Score.Panel, Work: l.Score}
	}
	return d.lines.FeatureAt(at)
}
