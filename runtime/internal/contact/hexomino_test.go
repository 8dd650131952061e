package contact

import (
	"fmt"
	"slices"
	"testing"

	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/model"
	"github.com/creasewright/creasewright/runtime/model/modeltest"
)

// cellAt is one square of a polyomino.
type cellAt struct{ x, y int }

// normal is a polyomino in the least of its eight positions, its cells sorted.
func normal(cells []cellAt) string {
	best := ""
	for k := range 8 {
		turned := slices.Clone(cells)
		for i, c := range turned {
			if k >= 4 {
				c.x = -c.x
			}
			for range k % 4 {
				c = cellAt{-c.y, c.x}
			}
			turned[i] = c
		}
		x, y := turned[0].x, turned[0].y
		for _, c := range turned {
			x, y = min(x, c.x), min(y, c.y)
		}
		for i := range turned {
			turned[i].x, turned[i].y = turned[i].x-x, turned[i].y-y
		}
		slices.SortFunc(turned, func(a, b cellAt) int { return (a.x-b.x)*100 + a.y - b.y })
		if s := fmt.Sprint(turned); best == "" || s < best {
			best = s
		}
	}
	return best
}

// hexominoes lists the free hexominoes, grown cell by cell.
func hexominoes() [][]cellAt {
	list := [][]cellAt{{{0, 0}}}
	for range 5 {
		var next [][]cellAt
		seen := map[string]bool{}
		for _, p := range list {
			for _, c := range p {
				for _, d := range []cellAt{{1, 0}, {-1, 0}, {0, 1}, {0, -1}} {
					q := cellAt{c.x + d.x, c.y + d.y}
					if slices.Contains(p, q) {
						continue
					}
					if grown := append(slices.Clone(p), q); !seen[normal(grown)] {
						seen[normal(grown)] = true
						next = append(next, grown)
					}
				}
			}
		}
		list = next
	}
	return list
}

// cubeNet hangs the cells of a polyomino on one another by square folds.
func cubeNet(cells []cellAt) *model.Design {
	var out []modeltest.Cell
	sides := []struct {
		cellAt
		on, by string
	}{{cellAt{1, 0}, "right", "left"}, {cellAt{-1, 0}, "left", "right"}, {cellAt{0, 1}, "top", "bottom"}, {cellAt{0, -1}, "bottom", "top"}}
	for i, c := range cells {
		square, _ := geom.Rect(10, 10, 0)
		cell := modeltest.Cell{
			Name: fmt.Sprint(i), Fold: modeltest.Right,
			Outline: square.Transform(geom.Translation(float64(10*c.x), float64(10*c.y))),
		}
		for parent, p := range cells[:i] {
			for _, s := range sides {
				if c == (cellAt{p.x + s.x, p.y + s.y}) {
					cell.Parent, cell.On, cell.By = parent, s.on, s.by
				}
			}
		}
		out = append(out, cell)
	}
	return modeltest.Assemble(out, nil)
}

// Of the 35 hexominoes exactly 11 fold to a cube with its six faces apart, in
// the other 24 two faces or more land in the same place (any book on
// polyominoes); faces that share edges and corners do not touch.
func TestHexominoes(t *testing.T) {
	all, cubes := hexominoes(), 0
	for n, cells := range all {
		p := fromDesign(t, cubeNet(cells)).closed()
		if len(p.Penetrations) > 0 {
			t.Errorf("hexomino %d: %+v", n, p.Penetrations[0])
		}
		if len(p.layerList()) == 0 {
			cubes++
		}
		for _, l := range p.layerList() {
			near(t, "common ground", l.Area, 100, 1e-9)
			near(t, "gap", l.Gap, 0, 1e-9)
		}
	}
	if len(all) != 35 || cubes != 11 {
		t.Errorf("%d hexominoes, %d of them nets of a cube", len(all), cubes)
	}
}
