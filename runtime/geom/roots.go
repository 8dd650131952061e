package geom

import "math"

// bernstein is a polynomial on [0, 1] by its Bernstein coefficients, of degree
// n ≤ 6. In this form a polynomial crosses zero at most as often as its
// coefficients change sign, which is what makes the root search safe.
type bernstein struct {
	n int
	c [7]float64
}

// rootSplit is the share of an interval at which the root search cuts it. It is
// off the middle, since curves that are symmetric have roots exactly there, and a
// root on a cut is on the border of both parts and may be found twice or not at all.
const rootSplit = 0.4871

// rootWidth is the parameter width at which roots that have not come apart
// count as one: a double root is only known to the square root of the float64
// precision.
const rootWidth = 1e-9

// at evaluates by de Casteljau's scheme, whose steps are averages for t in [0, 1]
// and so lose no digits; slope is the derivative, n times the difference of the
// last two averages.
func (p bernstein) at(t float64) (value, slope float64) {
	c := p.c
	for k := p.n; k > 1; k-- {
		for i := range k {
			c[i] += float64((c[i+1] - c[i]) * t)
		}
	}
	if p.n == 0 {
		return c[0], 0
	}
	return c[0] + float64((c[1]-c[0])*t), float64(p.n) * (c[1] - c[0])
}

// split cuts at t and gives both parts as polynomials on [0, 1]: their
// coefficients are the first and the last averages of de Casteljau's scheme.
func (p bernstein) split(t float64) (left, right bernstein) {
	left.n, right = p.n, p
	for k := 0; k <= p.n; k++ {
		left.c[k] = right.c[0]
		for i := range p.n - k {
			right.c[i] += float64((right.c[i+1] - right.c[i]) * t)
		}
	}
	return left, right
}

// derivative is the polynomial's derivative, one degree lower: n times the
// differences of neighbouring coefficients.
func (p bernstein) derivative() bernstein {
	d := bernstein{n: p.n - 1}
	for i := range p.n {
		d.c[i] = float64(p.n) * (p.c[i+1] - p.c[i])
	}
	return d
}

// signChanges counts the changes of sign along the coefficients, zeros passed
// over; first is the sign they begin with.
func (p bernstein) signChanges() (changes int, first float64) {
	last := 0.0
	for _, v := range p.c[:p.n+1] {
		if v == 0 {
			continue
		}
		s := math.Copysign(1, v)
		if first == 0 {
			first = s
		} else if s != last {
			changes++
		}
		last = s
	}
	return changes, first
}

// roots appends the zeros inside (0, 1) to ts, ascending; for the zero polynomial
// none. A multiple zero may appear a few times close by.
func (p bernstein) roots(ts []float64) []float64 {
	// Splitting costs a few bits of the largest coefficient.
	return p.search(0, 1, p.largest()*1e-15, ts)
}

// search is roots for a polynomial that stands for the interval from lo to hi of
// the one asked about, by the signs of the coefficients: none for no change of
// sign, one for one change, and for more the interval is cut. noise is the
// size of coefficients below which their signs are rounding.
func (p bernstein) search(lo, hi, noise float64, ts []float64) []float64 {
	changes, first := p.signChanges()
	switch {
	case changes == 0:
		return ts
	case changes == 1:
		return append(ts, lo+float64((hi-lo)*p.bracketed(first)))
	case hi-lo < rootWidth || p.largest() <= noise:
		return append(ts, (lo+hi)/2)
	}
	left, right := p.split(rootSplit)
	mid := lo + float64((hi-lo)*rootSplit)
	return right.search(mid, hi, noise, left.search(lo, mid, noise, ts))
}

// largest is the largest coefficient's size, a bound on the polynomial's.
func (p bernstein) largest() float64 {
	m := 0.0
	for _, v := range p.c[:p.n+1] {
		m = math.Max(m, math.Abs(v))
	}
	return m
}

// bracketed finds the one zero of a polynomial that begins with the given
// sign, by Newton's method kept inside a shrinking bracket.
func (p bernstein) bracketed(first float64) float64 {
	lo, hi, t := 0.0, 1.0, 0.5
	for range 80 {
		v, slope := p.at(t)
		if v == 0 {
			return t
		}
		if v*first > 0 {
			lo = t
		} else {
			hi = t
		}
		next := t - v/slope
		if !(next > lo && next < hi) {
			next = (lo + hi) / 2
		}
		if math.Abs(next-t) <= 1e-16 {
			return next
		}
		t = next
	}
	return t
}

// times is the product p·q, of degree p.n + q.n ≤ 6. The coefficient k is the sum
// of C(n,i)·C(m,j)/C(n+m,k) · pᵢqⱼ over i + j = k.
func (p bernstein) times(q bernstein) bernstein {
	out := bernstein{n: p.n + q.n}
	for i := range p.n + 1 {
		for j := range q.n + 1 {
			w := binomial[p.n][i] * binomial[q.n][j] / binomial[out.n][i+j]
			out.c[i+j] += float64(w * p.c[i] * q.c[j])
		}
	}
	return out
}

// plus is the sum of two polynomials of the same degree.
func (p bernstein) plus(q bernstein) bernstein {
	for i := range p.n + 1 {
		p.c[i] += q.c[i]
	}
	return p
}

// less subtracts a constant.
func (p bernstein) less(k float64) bernstein {
	for i := range p.n + 1 {
		p.c[i] -= k
	}
	return p
}

// binomial[n][i] is C(n, i).
var binomial = [...][7]float64{
	{1}, {1, 1}, {1, 2, 1}, {1, 3, 3, 1}, {1, 4, 6, 4, 1}, {1, 5, 10, 10, 5, 1}, {1, 6, 15, 20, 15, 6, 1},
}

// coordinates are a cubic's x and y as polynomials, measured from origin.
func (c Curve) coordinates(origin Point) (x, y bernstein) {
	x.n, y.n = 3, 3
	for i, p := range [...]Point{c.P, c.C, c.D, c.Q} {
		x.c[i], y.c[i] = p.X-origin.X, p.Y-origin.Y
	}
	return x, y
}

// bisections is how often Bisect halves: enough for an interval of any size in
// use to shrink to neighbouring float64 numbers.
const bisections = 60

// Bisect shrinks an interval at whose start holds is true and at whose end it
// is not, until float64 numbers run out: yes is the last place found where it
// holds and no, at most the width of the interval over 2^60 away, one where it
// does not. Where holds changes more than once between the two, one of the
// changes is found. lo may lie above hi; neither is asked itself.
func Bisect(lo, hi float64, holds func(t float64) bool) (yes, no float64) {
	for range bisections {
		mid := (lo + hi) / 2
		if mid == lo || mid == hi {
			break
		}
		if holds(mid) {
			lo = mid
		} else {
			hi = mid
		}
	}
	return lo, hi
}
