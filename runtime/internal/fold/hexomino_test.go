package fold

import (
	"fmt"
	"sort"
	"testing"

	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/model"
)

type cell struct{ x, y int }

// polyominoes lists the free polyominoes of n cells in a fixed order, growing
// them cell by cell and keeping one of each under the square's symmetries.
func polyominoes(n int) [][]cell {
	shapes := [][]cell{{{0, 0}}}
	for k := 1; k < n; k++ {
		seen := map[string][]cell{}
		for _, s := range shapes {
			for _, c := range s {
				for _, d := range []cell{{1, 0}, {-1, 0}, {0, 1}, {0, -1}} {
					e := cell{c.x + d.x, c.y + d.y}
					if !has(s, e) {
						grown := canonical(append(append([]cell{}, s...), e))
						seen[fmt.Sprint(grown)] = grown
					}
				}
			}
		}
		var keys []string
		for key := range seen {
			keys = append(keys, key)
		}
		sort.Strings(keys)
		shapes = nil
		for _, key := range keys {
			shapes = append(shapes, seen[key])
		}
	}
	return shapes
}

func has(s []cell, c cell) bool {
	for _, d := range s {
		if d == c {
			return true
		}
	}
	return false
}

func canonical(s []cell) []cell {
	var best []cell
	for k := range 8 {
		t := make([]cell, len(s))
		lo := cell{1 << 30, 1 << 30}
		for i, c := range s {
			for range k % 4 {
				c = cell{-c.y, c.x}
			}
			if k >= 4 {
				c.x = -c.x
			}
			t[i] = c
			lo = cell{min(lo.x, c.x), min(lo.y, c.y)}
		}
		for i := range t {
			t[i] = cell{t[i].x - lo.x, t[i].y - lo.y}
		}
		sort.Slice(t, func(i, j int) bool { return t[i].y < t[j].y || t[i].y == t[j].y && t[i].x < t[j].x })
		if best == nil || fmt.Sprint(t) < fmt.Sprint(best) {
			best = t
		}
	}
	return best
}

// Free polyominoes of 1 to 6 cells number 1, 1, 2, 5, 12, 35, and of the 35
// hexominoes exactly 11 fold to a cube; in each of the other 24 two faces land
// in the same place (any book on polyominoes; computed a second way here).
func TestHexominoes(t *testing.T) {
	for n, want := range []int{1, 1, 2, 5, 12, 35} {
		if got := len(polyominoes(n + 1)); got != want {
			t.Fatalf("%d polyominoes of %d cells, want %d", got, n+1, want)
		}
	}
	closing := 0
	for _, s := range polyominoes(6) {
		if cubeFaces(t, s) == 6 {
			closing++
		}
	}
	if closing != 11 {
		t.Errorf("%d hexominoes fold to a cube, want 11", closing)
	}
}

// cubeFaces folds every hinge of a tree over the cells square and counts the
// different places that the cells' middles land in.
func cubeFaces(t *testing.T, s []cell) int {
	var faces [][]geom.Point
	parent := []int{-1}
	order := []cell{s[0]}
	for at := 0; at < len(order); at++ {
		c := order[at]
		x, y := float64(c.x), float64(c.y)
		faces = append(faces, []geom.Point{{X: x, Y: y}, {X: x + 1, Y: y}, {X: x + 1, Y: y + 1}, {X: x, Y: y + 1}})
		for _, d := range []cell{{1, 0}, {-1, 0}, {0, 1}, {0, -1}} {
			e := cell{c.x + d.x, c.y + d.y}
			if has(s, e) && !has(order, e) {
				order, parent = append(order, e), append(parent, at)
			}
		}
	}
	p := net(faces, parent, func(a, b int) model.Fold { return given(90) })
	pose := foldClosed(t, p)
	var places []geom.Point3
	for f, panel := range p.Panels {
		mid := pose.Place[f].Apply(panel.Outline.Bounds().Mid().Space())
		fresh := true
		for _, q := range places {
			fresh = fresh && q.Dist(mid) > 1e-9
		}
		if fresh {
			places = append(places, mid)
		}
	}
	return len(places)
}
