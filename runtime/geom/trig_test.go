package geom

import (
	"encoding/binary"
	"hash/fnv"
	"math"
	"math/big"
	"math/rand"
	"testing"
)

// ulps is how far v is from want, in units of want's last place.
func ulps(v, want float64) float64 {
	if v == want {
		return 0
	}
	return math.Abs(v-want) / (math.Nextafter(math.Abs(want), math.Inf(1)) - math.Abs(want))
}

// The standard library's functions are another implementation with about one
// unit's error of its own.
func TestTrigAgreesWithTheLibrary(t *testing.T) {
	r := rand.New(rand.NewSource(1))
	worst := map[string]float64{}
	note := func(name string, at, got, want float64) {
		if d := ulps(got, want); d > worst[name] {
			if worst[name] = d; d > 3 {
				t.Errorf("%s(%v) = %v, the library's is %v", name, at, got, want)
			}
		}
	}
	for i := range 200000 {
		a := r.NormFloat64() * math.Exp(20*r.Float64()-15)
		s, c := sinCos(a)
		note("sin", a, s, math.Sin(a))
		note("cos", a, c, math.Cos(a))
		x, y := r.NormFloat64()*math.Exp(8*r.Float64()-4), r.NormFloat64()
		note("atan2", y/x, atan2(y, x), math.Atan2(y, x))
		if v := 2*r.Float64() - 1; i%2 == 0 {
			note("asin", v, Asin(v).Radians(), math.Atan2(v, math.Sqrt((1-v)*(1+v))))
			note("acos", v, Acos(v).Radians(), math.Atan2(math.Sqrt((1-v)*(1+v)), v))
		}
		note("tan", a, Radians(a).Tan(), math.Sin(a)/math.Cos(a))
	}
	t.Log(worst)
}

// Where zeros and infinities decide, all is as IEEE 754 has it for atan2.
func TestAtan2AtTheAxes(t *testing.T) {
	inf, zero := math.Inf(1), math.Copysign(0, -1)
	for _, y := range []float64{0, zero, 1, -1, 5e-324, inf, -inf, math.NaN()} {
		for _, x := range []float64{0, zero, 1, -1, 5e-324, inf, -inf, math.NaN()} {
			got, want := atan2(y, x), math.Atan2(y, x)
			if math.Float64bits(got) != math.Float64bits(want) && !(math.IsNaN(got) && math.IsNaN(want)) {
				t.Errorf("atan2(%v, %v) = %v, want %v", y, x, got, want)
			}
		}
	}
	for _, v := range []float64{1.0000001, -2, math.NaN(), inf} {
		if !math.IsNaN(Asin(v).Radians()) || !math.IsNaN(Acos(v).Radians()) {
			t.Errorf("an angle has the sine or cosine %v", v)
		}
	}
	if s, c := sinCos(inf); !math.IsNaN(s) || !math.IsNaN(c) {
		t.Errorf("infinity has the sine %v and the cosine %v", s, c)
	}
}

// The parts of π/2 sum to it beyond float64 (digits from OEIS A019669), and the
// first two leave 20 bits free.
func TestPartsOfHalfPi(t *testing.T) {
	want, _, _ := big.ParseFloat("1.57079632679489661923132169163975144209858469968755", 10, 200, big.ToNearestEven)
	sum := new(big.Float).SetPrec(200)
	for _, part := range []float64{halfPi1, halfPi2, halfPi3} {
		sum.Add(sum, big.NewFloat(part))
	}
	if d, _ := sum.Sub(sum, want).Float64(); math.Abs(d) > 1e-36 {
		t.Errorf("the parts of π/2 are off by %v", d)
	}
	for _, part := range []float64{halfPi1, halfPi2} {
		if math.Float64bits(part)&(1<<20-1) != 0 {
			t.Errorf("%v has more than 33 bits", part)
		}
	}
}

// The same bits on every processor: the digest of 10,000 results was taken on
// one without fused multiply-add.
func TestTrigBits(t *testing.T) {
	h := fnv.New64a()
	r := rand.New(rand.NewSource(5))
	for range 10000 {
		a := float64(r.Float64()*20) - 10
		s, c := sinCos(a)
		for _, v := range []float64{s, c, atan2(a, 3), atan2(2, a)} {
			h.Write(binary.LittleEndian.AppendUint64(nil, math.Float64bits(v)))
		}
	}
	const want = 0x91a1aef792c039d9
	if got := h.Sum64(); got != want {
		t.Errorf("the results' digest is %#x, want %#x", got, uint64(want))
	}
}
