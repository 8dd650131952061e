package geom

import (
	"math/rand"
	"testing"
)

// A box of points holds them all, meets a box exactly when some point could
// lie in both, and a union holds both parts.
func TestBox(t *testing.T) {
	r := rand.New(rand.NewSource(1))
	for range 500 {
		pts := []Point{randomPoint(r, 10), randomPoint(r, 10), randomPoint(r, 10)}
		b, c := BoxOf(pts...), BoxOf(randomPoint(r, 10), randomPoint(r, 10))
		for _, p := range pts {
			if !b.Contains(p) || !b.Union(c).Contains(p) {
				t.Fatalf("%v does not hold %v", b, p)
			}
		}
		common := Box{
			Point{max(b.Min.X, c.Min.X), max(b.Min.Y, c.Min.Y)},
			Point{min(b.Max.X, c.Max.X), min(b.Max.Y, c.Max.Y)},
		}
		if b.Intersects(c) == common.Empty() || b.Intersects(c) != c.Intersects(b) {
			t.Fatalf("%v meets %v: %v, common %v", b, c, b.Intersects(c), common)
		}
		if g := b.Grow(2); !near(g.Width(), b.Width()+4, 1e-12) || !near(g.Height(), b.Height()+4, 1e-12) || g.Mid().Dist(b.Mid()) > 1e-12 {
			t.Fatalf("%v grown by 2 is %v", b, g)
		}
	}
}

func TestEmptyBox(t *testing.T) {
	e, b := EmptyBox(), BoxOf(Pt(1, 2), Pt(3, 5))
	if !e.Empty() || e.Intersects(b) || e.Contains(Pt(0, 0)) || e.Union(b) != b || e.Add(Pt(1, 2)) != BoxOf(Pt(1, 2)) {
		t.Error("the empty box is not empty")
	}
}
