package blank_test

import (
	"context"
	"fmt"
	"math"
	"math/rand"
	"testing"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/region"
	"github.com/creasewright/creasewright/runtime/model"
	mt "github.com/creasewright/creasewright/runtime/model/modeltest"
)

// Every fault names what it is about, with its numbers, at the call that made
// it; what follows from another fault is not told again.
func TestFaults(t *testing.T) {
	for _, c := range []struct {
		name  string
		spoil func(a, b *model.Panel)
		want  string
		line  int
	}{
		{"panel lost", func(a, b *model.Panel) { open(a, mt.Rect(-5, 39, 70, 50)) },
			`window in panel "a" takes all board of panel "b"`, 90},
		{"panel lost to two windows", func(a, b *model.Panel) {
			open(a, mt.Rect(-5, 40, 40, 50))
			open(a, mt.Rect(25, 40, 40, 50))
		}, `panel "b" has no board left: windows take all 2400 mm² of it`, 2},
		{"hinge lost to a window", func(a, b *model.Panel) { open(a, mt.Rect(-5, 35, 70, 10)) },
			`hinge "b" is left nowhere: windows and slits take all 60 mm of it along a.top`, 2},
		{"hinge lost to a slit", func(a, b *model.Panel) { work(b, model.Slit, "", mt.Polyline(geom.Pt(-1, 40), geom.Pt(61, 40))) },
			`hinge "b" is left nowhere: windows and slits take all 60 mm of it along a.top`, 2},
		{"window off the board", func(a, b *model.Panel) { open(b, mt.Rect(70, 10, 5, 5)) },
			`window in panel "b" lies wholly outside the board: it spans x 70 to 75, y 10 to 15`, 90},
		{"window against the rim", func(a, b *model.Panel) { open(b, mt.Rect(60, 10, 5, 5)) },
			`window in panel "b" lies wholly outside the board: it spans x 60 to 65, y 10 to 15`, 90},
		{"slit off the board", func(a, b *model.Panel) { work(a, model.Slit, "", mt.Polyline(geom.Pt(70, 10), geom.Pt(75, 15))) },
			`slit in panel "a" lies wholly outside the board: it spans x 70 to 75, y 10 to 15`, 91},
		{"score in a window", func(a, b *model.Panel) {
			open(a, mt.Rect(10, 10, 20, 20))
			work(a, model.ScoreLine, model.Score, mt.Polyline(geom.Pt(12, 20), geom.Pt(25, 20)))
		}, `score in panel "a" lies wholly outside the board: it spans x 12 to 25, y 20 to 20`, 91},
		{"perforation off the board", func(a, b *model.Panel) {
			work(b, model.Perforation, "", mt.Disc(0, 0, -1).Transform(geom.Translation(-9, 0)))
		},
			`perforation in panel "b" lies wholly outside the board: it spans x -10 to -8, y -1 to 1`, 91},
		{"drawn line off the board", func(a, b *model.Panel) { work(b, model.Drawn, "", mt.Polyline(geom.Pt(0, -1), geom.Pt(60, -1))) },
			`drawn line in panel "b" lies wholly outside the board: it spans x 0 to 60, y -1 to -1`, 91},
	} {
		t.Run(c.name, func(t *testing.T) {
			p, a, b := pair()
			c.spoil(a, b)
			_, found, _ := blank.Lay(context.Background(), p, nil)
			if len(found) != 1 || found[0].Message != c.want {
				t.Fatalf("found %v, want %s", messages(found), c.want)
			}
			f := found[0]
			if f.Severity != diag.Error || f.Rule != diag.RuleScript || f.Piece != "piece" || f.Site.First().Line != c.line || f.At == nil {
				t.Errorf("%+v", f)
			}
		})
	}
}

// A blank with no board left still has a size, for the picture of the fault.
func TestNoBoardAtAll(t *testing.T) {
	p, a, _ := pair()
	open(a, mt.Rect(-1, -1, 62, 82))
	b, found, _ := blank.Lay(context.Background(), p, nil)
	if len(found) != 1 || b.Area != 0 || len(b.Layers) != 0 || b.Bounds != geom.BoxOf(geom.Pt(0, 0), geom.Pt(60, 80)) {
		t.Errorf("found %v, area %g, layers %v, bounds %v", messages(found), b.Area, b.Layers, b.Bounds)
	}
}

// A window that takes whole panels points at the calls that made them, as far as
// those are known.
func TestCoveredPanelsAreRelated(t *testing.T) {
	p, a, b := pair()
	a.Site = nil
	open(a, mt.Rect(-1, -1, 62, 82))
	_, found, _ := blank.Lay(context.Background(), p, nil)
	want := diag.Related{Span: b.Site.First(), Message: `panel "b"`}
	if len(found) != 1 || len(found[0].Related) != 1 || found[0].Related[0] != want {
		t.Errorf("found %+v, want one with %v related", found, want)
	}
}

// Two squares that share 10 × 20 mm: the finding names both, gives the area,
// stands at the later one's call and lies on the spot.
func TestOverlapFinding(t *testing.T) {
	p, _, b := pair()
	b.Flat = geom.Translation(50, -20)
	blanked, found, _ := blank.Lay(context.Background(), p, nil)
	var f *diag.Finding
	for _, g := range found {
		if g.Rule == blank.RuleOverlap {
			f = g
		}
	}
	if f == nil || f.Message != `panels "a" and "b" overlap in the flat by 200 mm²` || f.Severity != diag.Error {
		t.Fatalf("found %v", messages(found))
	}
	if f.Site.First().Line != 2 || f.Related[0].Span.Line != 1 || f.Panel != "b" || f.At.Dist(geom.Pt(55, 30)) > 1e-9 {
		t.Errorf("%+v", f)
	}
	if layer(blanked, blank.CutLine).Length() == 0 || len(blanked.Regions[1].Rings) != 1 {
		t.Errorf("no blank to show the fault on")
	}
}

// What is within the snap tolerance of touching does not overlap, nor does what a window
// takes; a flap that outgrows its window does.
func TestNoOverlap(t *testing.T) {
	touching := func(dx, dy float64) int {
		p := block()
		d := p.Panels[3]
		d.Flat = geom.Translation(dx, dy)
		_, found, _ := blank.Lay(context.Background(), p, nil)
		return len(found)
	}
	for _, d := range []float64{0, 1e-12, -1e-9, -9e-4} {
		if n := touching(d, 0); n != 0 {
			t.Errorf("%d findings at %g mm", n, d)
		}
	}
	if n := touching(-0.01, 0); n != 1 {
		t.Errorf("%d findings for panels 0.01 mm into one another", n)
	}
	p, a, b := pair()
	b.Flat = geom.Translation(0, -10)
	p.Hinges[0] = mt.Join(a, b, mt.Cell{Name: "b", On: "top", By: "bottom", Fold: mt.Right})
	open(a, mt.Rect(-1, 25, 62, 60))
	for _, m := range messages(found(p)) {
		if m[:6] == "panels" {
			t.Errorf("board that a window took overlaps: %s", m)
		}
	}
}

// found is what laying a piece finds.
func found(p *model.Piece) []*diag.Finding {
	_, found, _ := blank.Lay(context.Background(), p, nil)
	return found
}

// A stack of equal panels gives one finding a pair, ten of them, then a count.
func TestOverlapFlood(t *testing.T) {
	cells := []mt.Cell{{Name: "root", Outline: mt.Rect(0, 0, 60, 40)}}
	for i := range 6 {
		cells = append(cells, mt.Cell{Name: fmt.Sprint("flap ", i), Outline: mt.Rect(0, 40, 60, 30), On: "top", By: "bottom", Fold: mt.Right})
	}
	found := found(mt.Assemble(cells, nil).Pieces[0])
	if len(found) != 11 || found[0].Message != `panels "flap 0" and "flap 1" overlap in the flat by 1800 mm²` ||
		found[10].Message != "5 more pairs of panels overlap in the flat" {
		t.Errorf("found %v", messages(found))
	}
}

// Law: of panels thrown down at random exactly those pairs are found, with
// their areas, that overlay as outlines; the two ways share only the splitting
// of curves.
func TestOverlapsAgreeWithOverlay(t *testing.T) {
	for seed := range int64(60) {
		rng := rand.New(rand.NewSource(seed))
		var cells []mt.Cell
		for i := range 5 {
			shape := mt.Disc(0, 0, 8+10*rng.Float64())
			if i%2 == 0 {
				shape = mt.Rect(0, 0, 15+20*rng.Float64(), 10).Transform(geom.Rotation(geom.Radians(7*rng.Float64()), geom.Point{}))
			}
			shape = shape.Transform(geom.Translation(70*rng.Float64(), 70*rng.Float64()))
			cells = append(cells, mt.Cell{Name: fmt.Sprint(i), Outline: shape, On: shape.Edges[0].Name, By: shape.Edges[0].Name, Fold: mt.Right})
		}
		p := mt.Assemble(cells[:1], nil).Pieces[0]
		for i, c := range cells[1:] {
			p.Panels = append(p.Panels, &model.Panel{Name: c.Name, Index: i + 1, Outline: c.Outline, Flat: geom.Identity(), Site: mt.At(i + 2)})
		}
		var want []string
		for j, b := range p.Panels {
			for _, a := range p.Panels[:j] {
				area := region.OverlapArea([][]geom.Curve{a.Outline.Curves()}, [][]geom.Curve{b.Outline.Curves()})
				if area > 0 {
					want = append(want, fmt.Sprintf("panels %q and %q overlap in the flat by %s mm²", a.Name, b.Name, geom.Num(math.Abs(area))))
				}
			}
		}
		got := messages(found(p))
		if fmt.Sprint(got) != fmt.Sprint(want) {
			t.Errorf("seed %d: found %v, want %v", seed, got, want)
		}
	}
}
