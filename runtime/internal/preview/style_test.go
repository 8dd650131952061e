package preview

import (
	"fmt"
	"math"
	"strconv"
	"testing"

	"github.com/creasewright/creasewright/runtime/blank"
)

// channels are the parts of red, green and blue of "#rrggbb", 0 to 1.
func channels(t *testing.T, colour string) [3]float64 {
	t.Helper()
	v, err := strconv.ParseUint(colour[1:], 16, 32)
	if err != nil || len(colour) != 7 {
		t.Fatalf("%q is no colour", colour)
	}
	return [3]float64{float64(v>>16) / 255, float64(v>>8&255) / 255, float64(v&255) / 255}
}

// luminance is the relative luminance of WCAG 2.1.
func luminance(t *testing.T, colour string) float64 {
	sum := 0.0
	for i, weight := range []float64{0.2126, 0.7152, 0.0722} {
		c := channels(t, colour)[i]
		if c <= 0.04045 {
			c /= 12.92
		} else {
			c = math.Pow((c+0.055)/1.055, 2.4)
		}
		sum += weight * c
	}
	return sum
}

// contrast is the contrast ratio of WCAG 2.1.
func contrast(t *testing.T, a, b string) float64 {
	l, m := luminance(t, a), luminance(t, b)
	return (max(l, m) + 0.05) / (min(l, m) + 0.05)
}

// The extremes that WCAG 2.1 names, and a grey that is known to just pass 4.5 on
// white (common practice, no source).
func TestContrast(t *testing.T) {
	for _, c := range []struct {
		a, b string
		want float64
	}{{black, paperColour, 21}, {paperColour, paperColour, 1}, {"#767676", paperColour, 4.54}} {
		if got := contrast(t, c.a, c.b); math.Abs(got-c.want) > 0.005 {
			t.Errorf("%s on %s: %.3f", c.a, c.b, got)
		}
	}
}

// Law: every line stands out from the board, and so do the lines of glued board
// and of the lists from what is below them.
func TestLinesStandOutFromTheBoard(t *testing.T) {
	check := func(what, colour, ground string) {
		if got := contrast(t, colour, ground); got < leastContrast {
			t.Errorf("%s: %s on %s has a contrast of %.2f", what, colour, ground, got)
		}
	}
	for _, l := range looks {
		check(string(l.kind), l.pen.colour, boardColour)
		check(string(l.kind)+", glued", l.pen.colour, glueTint)
	}
	for what, colour := range map[string]string{"dimensions": greyColour, "text": inkColour, "findings": vermilion} {
		check(what, colour, boardColour)
	}
	for kind, p := range foldedPens {
		check(fmt.Sprint("folded, ", kind), p.colour, boardColour)
	}
	for light := range 11 {
		check("a product's edge", productInk, shaded(productColour, darkest+(1-darkest)*float64(light)/10))
	}
	check("hatching", hatchColour, glueTint)
	check("rules", ruleColour, paperColour)
}

// Law: a line is drawn in its kind's own colour, or in one of its hue: parts of
// red, green and blue are less by one factor.
func TestLinesKeepTheirHue(t *testing.T) {
	for _, k := range blank.Kinds() {
		own, drawn := channels(t, k.Facts().Colour), channels(t, lookOf(k).pen.colour)
		factor := 1.0
		if m := max(own[0], own[1], own[2]); m > 0 {
			factor = max(drawn[0], drawn[1], drawn[2]) / m
		}
		for i := range own {
			if math.Abs(drawn[i]-own[i]*factor) > 2.0/255 || factor > 1 {
				t.Errorf("%s: %v is drawn %v", k, own, drawn)
			}
		}
	}
}

// Law: capitals are 2.5 mm high on the page, 1.8 mm in the lists beside the drawing.
// Arial's are 0.716 of the type size.
func TestLetteringIsLegible(t *testing.T) {
	eachDesign(t, func(t *testing.T, _ Input, s *sheetRead) {
		for _, x := range s.texts {
			least := 2.5
			if in(x.class, "text") {
				least = 1.8
			}
			if high := x.size * 0.716; high < least {
				t.Errorf("%q is %.2f mm high", x.text, high)
			}
		}
	})
}
