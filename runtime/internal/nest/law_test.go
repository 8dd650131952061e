package nest

import (
	"context"
	"errors"
	"math"
	"math/rand/v2"
	"reflect"
	"slices"
	"testing"

	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/canceltest"
	"github.com/creasewright/creasewright/runtime/internal/region"
)

// randomShape is a random blank as rings and as a shape.
func randomShape(t *testing.T, rng *rand.Rand, gap float64) ([][]geom.Curve, *Shape) {
	t.Helper()
	for {
		rings := randomRings(rng)
		if !validRings(rings) {
			continue
		}
		s, err := NewShape(rings, gap)
		if err != nil {
			t.Fatal(err)
		}
		return rings, s
	}
}

// Law: parts are convex, run counter-clockwise and add up to an area no smaller than
// the true one and larger by no more than a rim of twice the tolerance.
func TestShapeParts(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 1))
	holes := 0
	for i := range 200 {
		rings, s := randomShape(t, rng, 0)
		sum, length := 0.0, 0.0
		for _, p := range s.parts {
			sum += float64(area2(p)) / 2 / perMM / perMM
			for k := range p {
				if orient(p[k], p[(k+1)%len(p)], p[(k+2)%len(p)]) <= 0 {
					t.Fatalf("shape %d: a part is not convex: %v", i, p)
				}
			}
		}
		for _, r := range rings {
			for _, c := range r {
				length += c.Length()
			}
		}
		w, h := s.Size()
		stray := max(2*flattenTolerance, 2*coarsest*max(w, h))
		if sum < s.Area()-length*1e-4 || sum > s.Area()+length*stray {
			t.Errorf("shape %d with %d rings: parts cover %g mm² of %g", i, len(rings), sum, s.Area())
		}
		if len(rings) > 1 {
			holes++
		}
	}
	if holes == 0 {
		t.Error("no shape had a hole")
	}
}

// Law: every point of the true curves lies in some part, or on its rim.
func TestShapesHoldTheirCurves(t *testing.T) {
	rng := rand.New(rand.NewPCG(2, 1))
	for i := range 100 {
		rings, s := randomShape(t, rng, 0)
		for _, r := range rings {
			for _, c := range r {
				for k := range 20 {
					p := c.At(float64(k) / 20)
					if !covered(s, p) {
						t.Fatalf("shape %d: %v on a %v is in no part", i, p, c.Kind)
					}
				}
			}
		}
	}
}

// covered reports whether p lies in a part, or no further outside than rounding to the grid moves.
func covered(s *Shape, p geom.Point) bool {
	x, y := p.X*perMM, p.Y*perMM
	for _, part := range s.parts {
		in := true
		for k, a := range part {
			b := part[(k+1)%len(part)]
			dx, dy := float64(b.x-a.x), float64(b.y-a.y)
			in = in && dx*(y-float64(a.y))-dy*(x-float64(a.x)) >= -2*math.Hypot(dx, dy)
		}
		if in {
			return true
		}
	}
	return false
}

// Law: with the second shape in a place that the pair allows, the true areas do not
// overlap; with a depth above what flattening adds, they do, and moving by the depth
// along the nearest side's normal ends it.
func TestPairsAgreeWithRegions(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 1))
	hit, clear := 0, 0
	for range 12 {
		ra, a := randomShape(t, rng, 0)
		rb, b := randomShape(t, rng, 0)
		j, err := newJob(t.Context(), []Part{{a, []int{0, 1}, 1}, {b, []int{0, 3}, 1}})
		if err != nil {
			t.Fatal(err)
		}
		for range 20 {
			la := laid{0, rng.IntN(2), vec{rng.Int64N(400000), rng.Int64N(400000)}}
			lb := laid{1, 3 * rng.IntN(2), la.at.add(vec{rng.Int64N(1600000) - 800000, rng.Int64N(1600000) - 800000})}
			depth := j.depth(la, lb) / perMM
			if back := j.depth(lb, la) / perMM; back != depth || (depth > 0) != j.overlap(la, lb) {
				t.Fatalf("depth %g one way, %g the other, overlap %v", depth, back, j.overlap(la, lb))
			}
			overlaps := region.Overlaps(at(ra, la), at(rb, lb))
			switch {
			case depth == 0 && overlaps:
				t.Errorf("allowed, but the regions overlap: %v %v", la, lb)
			case depth > 1 && !overlaps:
				t.Errorf("%g mm deep, but the regions do not overlap: %v %v", depth, la, lb)
			}
			if depth > 0 {
				hit++
				u, ok := j.lineOf(lb, la)
				if !ok {
					t.Fatal("no nearest side")
				}
				d := u.c - u.nx*float64(lb.at.x) - u.ny*float64(lb.at.y) + 2
				lb.at = lb.at.add(vec{int64(math.Round(d * u.nx)), int64(math.Round(d * u.ny))})
				if left := j.depth(la, lb); left > 3 || math.Abs(d-2-depth*perMM) > 2 {
					t.Errorf("%g mm deep, %g steps still after moving out by %g", depth, left, d)
				}
			} else {
				clear++
			}
		}
	}
	if hit < 30 || clear < 30 {
		t.Errorf("%d places overlap and %d do not; want some of both", hit, clear)
	}
}

// at is rings where a copy lies.
func at(rings [][]geom.Curve, l laid) [][]geom.Curve {
	return moved(moved(rings, geom.Rotation(geom.Degrees(90*l.turn).Angle(), geom.Point{})), geom.Translation(l.at.point().X, l.at.point().Y))
}

// quick is little work, for laws.
var quick = Effort{Lattice: 2e4, Fills: 2, Looks: 20000}

// Law: copies on a sheet lie inside, apart and as far apart as asked; there are at least
// as many as in rows and columns of boxes, no more than the area holds, and the same
// ones every time.
func TestCopiesLaws(t *testing.T) {
	rng := rand.New(rand.NewPCG(4, 1))
	more, laidOut := 0, 0
	for i := range 20 {
		gap := [...]float64{0, 0, 3}[i%3]
		rings, s := randomShape(t, rng, gap)
		part := Part{Shape: s, Turns: [][]int{{0, 2}, {0, 1, 2, 3}, {1, 3}, {0}}[i%4]}
		w, h := 150+200*rng.Float64(), 150+200*rng.Float64()
		l, err := Copies(t.Context(), part, w, h, quick)
		if err == ErrNoFit && Grid(part, w, h) == 0 {
			continue
		}
		if err != nil {
			t.Fatal(err)
		}
		laidOut++
		if err := Check([][][]geom.Curve{rings}, l, gap); err != nil {
			t.Errorf("case %d: %v", i, err)
		}
		n, boxes := len(l.Placements), Grid(part, w, h)
		if n < boxes || float64(n)*s.Area() > w*h {
			t.Errorf("case %d: %d copies, %d as boxes, room for %g", i, n, boxes, w*h/s.Area())
		}
		if n > boxes {
			more++
		}
		for _, p := range l.Placements {
			if !contains(part.Turns, p.Turn) {
				t.Errorf("case %d: turned by %d, allowed %v", i, p.Turn, part.Turns)
			}
		}
		if i < 5 {
			again, err := Copies(t.Context(), part, w, h, quick)
			if err != nil || !reflect.DeepEqual(l, again) {
				t.Errorf("case %d: another layout the second time (%v)", i, err)
			}
		}
	}
	if more < laidOut/2 {
		t.Errorf("only %d of %d layouts have more copies than boxes have", more, laidOut)
	}
}

func contains(turns []int, turn int) bool {
	for _, t := range turns {
		if t == turn {
			return true
		}
	}
	return false
}

// Law (Kuperberg and Kuperberg 1990, Mount 1991): the densest lattice found is no
// less dense than the densest double lattice of the hull, nor denser than full. The room
// that rounding to the grid takes is allowed for.
func TestDenserThanMount(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 1))
	for i := range 15 {
		_, s := randomShape(t, rng, 0)
		j, err := newJob(t.Context(), []Part{{s, []int{0, 2}, 0}})
		if err != nil {
			t.Fatal(err)
		}
		found := lattices(t.Context(), j, 0, 2e4)
		best := found[0].cell()
		want := 2 * smallestHalfLength(s.hull).area
		if best > want*(1+1e-4) {
			t.Errorf("shape %d: %g mm² a copy, %g in the double lattice of the hull", i, best/perMM/perMM, want/perMM/perMM)
		}
		if best < s.Area()*perMM*perMM*(1-1e-4) {
			t.Errorf("shape %d: %g mm² a copy of %g", i, best/perMM/perMM, s.Area())
		}
		for _, l := range found {
			if m := newMotif(j, l.motif...); !m.valid(l.u, l.v) {
				t.Errorf("shape %d: copies of a lattice overlap", i)
			}
		}
	}
}

// Densities that are known: triangles and all centrally symmetric hexagons tile the
// plane; the densest double lattice of a regular pentagon has (5 − √5)/3 = 0.92131…
// (Kuperberg and Kuperberg 1990; it is the densest packing of all, Hales and Kusner 2016).
func TestKnownDensities(t *testing.T) {
	regular := func(n int) [][]geom.Curve {
		var pts [][2]float64
		for i := range n {
			sin, cos := geom.Radians(2 * math.Pi * float64(i) / float64(n)).SinCos()
			pts = append(pts, [2]float64{50 * cos, 50 * sin})
		}
		return [][]geom.Curve{ringOf(pts)}
	}
	for _, c := range []struct {
		name  string
		rings [][]geom.Curve
		want  float64
	}{
		{"triangle", [][]geom.Curve{ringOf([][2]float64{{0, 0}, {70, 10}, {20, 55}})}, 1},
		{"regular pentagon", regular(5), (5 - math.Sqrt(5)) / 3},
		{"regular hexagon", regular(6), 1},
	} {
		s, err := NewShape(c.rings, 0)
		if err != nil {
			t.Fatal(err)
		}
		j, err := newJob(t.Context(), []Part{{s, []int{0, 2}, 0}})
		if err != nil {
			t.Fatal(err)
		}
		got := s.Area() * perMM * perMM / lattices(t.Context(), j, 0, 1e5)[0].cell()
		if math.Abs(got-c.want) > 1e-4 {
			t.Errorf("%s: density %.5f, want %.5f", c.name, got, c.want)
		}
	}
}

// A published instance, for a few seconds only: every piece is laid, nothing
// overlaps, and the density is already within a fifth of the record.
func TestPublishedInstance(t *testing.T) {
	in, parts := readInstance(t, "shapes0")
	l, err := Strip(t.Context(), parts, in.Height, 1, 400000)
	if err != nil {
		t.Fatal(err)
	}
	stripIsValid(t, in.rings(), parts, l)
	if d := density(parts, l); d < 0.8*in.Best {
		t.Errorf("density %.2f %%, the record is %g", d, in.Best)
	}
}

// Law: the rim is what of the sums' sides lies in no other sum, whichever cells of the raster are asked.
func TestRimAsksEverySum(t *testing.T) {
	rng := rand.New(rand.NewPCG(13, 1))
	for range 60 {
		_, a := randomShape(t, rng, 0)
		_, b := randomShape(t, rng, float64(rng.IntN(2)))
		p, err := noFit(t.Context(), a, b)
		if err != nil {
			t.Fatal(err)
		}
		all := &pair{sums: p.sums, boxes: p.boxes, bounds: p.bounds, cells: make([]cell, 1), columns: 1, rows: 1, across: 62, tall: 62}
		for i := range p.sums {
			all.cells[0].sums = append(all.cells[0].sums, int32(i))
		}
		all.findRim(t.Context())
		if len(p.rim) == 0 || !slices.Equal(p.rim, all.rim) {
			t.Fatalf("%d sides of the rim, %d when every sum is asked", len(p.rim), len(all.rim))
		}
	}
}

// stripIsValid proves that every copy is laid, on the strip and clear of all others.
func stripIsValid(t *testing.T, rings [][][]geom.Curve, parts []Part, l Layout) {
	t.Helper()
	if err := Check(rings, l, 0); err != nil {
		t.Error(err)
	}
	laid := make([]int, len(parts))
	for _, p := range l.Placements {
		laid[p.Part]++
		if !slices.Contains(parts[p.Part].Turns, p.Turn) {
			t.Errorf("part %d lies turned by %d", p.Part, p.Turn)
		}
	}
	for i, p := range parts {
		if laid[i] != p.Count {
			t.Errorf("part %d: %d copies laid of %d", i, laid[i], p.Count)
		}
	}
}

// Law: a strip is never shorter than what lies on it, whether clusters are packed first or not,
// and where one part, or one cluster in one of its turns, is longer than the rest needs.
func TestStripsHoldTheirParts(t *testing.T) {
	bar := ringOf([][2]float64{{0, 0}, {3000, 0}, {3000, 20}, {0, 20}})
	for _, c := range []struct {
		rings  [][]geom.Curve
		counts []int
		turns  []int
		height float64
	}{
		{[][]geom.Curve{angle, comb}, []int{17, 17}, []int{0, 1, 2, 3}, 1500},
		{[][]geom.Curve{angle, comb}, []int{17, 3}, []int{0, 2}, 1500},
		{[][]geom.Curve{bar, angle}, []int{1, 7}, []int{0, 2}, 1500},
		{[][]geom.Curve{bar, comb}, []int{2, 9}, []int{0, 1}, 3100},
	} {
		var parts []Part
		var rings [][][]geom.Curve
		for i, r := range c.rings {
			s, err := NewShape([][]geom.Curve{r}, 0)
			if err != nil {
				t.Fatal(err)
			}
			parts, rings = append(parts, Part{s, c.turns, c.counts[i]}), append(rings, [][]geom.Curve{r})
		}
		for seed := range uint64(2) {
			l, err := Strip(t.Context(), parts, c.height, seed, 400_000)
			if err != nil {
				t.Fatal(err)
			}
			stripIsValid(t, rings, parts, l)
		}
	}
}

// Law: once every copy is laid, a context that ends only ends the search: what is given then is a whole
// layout.
func TestStripEndsWithAllLaid(t *testing.T) {
	j := armsJob(t)
	rings := [][][]geom.Curve{{angle}, {comb}}
	const looks = 200_000 // at places
	never := canceltest.EndsAt(0)
	if _, err := Strip(never, j.parts, 1500, 1, looks); err != nil {
		t.Fatal(err)
	}
	whole := 0
	for k := int64(1); k < 12; k++ {
		ctx := canceltest.EndsAt(never.Looks() * k / 12)
		switch l, err := Strip(ctx, j.parts, 1500, 1, looks); {
		case err == nil:
			whole++
			stripIsValid(t, rings, j.parts, l)
		case !errors.Is(err, canceltest.ErrEnded):
			t.Fatal(err)
		}
	}
	if whole == 0 {
		t.Error("no layout was ever whole")
	}
}

// Law: work ends with the context, wherever it is then.
func TestEndsWithContext(t *testing.T) {
	rng := rand.New(rand.NewPCG(6, 1))
	_, s := randomShape(t, rng, 0)
	part := Part{Shape: s, Turns: []int{0, 2}}
	canceltest.Stops(t, func(ctx context.Context) error {
		_, err := Copies(ctx, part, 200, 200, Effort{Lattice: 2000, Fills: 1, Looks: 2000})
		return err
	})
}
