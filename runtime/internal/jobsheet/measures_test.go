package jobsheet

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/board"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/nest"
	"github.com/creasewright/creasewright/runtime/model"
)

// Law, on random plates of round holes: the narrowest board is the least distance of two
// rims, as far as it is below Reach, and the smallest opening the least diameter.
func TestNarrowestBoard(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 5))
	for n := range 30 {
		type hole struct {
			at geom.Point
			r  float64
		}
		holes := []hole{}
		script := "p = panel(\"p\", rect(200, 160))\n"
		least, smallest := math.Inf(1), math.Inf(1)
		for len(holes) < 6 {
			h := hole{geom.Pt(20+160*rng.Float64(), 20+120*rng.Float64()), 2 + 6*rng.Float64()}
			gap := min(h.at.X, h.at.Y, 200-h.at.X, 160-h.at.Y) - h.r
			for _, o := range holes {
				gap = min(gap, h.at.Dist(o.at)-h.r-o.r)
			}
			if gap < 0.5 {
				continue
			}
			least, smallest = min(least, gap), min(smallest, 2*h.r)
			holes = append(holes, h)
			script += fmt.Sprintf("p.cut(circle(%.9f).shift(%.9f, %.9f))\n", 2*h.r, h.at.X, h.at.Y)
		}
		d := pieces(t, script+"piece(\"p\", p, board = board(\"b\", caliper = 0.4))\n")[0].Details
		if w := d[Web]; w.Found != (least < Reach) || w.Found && math.Abs(w.Size-least) > 2*geom.SnapTolerance {
			t.Errorf("plate %d: %.4f mm of board, by the holes %.4f", n, w.Size, least)
		}
		if o := d[Opening]; !o.Found || math.Abs(o.Size-smallest) > 1e-6 || math.Abs(o.Other-smallest) > 1e-6 {
			t.Errorf("plate %d: an opening of %.4f mm, the least drawn is %.4f", n, o.Size, smallest)
		}
		for _, m := range []Measure{Gap, Slit, CreasePair, CreaseEdge} {
			if d[m].Found && m != Gap { // a small hole is a gap between its own sides
				t.Errorf("plate %d: measure %d, %+v", n, m, d[m])
			}
		}
	}
}

// Each measure of a piece that was drawn with them.
func TestEachMeasure(t *testing.T) {
	d := pieces(t, `a = panel("a", rect(100, 80))
b = panel("b", rect(3, 80), on = a.right)
c = panel("c", rect(40, 80), on = b.right, fold = 90)
flap("left flap", on = a.top.part(0, 49), depth = 20)
flap("right flap", on = a.top.part(50.5, 100), depth = 20)
a.cut(rect(4, 12).shift(30, 5))
a.cut(rect(20, 8).shift(36.5, 5))
a.cut(path(60, 20).line(67, 20))
a.cut(path(97.75, 30).line(97.75, 39))
piece("p", a, board = board("b", caliper = 0.4))
`)[0].Details
	for m, want := range map[Measure]float64{Web: 2.5, Gap: 1.5, Opening: 4, Slit: 7, CreasePair: 3, CreaseEdge: 2.25} {
		if !d[m].Found || math.Abs(d[m].Size-want) > 1e-6 {
			t.Errorf("measure %d is %+v, drawn was %g", m, d[m], want)
		}
	}
	if d[Opening].Other != 12 || d[Opening].A.Window == nil || d[CreaseEdge].A.Work == nil || d[CreaseEdge].B.Panel.Name != "b" {
		t.Errorf("opening %+v, crease %+v", d[Opening], d[CreaseEdge])
	}
	if g := d[Gap]; g.A == g.B || g.A.Panel.Name == g.B.Panel.Name {
		t.Errorf("the gap lies between %v and %v", g.A, g.B)
	}
}

// What is no detail: the corners of a rim that turns little at each, a cut that lies ahead
// of a crease, and the gap between the sides of an opening that is hardly longer than wide.
func TestNoDetails(t *testing.T) {
	script := "p = panel(\"p\", path(40, 0)"
	for i := 1; i < 36; i++ {
		at := geom.Polar(40, geom.Degrees(10*i).Angle())
		script += fmt.Sprintf(".line(%.6f, %.6f)", at.X, at.Y)
	}
	d := pieces(t, script+`.close())
p.score(path(-10, 0).line(10, 0))
p.cut(path(13, -4).line(13, 4))
p.cut(rect(4, 3).shift(-2, 18))
piece("p", p, board = board("b", caliper = 0.4))
`)[0].Details
	for _, m := range Measures() {
		if want := m == Slit || m == Opening; d[m].Found != want {
			t.Errorf("%+v", d[m])
		}
	}
	if d[Opening].Size != 3 || d[Opening].Other != 4 || d[Slit].Size != 8 {
		t.Errorf("%+v", d)
	}
}

// Law, on random sizes: boxes in these rows and columns fit on the bed inside its margin,
// and one column or row more does not; the count is that of package nest, which counts
// boxes too; a piece fits some way exactly where the machine has room for it.
func TestYields(t *testing.T) {
	rng := rand.New(rand.NewPCG(9, 2))
	fits := 0
	for range 300 {
		w, h := 10+rng.Float64()*400, 10+rng.Float64()*400
		m := &board.Machine{Name: "m", Bed: [2]float64{200 + rng.Float64()*900, 200 + rng.Float64()*900}, Margin: float64(rng.IntN(20))}
		grain := geom.Degrees(rng.IntN(360) - 180)
		rect, err := geom.Rect(w, h, 0)
		if err != nil {
			t.Fatal(err)
		}
		b := &blank.Blank{Bounds: geom.BoxOf(geom.Pt(3, 4), geom.Pt(3+w, 4+h)), Area: w * h, Piece: &model.Piece{Board: &board.Board{GrainDegrees: &grain}}}
		y := yieldsOf(b, []*model.Machine{{Machine: m}})[0]
		x, z := m.Room()
		for i, r := range []Rows{y.Straight, y.Turned} {
			a, c := w, h
			if i == 1 {
				a, c = h, w
			}
			taken := func(n int, size float64) float64 { return float64(n)*(size+SheetGap) - SheetGap }
			if taken(r.Columns, a) > x+geom.SnapTolerance || taken(r.Columns+1, a) <= x || taken(r.Rows, c) > z+geom.SnapTolerance || taken(r.Rows+1, c) <= z {
				t.Errorf("%g × %g mm in %+v on %g × %g", a, c, r, x, z)
			}
			shape, err := nest.NewShape([][]geom.Curve{rect.Curves()}, SheetGap)
			if err != nil {
				t.Fatal(err)
			}
			if n := nest.Grid(nest.Part{Shape: shape, Turns: []int{i}}, x+SheetGap, z+SheetGap); n != r.Count() {
				t.Errorf("%d pieces, nest counts %d", r.Count(), n)
			}
			if share := float64(r.Count()) * w * h / (m.Bed[0] * m.Bed[1]); math.Abs(r.Share-share) > 1e-12 || share > 1 {
				t.Errorf("%g of the bed used, not %g", r.Share, share)
			}
			turned := math.Mod(float64(*r.Grain)-float64(grain)-90*float64(i)+720, 180)
			if turned != 0 || *r.Grain < 0 || *r.Grain >= 180 {
				t.Errorf("grain %g turned %d times is %g", grain, i, *r.Grain)
			}
		}
		ex, ey := m.Excess(w, h)
		most := max(y.Straight.Count(), y.Turned.Count())
		if (most > 0) != (ex <= 0 && ey <= 0) {
			t.Errorf("%d pieces; over the room by %g, %g", most, ex, ey)
		}
		if most > 0 {
			fits++
		}
	}
	if fits < 100 {
		t.Errorf("%d of 300 fit", fits)
	}
}
