package contact

import (
	"fmt"
	"math/rand"
	"strings"
	"testing"
)

// Law: a leaf with n pleats folded up on its inside and a cover with m pleats,
// joined by a spine, have n + m panels between them, whether the spine is wider
// than a caliper, so that each is a stack of its own, or narrower.
func TestBetweenCountsPleatsOfBothSides(t *testing.T) {
	rng := rand.New(rand.NewSource(1))
	for range 20 {
		counts := [2]int{rng.Intn(4), rng.Intn(4)}
		wide := []float64{0.3, 0.8, 2.5}[rng.Intn(3)]
		var text strings.Builder
		fmt.Fprintf(&text, "leaf = panel(\"leaf\", rect(100, 60))\nspine = panel(\"spine\", rect(100, %g), on = leaf.top)\ncover = panel(\"cover\", rect(100, 60), on = spine.top)\n", wide)
		for k, n := range counts {
			on, width := [2]string{"leaf", "cover"}[k], 100.0
			for i := range n {
				turn := 180 - 360*(i%2)
				width -= 5 * rng.Float64()
				fmt.Fprintf(&text, "p%d%d = panel(\"p%[1]d%[2]d\", rect(%g, 50), on = %s.left, fold = %d)\n", k, i, width, on, turn)
				on = fmt.Sprintf("p%d%d", k, i)
			}
		}
		text.WriteString("piece(\"wallet\", leaf, board = card)\n")
		p := fromScript(t, text.String()).poses["closed"]
		got, ok := p.Between(p.Index(p.Piece.Panels[0]), p.Index(p.Piece.Panels[2]))
		if !ok || len(got) != counts[0]+counts[1] {
			t.Errorf("%d and %d pleats, spine %g: %v between, %v\n%s", counts[0], counts[1], wide, got, ok, text.String())
		}
	}
}

// By hand: panels beside one another have nothing between them, and no ground.
func TestBetweenNeedsGround(t *testing.T) {
	p := fromScript(t, `leaf = panel("leaf", rect(100, 60))
spine = panel("spine", rect(100, 2), on = leaf.top)
cover = panel("cover", rect(100, 60), on = spine.top, fold = -90)
piece("step", leaf, board = card)
`).poses["closed"]
	if got, ok := p.Between(0, 2); ok || len(got) != 0 {
		t.Errorf("%v between, %v", got, ok)
	}
}
