package emit

import (
	"math"
	"math/rand"
	"regexp"
	"strconv"
	"testing"
)

// Coordinates are rounded to 1e-7 first, then half away from zero to four
// decimals, never −0.
func TestGridRounding(t *testing.T) {
	for _, c := range []struct {
		mm   float64
		want string
	}{
		{0, "0.0000"}, {math.Copysign(0, -1), "0.0000"}, {-0.00004, "0.0000"}, {-0.00006, "-0.0001"},
		{0.00005, "0.0001"}, {-0.00005, "-0.0001"}, {0.00015, "0.0002"}, {-0.00015, "-0.0002"},
		{0.0000499, "0.0000"},
		{0.00004999996, "0.0001"}, // reaches the half at 1e-7
		{-0.00004999996, "-0.0001"},
		{76.2, "76.2000"}, {3 * 25.4, "76.2000"}, {-1234.56785, "-1234.5679"}, {99999.99999, "100000.0000"},
	} {
		if got := string(toGrid(c.mm).append(nil)); got != c.want {
			t.Errorf("%v is written %s, want %s", c.mm, got, c.want)
		}
	}
}

// Law: what is written has the agreed form, reads back within half a step, and
// negating the number negates the text.
func TestGridTextLaws(t *testing.T) {
	form := regexp.MustCompile(`^(0|[1-9][0-9]*)\.[0-9]{4}$`)
	rnd := rand.New(rand.NewSource(3))
	for range 20000 {
		mm := math.Abs(rnd.NormFloat64()) * math.Pow10(rnd.Intn(10)-5)
		text := string(toGrid(mm).append(nil))
		back, err := strconv.ParseFloat(text, 64)
		if err != nil || !form.MatchString(text) || math.Abs(back-mm) > 0.500501e-4 {
			t.Fatalf("%v is written %s (%v)", mm, text, err)
		}
		if neg := string(toGrid(-mm).append(nil)); neg != "-"+text && (back != 0 || neg != text) {
			t.Fatalf("%v is written %s, its negative %s", mm, text, neg)
		}
	}
}

func TestHandlesAreHexadecimal(t *testing.T) {
	rnd := rand.New(rand.NewSource(4))
	for _, h := range []handle{0, 1, 15, 16, 255, 256, handle(rnd.Intn(1 << 30))} {
		back, err := strconv.ParseInt(h.String(), 16, 64)
		if err != nil || handle(back) != h {
			t.Errorf("handle %d is written %s", h, h)
		}
	}
}
