package check

import (
	"context"
	"fmt"
	"math"
	"math/rand"
	"slices"
	"testing"

	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/script"
	"github.com/creasewright/creasewright/runtime/model"
	"github.com/creasewright/creasewright/runtime/model/modeltest"
	"github.com/creasewright/creasewright/runtime/source"
)

// closedOf runs a script and closes its first piece.
func closedOf(t *testing.T, text string) *closing {
	t.Helper()
	store := source.NewStore(func(string) ([]byte, error) { return []byte(text), nil })
	d, found := script.Run(context.Background(), store, "case.star", withClosed)
	if d == nil {
		t.Fatal(found)
	}
	var out *closing
	gather(d, nil).closed(func(s *closing) []Found {
		if out == nil {
			out = s
		}
		return nil
	})
	return out
}

// The cells of the globe cover it once, and next to is mutual.
func TestGlobe(t *testing.T) {
	sum := 0.0
	for c := range rows * columns {
		sum += weight(c)
		if l := wayOf(c).Len(); math.Abs(l-1) > 1e-12 {
			t.Errorf("way %d is %g long", c, l)
		}
		for _, n := range nextTo(c) {
			if !slices.Contains(nextTo(n), c) {
				t.Errorf("%d is next to %d, not the other way round", n, c)
			}
		}
	}
	if math.Abs(sum-1) > 1e-12 {
		t.Errorf("the cells make %g globes", sum)
	}
}

// Two openings apart are two, though one reaches a pole of the globe and the other
// a cell next to it that is closed.
func TestOpeningsApartAreTwo(t *testing.T) {
	g := closedOf(t, `card = board("card", caliper = 0.4)
base = panel("base", rect(60, 60))
walls = [flap("wall " + e, on = base.edge(e), depth = 60) for e in ["left", "right", "top", "bottom"]]
flap("lid", on = walls[0].tip, depth = 60)
piece("box", base, board = card)
`).viewFromInside()
	if g == nil || len(g.gaps()) != 0 {
		t.Fatalf("a closed box is seen as open: %v", g)
	}
	for row := range rows / 2 {
		for column := range 5 {
			g.seen[row*columns+12+column].ok = false
			g.seen[max(1, row)*columns+column].ok = false
		}
	}
	if gaps := g.gaps(); len(gaps) != 2 {
		t.Errorf("%d openings: %v", len(gaps), gaps)
	}
}

// Closed forms of a box: how far its tuck and its flaps reach, what lies behind
// them, how much play and how large a gap they leave, whatever the sizes.
func TestClosedForms(t *testing.T) {
	rng := rand.New(rand.NewSource(2))
	near := func(what string, got, want float64) {
		if math.Abs(got-want) > 1e-9 {
			t.Errorf("%s is %g, want %g", what, got, want)
		}
	}
	for range 40 {
		w, d, h := 50+30*rng.Float64(), 30+30*rng.Float64(), 40+20*rng.Float64()
		c, inset, deep := 0.2+0.6*rng.Float64(), 0.5+rng.Float64(), 8+6*rng.Float64()
		one, two := 10+5*rng.Float64(), 10+5*rng.Float64()
		s := closedOf(t, fmt.Sprintf(`card = board("card", caliper = %g)
base = panel("base", rect(%g, %g))
front = flap("front", on = base.bottom, depth = %[4]g)
back = flap("back", on = base.top, depth = %[4]g)
left = flap("left", on = base.left, depth = %[4]g)
right = flap("right", on = base.right, depth = %[4]g)
flap("dust left", on = left.tip, depth = %[8]g, inset = 1)
flap("dust right", on = right.tip, depth = %[9]g, inset = 1)
lid = flap("lid", on = back.tip, depth = %[3]g - card.caliper, inset = %[5]g, taper = 1)
tongue = flap("tongue", on = lid.tip, depth = %[6]g, inset = %[7]g)
tuck(tongue, into = front)
piece("box", base, board = card)
`, c, w, d, h, inset, deep, 0.25, one, two))
		tucks := s.inserts(model.TuckJoin)
		if len(tucks) != 1 {
			t.Fatalf("%d tucks", len(tucks))
		}
		tuck := &tucks[0]
		near("the tuck's reach", s.reach(tuck), deep)
		if _, room, ok := s.behind(tuck); !ok {
			t.Error("nothing behind the tuck")
		} else {
			near("the depth behind it", room, h)
		}
		p, ok := s.playBeside(tuck)
		if !ok {
			t.Fatal("no walls beside the tuck")
		}
		near("the opening", p.opening, w-c)
		near("the play", p.left+p.right, w-c-p.width)
		near("play on either side", p.left, p.right)
		flaps := s.dustFlaps(tuck)
		if len(flaps) != 2 {
			t.Fatalf("%d dust flaps", len(flaps))
		}
		gap, ok := s.gapBetween(&flaps[0], &flaps[1])
		if !ok {
			t.Fatal("the dust flaps do not face each other")
		}
		near("the gap between dust flaps", gap, w-one-two)
	}
}

// Whatever the design, the rules come to an end and say the same every time.
func TestClosuresOfAnyTree(t *testing.T) {
	for seed := range int64(60) {
		var said [2][]string
		for k := range said {
			d := modeltest.Tree(rand.New(rand.NewSource(seed)), 5+int(seed), geom.Rotation(geom.Radians(1), geom.Pt(3, 4))).Design
			f := gather(d, nil)
			for _, r := range closures {
				for _, g := range r.find(f) {
					said[k] = append(said[k], r.ID+" "+g.Message)
				}
			}
		}
		if !slices.Equal(said[0], said[1]) {
			t.Errorf("seed %d: %q, then %q", seed, said[0], said[1])
		}
	}
}
