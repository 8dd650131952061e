package unit

import (
	"math"
	"math/rand"
	"strconv"
	"strings"
	"testing"
)

// The inch is 25.4 mm by the international yard and pound agreement of 1959;
// 1 thou = 0.0254 mm follows. A4 is 210 × 297 mm by ISO 216.
func TestParse(t *testing.T) {
	for _, c := range []struct {
		text string
		want float64
	}{
		{"12.5", 12.5}, {"12.5mm", 12.5}, {" 12.5 mm ", 12.5}, {"21cm", 210}, {"29.7 cm", 297},
		{"1in", 25.4}, {"3in", 76.2}, {"4in", 101.6}, {"-0.5in", -12.7},
		{"1thou", 0.0254}, {"40thou", 1.016}, {"14 thou", 0.3556}, {"1000thou", 25.4},
		{"1e2", 100}, {"+7", 7}, {".5in", 12.7}, {"0", 0},
	} {
		got, err := Parse(c.text)
		if err != nil || got != c.want {
			t.Errorf("Parse(%q) = %v, %v; want %v", c.text, got, err, c.want)
		}
	}
}

func TestParseRefuses(t *testing.T) {
	for _, text := range []string{
		"", "mm", "in", "three", "3 inches", "3ft", "3\"", "3,5", "3 4", "1_000", "0x10", "0x1p4mm",
		"NaN", "nan mm", "Inf", "-infin", "inf", "1e999", "1e308in", "3mmm", "3 mm cm", "−3",
	} {
		if got, err := Parse(text); err == nil {
			t.Errorf("Parse(%q) = %v, want an error", text, got)
		} else if !strings.Contains(err.Error(), strconv.Quote(text)) {
			t.Errorf("the error for %q does not quote it: %v", text, err)
		}
	}
}

// A number written with a unit is that number times the unit, whatever the
// space around it.
func TestParseScales(t *testing.T) {
	r := rand.New(rand.NewSource(1))
	for range 1000 {
		v := (r.Float64() - 0.5) * math.Pow(10, float64(r.Intn(9)))
		text := strconv.FormatFloat(v, 'f', -1, 64)
		for _, u := range units {
			for _, gap := range []string{"", " ", "\t "} {
				if got, err := Parse(text + gap + u.suffix); err != nil || got != u.MM(v) {
					t.Fatalf("Parse(%q) = %v, %v; want %v", text+gap+u.suffix, got, err, u.MM(v))
				}
			}
		}
	}
}
