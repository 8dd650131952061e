package region

import (
	"math/rand"
	"testing"

	"github.com/creasewright/creasewright/runtime/geom"
)

// Law: Near visits the same pairs as asking every two boxes, each once and in
// order, among few curves and many.
func TestNearFindsEveryPair(t *testing.T) {
	rng := rand.New(rand.NewSource(11))
	for range 50 {
		var curves []geom.Curve
		for range rng.Intn(4 * fewCurves) {
			p := geom.Pt(rng.Float64()*100, rng.Float64()*100)
			curves = append(curves, geom.LineFrom(p, p.Add(geom.Pt(rng.Float64()*20, rng.Float64()*20))))
		}
		reach := rng.Float64() * 8
		got := map[[2]int]int{}
		var last [2]int
		Near(curves, reach, func(i, j int) {
			got[[2]int{i, j}]++
			if i < last[0] || i == last[0] && j <= last[1] {
				t.Fatalf("pair %d, %d comes after %v", i, j, last)
			}
			last = [2]int{i, j}
		})
		for i := range curves {
			for j := i + 1; j < len(curves); j++ {
				near := curves[i].Bounds().Grow(reach / 2).Intersects(curves[j].Bounds().Grow(reach / 2))
				if n := got[[2]int{i, j}]; n > 1 || n == 1 != near {
					t.Fatalf("pair %d, %d near %v: visited %d times", i, j, near, n)
				}
			}
		}
	}
}
