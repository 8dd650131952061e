package contact

import (
	"math"
	"math/rand"
	"testing"

	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/polygon"
	"github.com/creasewright/creasewright/runtime/model"
)

// randomGoods is a box or a cylinder anywhere.
func randomGoods(rng *rand.Rand) *product {
	d := 10 + 30*rng.Float64()
	c := &model.Contents{Size: [3]float64{d, d, 10 + 30*rng.Float64()}, Round: rng.Intn(2) == 0, TurnDegrees: geom.Degrees(rng.Float64() * 360)}
	if !c.Round {
		c.Size[1] = 10 + 30*rng.Float64()
	}
	return newProduct(c, randomMotion(rng, 25), geom.Pt(rng.Float64()*9, rng.Float64()*9), rng.Float64())
}

// Law: no point of a panel is nearer to the product than the clear distance,
// and some point of a fine grid is nearly as near.
func TestClearAgreesWithSampling(t *testing.T) {
	rng := rand.New(rand.NewSource(41))
	apart, through := 0, 0
	for n := range 120 {
		g := randomGoods(rng)
		p := loose([]geom.RigidTransform{randomMotion(rng, 25)}, randomBoard(rng, 40))
		s := &p.plates[0]
		got, at := g.clear(s)
		least := math.Inf(1)
		for range 20_000 {
			q := geom.Pt(rng.Float64()-0.5, rng.Float64()-0.5).Mul(80)
			if polygon.Holds(s.body.Loops, q) {
				least = math.Min(least, g.distance(g.back.Apply(s.world(q))))
			}
		}
		if got <= 0 {
			through++
			if least > 1 {
				t.Errorf("product %d: through the board by %g, sampled points are %g away", n, -got, least)
			}
			continue
		}
		apart++
		if least < got-1e-9 || least > got+1.5 {
			t.Errorf("product %d: %g apart, by sampling %g", n, got, least)
		}
		near(t, "distance of the spot", g.distance(g.back.Apply(at)), got, 1e-6)
		if h := s.height(at); math.Abs(h) > 1e-6 {
			t.Errorf("product %d: the spot lies %g off the board", n, h)
		}
	}
	if apart < 30 || through < 30 {
		t.Errorf("%d apart, %d through: too one-sided a sample", apart, through)
	}
}

// Law: the clear distance stays when product and panel move together, and grows
// by no more than the product moves.
func TestClearLaws(t *testing.T) {
	rng := rand.New(rand.NewSource(42))
	for n := range 200 {
		g, shape, frame := randomGoods(rng), randomBoard(rng, 40), randomMotion(rng, 25)
		before, _ := g.clear(&loose([]geom.RigidTransform{frame}, shape).plates[0])
		m := randomMotion(rng, 400)
		moved := *g
		moved.frame = g.frame.Then(m)
		moved.back = moved.frame.Inverse()
		after, _ := moved.clear(&loose([]geom.RigidTransform{frame.Then(m)}, shape).plates[0])
		if math.Abs(after-before) > 1e-6 {
			t.Errorf("product %d: %g, moved with the panel %g", n, before, after)
		}
		if before <= 0 {
			continue
		}
		step := geom.Point3{X: rng.NormFloat64(), Y: rng.NormFloat64(), Z: rng.NormFloat64()}
		frame.T = frame.T.Add(step)
		if after, _ := g.clear(&loose([]geom.RigidTransform{frame}, shape).plates[0]); after > before+step.Len()+1e-9 {
			t.Errorf("product %d: %g, and %g after a step of %g", n, before, after, step.Len())
		}
	}
}

// How deep a box of 20 × 20 × 20 is in a board, by hand.
func TestDepthOfGoods(t *testing.T) {
	c := &model.Contents{Size: [3]float64{20, 20, 20}}
	g := newProduct(c, geom.Identity3(), geom.Point{}, 0)
	for _, row := range []struct {
		name  string
		board [][]geom.Point
		at    geom.RigidTransform
		clear float64
	}{
		{"a floor 3 mm up its foot", rect(-50, -50, 100, 100), shifted(geom.Point3{Z: -17}), -3},
		{"a wall through its middle", rect(-50, -50, 100, 100), upright(geom.Point3{Z: -10}), -10},
		{"a tip that pokes in by 2 mm", rect(8, -3, 30, 6), shifted(geom.Point3{Z: -10}), -2},
		{"a tip that just touches", rect(10, -3, 30, 6), shifted(geom.Point3{Z: -10}), 0},
		{"a tip 4 mm away", rect(14, -3, 30, 6), shifted(geom.Point3{Z: -10}), 4},
		{"off a corner", rect(13, 14, 30, 6), shifted(geom.Point3{Z: -10}), 5},
		{"a ring round it", append(rect(-50, -50, 100, 100), []geom.Point{{X: -12, Y: -13}, {X: -12, Y: 13}, {X: 12, Y: 13}, {X: 12, Y: -13}}), shifted(geom.Point3{Z: -10}), 2},
	} {
		s := &loose([]geom.RigidTransform{row.at}, row.board).plates[0]
		got, _ := g.clear(s)
		near(t, row.name, got, row.clear, 1e-6)
	}
}

// Law: of a thousand places along a segment none is nearer to the product than
// the one found, and the way back from it leads to the product's surface.
func TestEdgeNearestAgreesWithSampling(t *testing.T) {
	rng := rand.New(rand.NewSource(42))
	inner := 0
	for n := range 400 {
		g := randomGoods(rng)
		anywhere := func() geom.Point3 { return randomMotion(rng, 60).T }
		p, q := anywhere(), anywhere()
		got, at := g.edgeNearest(p, q, math.Inf(1), geom.Point3{})
		if got > 0 && at != p && at != q {
			inner++
		}
		near(t, "distance of the spot", g.distance(at), got, 1e-12)
		near(t, "distance of the product's point", g.distance(at.Sub(g.beyond(at))), 0, 1e-12)
		for k := range 1001 {
			if d := g.distance(p.Lerp(q, float64(k)/1000)); d < got-1e-9 {
				t.Fatalf("segment %d: %g apart, but %g at %d thousandths", n, got, d, k)
			}
		}
		if d, _ := g.edgeNearest(p, q, got-1e-6, at); d != got-1e-6 {
			t.Errorf("segment %d: nearer than it is", n)
		}
	}
	if inner < 50 {
		t.Errorf("only %d segments come nearest between their ends", inner)
	}
}
