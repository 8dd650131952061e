package geom

import (
	"math"
	"math/big"
	"math/rand"
	"testing"
)

// orientRat is the sign by rational numbers.
func orientRat(a, b, c Point) int {
	r := func(v float64) *big.Rat { return new(big.Rat).SetFloat64(v) }
	sub := func(p, q float64) *big.Rat { return new(big.Rat).Sub(r(p), r(q)) }
	left := new(big.Rat).Mul(sub(a.X, c.X), sub(b.Y, c.Y))
	return left.Cmp(new(big.Rat).Mul(sub(a.Y, c.Y), sub(b.X, c.X)))
}

// nudge moves a number by a few units in its last place.
func nudge(r *rand.Rand, v float64) float64 {
	for range r.Intn(4) {
		v = math.Nextafter(v, math.Inf(r.Intn(2)*2-1))
	}
	return v
}

// nearlyInLine is three points that lie on one line but for the last bits, of
// like or very different sizes; every fourth time they are anywhere.
func nearlyInLine(r *rand.Rand) (a, b, c Point) {
	size := func() float64 { return r.NormFloat64() * math.Exp2(float64(r.Intn(40)-20)) }
	a, b = Pt(size(), size()), Pt(size(), size())
	if r.Intn(4) == 0 {
		return a, b, Pt(size(), size())
	}
	c = a.Lerp(b, 3*r.Float64()-1)
	return a, b, Pt(nudge(r, c.X), nudge(r, c.Y))
}

// Orient has the sign that rational numbers give, also where float64 has not;
// swapping two points flips it and shifting the three round keeps it.
func TestOrient(t *testing.T) {
	r := rand.New(rand.NewSource(1))
	wrong, zero := 0, 0
	for range 20000 {
		a, b, c := nearlyInLine(r)
		want := orientRat(a, b, c)
		got := Orient(a, b, c)
		if got != want {
			t.Fatalf("Orient(%v, %v, %v) = %d, want %d", a, b, c, got, want)
		}
		if Orient(b, a, c) != -got || Orient(a, c, b) != -got || Orient(c, b, a) != -got {
			t.Fatalf("swapping two of %v, %v, %v does not flip the sign", a, b, c)
		}
		if Orient(b, c, a) != got || Orient(c, a, b) != got {
			t.Fatalf("shifting %v, %v, %v round changes the sign", a, b, c)
		}
		if v := a.Sub(c).Cross(b.Sub(c)); v > 0 != (want > 0) || v < 0 != (want < 0) {
			wrong++
		}
		if want == 0 {
			zero++
		}
	}
	if wrong < 100 {
		t.Errorf("float64 alone fails on %d of the triples: they are too easy", wrong)
	}
	t.Logf("float64 alone fails on %d triples; %d lie on one line", wrong, zero)
}

// Points that do lie on one line are told so, wherever they lie.
func TestOrientOnOneLine(t *testing.T) {
	r := rand.New(rand.NewSource(2))
	for range 2000 {
		whole := func() float64 { return float64(r.Intn(1<<20) - 1<<19) }
		a, d := Pt(whole(), whole()), Pt(whole(), whole())
		b, c := a.Add(d.Mul(float64(r.Intn(9)-4))), a.Add(d.Mul(float64(r.Intn(9)-4)))
		if s := Orient(a.Mul(0.125), b.Mul(0.125), c.Mul(0.125)); s != 0 {
			t.Errorf("%v, %v and %v in eighths turn by %d", a, b, c, s)
		}
	}
}

// The filter's bound holds: float64's determinant is never off by more than it.
func TestOrientBound(t *testing.T) {
	r := rand.New(rand.NewSource(3))
	worst := 0.0
	for range 20000 {
		a, b, c := nearlyInLine(r)
		left, right := (a.X-c.X)*(b.Y-c.Y), (a.Y-c.Y)*(b.X-c.X)
		exact := new(big.Float).SetPrec(400)
		term := func(x, y float64, sign int64) {
			p := new(big.Float).SetPrec(400).Mul(big.NewFloat(x), big.NewFloat(y))
			exact.Add(exact, p.Mul(p, new(big.Float).SetInt64(sign)))
		}
		term(a.X, b.Y, 1)
		term(a.Y, b.X, -1)
		term(b.X, c.Y, 1)
		term(b.Y, c.X, -1)
		term(c.X, a.Y, 1)
		term(c.Y, a.X, -1)
		off, _ := exact.Sub(exact, big.NewFloat(float64(left)-float64(right))).Float64()
		if sum := math.Abs(left) + math.Abs(right); sum > 0 {
			worst = math.Max(worst, math.Abs(off)/sum)
		}
	}
	if limit := 3.0000001 / (1 << 53); worst > limit || worst < limit/4 {
		t.Errorf("the determinant is off by up to %v of its terms, and the bound is %v", worst, limit)
	}
}

func BenchmarkOrient(b *testing.B) {
	b.Run("clear", func(b *testing.B) {
		for b.Loop() {
			Orient(Pt(0, 0), Pt(10, 1), Pt(5, 7))
		}
	})
	b.Run("on the line", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			Orient(Pt(0.1, 0.1), Pt(10.1, 10.1), Pt(5.1, 5.1))
		}
	})
}
