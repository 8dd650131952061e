package geom

import (
	"math"
	"math/rand"
	"testing"
)

// polygonWinding counts rim crossings of a ray along +x, upward ones positive.
func polygonWinding(pts []Point, q Point) int {
	n := 0
	for i, a := range pts {
		b := pts[(i+1)%len(pts)]
		if (a.Y <= q.Y) != (b.Y <= q.Y) {
			if x := a.X + (q.Y-a.Y)/(b.Y-a.Y)*(b.X-a.X); x > q.X {
				if b.Y > a.Y {
					n++
				} else {
					n--
				}
			}
		}
	}
	return n
}

// Away from the rim, winding about closed chains of random curves, however they
// cross themselves, is that of the flattened polygon.
func TestWindingAgainstPolygon(t *testing.T) {
	r := rand.New(rand.NewSource(1))
	seen := map[int]int{}
	for n := range 400 {
		var chain []Curve
		first := randomPoint(r, 50)
		from := first
		for i := range 4 {
			to := randomPoint(r, 50)
			if i == 3 {
				to = first
			}
			chain = append(chain, between(r, from, to))
			from = to
		}
		q := randomPoint(r, 60)
		pts, rim := []Point{first}, math.Inf(1)
		for _, c := range chain {
			pts = c.Flatten(pts, 1e-3)
			_, d := c.Nearest(q)
			rim = math.Min(rim, d)
		}
		if rim < 0.01 {
			continue
		}
		got, want := Winding(chain, q), polygonWinding(pts, q)
		seen[want]++
		if got != want {
			t.Errorf("case %d: winding %d, polygon says %d", n, got, want)
		}
	}
	if len(seen) < 4 {
		t.Errorf("only these windings were seen: %v", seen)
	}
}

// between is a wild curve of any kind from p to q.
func between(r *rand.Rand, p, q Point) Curve {
	switch r.Intn(3) {
	case 0:
		return CubicFrom(p, randomPoint(r, 80), randomPoint(r, 80), q)
	case 1:
		if c, err := ArcSweep(p, q, Radians((0.1+6*r.Float64())*float64(1-2*r.Intn(2)))); err == nil {
			return c
		}
	}
	return LineFrom(p, q)
}

// A circle of four quarter arcs holds exactly what is closer than its radius.
func TestWindingCircle(t *testing.T) {
	c := mustPath(t)(Circle(20))
	r := rand.New(rand.NewSource(2))
	for range 1000 {
		q := randomPoint(r, 15)
		if d := q.Len(); !near(d, 10, 1e-6) && c.Contains(q) != (d < 10) {
			t.Errorf("%v at %g from the centre: inside %v", q, d, c.Contains(q))
		}
	}
	if Winding(c.Reverse().Curves(), Pt(1, 1)) != -1 {
		t.Error("a circle travelled clockwise does not wind −1")
	}
}

// A point right on an arc's chord lies inside a rounded rectangle whatever the
// last bits say, for the chord and the arc are judged by one sign.
func TestWindingOnChords(t *testing.T) {
	rng := rand.New(rand.NewSource(41))
	for range 2000 {
		p, err := Rect(40+20*rng.Float64(), 40+20*rng.Float64(), 1+9*rng.Float64())
		if err != nil {
			t.Fatal(err)
		}
		p = p.Transform(Rotation(Radians(rng.Float64()*6), Pt(rng.Float64()*50, 0)))
		for _, e := range p.Edges {
			if q := e.P.Lerp(e.Q, rng.Float64()); e.Kind == Arc && Winding(p.Curves(), q) != 1 {
				t.Fatalf("%v on the chord of %v: winding %d", q, e.Curve, Winding(p.Curves(), q))
			}
		}
	}
}
