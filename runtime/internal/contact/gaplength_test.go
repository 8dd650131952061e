package contact

import "testing"

// Bent board keeps its lengths: edges that meet round a bent panel miss by what
// one is longer than the other, beyond the gap asked for, though it has no place
// in the pose; elsewhere a short edge may meet a part of a long one.
func TestEdgesRoundABentPanel(t *testing.T) {
	const drum = `
floor = panel("floor", rect(157, 20))
wall = panel("wall", rect(150, 60), on = floor.top, by = "bottom", `
	for _, c := range []struct {
		name, rest string
		want       float64
	}{
		{"bent", "bent = True)\nmeet(wall.top, floor.bottom)", 7},
		{"bent, the other way round", "bent = True)\nmeet(floor.bottom, wall.top)", 7},
		{"part of an edge", "bent = True)\nmeet(wall.top, floor.bottom.part(2, 152))", 0},
		{"a gap asked for", "bent = True)\nmeet(wall.top, floor.bottom, gap = 5)", 2},
		{"folded", "fold = 180)\nmeet(wall.bottom, floor.top)", 0},
	} {
		g := onlyGap(t, drum+c.rest+"\npiece(\"drum\", floor, board = card)\n")
		near(t, c.name, g.Size, c.want, 1e-9)
		if bent := g.To == Lengths; bent != (c.name != "folded") {
			t.Errorf("%s: measured to %d", c.name, g.To)
		}
	}
}
