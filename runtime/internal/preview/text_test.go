package preview

import (
	"math"
	"math/rand"
	"strings"
	"testing"
)

// Advance widths of a metric-compatible pair of faces, in thousandths of the em
// (value from memory, from the public font metrics of Helvetica): the bound
// must not lie below them.
func TestWidthIsABound(t *testing.T) {
	helvetica := map[rune]int{' ': 278, 'a': 556, 'i': 222, 'm': 833, 'W': 944, '0': 556, 'M': 833, '%': 889, '@': 1015, '°': 400, '×': 584}
	for r, w := range helvetica {
		if got := (font{size: 1000}).width(string(r)); got < float64(w) {
			t.Errorf("%q is measured %g, less than %d", r, got, w)
		}
	}
}

// Law: width adds up, grows with size, and bold is no narrower.
func TestWidthLaws(t *testing.T) {
	r := rand.New(rand.NewSource(3))
	for range 300 {
		a, b := randomText(r), randomText(r)
		f := font{size: 1 + r.Float64()*5}
		if sum := f.width(a) + f.width(b); math.Abs(f.width(a+b)-sum) > 1e-9 {
			t.Fatalf("%q + %q: %g, want %g", a, b, f.width(a+b), sum)
		}
		if (font{f.size, true}).width(a) < f.width(a)*0.98 || (font{size: 2 * f.size}).width(a) != 2*f.width(a) {
			t.Fatalf("%q does not scale", a)
		}
	}
}

// randomText has letters of several scripts, spaces and combining marks.
func randomText(r *rand.Rand) string {
	alphabet := []rune("abc WMil. ,-()ÅßЖשלום漢字\u0301\u200d°")
	n := 1 + r.Intn(40)
	out := make([]rune, n)
	for i := range out {
		out[i] = alphabet[r.Intn(len(alphabet))]
	}
	return string(out)
}

// Law: wrapped lines fit, unless one character alone is wider, and lose nothing
// but spaces.
func TestWrapLaws(t *testing.T) {
	r := rand.New(rand.NewSource(4))
	f := font{size: 2}
	for range 500 {
		s, width := randomText(r), 3+r.Float64()*20
		lines := f.wrap(s, width)
		for _, l := range lines {
			if f.width(l) > width {
				t.Fatalf("%q at %g: line %q is %g wide", s, width, l, f.width(l))
			}
		}
		squeeze := func(s string) string { return strings.Join(strings.Fields(s), "") }
		if squeeze(strings.Join(lines, "")) != squeeze(s) {
			t.Fatalf("%q became %q", s, lines)
		}
	}
	if got := f.wrap("one\ttwo  three", 1000); len(got) != 1 || got[0] != "one two three" {
		t.Errorf("%q", got)
	}
	if got := (font{size: 100}).wrap("WW", 1); len(got) != 2 {
		t.Errorf("characters wider than the line: %q", got)
	}
}

// Law: shortened text fits and says that something went.
func TestShortenLaws(t *testing.T) {
	r := rand.New(rand.NewSource(5))
	f := font{size: 2.5}
	for range 500 {
		s, width := randomText(r), 4+r.Float64()*30
		got := f.shorten(s, width)
		if f.width(got) > width {
			t.Fatalf("%q at %g became %q, %g wide", s, width, got, f.width(got))
		}
		if got != s && !strings.HasSuffix(got, "…") {
			t.Fatalf("%q became %q", s, got)
		}
	}
}

func TestClip(t *testing.T) {
	f := font{size: 2}
	lines := []string{"one", "two", "three"}
	if got := f.clip(lines, 3, 20); len(got) != 3 || got[2] != "three" {
		t.Errorf("%q", got)
	}
	got := f.clip(lines, 2, 20)
	if len(got) != 2 || !strings.HasPrefix(got[1], "two") || !strings.HasSuffix(got[1], "…") {
		t.Errorf("%q", got)
	}
	if lines[1] != "two" {
		t.Error("clip changed its argument")
	}
}

// A name breaks into lines between its words only.
func TestSettingsOf(t *testing.T) {
	if got := settingsOf("unbreakable"); len(got) != 1 {
		t.Errorf("%q", got)
	}
	got := settingsOf("left side dust flap")
	if len(got) != 3 || strings.Count(got[1], "\n") != 1 || strings.Count(got[2], "\n") != 2 {
		t.Fatalf("%q", got)
	}
	for _, s := range got {
		if strings.ReplaceAll(s, "\n", " ") != "left side dust flap" {
			t.Errorf("%q", s)
		}
	}
}
