package region

import (
	"fmt"
	"math"
	"math/rand"
	"slices"
	"strings"
	"testing"

	"github.com/creasewright/creasewright/runtime/geom"
)

// forward lists halves along every piece, each as its first use runs.
func forward(a Arrangement) []HalfEdge {
	hs := make([]HalfEdge, len(a.Edges))
	for i := range hs {
		hs[i].Edge = i
	}
	return hs
}

func area(curves []geom.Curve) float64 {
	sum := 0.0
	for _, c := range curves {
		sum += c.Area()
	}
	return sum
}

// ringAreas are the signed areas of the traced rings, sorted.
func ringAreas(t *testing.T, curves []geom.Curve, pinch TouchRule) []float64 {
	t.Helper()
	a := Arrange(curves)
	rings, err := a.Rings(forward(a), pinch)
	if err != nil {
		t.Fatal(err)
	}
	var areas []float64
	for _, r := range rings {
		areas = append(areas, math.Round(area(a.Curves(r))*1e6)/1e6)
	}
	slices.Sort(areas)
	return areas
}

func reversed(cs []geom.Curve) []geom.Curve {
	var out []geom.Curve
	for _, c := range slices.Backward(cs) {
		out = append(out, c.Reverse())
	}
	return out
}

// Where contours touch in one point, SeparateHoles keeps windows apart from each
// other and from the rim, SeparateRegions keeps parts of board apart.
func TestRingsThatTouch(t *testing.T) {
	plate := square(0, 0, 20)
	hole1 := reversed(square(5, 5, 5))
	hole2 := reversed(square(10, 10, 5))
	notch := reversed(chain(geom.Pt(20, 10), geom.Pt(12, 8), geom.Pt(12, 4))) // touches the rim in one point
	tests := []struct {
		name           string
		curves         []geom.Curve
		holes, regions []float64
	}{
		{"two windows touching", slices.Concat(plate, hole1, hole2), []float64{-25, -25, 400}, []float64{-50, 400}},
		{"a window touching the rim", slices.Concat(plate, notch), []float64{-16, 400}, []float64{384}},
		{"two parts touching", slices.Concat(plate, square(20, 20, 5)), []float64{425}, []float64{25, 400}},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			if got := ringAreas(t, test.curves, SeparateHoles); !slices.Equal(got, test.holes) {
				t.Errorf("holes parted: %v, want %v", got, test.holes)
			}
			if got := ringAreas(t, test.curves, SeparateRegions); !slices.Equal(got, test.regions) {
				t.Errorf("regions parted: %v, want %v", got, test.regions)
			}
		})
	}
}

// Two round holes that touch each other, and a smaller one inside a round
// board that touch its rim from inside: tangent arcs, told apart by curvature.
func TestRingsAtTangentArcs(t *testing.T) {
	o := geom.Pt(0, 0)
	hole := func(x, r float64) []geom.Curve { return reversed(circle(geom.Pt(x, 0), r)) }
	curves := slices.Concat(circle(o, 10), hole(5, 5), hole(-3, 3), hole(-8, 2))
	want := []float64{-25, -9, -4, 100}
	got := ringAreas(t, curves, SeparateHoles)
	if len(got) != len(want) {
		t.Fatalf("%d rings, want %d: %v", len(got), len(want), got)
	}
	for i := range want {
		if math.Abs(got[i]-want[i]*math.Pi) > 1e-5 {
			t.Errorf("ring %d: area %v, want %vπ", i, got[i], want[i])
		}
	}
}

// Law: a fan of petals from one point, each between a curve and the next, comes
// apart into its petals whatever their order, sense of curvature and turn.
func TestRingsOfPetals(t *testing.T) {
	for seed := range int64(40) {
		rnd := rand.New(rand.NewSource(seed))
		var curves []geom.Curve
		n := 2 + rnd.Intn(5)
		turn := rnd.Float64() * 6
		var want []float64
		for i := range n {
			d := turn + float64(i)*2*math.Pi/float64(n)
			p, q := geom.Polar(20, geom.Radians(d)), geom.Polar(20, geom.Radians(d+0.8*math.Pi/float64(n)))
			c1, _ := geom.ArcSweep(geom.Pt(0, 0), p, geom.Radians(rnd.Float64()*0.4-0.2))
			c2 := geom.CubicFrom(q, q.Mul(0.6), q.Mul(0.3), geom.Pt(0, 0))
			petal := []geom.Curve{c1, geom.LineFrom(p, q), c2}
			want = append(want, area(petal))
			curves = append(curves, petal...)
		}
		a := Arrange(curves)
		halves := forward(a)
		rnd.Shuffle(len(halves), func(i, j int) { halves[i], halves[j] = halves[j], halves[i] })
		rings, err := a.Rings(halves, SeparateRegions)
		if err != nil {
			t.Fatal(err)
		}
		var got []float64
		for _, r := range rings {
			got = append(got, area(a.Curves(r)))
		}
		slices.Sort(got)
		slices.Sort(want)
		if len(got) != n || math.Abs(got[0]-want[0]) > 1e-6 || math.Abs(got[n-1]-want[n-1]) > 1e-6 {
			t.Fatalf("seed %d: petals %v, want %v", seed, got, want)
		}
	}
}

func TestRingsNotClosed(t *testing.T) {
	a := Arrange(square(0, 0, 10)[:3])
	_, err := a.Rings(forward(a), SeparateHoles)
	want := "the boundary does not close at (0, 0): 0 pieces arrive and 1 leave"
	if fmt.Sprint(err) != want {
		t.Errorf("error %q, want %q", err, want)
	}
	if err != nil && strings.HasSuffix(err.Error(), ".") {
		t.Error("message ends with a full stop")
	}
}
