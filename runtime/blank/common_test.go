package blank

import (
	"context"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/creasewright/creasewright/runtime/geom"
)

// rectangle is a closed stroke with its lower left corner at (x, y).
func rectangle(x, y, w, h float64) Stroke {
	p := []geom.Point{{X: x, Y: y}, {X: x + w, Y: y}, {X: x + w, Y: y + h}, {X: x, Y: y + h}}
	s := Stroke{Closed: true}
	for i := range p {
		s.Curves = append(s.Curves, geom.LineFrom(p[i], p[(i+1)%4]))
	}
	return s
}

// Law: a grid of n by m rectangles of w by h that touch is cut along n + 1 and
// m + 1 whole lines, in the fewest strokes (Euler: half of the nodes of odd degree, the
// T-junctions on the rim). All lines are unbroken from corner to corner of a stroke.
func TestCommonLinesOfAGrid(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 1))
	for range 20 {
		n, m := 1+rng.IntN(5), 1+rng.IntN(5)
		w, h := 10+90*rng.Float64(), 10+90*rng.Float64()
		var strokes []Stroke
		sum := 0.0
		for i := range n {
			for k := range m {
				s := rectangle(float64(i)*w, float64(k)*h, w, h)
				strokes = append(strokes, s)
				sum += s.Length()
			}
		}
		out, saved, err := CommonLines(context.Background(), strokes)
		if err != nil {
			t.Fatal(err)
		}
		length := 0.0
		for _, s := range out {
			length += s.Length()
		}
		want := float64(n+1)*float64(m)*h + float64(m+1)*float64(n)*w
		if math.Abs(length-want) > 1e-6 || math.Abs(sum-saved-want) > 1e-6 {
			t.Errorf("%d × %d: %g mm, saved %g; want %g of %g", n, m, length, saved, want, sum)
		}
		odd := 2 * (n - 1 + m - 1)
		if len(out) != max(odd/2, 1) {
			t.Errorf("%d × %d: %d strokes with %d odd nodes", n, m, len(out), odd)
		}
	}
}

// Strokes that share nothing stay as they are; a shared stretch of a side alone is there
// once; arcs that coincide are merged too.
func TestCommonLinesInParts(t *testing.T) {
	apart := []Stroke{rectangle(0, 0, 10, 10), rectangle(20, 0, 10, 10)}
	out, saved, err := CommonLines(context.Background(), apart)
	if err != nil || saved != 0 || len(out) != 2 || len(out[1].Curves) != 4 || !out[1].Closed {
		t.Errorf("apart: %v, saved %g (%v)", out, saved, err)
	}
	out, saved, err = CommonLines(context.Background(), []Stroke{rectangle(0, 0, 10, 10), rectangle(10, 4, 10, 10), rectangle(40, 0, 5, 5)})
	if err != nil || math.Abs(saved-6) > 1e-9 || len(out) != 2 || out[0].Curves[0].P != geom.Pt(40, 0) {
		t.Errorf("half a side: %v, saved %g (%v)", out, saved, err)
	}
	arc := geom.ArcFrom(geom.Pt(5, 0), geom.Pt(0, 0), geom.Radians(math.Pi))
	lens := Stroke{Curves: []geom.Curve{arc, geom.LineFrom(arc.Q, arc.P)}, Closed: true}
	out, saved, err = CommonLines(context.Background(), []Stroke{lens, {Curves: []geom.Curve{arc.Reverse()}}})
	if err != nil || math.Abs(saved-arc.Length()) > 1e-6 || len(out) != 1 {
		t.Errorf("arcs: %v, saved %g (%v)", out, saved, err)
	}
}

// Law: it ends with its context.
func TestCommonLinesEnds(t *testing.T) {
	ctx, end := context.WithCancel(context.Background())
	end()
	if _, _, err := CommonLines(ctx, []Stroke{rectangle(0, 0, 10, 10), rectangle(10, 0, 10, 10)}); err == nil {
		t.Error("no error")
	}
}
