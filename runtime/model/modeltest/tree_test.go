package modeltest

import (
	"math"
	"math/rand"
	"reflect"
	"testing"

	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/model"
)

// Laws: a tree has the size asked for, every hinge lays its child where the
// child's own place is, and runs along an edge of either panel.
func TestTreeIsWhole(t *testing.T) {
	rng := rand.New(rand.NewSource(1))
	for range 60 {
		n := 2 + rng.Intn(199)
		k := Tree(rng, n, geom.Rotation(geom.Radians(rng.Float64()*6), geom.Pt(3, 4)))
		if len(k.Piece.Panels) != n || len(k.Piece.Hinges) != n-1 {
			t.Fatalf("%d panels and %d hinges, want %d and %d", len(k.Piece.Panels), len(k.Piece.Hinges), n, n-1)
		}
		for _, h := range k.Piece.Hinges {
			want := h.Child.Flat.Apply(geom.Pt(50, 20))
			if got := h.ToParent.Then(h.Parent.Flat).Apply(geom.Pt(50, 20)); got.Dist(want) > 1e-9 {
				t.Fatalf("hinge %s lays its child %g mm off", h.Name, got.Dist(want))
			}
			for _, s := range []float64{0, 0.3, 1} {
				p := h.Curve.At(s)
				if _, d := h.On.Curve().Nearest(p); d > 1e-9 {
					t.Fatalf("hinge %s is %g mm off the parent's edge", h.Name, d)
				}
				if _, d := h.By.Curve().Nearest(h.ToParent.Inverse().Apply(p)); d > 1e-6 {
					t.Fatalf("hinge %s is %g mm off the child's edge", h.Name, d)
				}
			}
		}
	}
}

// Law: the figures do not depend on where and how the blank is placed, and
// the hinges' own lengths add up to the figure.
func TestFiguresAreOfTheShapeAlone(t *testing.T) {
	for seed := range int64(30) {
		a := Tree(rand.New(rand.NewSource(seed)), 40, geom.Identity())
		b := Tree(rand.New(rand.NewSource(seed)), 40, geom.FlipX().Then(geom.Rotation(geom.Radians(1), geom.Point{})))
		for _, pair := range [][2]float64{{a.Area, b.Area}, {a.Hinged, b.Hinged}, {a.Cut, b.Cut}} {
			if math.Abs(pair[0]-pair[1]) > 1e-9*pair[0] {
				t.Errorf("seed %d: %g becomes %g", seed, pair[0], pair[1])
			}
		}
		sum := 0.0
		for _, h := range b.Piece.Hinges {
			sum += h.Curve.Length()
		}
		if math.Abs(sum-b.Hinged) > 1e-9*sum {
			t.Errorf("seed %d: hinges add up to %g, want %g", seed, sum, b.Hinged)
		}
	}
}

// Law: the same seed gives the same tree.
func TestTreeIsRepeatable(t *testing.T) {
	figures := func() []float64 {
		k := Tree(rand.New(rand.NewSource(7)), 90, geom.Identity())
		out := []float64{k.Area, k.Hinged, k.Cut}
		for _, p := range k.Piece.Panels {
			out = append(out, p.Flat.A, p.Flat.E, p.Outline.Edges[0].P.X)
		}
		return out
	}
	if a, b := figures(), figures(); !reflect.DeepEqual(a, b) {
		t.Error("two runs differ")
	}
}

// A wall of one brick has no hinge: only its own outline is cut.
func TestOnePanel(t *testing.T) {
	k := Bricks(rand.New(rand.NewSource(1)), 1, geom.Identity())
	if got, want := k.Cut, k.Piece.Root.Outline.Length(); k.Hinged != 0 || math.Abs(got-want) > 1e-9 {
		t.Errorf("cut %g hinged %g, want %g and 0", got, k.Hinged, want)
	}
}

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
		if d := got.ToParent.Apply(p).Dist(want.ToParent.Apply(p)); d > 1e-8 {
			t.Errorf("seed %d: hinge %s lays its child %g mm off", seed, got.Name, d)
		}
	}
	if got.Curve.P.Dist(want.Curve.P) > 1e-8 || got.Curve.Q.Dist(want.Curve.Q) > 1e-8 {
		t.Errorf("seed %d: hinge %s runs %v to %v, want %v to %v", seed, got.Name, got.Curve.P, got.Curve.Q, want.Curve.P, want.Curve.Q)
	}
}
