package contact

import (
	"context"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/creasewright/creasewright/runtime/internal/fold"
)

// fan is a script for a vertex with the given sectors in degrees: triangles
// round it, the last hinged to the first, with folds of 180 by the letters m
// (in) and v (out), and 0 by a dash. The edge called "in" is no attribute: it
// is a word of the language. Crease i precedes sector i.
func fan(sectors []float64, folds, more string) string {
	var b strings.Builder
	turn := map[byte]int{'m': 180, 'v': -180, '-': 0}
	at := 0.0
	for i, s := range sectors {
		x, y := 40*math.Cos(at), 40*math.Sin(at)
		at += s * math.Pi / 180
		fmt.Fprintf(&b, "s%d = panel(\"s%d\", polygon([(0, 0), (%.17g, %.17g), (%.17g, %.17g)], edges = [\"in\", \"rim\", \"out\"])", i, i, x, y, 40*math.Cos(at), 40*math.Sin(at))
		if i > 0 {
			fmt.Fprintf(&b, ", on = s%d.out, by = \"in\", fold = %d", i-1, turn[folds[i]])
		}
		b.WriteString(")\n")
	}
	fmt.Fprintf(&b, "hinge(s%d.out, s0.edge(\"in\"), fold = %d)\n%s\npiece(\"fan\", s0, board = card)\n", len(sectors)-1, turn[folds[0]], more)
	return b.String()
}

// vertices reads the vertices of a fan in its closed pose. The loop may not
// close, which is just what the rule is about, so the fold's faults are not.
func vertices(t *testing.T, sectors []float64, folds, more string) []Vertex {
	t.Helper()
	f := unfolded(t, fan(sectors, folds, more))
	folded, err := fold.Fold(context.Background(), f.design.Pieces[0], f.design.Poses)
	if err != nil {
		t.Fatal(err)
	}
	for _, pose := range folded.Poses {
		if pose.Pose.Name == "closed" {
			return must(Vertices(bg, f.blank, pose))
		}
	}
	return nil
}

// Kawasaki and Justin: flat-foldable only when alternate sectors sum to 180;
// Maekawa and Justin: mountains and valleys differ by two (encyclopaedia pages
// on both theorems; sectors from the project's table of check values, re-checked
// by crimping below).
func TestVertexConditions(t *testing.T) {
	for _, c := range []struct {
		sectors []float64
		folds   string
		sum     float64
		flat    bool
	}{
		{[]float64{90, 90, 90, 90}, "mmmv", 0, true},
		{[]float64{90, 90, 90, 90}, "mmvv", 0, false},
		{[]float64{50, 100, 130, 80}, "vmvv", 0, true},
		{[]float64{50, 100, 120, 90}, "vmvv", -20, false},
		{[]float64{60, 60, 60, 60, 60, 60}, "mmmmvv", 0, true},
		{[]float64{60, 60, 60, 60, 60, 60}, "mmmmmv", 0, false},
		// A crease left flat is none: what remains is a straight fold or two.
		{[]float64{90, 90, 90, 90}, "m-m-", 0, true},
		{[]float64{60, 90, 120, 90}, "m-m-", -60, false},
		{[]float64{50, 100, 130, 80}, "m-m-", -60, false},
		{[]float64{90, 90, 90, 90}, "mmm-", 180, false},
	} {
		vs := vertices(t, c.sectors, c.folds, "")
		if len(vs) != 1 {
			t.Errorf("%v %s: %d vertices", c.sectors, c.folds, len(vs))
			continue
		}
		v := vs[0]
		if len(v.Hinges)%2 == 0 {
			near(t, fmt.Sprint(c.sectors, c.folds, ": sum"), float64(v.Sum.Abs()), math.Abs(c.sum), 1e-9)
		}
		m, n := strings.Count(c.folds, "m"), strings.Count(c.folds, "v")
		if v.FoldsFlat() != c.flat || v.Mountains != m || v.Valleys != n || v.At.Len() > 1e-9 {
			t.Errorf("%v %s: %+v", c.sectors, c.folds, v)
		}
	}
}

// No vertex to speak of: one crease half folded, none folded at all, a window
// in its place, a slit that runs into it, a ring that does not close.
func TestNoFlatVertex(t *testing.T) {
	square := []float64{90, 90, 90, 90}
	for _, c := range []struct{ name, folds, more string }{
		{"none folded", "----", ""},
		{"a window in its place", "mmmv", "s0.cut(circle(6))"},
		{"a slit runs into it", "mmmv", "s0.cut(path(0, 0).line(10, 10))"},
	} {
		if vs := vertices(t, square, c.folds, c.more); len(vs) > 0 {
			t.Errorf("%s: %+v", c.name, vs)
		}
	}
	f := fromScript(t, `
a = panel("a", rect(40, 40))
b = panel("b", rect(40, 40), on = a.right, fold = 180)
c = panel("c", rect(40, 40), on = a.top, fold = 180)
piece("corner", a, board = card)
`)
	if vs := must(Vertices(bg, f.blank, f.closed().Pose)); len(vs) > 0 {
		t.Errorf("a ring that does not close: %+v", vs)
	}
	half := strings.Replace(fan(square, "mm-v", ""), "fold = 0", "fold = 90", 1)
	g := unfolded(t, half)
	folded, err := fold.Fold(context.Background(), g.design.Pieces[0], g.design.Poses)
	if err != nil {
		t.Fatal(err)
	}
	if vs := must(Vertices(bg, g.blank, folded.Poses[1])); len(vs) > 0 {
		t.Errorf("half folded: %+v", vs)
	}
}

// Of the sixteen ways to fold four creases, those that really fold flat are
// counted by crimping (any book on flat folding): 8 for four right angles, 4 for
// (60, 90, 120, 90), where the smallest sector must lie between one mountain and
// one valley. Every one of them meets both conditions.
func TestConditionsAreNecessary(t *testing.T) {
	for _, c := range []struct {
		sectors []float64
		valid   int
	}{{[]float64{90, 90, 90, 90}, 8}, {[]float64{60, 90, 120, 90}, 4}, {[]float64{50, 100, 130, 80}, 4}, {[]float64{50, 100, 120, 90}, 0}} {
		valid := 0
		for bits := range 16 {
			folds := ""
			for i := range 4 {
				folds += string("mv"[bits>>i&1])
			}
			if !crimps(c.sectors, folds) {
				continue
			}
			valid++
			if v := vertices(t, c.sectors, folds, "")[0]; !v.FoldsFlat() {
				t.Errorf("%v %s folds flat: %+v", c.sectors, folds, v)
			}
		}
		if valid != c.valid {
			t.Errorf("%v has %d flat foldings, want %d", c.sectors, valid, c.valid)
		}
	}
}

// crimps decides flat-foldability of one vertex: a sector no larger than its
// neighbours, between one mountain and one valley, is folded away, until two
// equal sectors with two like creases are left.
func crimps(sectors []float64, folds string) bool {
	n := len(sectors)
	if n == 2 {
		return math.Abs(sectors[0]-sectors[1]) < 1e-9 && folds[0] == folds[1]
	}
	for i, s := range sectors {
		before, after := sectors[(i+n-1)%n], sectors[(i+1)%n]
		if s > before+1e-9 || s > after+1e-9 || folds[i] == folds[(i+1)%n] {
			continue
		}
		// Turn the list so that the sector is second, and merge it away.
		turned := slices.Concat(sectors[(i+n-1)%n:], sectors[:(i+n-1)%n])
		letters := folds[(i+n-1)%n:] + folds[:(i+n-1)%n]
		rest := append([]float64{before - s + after}, turned[3:]...)
		return crimps(rest, letters[:1]+letters[3:])
	}
	return false
}
