package contact

import (
	"math"
	"math/rand"
	"testing"

	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/model"
)

// Laws: two boxes that stand alike share the least of their overlaps along the
// three axes; two upright cylinders their radii less the distance of their
// axes, or less in height; and that holds wherever the two are carried together.
func TestProductsShare(t *testing.T) {
	rng := rand.New(rand.NewSource(71))
	size := func() [3]float64 { return [3]float64{5 + rng.Float64()*60, 5 + rng.Float64()*60, 5 + rng.Float64()*60} }
	for range 300 {
		turn := geom.RotationAbout(geom.Point3{X: 3, Y: 7}, geom.Point3{X: rng.Float64(), Y: 1, Z: rng.Float64()}.Unit(), geom.Degrees(rng.Float64()*360).Angle())
		place := func(x, y float64) geom.RigidTransform {
			return geom.RigidTransform{R: geom.Identity3().R, T: geom.Point3{X: x, Y: y}}.Then(turn)
		}
		x, y := rng.Float64()*80, rng.Float64()*80
		a, b := &model.Contents{Size: size()}, &model.Contents{Size: size()}
		want := min((a.Size[0]+b.Size[0])/2-x, (a.Size[1]+b.Size[1])/2-y, a.Size[2], b.Size[2])
		got := Fit{Contents: a, Frame: place(0, 0)}.Shares(Fit{Contents: b, Frame: place(x, y)})
		if want > 0 && math.Abs(got-want) > 1e-9 || want <= 0 && got > 1e-9 {
			t.Fatalf("boxes share %g, want %g", got, want)
		}
		a.Round, b.Round = true, true
		a.Size[1], b.Size[1] = a.Size[0], b.Size[0]
		want = min((a.Size[0]+b.Size[0])/2-math.Hypot(x, y), a.Size[2], b.Size[2])
		got = Fit{Contents: a, Frame: place(0, 0)}.Shares(Fit{Contents: b, Frame: place(x, y)})
		if want > 0 && math.Abs(got-want) > 1e-9 || want <= 0 && got > 1e-9 {
			t.Fatalf("cylinders share %g, want %g", got, want)
		}
	}
}
