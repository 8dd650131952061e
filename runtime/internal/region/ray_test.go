package region

import (
	"math"
	"math/big"
	"math/rand"
	"slices"
	"testing"

	"github.com/creasewright/creasewright/runtime/geom"
)

// Law: the point in the given direction and distance lies on the curve, and no
// earlier point of the curve is as far away.
func TestLeaves(t *testing.T) {
	rnd := rand.New(rand.NewSource(10))
	for range 2000 {
		c := randomCurves(rnd, 1)[0]
		r := reach(c) * (0.05 + 0.9*rnd.Float64())
		at := c.P.Add(geom.Polar(r, leaves(c, r)))
		u, off := c.Nearest(at)
		if off > 1e-6 {
			t.Fatalf("%v: %v lies %v off", c, at, off)
		}
		for i := range 50 {
			if before := c.At(u * float64(i) / 50); before.Dist(c.P) > r*(1+1e-3) {
				t.Fatalf("%v: was at %v before %v", c, before, at)
			}
		}
	}
}

// A closed curve reaches as far as its middle.
func TestReachOfAFullTurn(t *testing.T) {
	if got := reach(geom.ArcFrom(geom.Pt(5, 0), geom.Pt(0, 0), geom.Radians(2*math.Pi))); math.Abs(got-10) > 1e-9 {
		t.Errorf("%v, want 10", got)
	}
}

// orderOf gives the curves' places in counter-clockwise order behind the last
// of them, by sortRays, for curves given in a random order.
func orderOf(rnd *rand.Rand, curves []geom.Curve) []int {
	rays := make([]ray, len(curves))
	for i, k := range rnd.Perm(len(curves)) {
		rays[i] = ray{half: k, curve: curves[k]}
	}
	sortRays(rays)
	last := slices.IndexFunc(rays, func(r ray) bool { return r.half == len(curves)-1 })
	var order []int
	for i := 1; i < len(rays); i++ {
		order = append(order, rays[(last+i)%len(rays)].half)
	}
	return order
}

// Law: curves that leave a node in one direction lie round it by their
// curvatures, which are known as fractions, however little these differ and
// however small the circle that a short stub opposite leaves to tell them by.
func TestRaysByCurvature(t *testing.T) {
	rnd := rand.New(rand.NewSource(33))
	inDoubt := 0
	for range 1500 {
		dir := geom.Pt(float64(rnd.Intn(30)+1), float64(max(rnd.Intn(61)-30, 0)))
		if rnd.Intn(2) == 0 {
			dir = dir.Mul(-1) // half of them along −x, where angles jump
		}
		at := geom.Pt(float64(rnd.Intn(100)), float64(rnd.Intn(100)))
		var curves []geom.Curve
		var bends []*big.Rat // curvature times |dir|
		fraction := func(v float64) *big.Rat { return new(big.Rat).SetFloat64(v) }
		for i := range 6 {
			bend := float64(64<<rnd.Intn(40) + i) // no two alike, and none bent so much that they cross
			side := float64(1 - 2*rnd.Intn(2))
			switch i % 3 {
			case 0:
				c := geom.ArcFrom(at, at.Add(dir.Left().Mul(side*bend)), geom.Radians(side*10/(bend*dir.Len())))
				curves, bends = append(curves, c), append(bends, big.NewRat(int64(side), int64(bend)))
			case 1:
				// The parabola y = bow·x²/3 in units of dir, bent by ⅔·bow.
				bow := side / float64(int64(64)<<rnd.Intn(38))
				up := dir.Left().Mul(bow)
				c := geom.CubicFrom(at, at.Add(dir), at.Add(dir.Mul(2)).Add(up), at.Add(dir.Mul(3)).Add(up.Mul(3)))
				curves, bends = append(curves, c), append(bends, new(big.Rat).Mul(fraction(bow), big.NewRat(2, 3)))
			default:
				curves, bends = append(curves, geom.LineFrom(at, at.Add(dir.Mul(bend)))), append(bends, fraction(0))
			}
		}
		curves = append(curves, geom.LineFrom(at, at.Sub(dir.Mul(1.0/(1<<20)))))
		order := orderOf(rnd, curves)
		for i := 1; i < len(order); i++ {
			a, b := order[i-1], order[i]
			if bends[a].Cmp(bends[b]) > 0 {
				t.Fatalf("%v, bent %v, comes before %v, bent %v", curves[a], bends[a], curves[b], bends[b])
			}
			if bends[a].Cmp(bends[b]) < 0 && leaves(curves[a], 1e-3) == leaves(curves[b], 1e-3) {
				inDoubt++
			}
		}
	}
	if inDoubt == 0 {
		t.Error("no pair was too near for rounded directions: the test shows nothing")
	}
}

// Law: lines from a node lie round it by the exact side of each other's ends,
// however near they are.
func TestRaysOfNearLines(t *testing.T) {
	rnd := rand.New(rand.NewSource(34))
	inDoubt := 0
	for range 300 {
		at, to := geom.Pt(rnd.Float64(), rnd.Float64()), geom.Polar(1000, geom.Radians(rnd.Float64()*6.28))
		var curves []geom.Curve
		for range 5 {
			curves = append(curves, geom.LineFrom(at, to))
			to.X, to.Y = math.Nextafter(to.X, float64(rnd.Intn(2)*4000-2000)), math.Nextafter(to.Y, float64(rnd.Intn(2)*4000-2000))
		}
		curves = append(curves, geom.LineFrom(at, at.Sub(to)))
		order := orderOf(rnd, curves)
		for i := 1; i < len(order); i++ {
			a, b := curves[order[i-1]], curves[order[i]]
			side := geom.Orient(at, a.Q, b.Q)
			if side < 0 {
				t.Fatalf("%v comes before %v, which lies to its right", a, b)
			}
			if side > 0 && a.Q.Sub(at).Angle() == b.Q.Sub(at).Angle() {
				inDoubt++
			}
		}
	}
	if inDoubt == 0 {
		t.Error("no two lines were too near for rounded directions: the test shows nothing")
	}
}

// Law: long curves that leave a node smoothly beside a line, their handles
// rounded, lie where they bend to, although a short stub leaves next to no circle
// and rounding may have tilted their tangents either way.
func TestRaysOfSmoothCubics(t *testing.T) {
	rnd := rand.New(rand.NewSource(35))
	for range 500 {
		at, turn := geom.Pt(rnd.Float64()*100, rnd.Float64()*100), geom.Radians(rnd.Float64()*6)
		place := func(x, y float64) geom.Point { return at.Add(geom.Rotation(turn, geom.Point{}).Apply(geom.Pt(x, y))) }
		bow := func(y float64) geom.Curve { return geom.CubicFrom(at, place(400, 0), place(700, y), place(1000, 3*y)) }
		h := 0.01 + 0.1*rnd.Float64()
		curves := []geom.Curve{bow(-h), geom.LineFrom(at, place(700, 0)), bow(h), geom.LineFrom(at, place(-0.004, 0))}
		if order := orderOf(rnd, curves); !slices.Equal(order, []int{0, 1, 2}) {
			t.Fatalf("%v come in the order %v", curves, order)
		}
	}
}

// Law: as far as a cubic is said to run outward it keeps within 60°, and so comes
// no nearer to its start.
func TestOutward(t *testing.T) {
	rnd := rand.New(rand.NewSource(37))
	bent := 0
	for range 1000 {
		pt := func() geom.Point { return geom.Polar(rnd.Float64(), geom.Radians(6.3*rnd.Float64())) }
		c := geom.CubicFrom(pt(), pt(), pt(), pt())
		end := outward(c)
		if end < 1 {
			bent++
		}
		far := 0.0
		for i := range 33 {
			u := end * float64(i) / 32
			for k := range i {
				if turn := geom.AngleBetween(c.Tangent(u), c.Tangent(end*float64(k)/32)).Abs().Degrees(); turn > 60+1e-6 {
					t.Fatalf("%v turns by %v° up to %v", c, turn, end)
				}
			}
			if d := c.P.Dist(c.At(u)); d < far {
				t.Fatalf("%v comes back at %v of %v", c, u, end)
			} else {
				far = d
			}
		}
	}
	if bent < 100 {
		t.Errorf("only %d turn", bent)
	}
}

// Law: the direction in which a cubic leaves a circle is off by no more than
// leavesError says, by an evaluation in 300 bits.
func TestLeavesError(t *testing.T) {
	rnd := rand.New(rand.NewSource(36))
	for range 150 {
		c := geom.CubicFrom(geom.Pt(rnd.Float64(), rnd.Float64()), geom.Polar(1+rnd.Float64()*1e-3, geom.Radians(rnd.Float64()*6)),
			geom.Polar(100, geom.Radians(rnd.Float64()*6)), geom.Polar(100, geom.Radians(rnd.Float64()*6)))
		r := reach(c) / 2 * math.Pow(10, -3*rnd.Float64())
		x, y := exactLeaves(c, r)
		sin, cos := leaves(c, r).SinCos()
		off := math.Abs(float64(cos*y)-float64(sin*x)) / r
		if bound := leavesError(c, r); off > bound {
			t.Fatalf("%v: leaves the circle of %v off by %v, said to be at most %v", c, r, off, bound)
		}
	}
}

// exactLeaves is the first point at distance r from its start that a cubic
// comes to, measured from there.
func exactLeaves(c geom.Curve, r float64) (x, y float64) {
	number := func(v float64) *big.Float { return new(big.Float).SetPrec(300).SetFloat64(v) }
	at := func(t *big.Float, p [4]float64) *big.Float {
		var b [4]*big.Float
		for i, v := range p {
			b[i] = number(v)
			b[i].Sub(b[i], number(p[0]))
		}
		for k := 3; k > 0; k-- { // de Casteljau
			for i := range k {
				d := number(0).Sub(b[i+1], b[i])
				b[i].Add(b[i], d.Mul(d, t))
			}
		}
		return b[0]
	}
	lo, hi := number(0), number(outward(c))
	var px, py *big.Float
	for range 250 {
		mid := number(0).Add(lo, hi)
		mid.Quo(mid, number(2))
		px, py = at(mid, [4]float64{c.P.X, c.C.X, c.D.X, c.Q.X}), at(mid, [4]float64{c.P.Y, c.C.Y, c.D.Y, c.Q.Y})
		square := number(0).Add(number(0).Mul(px, px), number(0).Mul(py, py))
		if square.Cmp(number(0).Mul(number(r), number(r))) < 0 {
			lo = mid
		} else {
			hi = mid
		}
	}
	x, _ = px.Float64()
	y, _ = py.Float64()
	return x, y
}
