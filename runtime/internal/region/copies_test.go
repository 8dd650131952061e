package region

import (
	"fmt"
	"math"
	"math/rand"
	"slices"
	"testing"

	"github.com/creasewright/creasewright/runtime/geom"
)

// Law: curves given again, either way round and a hair off, change nothing but
// that every piece has their uses too, and where they run.
func TestCopiesAddOnlyOrigins(t *testing.T) {
	for seed := range int64(40) {
		rnd := rand.New(rand.NewSource(seed))
		curves := randomCurves(rnd, 4+rnd.Intn(12))
		twice := slices.Clone(curves)
		for _, c := range curves {
			if rnd.Intn(2) == 0 {
				c = c.Reverse()
			}
			twice = append(twice, c.Transform(geom.Translation(1e-10, -1e-10)))
		}
		one, two := Arrange(curves), Arrange(twice)
		checkArrangement(t, twice, two)
		if fmt.Sprint(one.Nodes) != fmt.Sprint(two.Nodes) || len(one.Edges) != len(two.Edges) {
			t.Fatalf("seed %d: %d nodes and %d pieces become %d and %d", seed,
				len(one.Nodes), len(one.Edges), len(two.Nodes), len(two.Edges))
		}
		for i, p := range two.Edges {
			if p.Curve != one.Edges[i].Curve || len(p.Origins) != 2*len(one.Edges[i].Origins) {
				t.Errorf("seed %d: piece %d became %+v, was %+v", seed, i, p, one.Edges[i])
			}
			for _, u := range p.Origins {
				way := p.At(0.9).Sub(p.At(0.1))
				if c := twice[u.Curve].Part(u.T0, u.T1); p.From != p.To && (c.At(0.9).Sub(c.At(0.1)).Dot(way) < 0) != u.Reversed && way.Len() > 1 && p.Kind == geom.Line {
					t.Errorf("seed %d: use %+v runs the wrong way", seed, u)
				}
			}
		}
	}
}

func TestCopiesTellCurvesApart(t *testing.T) {
	line := geom.LineFrom(geom.Pt(0, 0), geom.Pt(40, 0))
	arc := geom.ArcFrom(geom.Pt(0, 0), geom.Pt(20, 5), geom.Radians(1))
	full := geom.ArcFrom(geom.Pt(5, 0), geom.Pt(0, 0), geom.Radians(2*math.Pi))
	for _, c := range []struct {
		name   string
		a, b   geom.Curve
		groups int
	}{
		{"a line and itself", line, line, 1},
		{"a line and its reverse", line, line.Reverse(), 1},
		{"a line and one a micrometre off", line, line.Transform(geom.Translation(0, 1e-3)), 2},
		{"an arc and its chord", arc, geom.LineFrom(arc.P, arc.Q), 2},
		{"an arc and the rest of its circle", arc, geom.ArcBetween(arc.Q, arc.P, arc.C, geom.Radians(2*math.Pi-1)), 2},
		{"an arc and its reverse", arc, arc.Reverse(), 1},
		{"a circle and its reverse", full, full.Reverse(), 1},
		{"a curve and one with another control point", geom.CubicFrom(geom.Pt(0, 0), geom.Pt(1, 9), geom.Pt(5, 9), geom.Pt(9, 0)),
			geom.CubicFrom(geom.Pt(0, 0), geom.Pt(1, 9), geom.Pt(5, 8), geom.Pt(9, 0)), 2},
	} {
		if got := groupCoincident([]geom.Curve{c.a, c.b}); len(got.firsts) != c.groups {
			t.Errorf("%s: %d groups, want %d", c.name, len(got.firsts), c.groups)
		}
	}
}

// Law: few curves share a key that are no copies, even where ends lie evenly and
// all curves have one middle: keys of a thousand spokes and of a grid's edges
// differ.
func TestEndsKeysDiffer(t *testing.T) {
	keys := map[uint64]geom.Curve{}
	check := func(p, q geom.Point) {
		c := geom.LineFrom(p, q)
		if d, ok := keys[endsKey(c)]; ok {
			t.Errorf("%v and %v share a key", c, d)
		}
		if keys[endsKey(c)] = c; endsKey(c) != endsKey(c.Reverse()) {
			t.Errorf("%v has another key the other way round", c)
		}
	}
	for i := range 1000 {
		spoke := geom.Polar(50, geom.Radians(float64(i)*math.Pi/1000))
		check(spoke, spoke.Mul(-1))
	}
	for i := range 40 {
		for k := range 40 {
			p := geom.Pt(float64(i), float64(k))
			check(p, p.Add(geom.Pt(1, 0)))
			check(p, p.Add(geom.Pt(0, 1)))
		}
	}
}

// BenchmarkArrangeStack arranges equal squares on one another.
func BenchmarkArrangeStack(b *testing.B) {
	for _, n := range []int{100, 1000, 10000} {
		curves := slices.Repeat(square(0, 0, 40), n)
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			for b.Loop() {
				Arrange(curves)
			}
		})
	}
}
