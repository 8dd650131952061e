package region

import (
	"errors"
	"fmt"
	"math"
	"math/rand"
	"testing"

	"github.com/creasewright/creasewright/runtime/geom"
)

func mustGrow(t *testing.T, p geom.Path, d float64) geom.Path {
	t.Helper()
	q, err := Grow(p, d)
	if err != nil {
		t.Fatalf("grow %v: %v", d, err)
	}
	if _, err := q.Check(); err != nil {
		t.Fatalf("grow %v gives no outline: %v\n%v", d, err, q)
	}
	return q
}

func polygon(pts ...geom.Point) geom.Path {
	p := geom.Path{Closed: true}
	for i, c := range chain(pts...) {
		p.Edges = append(p.Edges, geom.Edge{Name: fmt.Sprintf("e%d", i), Curve: c})
	}
	return p
}

func rounded(t *testing.T, w, h, r float64) geom.Path {
	t.Helper()
	p, err := geom.Rect(w, h, r)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

func near9(a, b float64) bool { return math.Abs(a-b) <= 1e-9*math.Max(1, math.Abs(b)) }

func TestGrowShapes(t *testing.T) {
	ell := polygon(geom.Pt(0, 0), geom.Pt(40, 0), geom.Pt(40, 20), geom.Pt(20, 20), geom.Pt(20, 40), geom.Pt(0, 40))
	dee := geom.Path{Closed: true, Edges: []geom.Edge{
		{Name: "flat", Curve: geom.LineFrom(geom.Pt(-10, 0), geom.Pt(10, 0))},
		{Name: "round", Curve: geom.ArcFrom(geom.Pt(10, 0), geom.Pt(0, 0), geom.Radians(math.Pi))},
	}}
	// A square with a half-round bite of radius 10 out of its top.
	bite := geom.Path{Closed: true, Edges: []geom.Edge{
		{Name: "bottom", Curve: geom.LineFrom(geom.Pt(-30, -40), geom.Pt(30, -40))},
		{Name: "right", Curve: geom.LineFrom(geom.Pt(30, -40), geom.Pt(30, 0))},
		{Name: "top", Curve: geom.LineFrom(geom.Pt(30, 0), geom.Pt(10, 0))},
		{Name: "bite", Curve: geom.ArcFrom(geom.Pt(10, 0), geom.Pt(0, 0), geom.Radians(-math.Pi))},
		{Name: "top.2", Curve: geom.LineFrom(geom.Pt(-10, 0), geom.Pt(-30, 0))},
		{Name: "left", Curve: geom.LineFrom(geom.Pt(-30, 0), geom.Pt(-30, -40))},
	}}
	segment := func(r, h float64) float64 { // of a circle, cut off h from the centre
		return r*r*math.Acos(h/r) - h*math.Sqrt(r*r-h*h)
	}
	tests := []struct {
		name  string
		p     geom.Path
		d     float64
		area  float64
		edges string
	}{
		{"square out", box(0, 0, 10, 10), 2, 14 * 14, "bottom right top left"},
		{"square in", box(0, 0, 10, 10), -2, 6 * 6, "bottom right top left"},
		{"L out", ell, 1, 42*42 - 20*20, "e0 e1 e2 e3 e4 e5"},
		{"L in", ell, -1, 38*38 - 20*20, "e0 e1 e2 e3 e4 e5"},
		{"D out", dee, 2, math.Pi*144 - segment(12, 2), "flat round"},
		{"D in", dee, -2, segment(8, 2), "flat round"},
		{"bite out, corners lean over", bite, 2, 64*44 - (math.Pi*64 - segment(8, 2)), "bottom right top bite top.2 left"},
		{"bite out, too wide to lean", bite, 6, 72*52 - (math.Pi*16/2 + 8*6),
			"bottom right top top-bite bite bite-top.2 top.2 left"},
		{"bite in", bite, -2, 56*36 - segment(12, 2), "bottom right top bite top.2 left"},
		{"bite gone", bite, 11, 82 * 62, "bottom right top top.2 left"},
		{"nothing", box(0, 0, 10, 10), 0, 100, "bottom right top left"},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			q := mustGrow(t, test.p, test.d)
			if !near9(q.Area(), test.area) || names(q) != test.edges {
				t.Errorf("area %v, edges %s; want %v, %s", q.Area(), names(q), test.area, test.edges)
			}
		})
	}
}

// What does not stay one outline is an error.
func TestGrowErrors(t *testing.T) {
	dumbbell := polygon(geom.Pt(0, 0), geom.Pt(10, 0), geom.Pt(10, 4), geom.Pt(20, 4), geom.Pt(20, 0), geom.Pt(30, 0),
		geom.Pt(30, 10), geom.Pt(20, 10), geom.Pt(20, 6), geom.Pt(10, 6), geom.Pt(10, 10), geom.Pt(0, 10))
	ring := polygon(geom.Pt(0, 0), geom.Pt(30, 0), geom.Pt(30, 14), geom.Pt(26, 14), geom.Pt(26, 4), geom.Pt(4, 4),
		geom.Pt(4, 26), geom.Pt(26, 26), geom.Pt(26, 16), geom.Pt(30, 16), geom.Pt(30, 30), geom.Pt(0, 30))
	tests := []struct {
		name string
		p    geom.Path
		d    float64
		want string
	}{
		{"neck", dumbbell, -2, "2 parts are left, of 36 and 36 mm²"},
		{"mouth closes", ring, 2, "a hole of 324 mm² is left"},
		{"square", box(0, 0, 10, 4), -3, "nothing is left"},
		{"square turned inside out twice", box(0, 0, 10, 4), -6, "nothing is left"},
		{"disc", disc(0, 0, 5), -5, "nothing is left"},
		{"disc beyond its centre", disc(0, 0, 5), -8, "nothing is left"},
		{"no number", box(0, 0, 10, 4), math.NaN(), "an outline cannot grow by NaN mm"},
		{"open", geom.Path{}, 1, "the path is not closed"},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			_, err := Grow(test.p, test.d)
			if fmt.Sprint(err) != test.want {
				t.Errorf("error %v, want %v", err, test.want)
			}
		})
	}
}

// Steiner's formula for a convex region grown by r with round corners:
// P' = P + 2πr and A' = A + P·r + πr². Square 100 grown by 0.1 has perimeter
// 400.6283 and area 10040.0314; here the first half of the growth is in the
// rounded rectangle already, so that no corner is left to keep sharp.
func TestGrowSteiner(t *testing.T) {
	q := mustGrow(t, rounded(t, 100.1, 100.1, 0.05), 0.05)
	if math.Abs(q.Length()-400.6283) > 5e-5 || math.Abs(q.Area()-10040.0314) > 5e-5 {
		t.Errorf("perimeter %.4f, area %.4f", q.Length(), q.Area())
	}
	for _, e := range q.Edges {
		if e.Kind == geom.Arc && !near9(e.R, 0.1) {
			t.Errorf("corner %s has radius %v", e.Name, e.R)
		}
	}
}

// Law: a convex polygon whose corners stay sharp has P' = P + 2d·Σtan(θ/2) and
// A' = A + P·d + d²·Σtan(θ/2) over its turns θ: each corner adds two right
// triangles with legs d and d·tan(θ/2). Inward too, while every edge lives.
func TestGrowConvexPolygons(t *testing.T) {
	rnd := rand.New(rand.NewSource(1))
	for range 200 {
		n := 3 + rnd.Intn(6)
		var pts []geom.Point
		for i := range n {
			pts = append(pts, geom.Polar(20, geom.Radians((float64(i)+0.7*rnd.Float64())*2*math.Pi/float64(n))))
		}
		p := polygon(pts...)
		sum := 0.0
		for i, e := range p.Edges {
			u, v := e.Tangent(1), p.Edges[(i+1)%n].Tangent(0)
			sum += math.Tan(math.Atan2(u.Cross(v), u.Dot(v)) / 2)
		}
		for _, d := range []float64{0.01, 3, -0.1} {
			q := mustGrow(t, p, d)
			length, area := p.Length()+2*d*sum, p.Area()+p.Length()*d+d*d*sum
			if !near9(q.Length(), length) || !near9(q.Area(), area) {
				t.Errorf("%v by %v: length %v, area %v; want %v, %v", p, d, q.Length(), q.Area(), length, area)
			}
		}
	}
}

// Law: growing and shrinking again by the same small amount gives the outline
// back, names and radii too.
func TestGrowBack(t *testing.T) {
	shapes := map[string]geom.Path{
		"box": box(0, 0, 30, 20), "rounded": rounded(t, 30, 20, 4), "disc": disc(3, 4, 9),
		"bitten": must(Minus(box(0, 0, 100, 60), disc(50, 60, 10))),
		"bump":   must(Plus(box(0, 0, 100, 60), disc(50, 60, 10))),
	}
	for name, p := range shapes {
		for _, d := range []float64{0.5, 3, -0.5, -3} {
			q := mustGrow(t, mustGrow(t, p, d), -d)
			if names(p) != names(q) || math.Abs(p.Area()-q.Area()) > 1e-6 {
				t.Errorf("%s by %v: %v\nwas %v", name, d, q, p)
				continue
			}
			for i, e := range q.Edges {
				if math.Abs(e.R-p.Edges[i].R) > 1e-8 || e.P.Dist(p.Edges[i].P) > 1e-6 {
					t.Errorf("%s by %v: edge %s moved", name, d, e.Name)
				}
			}
		}
	}
}

func must(p geom.Path, err error) geom.Path {
	if err != nil {
		panic(err)
	}
	return p
}

// awayFrom is the least distance of q from the path.
func awayFrom(p geom.Path, q geom.Point) float64 {
	best := math.Inf(1)
	for _, e := range p.Edges {
		_, d := e.Nearest(q)
		best = math.Min(best, d)
	}
	return best
}

// Law: no point of the new rim is nearer the old one than the offset, and a
// point is covered as its distance from the old rim says, but for the tips of
// sharp corners.
func TestGrowByDistance(t *testing.T) {
	const slack = 2 * geom.SnapTolerance // rims that nearly coincide merge, cubics are fitted
	grown := 0
	for seed := range int64(300) {
		rnd := rand.New(rand.NewSource(seed))
		p := randomOutline(rnd, 0, 0)
		d := []float64{0.2, 1, 4, -0.2, -1}[rnd.Intn(5)]
		q, err := Grow(p, d)
		if shape := (*ShapeError)(nil); errors.As(err, &shape) {
			continue
		} else if err != nil {
			t.Fatalf("seed %d by %v: %v", seed, d, err)
		}
		grown++
		if _, err := q.Check(); err != nil {
			t.Errorf("seed %d by %v: %v", seed, d, err)
		}
		for _, e := range q.Edges {
			for i := range 5 {
				at := e.At(float64(i) / 4)
				if away := awayFrom(p, at); away < math.Abs(d)-slack {
					t.Errorf("seed %d by %v: edge %s comes as near as %v", seed, d, e.Name, away)
				}
			}
		}
		for range 200 {
			at := geom.Pt(rnd.Float64()*40-20, rnd.Float64()*40-20)
			away, inside := awayFrom(p, at), p.Contains(at)
			covered := inside
			if away < math.Abs(d)-slack {
				covered = d > 0
			} else if away < math.Abs(d)+slack || nearCorner(p, at, d) {
				continue
			}
			if q.Contains(at) != covered {
				t.Errorf("seed %d by %v: %v, %v from the rim, covered %v", seed, d, at, away, !covered)
			}
		}
		if t.Failed() {
			t.Fatal(p)
		}
	}
	if grown < 200 {
		t.Errorf("only %d outlines could grow", grown)
	}
}

// nearCorner reports whether at may lie in the tip of a corner kept sharp.
func nearCorner(p geom.Path, at geom.Point, d float64) bool {
	for i, e := range p.Edges {
		u, v := e.Tangent(1), p.Edges[(i+1)%len(p.Edges)].Tangent(0)
		turn := math.Atan2(u.Cross(v), u.Dot(v))
		if turn*d > 0 && at.Dist(e.Q) < math.Abs(d)*2.01/math.Cos(turn/2) {
			return true
		}
	}
	return false
}

// The areas in the error of an offset near the snap tolerance, which is worked out
// on a larger outline, are those of the outline asked about.
func TestGrowErrorAreas(t *testing.T) {
	bars := []geom.Point{geom.Pt(0, 0), geom.Pt(10, 0), geom.Pt(10, 4.95), geom.Pt(20, 4.95), geom.Pt(20, 0), geom.Pt(24, 0),
		geom.Pt(24, 10), geom.Pt(20, 10), geom.Pt(20, 5), geom.Pt(10, 5), geom.Pt(10, 10), geom.Pt(0, 10)}
	p, err := geom.Polygon(bars, nil)
	if err != nil {
		t.Fatal(err)
	}
	_, err = Grow(p, -0.04) // the neck of 0.05 mm goes
	shape := (*ShapeError)(nil)
	if !errors.As(err, &shape) || len(shape.Parts) != 2 || math.Abs(shape.Parts[0]-9.92*9.92) > 1e-3 || math.Abs(shape.Parts[1]-3.92*9.92) > 1e-3 {
		t.Errorf("%v", err)
	}
}
