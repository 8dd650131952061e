package preview

import (
	"math"
	"math/rand"
	"testing"

	"github.com/creasewright/creasewright/runtime/geom"
)

func randomTile(r *rand.Rand) tile {
	return tile{randomPoint(r), geom.Polar(1, geom.Radians(r.Float64()*2*math.Pi)), 0.5 + r.Float64()*15, 0.5 + r.Float64()*4}
}

// Law: a tile meets a segment exactly when some point of a fine sampling of the
// segment lies in it, but for grazes finer than the sampling.
func TestTileCrosses(t *testing.T) {
	r := rand.New(rand.NewSource(6))
	hits := 0
	for range 3000 {
		x := randomTile(r)
		a := x.mid.Add(geom.Pt(r.Float64()*40-20, r.Float64()*40-20))
		b := x.mid.Add(geom.Pt(r.Float64()*40-20, r.Float64()*40-20))
		inside := func(margin float64) bool {
			for i := range 2001 {
				p := x.local(a.Lerp(b, float64(i)/2000))
				if math.Abs(p.X) <= x.hx+margin && math.Abs(p.Y) <= x.hy+margin {
					return true
				}
			}
			return false
		}
		got := x.crosses(a, b)
		if got && !inside(0.05) || !got && inside(-0.05) {
			t.Fatalf("%v and %v–%v: %t", x, a, b, got)
		}
		if got {
			hits++
		}
	}
	if hits < 300 {
		t.Fatalf("only %d of 3000 crossed: the law was hardly tried", hits)
	}
}

// Law: meeting is symmetric, a tile meets itself, and tiles meet exactly when
// one holds a corner of the other or their rims cross.
func TestTilesMeet(t *testing.T) {
	r := rand.New(rand.NewSource(7))
	for range 3000 {
		a, b := randomTile(r), randomTile(r)
		b.mid = a.mid.Add(geom.Pt(r.Float64()*30-15, r.Float64()*30-15))
		if a.meets(b) != b.meets(a) || !a.meets(a) {
			t.Fatalf("%v and %v", a, b)
		}
		ca := a.corners()
		touch := b.crosses(ca[3], ca[0]) || a.crosses(b.mid, b.mid) || b.crosses(a.mid, a.mid)
		for i := range 3 {
			touch = touch || b.crosses(ca[i], ca[i+1])
		}
		if touch != a.meets(b) {
			t.Fatalf("%v and %v: rims say %t", a, b, touch)
		}
	}
}

// Law: the grid changes nothing: an occupancy answers as a search through everything
// would.
func TestFieldAgreesWithSearch(t *testing.T) {
	r := rand.New(rand.NewSource(8))
	f := newOccupancy()
	for range 120 {
		a := randomPoint(r)
		f.addLine(a, a.Add(geom.Pt(r.Float64()*60-30, r.Float64()*60-30)))
		f.addTile(randomTile(r))
	}
	f.addLine(geom.Pt(-90, 12), geom.Pt(90, 12)) // along the rim of a row of squares
	clear := 0
	for range 3000 {
		x := randomTile(r)
		text, all := true, true
		for _, o := range f.tiles {
			text = text && !x.meets(o)
		}
		all = text
		for _, s := range f.lines {
			all = all && !x.crosses(s.a, s.b)
		}
		if f.clearOfText(x) != text || f.clear(x) != all {
			t.Fatalf("%v: %t and %t, want %t and %t", x, f.clearOfText(x), f.clear(x), text, all)
		}
		if all {
			clear++
		}
	}
	if clear < 100 || clear > 2900 {
		t.Fatalf("%d of 3000 clear: the law was hardly tried", clear)
	}
}

// Law: grown by d, a tile's bounds hold the old ones and reach further.
func TestGrow(t *testing.T) {
	r := rand.New(rand.NewSource(9))
	for range 200 {
		x := randomTile(r)
		a, b := x.bounds(), x.grow(1).bounds()
		if !b.Contains(a.Min) || !b.Contains(a.Max) || b.Width() <= a.Width() {
			t.Fatalf("%v grew from %v to %v", x, a, b)
		}
	}
}
