package fold

import (
	"math"
	"testing"

	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/model"
)

// A generic triangulated disc has as many degrees of freedom as boundary edges,
// less three (T. Tachi, "Simulation of rigid origami", Origami 4 (2009) 175–187,
// value from memory). A folded Miura sheet of m × m facets, each cut along a
// diagonal that happens to lie flat, is one with 4m boundary edges. Two of the diagonals cut
// off a corner and are in no loop. Small systems are factored whole, the largest by its softest
// part alone.
func TestFreedomOfTriangulatedDiscs(t *testing.T) {
	for _, n := range []int{1, 2, 3} {
		m := 2 * n
		var faces [][]geom.Point
		for _, f := range miura(n, 10, 12, 65) {
			faces = append(faces, []geom.Point{f[0], f[1], f[2]}, []geom.Point{f[0], f[2], f[3]})
		}
		quads := sheet(miura(n, 10, 12, 65), miuraFolds(n, 80))
		folds := map[[2]int]float64{}
		for i, a := range foldClosed(t, quads).Angles {
			folds[pair(quads.Hinges[i].Parent.Index, quads.Hinges[i].Child.Index)] = float64(a.Degrees)
		}
		s, g := only(t, sheet(faces, func(a, b int) model.Fold { return free(model.In) }))
		for u, x := range s.unknowns {
			h := s.joints[x.joints[0]].hinge
			s.value[u] = geom.Degrees(folds[pair(h.Parent.Index/2, h.Child.Index/2)]).Angle().Radians()
		}
		if gap := s.worst(g.loops); gap > 1e-9 {
			t.Fatalf("m = %d: open by %g", m, gap)
		}
		if dense := len(g.unknowns) <= mostDense; dense != (m < 6) {
			t.Errorf("m = %d: %d unknowns", m, len(g.unknowns))
		}
		if got := s.nullity(g, g.loops, 40) + len(s.unknowns) - len(g.unknowns); got != 4*m-3 {
			t.Errorf("m = %d: %d degrees of freedom, want %d", m, got, 4*m-3)
		}
		if got := s.nullity(g, g.loops, 2); got != 2 {
			t.Errorf("m = %d: %d counted up to 2", m, got)
		}
	}
}

// The Miura sheet itself has one degree of freedom, and none once a fold is given,
// however many facets it has. Lying flat its loops are singular: of their three
// equations at each vertex two are left to the first order.
func TestFreedomOfMiura(t *testing.T) {
	for _, n := range []int{1, 2, 3, 5} {
		fold := miuraFolds(n, 80)
		given, _ := only(t, sheet(miura(n, 10, 12, 65), fold))
		pose := foldClosed(t, given.piece)
		s, g := only(t, sheet(miura(n, 10, 12, 65), func(a, b int) model.Fold { return free(model.In) }))
		if got, want := s.nullity(g, g.loops, 1000), len(g.unknowns)-2*len(g.loops); n < 3 && got != want {
			t.Errorf("n = %d, flat: %d degrees of freedom, want %d", n, got, want)
		}
		for u, x := range s.unknowns {
			s.value[u] = geom.Degrees(pose.Angles[x.joints[0]].Degrees).Angle().Radians()
		}
		if got := s.nullity(g, g.loops, nullityCap); got != 1 {
			t.Errorf("n = %d: %d degrees of freedom", n, got)
		}
		s, g = given, given.systems[0]
		for u, x := range s.unknowns {
			s.value[u] = geom.Degrees(pose.Angles[x.joints[0]].Degrees).Angle().Radians()
		}
		if got := s.nullity(g, g.loops, nullityCap); got != 0 {
			t.Errorf("n = %d, one fold given: %d degrees of freedom", n, got)
		}
	}
}

// Corners of solids folded from fans of n sectors have n − 3 degrees of freedom,
// and n − 2 while they lie flat (T. Tachi, as above; the second from the rank of
// axes that lie in one plane).
func TestFreedomOfFans(t *testing.T) {
	for n := 4; n <= 7; n++ {
		var sectors []float64
		var folds []model.Fold
		for k := range n {
			sectors = append(sectors, 360/float64(n))
			folds = append(folds, free(model.Side(1-2*(k%2))))
			if k < n-3 {
				folds[k] = given(20 * math.Pow(-1, float64(k)))
			}
		}
		p := sheet(ring(sectors...), ringFolds(folds...))
		if n == 5 || n == 7 { // an odd fan of equal sectors needs two neighbours alike
			folds[n-1] = free(model.Out)
			folds[n-2] = free(model.Out)
			p = sheet(ring(sectors...), ringFolds(folds...))
		}
		pose := foldClosed(t, p)
		for k := range folds {
			folds[k] = free(model.In)
		}
		s, g := only(t, sheet(ring(sectors...), ringFolds(folds...)))
		if got := s.nullity(g, g.loops, 10); got != n-2 {
			t.Errorf("%d sectors, flat: %d degrees of freedom", n, got)
		}
		if len(pose.Faults) > 0 {
			t.Logf("%d sectors: %+v", n, pose.Faults[0])
			continue
		}
		for u, x := range s.unknowns {
			s.value[u] = geom.Degrees(pose.Angles[x.joints[0]].Degrees).Angle().Radians()
		}
		if got := s.nullity(g, g.loops, 10); got != n-3 {
			t.Errorf("%d sectors: %d degrees of freedom", n, got)
		}
	}
}
