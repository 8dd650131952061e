package page

import (
	"fmt"
	"math"
	"math/rand"
	"testing"

	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/page/browsertest"
)

// tiling is what tiles.js gives, in the words that it uses.
type tiling struct {
	Rows, Columns, Sheets int
	Tiles                 []struct {
		Row, Column, Number int
		X, Y, Width, Height float64
		Core                [4]float64
	}
	Marks []struct {
		Number int
		Seam   string
		X, Y   float64
		Sheets [2]int
	}
}

// The laws of tiling, on random sizes: cores lie side by side without gaps and hold the
// blank, and stand 4 mm inside their windows where they meet; sheets are numbered by rows over what
// is not left out; two neighbours that are both printed share two marks, whole on each.
func TestTilesCoverTheBlank(t *testing.T) {
	b := opened(t, board(t, small...), "")
	rnd := rand.New(rand.NewSource(9))
	for range 200 {
		w, h := rnd.Float64()*2000+1, rnd.Float64()*2000+1
		ww, wh := 100+rnd.Float64()*200, 100+rnd.Float64()*200
		g := browsertest.Eval[tiling](b, fmt.Sprintf(
			`import(new URL("../a/tiles.js", location.href)).then((m) => m.tile(%g, %g, %g, %g, (x, y) => Math.sin(x * 7 + y * 3) > 0.8))`, w, h, ww, wh))
		at := func(row, column int) int {
			if row >= g.Rows || column >= g.Columns {
				return 0
			}
			return g.Tiles[row*g.Columns+column].Number
		}
		sheets, joints := 0, 0
		for i, tile := range g.Tiles {
			if tile.Row != i/g.Columns || tile.Column != i%g.Columns {
				t.Fatalf("tile %d is in row %d, column %d", i, tile.Row, tile.Column)
			}
			if tile.Number > 0 {
				if sheets++; tile.Number != sheets {
					t.Errorf("sheet %d is number %d", sheets, tile.Number)
				}
				if at(tile.Row+1, tile.Column) > 0 {
					joints++
				}
				if at(tile.Row, tile.Column+1) > 0 {
					joints++
				}
			}
			x0, y0, x1, y1 := tile.X, tile.Y, tile.X+ww, tile.Y+wh
			if tile.Column > 0 {
				x0 += 4
				near(t, "the core before", g.Tiles[i-1].Core[2], tile.Core[0])
			} else if x0 > -1 {
				t.Errorf("the first window begins at %.2f mm, want -1 or less", x0)
			}
			if tile.Row > 0 {
				y0 += 4
				near(t, "the core above", g.Tiles[i-g.Columns].Core[3], tile.Core[1])
			} else if y0 > -1 {
				t.Errorf("the first window begins at %.2f mm, want -1 or less", y0)
			}
			if tile.Column < g.Columns-1 {
				x1 -= 4
			} else if x1 < w+1 {
				t.Errorf("the last window ends at %.2f of %.2f mm", x1, w)
			}
			if tile.Row < g.Rows-1 {
				y1 -= 4
			} else if y1 < h+1 {
				t.Errorf("the last window ends at %.2f of %.2f mm", y1, h)
			}
			for k, v := range []float64{x0, y0, x1, y1} {
				near(t, "a side of a core", tile.Core[k], v)
			}
		}
		if sheets != g.Sheets || len(g.Marks) != 2*joints {
			t.Errorf("%d sheets said, %d numbered; %d marks for %d seams", g.Sheets, sheets, len(g.Marks), joints)
		}
		for _, tile := range g.Tiles {
			inner := geom.BoxOf(geom.Pt(tile.X, tile.Y), geom.Pt(tile.X+ww, tile.Y+wh)).Grow(-3)
			for _, m := range g.Marks {
				if tile.Number > 0 && (tile.Number == m.Sheets[0] || tile.Number == m.Sheets[1]) && !inner.Contains(geom.Pt(m.X, m.Y)) {
					t.Errorf("mark %d is not whole on sheet %d", m.Number, tile.Number)
				}
			}
		}
	}
}

func near(t *testing.T, what string, got, want float64) {
	t.Helper()
	if math.Abs(got-want) > 1e-9 {
		t.Errorf("%s: %v, want %v", what, got, want)
	}
}
