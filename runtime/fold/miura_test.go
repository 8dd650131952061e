package fold

import (
	"fmt"
	"math"
	"testing"

	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/model"
)

// miura is the flat sheet of n × n Miura cells (2n × 2n facets) with facet
// sides a, b and acute angle g in degrees. Facet (i, j) has index 2n·j + i.
func miura(n int, a, b, g float64) [][]geom.Point {
	m := 2 * n
	at := func(i, j int) geom.Point {
		x := float64(i) * b
		lean := 0.0
		if j%2 == 1 {
			lean = a * math.Cos(geom.Degrees(g))
		}
		return geom.Pt(x+lean, float64(j)*a*math.Sin(geom.Degrees(g)))
	}
	var out [][]geom.Point
	for j := range m {
		for i := range m {
			out = append(out, []geom.Point{at(i, j), at(i+1, j), at(i+1, j+1), at(i, j+1)})
		}
	}
	return out
}

// miuraFolds asks for the Miura assignment: creases along the rows alternate
// from cell to cell, zigzag columns alternate from column to column. The first
// column crease is given.
func miuraFolds(n int, deg float64) crease {
	m := 2 * n
	first := true
	return func(a, b int) model.Fold {
		i, j := min(a, b)%m, min(a, b)/m
		if a/m == b/m { // side by side: a crease between columns
			side := model.In
			if i%2 == 1 {
				side = model.Out
			}
			if first && i == 0 {
				first = false
				return given(deg)
			}
			return free(side)
		}
		side := model.In
		if (i+j)%2 == 0 {
			side = model.Out
		}
		return free(side)
	}
}

func TestMiuraSolves(t *testing.T) {
	for _, n := range []int{1, 2, 5, 10} {
		p := sheet(miura(n, 10, 10, 60), miuraFolds(n, 90))
		pose := foldClosed(t, p)
		for _, f := range pose.Faults {
			t.Fatalf("n=%d: %+v", n, f)
		}
		for i, a := range pose.Angles {
			w := math.Abs(a.Degrees)
			if math.Abs(w-90) > 1e-6 && math.Abs(w-53.130102) > 1e-6 {
				t.Fatalf("n=%d: hinge %s folds %v", n, p.Hinges[i].Name, a)
			}
		}
	}
}

func BenchmarkMiura(b *testing.B) {
	for _, n := range []int{2, 5, 10, 20, 30} {
		p := sheet(miura(n, 10, 10, 60), miuraFolds(n, 90))
		b.Run(fmt.Sprintf("%dx%d", n, n), func(b *testing.B) {
			for b.Loop() {
				Fold(p, []*model.Pose{closedPose()})
			}
		})
	}
}
