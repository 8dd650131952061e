package geom

import (
	"fmt"
	"math"
	"math/rand"
	"strings"
	"testing"
)

var allKinds = [...]Kind{Line, Arc, Cubic}

func near(a, b, tol float64) bool { return math.Abs(a-b) <= tol }

// randomPoint lies in a square of the given half size about the origin.
func randomPoint(r *rand.Rand, half float64) Point {
	return Point{(2*r.Float64() - 1) * half, (2*r.Float64() - 1) * half}
}

// randomCurve is a line, arc or cubic of moderate size.
func randomCurve(r *rand.Rand, k Kind) Curve {
	switch k {
	case Arc:
		sweep := (0.2 + 5.8*r.Float64()) * float64(1-2*r.Intn(2))
		return ArcFrom(randomPoint(r, 50), randomPoint(r, 50), Radians(sweep))
	case Cubic:
		return CubicFrom(randomPoint(r, 50), randomPoint(r, 80), randomPoint(r, 80), randomPoint(r, 50))
	}
	return LineFrom(randomPoint(r, 50), randomPoint(r, 50))
}

// eachCurve runs a check on seeded random curves of every kind.
func eachCurve(t *testing.T, check func(t *testing.T, r *rand.Rand, c Curve)) {
	t.Helper()
	for _, k := range allKinds {
		t.Run(k.String(), func(t *testing.T) {
			r := rand.New(rand.NewSource(int64(k) + 11))
			for range 200 {
				check(t, r, randomCurve(r, k))
			}
		})
	}
}

// randomMotion is any rigid motion, a mirror image half the time.
func randomMotion(r *rand.Rand) Isometry {
	m := Rotation(Radians(r.Float64()*2*math.Pi), randomPoint(r, 100)).Then(Translation(50*r.NormFloat64(), 50*r.NormFloat64()))
	if r.Intn(2) == 0 {
		m = FlipX().Then(m)
	}
	return m
}

// randomOutline goes once round the origin and mixes lines, arcs and cubics
// that bulge too little to meet.
func randomOutline(r *rand.Rand, n int) Path {
	points := make([]Point, n)
	for i := range points {
		points[i] = Polar(30+30*r.Float64(), Radians(2*math.Pi*(float64(i)+0.6*r.Float64())/float64(n)))
	}
	p := Path{Closed: true}
	for i, from := range points {
		p.Edges = append(p.Edges, Edge{fmt.Sprintf("e%d", i), gentle(r, from, points[(i+1)%n])})
	}
	return p
}

// gentle is a curve of any kind that stays close to its chord.
func gentle(r *rand.Rand, p, q Point) Curve {
	chord := q.Sub(p)
	switch side := chord.Left().Mul(0.1 * (2*r.Float64() - 1)); r.Intn(3) {
	case 0:
		return CubicFrom(p, p.Lerp(q, 0.3).Add(side), p.Lerp(q, 0.7).Sub(side), q)
	case 1:
		if c, err := ArcThrough(p, p.Lerp(q, 0.5).Add(side), q); err == nil && c.R < MaxSize {
			return c
		}
	}
	return LineFrom(p, q)
}

// flat is the curve as points.
func flat(c Curve, tol float64) []Point { return c.Flatten([]Point{c.P}, tol) }

// mustPath unwraps a path that has to exist.
func mustPath(t *testing.T) func(Path, error) Path {
	return func(p Path, err error) Path {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		return p
	}
}

// wantError asks for an error with the given text.
func wantError(t *testing.T, err error, want string) {
	t.Helper()
	if err == nil {
		t.Errorf("no error, want %q", want)
	} else if err.Error() != want {
		t.Errorf("error %q, want %q", err, want)
	}
}

// polygonArea is the shoelace formula.
func polygonArea(pts []Point) float64 {
	sum := 0.0
	for i, p := range pts {
		sum += p.Cross(pts[(i+1)%len(pts)]) / 2
	}
	return sum
}

// largest reads the largest size that fits out of an error.
func largest(err error) (size float64, ok bool) {
	if err == nil {
		return 0, false
	}
	_, rest, found := strings.Cut(err.Error(), `": `)
	if !found {
		return 0, false
	}
	_, scanErr := fmt.Sscanf(rest, "%f mm is the most", &size)
	return size, scanErr == nil
}
