package geom

import (
	"math"
	"math/rand"
	"testing"
)

// closedChain is n random curves of all kinds end to end, as tangled as they
// come, in pieces now and then.
func closedChain(r *rand.Rand, n int) []Curve {
	var chain []Curve
	first := randomPoint(r, 50)
	from := first
	for i := range n {
		to := randomPoint(r, 50)
		if i == n-1 {
			to = first
		}
		c := between(r, from, to)
		if r.Intn(3) == 0 {
			a, b := c.Split(r.Float64())
			chain = append(chain, a, b)
		} else {
			chain = append(chain, c)
		}
		from = to
	}
	r.Shuffle(len(chain), func(i, j int) { chain[i], chain[j] = chain[j], chain[i] })
	return chain
}

// Law: away from the rim a WindingIndex agrees with Winding, and so do the curves'
// shares, for short chains and long, far points and near.
func TestWinderAgreesWithWinding(t *testing.T) {
	r := rand.New(rand.NewSource(4))
	seen := map[int]int{}
	for range 200 {
		chain := closedChain(r, 3+r.Intn(30))
		w := NewWindingIndex(chain)
		for range 20 {
			q := randomPoint(r, 60)
			rim := math.Inf(1)
			for _, c := range chain {
				_, d := c.Nearest(q)
				rim = math.Min(rim, d)
			}
			if rim < 1e-6 {
				continue
			}
			want := Winding(chain, q)
			seen[want]++
			if got := w.About(q); got != want {
				t.Fatalf("%v: winding %d, want %d; %d curves", q, got, want, len(chain))
			}
			sum := 0
			for _, c := range chain {
				sum += c.Turns(q)
			}
			if sum != want {
				t.Fatalf("%v: shares of %d curves make %d, want %d", q, len(chain), sum, want)
			}
		}
	}
	if len(seen) < 6 {
		t.Errorf("only winding numbers %v were seen", seen)
	}
}

// Points level with corners, and on the chords of arcs, are told right: there
// the ray runs along edges and the chords' own sides say nothing.
func TestWinderAtChordsAndCorners(t *testing.T) {
	square := []Curve{
		LineFrom(Pt(0, 0), Pt(10, 0)), LineFrom(Pt(10, 0), Pt(10, 10)),
		LineFrom(Pt(10, 10), Pt(0, 10)), LineFrom(Pt(0, 10), Pt(0, 0)),
	}
	halves := []Curve{ArcFrom(Pt(5, 0), Pt(0, 0), Radians(math.Pi)), ArcFrom(Pt(-5, 0), Pt(0, 0), Radians(math.Pi))}
	upright := []Curve{ArcFrom(Pt(0, -5), Pt(0, 0), Radians(math.Pi)), ArcFrom(Pt(0, 5), Pt(0, 0), Radians(math.Pi))}
	diamond := []Curve{
		LineFrom(Pt(0, -5), Pt(5, 0)), LineFrom(Pt(5, 0), Pt(0, 5)),
		LineFrom(Pt(0, 5), Pt(-5, 0)), LineFrom(Pt(-5, 0), Pt(0, -5)),
	}
	for _, c := range []struct {
		name  string
		chain []Curve
		q     Point
		want  int
	}{
		{"beside a square, level with its bottom", square, Pt(-1, 0), 0},
		{"beside a square, level with its top", square, Pt(-1, 10), 0},
		{"in a diamond, level with two corners", diamond, Pt(0, 0), 1},
		{"beside a diamond, level with a corner", diamond, Pt(-6, 0), 0},
		{"below a diamond's corner", diamond, Pt(-1, -5), 0},
		{"on the chord of two half circles", halves, Pt(2, 0), 1},
		{"on the upright chord of two half circles", upright, Pt(0, 2), 1},
		{"beside two half circles, level with their ends", halves, Pt(-7, 0), 0},
	} {
		if got := NewWindingIndex(c.chain).About(c.q); got != c.want {
			t.Errorf("%s: winding %d, want %d", c.name, got, c.want)
		}
		for i := range c.chain {
			c.chain[i] = c.chain[i].Reverse()
		}
		if got := NewWindingIndex(c.chain).About(c.q); got != -c.want {
			t.Errorf("%s, clockwise: winding %d, want %d", c.name, got, -c.want)
		}
		for i := range c.chain {
			c.chain[i] = c.chain[i].Reverse()
		}
	}
	if got := NewWindingIndex(nil).About(Pt(0, 0)); got != 0 {
		t.Errorf("no chain winds %d times", got)
	}
}
