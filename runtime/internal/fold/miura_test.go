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
			lean = a * math.Cos(geom.Degrees(g).Angle().Radians())
		}
		return geom.Pt(x+lean, float64(j)*a*math.Sin(geom.Degrees(g).Angle().Radians()))
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
			w := float64(a.Degrees.Abs())
			if math.Abs(w-90) > 1e-6 && math.Abs(w-53.130102) > 1e-6 {
				t.Fatalf("n=%d: hinge %s folds %v", n, p.Hinges[i].Name, a)
			}
		}
	}
}

// The folded sheet's cell has the sizes of the formulas (Schenk and Guest, PNAS
// 110 (2013) 3276–3281; formulas from memory, geometry verified): 2S × 2L × H
// with a shift V, for facets of sides a and b with acute angle g, tilted by θ.
// Here a runs along the straight creases.
func TestMiuraCell(t *testing.T) {
	for _, c := range []struct{ a, b, g, deg float64 }{{1, 1, 60, 90}, {1, 1, 60, 53.13010235415598}, {12, 10, 70, 40}, {10, 15, 55, 150}} {
		const n = 2
		p := sheet(miura(n, c.b, c.a, c.g), miuraFolds(n, c.deg))
		pose := foldClosed(t, p)
		if len(pose.Faults) > 0 {
			t.Fatalf("%+v: %+v", c, pose.Faults[0])
		}
		at := func(i, j int) geom.Point3 { // lattice point (i, j), a corner of facet (i, j)
			f := 2*n*j + i
			return pose.Place[f].Apply(p.Panels[f].Outline.Edges[0].P.Space())
		}
		l, s := at(2, 0).Sub(at(0, 0)), at(0, 2).Sub(at(0, 0))
		up := l.Cross(s).Unit()
		theta := math.Acos(math.Abs(up.Dot(pose.Place[0].Normal())))
		tan, sinG, g := math.Tan(geom.Degrees(c.g).Angle().Radians()), math.Sin(geom.Degrees(c.g).Angle().Radians()), math.Sqrt
		root := g(1 + math.Pow(math.Cos(theta)*tan, 2))
		for what, v := range map[string][2]float64{
			"H":      {math.Abs(up.Dot(at(1, 0).Sub(at(0, 0)))), c.a * math.Sin(theta) * sinG},
			"S":      {s.Len() / 2, c.b * math.Cos(theta) * tan / root},
			"L":      {l.Len() / 2, c.a * g(1-math.Pow(math.Sin(theta)*sinG, 2))},
			"V":      {math.Abs(at(0, 1).Sub(at(0, 0)).Dot(l.Unit())), c.b / root},
			"square": {l.Unit().Dot(s.Unit()), 0},
		} {
			if math.Abs(v[0]-v[1]) > 1e-8 {
				t.Errorf("%+v, θ %.4f: %s is %.9f, want %.9f", c, geom.Radians(theta).Degrees(), what, v[0], v[1])
			}
		}
		if c.a == 1 && c.deg == 90 {
			for what, v := range map[string][2]float64{"θ": {float64(geom.Radians(theta).Degrees()), 45}, "S": {s.Len() / 2, 0.774596669}, "L": {l.Len() / 2, 0.790569415}} {
				if math.Abs(v[0]-v[1]) > 1e-8 {
					t.Errorf("%s is %.9f, the table says %.9f", what, v[0], v[1])
				}
			}
		}
	}
}

func BenchmarkMiura(b *testing.B) {
	for _, n := range []int{2, 5, 10, 20, 30} {
		p := sheet(miura(n, 10, 10, 60), miuraFolds(n, 90))
		b.Run(fmt.Sprintf("%dx%d", n, n), func(b *testing.B) {
			for b.Loop() {
				foldAll(b, p, closedPose())
			}
		})
	}
}
