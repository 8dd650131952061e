package clip

import (
	"math"
	"math/rand"
	"strings"
	"testing"
	"time"

	"github.com/creasewright/creasewright/runtime/geom"
)

func rect(x, y, w, h float64) []geom.Point {
	return []geom.Point{geom.Pt(x, y), geom.Pt(x+w, y), geom.Pt(x+w, y+h), geom.Pt(x, y+h)}
}

func areaOf(t *testing.T, op Op, a, b [][]geom.Point) float64 {
	t.Helper()
	rings, err := Combine(op, a, b)
	if err != nil {
		t.Fatal(err)
	}
	return Area(rings)
}

func TestCombine(t *testing.T) {
	plate := [][]geom.Point{rect(0, 0, 20, 20)}
	frame := [][]geom.Point{rect(0, 0, 20, 20), rect(5, 5, 10, 10)} // hole given the wrong way round
	tests := []struct {
		name                string
		a, b                [][]geom.Point
		union, both, others float64
	}{
		{"crossing", plate, [][]geom.Point{rect(10, 10, 20, 20)}, 700, 100, 300},
		{"side by side", plate, [][]geom.Point{rect(20, 5, 10, 10)}, 500, 0, 400},
		{"inside", plate, [][]geom.Point{rect(5, 5, 10, 10)}, 400, 100, 300},
		{"apart", plate, [][]geom.Point{rect(50, 5, 10, 10)}, 500, 0, 400},
		{"the same", plate, plate, 400, 400, 0},
		{"in the hole", frame, [][]geom.Point{rect(5, 5, 10, 10)}, 400, 0, 300},
		{"over the hole", frame, [][]geom.Point{rect(-5, 8, 40, 4)}, 300 + 160 - 40, 40, 260},
		{"nothing", plate, nil, 400, 0, 400},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			for op, want := range map[Op]float64{Union: test.union, Intersection: test.both, Difference: test.others} {
				if got := areaOf(t, op, test.a, test.b); math.Abs(got-want) > 1e-4 {
					t.Errorf("%s: %v, want %v", op, got, want)
				}
			}
		})
	}
}

// Law: holes come back clockwise, whatever the library says.
func TestCombineOrients(t *testing.T) {
	rings, err := Combine(Difference, [][]geom.Point{rect(0, 0, 20, 20)}, [][]geom.Point{rect(5, 5, 5, 5), rect(12, 12, 3, 3)})
	if err != nil || len(rings) != 3 {
		t.Fatalf("%d rings, %v", len(rings), err)
	}
	holes := 0
	for _, r := range rings {
		if ringArea(r) < 0 {
			holes++
		}
	}
	if holes != 2 {
		t.Errorf("%d holes, want 2", holes)
	}
}

// Laws on random stars that share vertices and edges:
// |A∪B| + |A∩B| = |A| + |B| and |A∖B| + |A∩B| = |A|. The library may fail, but
// rarely, and then it says so.
func TestCombineLaws(t *testing.T) {
	failed := 0
	for seed := range int64(300) {
		rnd := rand.New(rand.NewSource(seed))
		a := star(rnd)
		m := geom.Rotation(geom.Radians(rnd.Float64()*6), a[0][0])
		if seed%3 == 0 { // folded over along an edge
			p, q := a[0][0], a[0][1]
			m = geom.Align(p, q.Sub(p), q, p.Sub(q))
		}
		var moved []geom.Point
		for _, p := range a[0] {
			moved = append(moved, m.Apply(p))
		}
		b := [][]geom.Point{moved}
		union, err1 := Combine(Union, a, b)
		both, err2 := Combine(Intersection, a, b)
		rest, err3 := Combine(Difference, a, b)
		if err1 != nil || err2 != nil || err3 != nil {
			failed++
			continue
		}
		if d := Area(union) + Area(both) - Area(a) - Area(b); math.Abs(d) > 1e-3 {
			t.Errorf("seed %d: |A∪B| + |A∩B| is off by %v", seed, d)
		}
		if d := Area(rest) + Area(both) - Area(a); math.Abs(d) > 1e-3 {
			t.Errorf("seed %d: |A∖B| + |A∩B| is off by %v", seed, d)
		}
	}
	if failed > 6 {
		t.Errorf("%d of 300 failed", failed)
	}
}

func star(rnd *rand.Rand) [][]geom.Point {
	n := 3 + rnd.Intn(12)
	var ring []geom.Point
	for i := range n {
		ring = append(ring, geom.Polar(3+10*rnd.Float64(), geom.Radians((float64(i)+0.8*rnd.Float64())*2*math.Pi/float64(n))))
	}
	return [][]geom.Point{ring}
}

// A panic in the library becomes an error.
func TestBoundedPanics(t *testing.T) {
	_, err := bounded(time.Hour, func() [][]geom.Point { panic("edges") })
	if err == nil || !strings.Contains(err.Error(), "the library panicked: edges") {
		t.Errorf("error %v", err)
	}
}

// A call that does not end is given up.
func TestBoundedGivesUp(t *testing.T) {
	stop := make(chan bool)
	defer close(stop)
	_, err := bounded(time.Millisecond, func() [][]geom.Point { <-stop; return nil })
	if err == nil || err.Error() != "gave up after 1ms" {
		t.Errorf("error %v", err)
	}
}

// A result that cannot be is refused.
func TestPlausible(t *testing.T) {
	tests := []struct {
		op   Op
		area float64
		want bool
	}{
		{Union, 10, true}, {Union, 14, true}, {Union, 9.9, false}, {Union, 14.1, false},
		{Intersection, 0, true}, {Intersection, 4, true}, {Intersection, 4.1, false}, {Intersection, -0.1, false},
		{Difference, 6, true}, {Difference, 10, true}, {Difference, 5.9, false}, {Difference, 10.1, false},
	}
	for _, test := range tests {
		if plausible(test.op, 10, 4, test.area, 20) != test.want {
			t.Errorf("%s of 10 and 4 is %v: want %v", test.op, test.area, test.want)
		}
	}
}
