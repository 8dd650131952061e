package geom

import (
	"math"
	"math/rand"
	"slices"
	"testing"
)

// withRoots is the product of (t − r) over the roots, scaled.
func withRoots(scale float64, roots ...float64) bernstein {
	p := bernstein{n: 0, c: [7]float64{scale}}
	for _, r := range roots {
		p = p.times(bernstein{n: 1, c: [7]float64{-r, 1 - r}})
	}
	return p
}

// A polynomial made from its roots has just those inside (0, 1).
func TestRoots(t *testing.T) {
	r := rand.New(rand.NewSource(1))
	for n := range 2000 {
		var all, want []float64
		for range 1 + r.Intn(6) {
			x := 3*r.Float64() - 1
			if slices.ContainsFunc(all, func(y float64) bool { return near(x, y, 0.02) }) {
				continue
			}
			all = append(all, x)
			if x > 0 && x < 1 {
				want = append(want, x)
			}
		}
		slices.Sort(want)
		got := withRoots(math.Pow(10, 6*r.Float64()-3), all...).roots(nil)
		if len(got) != len(want) {
			t.Fatalf("case %d: roots %v, want %v", n, got, want)
		}
		for i := range want {
			if !near(got[i], want[i], 1e-9) {
				t.Errorf("case %d: roots %v, want %v", n, got, want)
			}
		}
	}
}

// Multiple roots are found, at least once and nowhere else, as well as float64
// can tell them.
func TestMultipleRoots(t *testing.T) {
	for _, c := range []struct {
		roots []float64
		tol   float64
	}{
		{[]float64{0.5, 0.5}, 1e-7}, {[]float64{0.3, 0.3, 0.8}, 1e-7},
		{[]float64{0.4, 0.4, 0.4}, 1e-4}, {[]float64{0.5, 0.5, 0.5, 0.5, 0.5, 0.5}, 5e-2},
	} {
		got := withRoots(1, c.roots...).roots(nil)
		if len(got) == 0 {
			t.Errorf("%v: none found", c.roots)
		}
		for _, x := range got {
			if !slices.ContainsFunc(c.roots, func(y float64) bool { return near(x, y, c.tol) }) {
				t.Errorf("%v: found %v", c.roots, got)
			}
		}
	}
}

func TestNoRoots(t *testing.T) {
	if got := (bernstein{n: 3}).roots(nil); len(got) != 0 {
		t.Errorf("the zero polynomial has roots %v", got)
	}
	if got := withRoots(1, -0.5, 1.5).roots(nil); len(got) != 0 {
		t.Errorf("roots outside found at %v", got)
	}
}

// Splitting, multiplying and deriving agree with evaluation.
func TestBernsteinAlgebra(t *testing.T) {
	r := rand.New(rand.NewSource(2))
	random := func(n int) bernstein {
		p := bernstein{n: n}
		for i := range n + 1 {
			p.c[i] = r.NormFloat64()
		}
		return p
	}
	for range 500 {
		p, q, s, x := random(3), random(1+r.Intn(3)), r.Float64(), r.Float64()
		pv, slope := p.at(x)
		qv, _ := q.at(x)
		if v, _ := p.times(q).at(x); !near(v, pv*qv, 1e-13) {
			t.Errorf("product %g, want %g", v, pv*qv)
		}
		if v, _ := p.derivative().at(x); !near(v, slope, 1e-13) {
			t.Errorf("derivative %g, slope %g", v, slope)
		}
		if v, _ := p.plus(p).less(2).at(x); !near(v, 2*pv-2, 1e-13) {
			t.Errorf("sum %g, want %g", v, 2*pv-2)
		}
		left, right := p.split(s)
		lv, _ := left.at(x)
		rv, _ := right.at(x)
		wl, _ := p.at(s * x)
		wr, _ := p.at(s + (1-s)*x)
		if !near(lv, wl, 1e-13) || !near(rv, wr, 1e-13) {
			t.Errorf("halves %g, %g, want %g, %g", lv, rv, wl, wr)
		}
	}
}

// Law: with one change between lo and hi, whichever lies higher, both results
// are next to it, one on either side.
func TestBisect(t *testing.T) {
	r := rand.New(rand.NewSource(1))
	for range 500 {
		lo, hi := r.NormFloat64(), r.NormFloat64()
		at := lo + (hi-lo)*r.Float64()
		holds := func(v float64) bool { return v < at == (lo < hi) }
		yes, no := Bisect(lo, hi, holds)
		if !holds(yes) && yes != lo || holds(no) && no != hi || math.Abs(yes-no) > 4e-16*(math.Abs(lo)+math.Abs(hi)) {
			t.Errorf("between %v and %v, %v is found as %v and %v", lo, hi, at, yes, no)
		}
	}
}
