package region

import (
	"math/rand"
	"slices"
	"testing"

	"github.com/creasewright/creasewright/runtime/geom"
)

// Law: the tree finds the later curves whose boxes meet, all of them and no
// others, for even, clustered and stretched sets.
func TestBoxTreeAgainstAllPairs(t *testing.T) {
	rnd := rand.New(rand.NewSource(2))
	for _, n := range []int{1, 2, 7, 8, 9, 65, 300} {
		var curves []geom.Curve
		for range n {
			p := geom.Pt(rnd.Float64()*100, rnd.Float64()*rnd.Float64()*rnd.Float64()*100)
			curves = append(curves, geom.LineFrom(p, p.Add(geom.Polar(rnd.ExpFloat64()*10, rnd.Float64()*6))))
		}
		tree := newBoxTree(curves, geom.Weld)
		for i, a := range curves {
			var want []int
			for j := i + 1; j < n; j++ {
				if a.Bounds().Grow(geom.Weld / 2).Meets(curves[j].Bounds().Grow(geom.Weld / 2)) {
					want = append(want, j)
				}
			}
			got := tree.after(i, nil)
			slices.Sort(got)
			if !slices.Equal(got, want) {
				t.Fatalf("%d curves: after %d come %v, want %v", n, i, got, want)
			}
		}
	}
}

// Points that fall together, or lie on one line, still make a tree.
func TestBoxTreeOfOnePlace(t *testing.T) {
	curves := slices.Repeat([]geom.Curve{geom.LineFrom(geom.Pt(1, 1), geom.Pt(1, 1))}, 20)
	if got := newBoxTree(curves, geom.Weld).after(3, nil); len(got) != 16 {
		t.Errorf("%d found, want 16", len(got))
	}
	if len(newBoxTree(nil, geom.Weld).items) != 0 {
		t.Error("something in nothing")
	}
}
