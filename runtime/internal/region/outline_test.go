package region

import (
	"math"
	"slices"
	"testing"

	"github.com/creasewright/creasewright/runtime/geom"
)

func TestShapeError(t *testing.T) {
	tests := []struct {
		err  ShapeError
		want string
	}{
		{ShapeError{}, "nothing is left"},
		{ShapeError{Parts: []float64{25, 9}}, "2 parts are left, of 25 and 9 mm²"},
		{ShapeError{Parts: []float64{25, 9, 4.00001}}, "3 parts are left, of 25, 9 and 4 mm²"},
		{ShapeError{Holes: []float64{0.5}}, "a hole of 0.5 mm² is left"},
		{ShapeError{Parts: []float64{100}, Holes: []float64{2, 1}}, "2 holes are left, of 2 and 1 mm²"},
	}
	for _, test := range tests {
		if got := test.err.Error(); got != test.want {
			t.Errorf("%q, want %q", got, test.want)
		}
	}
	scaled := (&ShapeError{Parts: []float64{8, 4}, Holes: []float64{2}}).scale(0.5)
	if !slices.Equal(scaled.Parts, []float64{4, 2}) || !slices.Equal(scaled.Holes, []float64{1}) {
		t.Errorf("scaled to %+v", scaled)
	}
}

// Pieces that only a T-junction split come back as the one edge they were, to
// the bit, also where the ring begins inside such an edge.
func TestJoinsNeedlessSplits(t *testing.T) {
	plate := box(0, 0, 100, 60)
	inside := polygon(geom.Pt(10, 0), geom.Pt(30, 0), geom.Pt(20, 20)) // stands on the bottom edge
	p, err := Plus(plate, inside)
	if err != nil || len(p.Edges) != 4 {
		t.Fatalf("%v, %v", p, err)
	}
	for i, e := range p.Edges {
		if e.Name != plate.Edges[i].Name || e.Curve != plate.Edges[i].Curve {
			t.Errorf("edge %d became %v", i, e)
		}
	}
	whole := geom.Path{Closed: true, Edges: []geom.Edge{{Name: "rim", Curve: geom.ArcFrom(geom.Pt(10, 0), geom.Pt(0, 0), geom.Radians(2*math.Pi))}}}
	if q, err := Plus(whole, box(-1, -1, 2, 2)); err != nil || len(q.Edges) != 1 || q.Edges[0].R != 10 {
		t.Errorf("a circle of one edge became %v, %v", q, err)
	}
}

func TestInputsThatAreNoOutline(t *testing.T) {
	broken := box(0, 0, 1, 1)
	broken.Edges[2].Q.X = math.NaN()
	if _, err := Plus(box(0, 0, 5, 5), broken); err == nil || err.Error() != `edge "top" is not made of ordinary numbers` {
		t.Errorf("error %v", err)
	}
}

func TestDistinct(t *testing.T) {
	a, b := func(s string) naming { return naming{s, 0} }, func(s string) naming { return naming{s, 1} }
	tests := []struct {
		name   string
		wanted []naming
		want   []string
	}{
		{"none", nil, []string{}},
		{"pieces in order", []naming{a("top"), a("left"), a("top"), a("top")}, []string{"top", "left", "top.2", "top.3"}},
		{"the lower rank first", []naming{b("top"), a("top"), b("left")}, []string{"top.2", "top", "left"}},
		{"a number that is taken", []naming{a("top"), a("top"), a("top.2")}, []string{"top", "top.3", "top.2"}},
		{"a piece of a piece", []naming{a("top.2"), a("top.2"), a("top")}, []string{"top.2", "top.2.2", "top"}},
		{"among the other's pieces", []naming{b("e0"), a("e0"), b("e0"), a("e0")}, []string{"e0.2", "e0", "e0.3", "e0.4"}},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			if got := distinct(test.wanted); !slices.Equal(got, test.want) {
				t.Errorf("%v, want %v", got, test.want)
			}
		})
	}
}
