package model

import (
	"math/rand"
	"strings"
	"testing"
)

func TestNearest(t *testing.T) {
	names := []string{"width", "length", "depth", "Café"}
	for _, c := range []struct{ name, want string }{
		{"widht", "width"}, {"lenght", "length"}, {"WIDTH", "width"}, {"dept", "depth"},
		{"wdth", "width"}, {"cafe", "Café"}, {"height", ""}, {"", ""}, {"x", ""},
		{"caliper", ""}, {"deepth", "depth"},
	} {
		if got, ok := Nearest(c.name, names); got != c.want || ok != (c.want != "") {
			t.Errorf("Nearest(%q) = %q, %v; want %q", c.name, got, ok, c.want)
		}
	}
	if got, _ := Nearest("cab", []string{"cap", "cob"}); got != "cap" {
		t.Errorf("of two equally near names the first wins, not %q", got)
	}
	if _, ok := Nearest(strings.Repeat("a", 10_000), []string{strings.Repeat("a", 10_000)}); ok {
		t.Error("a name of 10,000 letters is worth no search")
	}
}

// Laws: the distance is symmetric, zero only for equal words, and at most the
// number of edits made.
func TestEditDistance(t *testing.T) {
	rng := rand.New(rand.NewSource(5))
	for range 2000 {
		a := make([]rune, rng.Intn(8))
		for i := range a {
			a[i] = rune('a' + rng.Intn(3))
		}
		b, edits := append([]rune(nil), a...), rng.Intn(4)
		for range edits {
			i := rng.Intn(len(b) + 1)
			if len(b) > 0 && rng.Intn(2) == 0 {
				i = rng.Intn(len(b))
				b = append(b[:i], b[i+1:]...)
			} else {
				b = append(b[:i], append([]rune{'x'}, b[i:]...)...)
			}
		}
		d := editDistance(a, b)
		if d > edits || d != editDistance(b, a) || (d == 0) != (string(a) == string(b)) {
			t.Fatalf("%q to %q after %d edits: %d, back %d", string(a), string(b), edits, d, editDistance(b, a))
		}
	}
	// Values by definition: a swap of neighbours counts once.
	if d := editDistance([]rune("ab"), []rune("ba")); d != 1 {
		t.Errorf("swap counts %d", d)
	}
	if d := editDistance([]rune("kitten"), []rune("sitting")); d != 3 {
		t.Errorf("kitten to sitting is %d, want 3", d)
	}
}
