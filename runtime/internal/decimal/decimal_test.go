package decimal

import (
	"math"
	"math/rand"
	"strconv"
	"testing"
)

func TestNumbersAsText(t *testing.T) {
	for _, c := range []struct {
		v      float64
		places int
		fixed  string
		short  string
	}{
		{0, 4, "0.0000", "0"},
		{math.Copysign(0, -1), 4, "0.0000", "0"},
		{-4e-5, 4, "0.0000", "0"},
		{-6e-5, 4, "-0.0001", "-0.0001"},
		{0.5, 1, "0.5", "0.5"},
		{25.4, 9, "25.400000000", "25.4"},
		{0.1 + 0.2, 9, "0.300000000", "0.3"},
		{1e-12, 9, "0.000000000", "0"},
		{123456789.25, 1, "123456789.3", "123456789.3"},
		{-123456789.25, 1, "-123456789.3", "-123456789.3"},
		{1e21, 4, "1000000000000000000000.0000", "1000000000000000000000"},
		{math.Sqrt2 - 1, 9, "0.414213562", "0.414213562"},
	} {
		if got := string(AppendFixed(nil, c.v, c.places)); got != c.fixed {
			t.Errorf("AppendFixed(%v, %d) = %s, want %s", c.v, c.places, got, c.fixed)
		}
		if got := string(AppendShort(nil, c.v, c.places)); got != c.short {
			t.Errorf("AppendShort(%v, %d) = %s, want %s", c.v, c.places, got, c.short)
		}
	}
}

// Law: both texts read back to the rounded value, which lies within half a
// unit of the last place, and rounding twice changes nothing.
func TestTextReadsBack(t *testing.T) {
	rnd := rand.New(rand.NewSource(1))
	for range 20000 {
		places := 1 + rnd.Intn(13)
		v := (rnd.Float64() - 0.5) * math.Pow10(rnd.Intn(16-places))
		r := Round(v, places)
		if Round(r, places) != r {
			t.Fatalf("Round(%v, %d) = %v does not stay", v, places, r)
		}
		if math.Abs(r-v) > 0.5000001*math.Pow10(-places)+1e-15*math.Abs(v) {
			t.Fatalf("Round(%v, %d) = %v", v, places, r)
		}
		for _, text := range [][]byte{AppendFixed(nil, v, places), AppendShort(nil, v, places)} {
			back, err := strconv.ParseFloat(string(text), 64)
			if err != nil || back != r {
				t.Fatalf("%v to %d places is written %s, which reads %v (%v)", v, places, text, back, err)
			}
		}
	}
}

// Law: the short text is the shortest that reads back to the rounded value, as
// strconv writes it, up to the largest sizes that are rounded at all.
func TestShortIsShortest(t *testing.T) {
	rnd := rand.New(rand.NewSource(2))
	check := func(v float64, places int) {
		t.Helper()
		want := strconv.FormatFloat(Round(v, places), 'f', -1, 64)
		if got := string(AppendShort(nil, v, places)); got != want {
			t.Fatalf("AppendShort(%v, %d) = %s, want %s", v, places, got, want)
		}
	}
	for range 100000 {
		places := rnd.Intn(14)
		check((rnd.Float64()-0.5)*math.Pow10(rnd.Intn(20-places)), places)
		check(math.Round(rnd.NormFloat64()*1e4)/1e3, places)
	}
	for _, v := range []float64{math.NaN(), math.Inf(1), math.Inf(-1), 1e300, -1e-300} {
		check(v, 3)
	}
}

func BenchmarkAppendShort(b *testing.B) {
	var out []byte
	for b.Loop() {
		out = AppendShort(out[:0], 123.456789, 3)
	}
}

// Law: what has no digits left to round comes back as it is: all float64 numbers
// from 2^51 units of the last place up.
func TestRoundLeavesLargeOnes(t *testing.T) {
	rnd := rand.New(rand.NewSource(3))
	for range 20000 {
		places := rnd.Intn(14)
		v := math.Ldexp(1+rnd.Float64(), 51+rnd.Intn(12)) / math.Pow10(places)
		if rnd.Intn(2) == 0 {
			v = -v
		}
		if got := Round(v, places); math.Abs(v)*math.Pow10(places) >= 1<<51 && got != v {
			t.Fatalf("Round(%v, %d) = %v", v, places, got)
		}
	}
}
