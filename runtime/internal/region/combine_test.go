package region

import (
	"errors"
	"math"
	"math/rand"
	"slices"
	"testing"

	"github.com/creasewright/creasewright/runtime/geom"
)

// areaSlack is how much area merging rims up to a weld apart can move.
func areaSlack(paths ...geom.Path) float64 {
	length := 0.0
	for _, p := range paths {
		length += p.Length()
	}
	return geom.SnapTolerance * length
}

// Laws on random pairs, shared edges and copies among them:
// |A∪B| + |A∩B| = |A| + |B|, |A∖B| + |A∩B| = |A|, (A∖B) ∪ (A∩B) = A, union and
// overlap do not depend on the order, and OverlapArea is |A∩B|.
func TestCombineAreas(t *testing.T) {
	for seed := range int64(400) {
		rnd := rand.New(rand.NewSource(seed))
		a, b := randomPair(rnd)
		ra, rb := ringsOf(a), ringsOf(b)
		get := func(rings [][]geom.Curve, err error) [][]geom.Curve {
			if err != nil {
				t.Fatalf("seed %d: %v", seed, err)
			}
			return rings
		}
		union, common := get(Union(ra, rb)), get(Intersect(ra, rb))
		rest := get(Difference(ra, rb))
		slack := areaSlack(a, b)
		check := func(law string, got, want float64) {
			if math.Abs(got-want) > slack {
				t.Errorf("seed %d: %s: %v, want %v", seed, law, got, want)
			}
		}
		check("|A∪B| + |A∩B| = |A| + |B|", ringsArea(union)+ringsArea(common), a.Area()+b.Area())
		check("|A∖B| + |A∩B| = |A|", ringsArea(rest)+ringsArea(common), a.Area())
		check("(A∖B) ∪ (A∩B) = A", ringsArea(get(Union(rest, common))), a.Area())
		check("A∪B = B∪A", ringsArea(get(Union(rb, ra))), ringsArea(union))
		check("A∩B = B∩A", OverlapArea(rb, ra), ringsArea(common))
		check("OverlapArea", OverlapArea(ra, rb), ringsArea(common))
		if t.Failed() {
			t.Fatalf("%v\n%v", a, b)
		}
	}
}

// Law: a point clear of both rims lies in the result exactly if the operation
// says so of whether it lies in A and in B, each told by winding number from
// the curves as they were given; and no result winds about a point twice.
func TestCombineHolds(t *testing.T) {
	for seed := range int64(200) {
		rnd := rand.New(rand.NewSource(seed))
		a, b := randomPair(rnd)
		around := a.Bounds().Union(b.Bounds())
		for i, in := range [...]rule{either, both, first} {
			rings, err := combine(ringsOf(a), ringsOf(b), in)
			if err != nil {
				t.Fatalf("seed %d: %v", seed, err)
			}
			for range 40 {
				q := around.Min.Add(geom.Pt(rnd.Float64()*around.Width(), rnd.Float64()*around.Height()))
				if rimDistance(q, a, b) < 4*geom.SnapTolerance {
					continue
				}
				want := 0
				if in(a.Contains(q), b.Contains(q)) {
					want = 1
				}
				if got := geom.Winding(slices.Concat(rings...), q); got != want {
					t.Errorf("seed %d: operation %d winds %d times about %v, want %d", seed, i, got, q, want)
				}
			}
		}
	}
}

// rimDistance is how far a point is from the nearest edge of the paths.
func rimDistance(q geom.Point, paths ...geom.Path) float64 {
	least := math.Inf(1)
	for _, p := range paths {
		for _, e := range p.Edges {
			_, d := e.Nearest(q)
			least = math.Min(least, d)
		}
	}
	return least
}

// Law: mirrored and turned inputs give the mirrored and turned result.
func TestCombineMoves(t *testing.T) {
	for seed := range int64(100) {
		rnd := rand.New(rand.NewSource(seed))
		a, b := randomPair(rnd)
		m := geom.Rotation(geom.Radians(rnd.Float64()*6), geom.Pt(3, 4))
		if seed%2 == 0 {
			m = m.Then(geom.FlipX())
		}
		for name, op := range map[string]func(x, y geom.Path) (geom.Path, error){"plus": Plus, "minus": Minus} {
			p, err := op(a, b)
			q, err2 := op(a.Transform(m), b.Transform(m))
			if (err == nil) != (err2 == nil) {
				t.Errorf("seed %d: %s: %v, moved %v", seed, name, err, err2)
			} else if err == nil && (math.Abs(p.Area()-q.Area()) > areaSlack(a, b) || len(p.Edges) != len(q.Edges)) {
				t.Errorf("seed %d: %s: %v\nmoved %v", seed, name, p.Transform(m), q)
			}
		}
	}
}

// Law: what Plus and Minus give is an outline, encloses what the rings of the
// same operation do, and has no radius that its inputs have not.
func TestPlusAndMinusKeepArcs(t *testing.T) {
	done := 0
	for seed := range int64(400) {
		rnd := rand.New(rand.NewSource(seed))
		a, b := randomPair(rnd)
		var radii []float64
		for _, e := range slices.Concat(a.Edges, b.Edges) {
			radii = append(radii, e.R)
		}
		rings, _ := Union(ringsOf(a), ringsOf(b))
		rest, _ := Difference(ringsOf(a), ringsOf(b))
		for _, op := range []struct {
			do   func(x, y geom.Path) (geom.Path, error)
			want float64
		}{{Plus, ringsArea(rings)}, {Minus, ringsArea(rest)}} {
			p, err := op.do(a, b)
			if shape := (*ShapeError)(nil); errors.As(err, &shape) {
				continue
			} else if err != nil {
				t.Fatalf("seed %d: %v", seed, err)
			}
			done++
			if _, err := p.Check(); err != nil && p.Area() > 10*geom.SnapTolerance*p.Length()/2 {
				t.Errorf("seed %d: no outline: %v", seed, err)
			}
			if math.Abs(p.Area()-op.want) > areaSlack(a, b) {
				t.Errorf("seed %d: area %v, want %v", seed, p.Area(), op.want)
			}
			for _, e := range p.Edges {
				if !slices.Contains(radii, e.R) {
					t.Errorf("seed %d: edge %s has a new radius %v", seed, e.Name, e.R)
				}
			}
			named := p.Names()
			slices.Sort(named)
			if len(slices.Compact(named)) != len(p.Edges) {
				t.Errorf("seed %d: names %s clash", seed, names(p))
			}
		}
	}
	if done < 300 {
		t.Errorf("only %d outlines came out", done)
	}
}

// Law: taking away a part that lies inside along an edge, then adding it, gives
// the outline back; and adding a neighbour, then taking it away, does.
func TestMinusThenPlus(t *testing.T) {
	rnd := rand.New(rand.NewSource(9))
	for range 50 {
		a := box(0, 0, 60, 40)
		x, w, h := 1+rnd.Float64()*30, 1+rnd.Float64()*20, 1+rnd.Float64()*30
		part := must(Minus(box(x, 0, w, h), disc(x+w/2, h/2, 1e-2+rnd.Float64()*0.1).Transform(geom.Translation(0, h/2))))
		for _, pair := range [][2]geom.Path{{a, part}, {a, part.Transform(geom.FlipY())}} {
			back := must(Plus(must(Minus(pair[0], pair[1])), pair[1]))
			if pair[1].Bounds().Min.Y < 0 {
				back = must(Minus(must(Plus(pair[0], pair[1])), pair[1]))
			}
			if math.Abs(back.Area()-a.Area()) > 1e-6 {
				t.Errorf("area %v, want %v: %v", back.Area(), a.Area(), back)
			}
			if box := back.Bounds(); box != a.Bounds() {
				t.Errorf("bounds %v, want %v", box, a.Bounds())
			}
		}
	}
}

// The lens of two discs of radius r whose centres lie d apart:
// 2r²·acos(d/2r) − d/2·√(4r² − d²). Exact, since arcs stay arcs.
func TestOverlapOfDiscs(t *testing.T) {
	const r, d = 10.0, 12.0
	want := 2*r*r*math.Acos(d/(2*r)) - d/2*math.Sqrt(4*r*r-d*d)
	if got := OverlapArea(ringsOf(disc(0, 0, r)), ringsOf(disc(d, 0, r))); !near9(got, want) {
		t.Errorf("%v, want %v", got, want)
	}
}

// Rings with holes are understood, and holes come back clockwise.
func TestRegionsWithHoles(t *testing.T) {
	frame := [][]geom.Curve{square(0, 0, 30), reversed(square(10, 10, 10))}
	bar := [][]geom.Curve{square(15, -5, 10)}
	if got := OverlapArea(frame, bar); !near9(got, 50) {
		t.Errorf("overlap %v, want 50", got)
	}
	rings, err := Union(frame, [][]geom.Curve{square(12, 12, 4)})
	if err != nil || len(rings) != 3 || !near9(ringsArea(rings), 816) {
		t.Errorf("frame with an island: %d rings of %v mm², %v", len(rings), ringsArea(rings), err)
	}
	if rings, _ = Difference([][]geom.Curve{square(0, 0, 30)}, [][]geom.Curve{square(10, 10, 10)}); len(rings) != 2 || area(rings[1]) != -100 {
		t.Errorf("rings %v", rings)
	}
}

func TestOverlaps(t *testing.T) {
	unit := [][]geom.Curve{square(0, 0, 10)}
	at := func(x, y float64) [][]geom.Curve { return [][]geom.Curve{square(x, y, 10)} }
	round := func(x, y float64) [][]geom.Curve { return [][]geom.Curve{circle(geom.Pt(x, y), 5)} }
	frame := [][]geom.Curve{square(-5, -5, 20), reversed(square(0, 0, 10))}
	turned := [][]geom.Curve{chain(geom.Pt(17, 8), geom.Pt(27, 18), geom.Pt(17, 28), geom.Pt(8, 17))}
	tests := []struct {
		name string
		a, b [][]geom.Curve
		want bool
	}{
		{"side by side", unit, at(10, 0), false},
		{"corner on corner", unit, at(10, 10), false},
		{"half a weld in", unit, at(10-geom.SnapTolerance/2, 1), false},
		{"two welds in", unit, at(10-2*geom.SnapTolerance, 1), true},
		{"the same", unit, unit, true},
		{"apart", unit, at(50, 0), false},
		{"boxes meet, polygons do not", unit, turned, false},
		{"round beside square", unit, round(15, 5), false},
		{"round into square", unit, round(14.9, 5), true},
		{"round on round", round(0, 0), round(10, 0), false},
		{"round across round", round(0, 0), round(9.9, 0), true},
		{"in the hole", frame, unit, false},
		{"on the frame", frame, at(1, 1), true},
		{"inside", [][]geom.Curve{square(-5, -5, 20)}, unit, true},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			if Overlaps(test.a, test.b) != test.want || Overlaps(test.b, test.a) != test.want {
				t.Errorf("want %v", test.want)
			}
		})
	}
}

// Law: the short ways of Overlaps agree with the area in common.
func TestOverlapsAgreesWithArea(t *testing.T) {
	for seed := range int64(400) {
		rnd := rand.New(rand.NewSource(seed))
		a, b := randomPair(rnd)
		if seed%2 == 0 {
			a, b = hull(rnd), hull(rnd)
		}
		got, common := Overlaps(ringsOf(a), ringsOf(b)), OverlapArea(ringsOf(a), ringsOf(b))
		if got && common == 0 || !got && common > areaSlack(a, b) {
			t.Errorf("seed %d: overlaps %v, area in common %v", seed, got, common)
		}
	}
}

// hull is a random convex polygon.
func hull(rnd *rand.Rand) geom.Path {
	x, y := rnd.Float64()*20, rnd.Float64()*20
	n := 3 + rnd.Intn(6)
	var pts []geom.Point
	for i := range n {
		pts = append(pts, geom.Pt(x, y).Add(geom.Polar(8, geom.Radians((float64(i)+0.6*rnd.Float64())*2*math.Pi/float64(n)))))
	}
	return polygon(pts...)
}

// Law: a strip is thinner than a width where its own is less, whichever way
// round; its ends count little.
func TestThinner(t *testing.T) {
	for _, c := range []struct {
		wide float64
		want bool
	}{{0.5, true}, {0.99, true}, {1.02, false}, {3, false}} {
		a := Arrange(chain(geom.Pt(0, 0), geom.Pt(1000, 0), geom.Pt(1000, c.wide), geom.Pt(0, c.wide)))
		round := forward(a)
		if got := a.thinner(round, 1); got != c.want {
			t.Errorf("%v wide: %v", c.wide, got)
		}
		for i := range round {
			round[i].Reversed = true
		}
		if got := a.thinner(round, 1); got != c.want {
			t.Errorf("%v wide, the other way round: %v", c.wide, got)
		}
	}
}
