package modeltest

import (
	"math/rand"
	"testing"

	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/model"
)

// Law: the builder lays every panel of a tree where the tree was drawn, with
// the same hinge, told only outlines, edges and slides.
func TestBuilderLaysAsDrawn(t *testing.T) {
	for seed := range int64(40) {
		rng := rand.New(rand.NewSource(seed))
		k := Tree(rng, 2+rng.Intn(60), geom.Rotation(geom.Radians(rng.Float64()*7), geom.Point{}))
		b := model.NewBuilder(nil)
		built := map[*model.Panel]*model.Panel{}
		for _, p := range k.Piece.Panels {
			spec := model.PanelSpec{Name: p.Name, Outline: p.Outline}
			if h := p.Hang; h != nil {
				on, err := b.Edge(At(1), built[h.Parent], h.On.Name)
				if err != nil {
					t.Fatal(err)
				}
				spec.On, spec.By, spec.Slide, spec.Overhang = &on, h.By.Name, h.Slide, true
			}
			q, err := b.Panel(At(1), spec)
			if err != nil {
				t.Fatalf("seed %d: %v", seed, err)
			}
			built[p] = q
			if p.Hang != nil {
				sameHinge(t, seed, q.Hang, p.Hang)
			}
		}
	}
}

func sameHinge(t *testing.T, seed int64, got, want *model.Hinge) {
	t.Helper()
	for _, p := range []geom.Point{{}, {X: 70}, {Y: 70}} {
		if d := got.Lay.Apply(p).Dist(want.Lay.Apply(p)); d > 1e-8 {
			t.Errorf("seed %d: hinge %s lays its child %g mm off", seed, got.Name, d)
		}
	}
	if got.Curve.P.Dist(want.Curve.P) > 1e-8 || got.Curve.Q.Dist(want.Curve.Q) > 1e-8 {
		t.Errorf("seed %d: hinge %s runs %v to %v, want %v to %v", seed, got.Name, got.Curve.P, got.Curve.Q, want.Curve.P, want.Curve.Q)
	}
}
