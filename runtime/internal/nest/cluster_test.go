package nest

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/creasewright/creasewright/runtime/geom"
)

// angle and comb are shapes of long arms and of teeth: angles 50 wide nest, combs interlock.
var (
	angle = ringOf([][2]float64{{0, 0}, {700, 0}, {700, 50}, {50, 50}, {50, 550}, {0, 550}})
	comb  = ringOf([][2]float64{{100, 150}, {0, 150}, {0, 0}, {700, 0}, {700, 150}, {600, 150}, {600, 50}, {400, 50}, {400, 150}, {300, 150}, {300, 50}, {100, 50}})
)

// armsJob is angles and combs.
func armsJob(t *testing.T) *job {
	t.Helper()
	var parts []Part
	for _, r := range [][]geom.Curve{angle, comb} {
		s, err := NewShape([][]geom.Curve{r}, 0)
		if err != nil {
			t.Fatal(err)
		}
		parts = append(parts, Part{s, []int{0, 1, 2, 3}, 17})
	}
	j, err := newJob(t.Context(), parts)
	if err != nil {
		t.Fatal(err)
	}
	return j
}

// Law: long arms are laid nested. A cluster of angles, or of combs, fills its hull better than
// one; what it stands for is as many copies as before, none of which overlap each other and all
// of which lie where the cluster lies, however that is turned.
func TestClusters(t *testing.T) {
	j := armsJob(t)
	for part, p := range j.parts {
		all := j.candidates(t.Context(), part, 1500*perMM)
		if !slices.ContainsFunc(all, func(c cluster) bool { return c.gain > clusterNeed }) {
			t.Errorf("part %d: no cluster is dense", part)
		}
		for _, k := range all {
			kinds := [][]laid{nil, nil}
			kinds[part] = k.at
			c := j.clustered(kinds)
			count := 0
			for i, q := range c.parts {
				count += q.Count * len(c.copies[i])
			}
			whole := c.parts[part]
			if count != 34 || math.Abs(whole.Area()-float64(len(k.at))*p.Area()) > 1e-6 {
				t.Errorf("part %d: %d copies in all, %g of %g in one cluster", part, count, whole.Area(), p.Area())
			}
			for _, turn := range whole.Turns {
				l := laid{part, turn, vec{123, 456}}
				box := nothing()
				at := c.split([]laid{l})
				for i, a := range at {
					b := j.box(a)
					box = box.with(b.lo).with(b.hi)
					if slices.ContainsFunc(at[:i], func(other laid) bool { return j.overlap(a, other) }) {
						t.Errorf("part %d turned by %d: copies of %v overlap", part, turn, k.at)
					}
				}
				if want := whole.bounds.turned(turn).shifted(l.at); box != want {
					t.Errorf("part %d turned by %d: copies within %v, the cluster within %v", part, turn, box, want)
				}
			}
		}
	}
}

// Law: the no-fit polygon of two clusters, put together from those of their copies, is that of
// both as shapes: depths are the same everywhere, but for rounding.
func TestUnited(t *testing.T) {
	j := armsJob(t)
	rng := rand.New(rand.NewPCG(7, 1))
	as := []laid{{part: 1, turn: 3}, {0, 1, vec{7001234, 503}}, {0, 2, vec{-812345, 4400000}}}
	bs := []laid{{part: 0}, {1, 2, vec{812345, 1600001}}}
	met := 0
	for turn := range 4 {
		want, err := noFit(t.Context(), j.compound(as), j.compound(bs).turned(turn))
		if err != nil {
			t.Fatal(err)
		}
		got, err := j.united(t.Context(), as, bs, turn)
		if err != nil {
			t.Fatal(err)
		}
		size := want.bounds.hi.sub(want.bounds.lo)
		if got.bounds != want.bounds {
			t.Fatalf("turned by %d: within %v, want %v", turn, got.bounds, want.bounds)
		}
		for range 1000 {
			at := want.bounds.lo.add(vec{rng.Int64N(size.x), rng.Int64N(size.y)})
			d, w := got.depth(at), want.depth(at)
			if math.Abs(d-w) > 1 || (d > 0) != (w > 0) {
				t.Fatalf("turned by %d, at %v: depth %g, want %g", turn, at, d, w)
			}
			if d > 0 {
				met++
			}
		}
	}
	if met < 1000 || met > 3500 {
		t.Errorf("%d places of 4000 overlap; want some of both", met)
	}
}
