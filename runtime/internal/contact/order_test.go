package contact

import (
	"fmt"
	"math/rand"
	"slices"
	"strings"
	"testing"

	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/polygon"
	"github.com/creasewright/creasewright/runtime/model"
	"github.com/creasewright/creasewright/runtime/outsidetest"
)

// tree is a random tree of rectangles on a grid of 10 mm, each folded flat on
// the one it hangs on.
type tree struct {
	script string
	turn   []float64 // by panel
}

// randomTree gives a tree of n panels whose blank has no overlaps.
func randomTree(rng *rand.Rand, n int) tree {
	type box struct{ x, y, w, h int }
	for {
		t := tree{turn: []float64{0}}
		size := func() int { return 3 + rng.Intn(3) }
		boxes := []box{{0, 0, size(), size()}}
		text := []string{fmt.Sprintf(`p0 = panel("p0", rect(%d, %d))`, 10*boxes[0].w, 10*boxes[0].h)}
		for len(boxes) < n {
			on := rng.Intn(len(boxes))
			b := boxes[on]
			side := rng.Intn(4)
			w, h := size(), size()
			var at box
			switch mid := func(a, b int) int { return (a - b) / 2 }; side {
			case 0:
				w = b.w - 2*rng.Intn(2)
				at = box{b.x + mid(b.w, w), b.y - h, w, h}
			case 1:
				h = b.h - 2*rng.Intn(2)
				at = box{b.x + b.w, b.y + mid(b.h, h), w, h}
			case 2:
				w = b.w - 2*rng.Intn(2)
				at = box{b.x + mid(b.w, w), b.y + b.h, w, h}
			default:
				h = b.h - 2*rng.Intn(2)
				at = box{b.x - w, b.y + mid(b.h, h), w, h}
			}
			if at.w < 1 || at.h < 1 || slices.ContainsFunc(boxes, func(c box) bool {
				return at.x < c.x+c.w && c.x < at.x+at.w && at.y < c.y+c.h && c.y < at.y+at.h
			}) {
				if rng.Intn(10) == 0 {
					break
				}
				continue
			}
			turn := 180.0
			if rng.Intn(2) == 0 {
				turn = -180
			}
			text = append(text, fmt.Sprintf(`p%d = panel("p%d", rect(%d, %d), on = p%d.%s, fold = %g)`,
				len(boxes), len(boxes), 10*at.w, 10*at.h, on, [...]string{"bottom", "right", "top", "left"}[side], turn))
			boxes, t.turn = append(boxes, at), append(t.turn, turn)
		}
		if len(boxes) < n {
			continue
		}
		t.script = strings.Join(text, "\n") + "\n"
		return t
	}
}

// orders is the reference: every way in which each two panels that share a cell
// may lie, tried one after the other.
type orders struct {
	p     *Posed
	pairs [][2]int // later panel first; in the order of wishes
	inner map[[2]int]bool
}

// best is the first way that satisfies the conditions, wishes granted before
// they are refused, earlier ones first. It knows the conditions as sentences
// about places: that no board is in a crease is looked at beside the crease.
func (o *orders) best(conditions func() bool) bool {
	n := len(o.pairs)
	for k := range 1 << n {
		for i, q := range o.pairs {
			// The first wish is the most weighty bit.
			o.inner[q] = o.wish(q) != (k>>(n-1-i)&1 == 1)
		}
		if conditions() {
			return true
		}
	}
	return false
}

// wish is where a panel comes to lie that is folded flat by its own hinge: a
// positive fold brings it up from the inside of the panel it hangs on.
func (o *orders) wish(q [2]int) bool {
	h := o.p.Piece.Panels[q[0]].Hang
	up := o.p.plates[o.p.index[h.Parent]].normal.Z > 0
	return (h.Fold.Degrees > 0) == up
}

// inside reports whether a lies inside b.
func (o *orders) inside(a, b int) bool {
	if a > b {
		return o.inner[[2]int{a, b}]
	}
	return !o.inner[[2]int{b, a}]
}

func (o *orders) share(a, b int) bool {
	_, ok := o.inner[[2]int{max(a, b), min(a, b)}]
	return ok
}

// between reports whether q lies between a and b.
func (o *orders) between(q, a, b int) bool {
	return o.share(q, a) && o.share(q, b) && o.inside(q, a) != o.inside(q, b)
}

// holds reports whether there is board of panel i at a place.
func (o *orders) holds(i int, at geom.Point3) bool {
	s := &o.p.plates[i]
	return polygon.Holds(s.body.Loops, s.local(at).Plane())
}

// crossingFree looks at places 2 mm beside the folded creases.
func (o *orders) crossingFree() bool {
	p := o.p
	type fold struct {
		a, b int
		p, q geom.Point3
		side geom.Point3 // over the board, unit
	}
	var folds []fold
	for k := range p.Piece.Hinges {
		h := p.Piece.Hinges[k]
		a, b := p.index[h.Parent], p.index[h.Child]
		f := fold{a: a, b: b, p: p.plates[a].world(h.Curve.P), q: p.plates[a].world(h.Curve.Q)}
		d := h.Curve.Q.Sub(h.Curve.P).Unit()
		f.side = p.plates[a].frame.ApplyDir(d.Left().Space())
		if o.inside(b, a) != ((h.Fold.Degrees > 0) == (p.plates[a].normal.Z > 0)) {
			return false // it is folded to the other side
		}
		folds = append(folds, f)
	}
	for _, f := range folds {
		for t := 0.025; t < 1; t += 0.05 {
			at := f.p.Lerp(f.q, t)
			over, beyond := at.Add(f.side.Mul(2)), at.Sub(f.side.Mul(2))
			for i := range p.plates {
				if i != f.a && i != f.b && o.holds(i, over) && o.holds(i, beyond) && o.between(i, f.a, f.b) {
					return false
				}
			}
		}
		for _, g := range folds {
			if f.a == g.a || f.a == g.b || f.b == g.a || f.b == g.b || f.side.Dot(g.side) < 0.9 || abs(g.p.Sub(f.p).Dot(f.side)) > 0.5 {
				continue
			}
			mid := false
			for t := 0.025; t < 1; t += 0.05 {
				at := f.p.Lerp(f.q, t)
				mid = mid || at.Dist(g.p)+at.Dist(g.q) < g.p.Dist(g.q)+1e-6
			}
			if mid && o.share(f.a, g.a) && o.share(f.a, g.b) && o.share(f.b, g.a) && o.share(f.b, g.b) &&
				o.between(f.a, g.a, g.b) != o.between(f.b, g.a, g.b) {
				return false
			}
		}
	}
	return true
}

func abs(v float64) float64 { return max(v, -v) }

// transitive reports whether every cell can be put in a row. The cells are found
// by looking at the middle of every square of the grid.
func (o *orders) transitive(spots [][]int) bool {
	for _, in := range spots {
		for _, a := range in {
			for _, b := range in {
				for _, c := range in {
					if a != b && b != c && a != c && o.inside(a, b) && o.inside(b, c) && o.inside(c, a) {
						return false
					}
				}
			}
		}
	}
	return true
}

// spots lists which panels lie over the squares of the grid, and the pairs that
// do anywhere.
func (o *orders) spots() (spots [][]int) {
	n := len(o.p.plates)
	seen := map[string]bool{}
	pairs := map[[2]int]bool{}
	for x := -30; x < 30; x++ {
		for y := -30; y < 30; y++ {
			for _, part := range [...]geom.Point3{{X: 2.5, Y: 2.5}, {X: 7.5, Y: 2.5}, {X: 2.5, Y: 7.5}, {X: 7.5, Y: 7.5}} {
				at := geom.Point3{X: 10 * float64(x), Y: 10 * float64(y)}.Add(part)
				var in []int
				for i := range n {
					if o.holds(i, at) {
						in = append(in, i)
					}
				}
				if len(in) > 1 && !seen[fmt.Sprint(in)] {
					seen[fmt.Sprint(in)] = true
					spots = append(spots, in)
					for k, a := range in {
						for _, b := range in[k+1:] {
							pairs[[2]int{b, a}] = true
						}
					}
				}
			}
		}
	}
	for m := range n {
		for q := m - 1; q >= 0; q-- {
			if pairs[[2]int{m, q}] {
				o.pairs = append(o.pairs, [2]int{m, q})
				o.inner[[2]int{m, q}] = false
			}
		}
	}
	return spots
}

// next reports whether glued panels lie next to each other, the first on the
// side of the second that is asked for.
func (o *orders) next(spots [][]int) bool {
	for _, j := range o.p.Piece.Joins {
		if j.Kind != model.GlueJoin {
			continue
		}
		a, b := o.p.index[j.A.Panel], o.p.index[j.B.Panel]
		if !o.share(a, b) {
			continue
		}
		if up := o.p.plates[b].normal.Z > 0; o.inside(a, b) != (up != j.Outside) {
			return false
		}
		for _, in := range spots {
			if !slices.Contains(in, a) || !slices.Contains(in, b) {
				continue
			}
			for _, q := range in {
				if q != a && q != b && o.between(q, a, b) {
					return false
				}
			}
		}
	}
	return true
}

// Law: for up to six panels folded flat, the order of the cells is the first
// that satisfies the conditions when all are tried, and the panels are tangled
// when none does.
func TestOrderAgreesWithTryingAll(t *testing.T) {
	rng := rand.New(rand.NewSource(34))
	ordered, tangled, refused := 0, 0, 0
	for n := range outsidetest.Times(t, 200, 400) {
		tr := randomTree(rng, 3+rng.Intn(4))
		glue := ""
		if k := len(tr.turn); rng.Intn(2) == 0 {
			a := 1 + rng.Intn(k-1)
			if b := rng.Intn(k); a != b {
				glue = fmt.Sprintf("glue(p%d, p%d, side = %q)\n", a, b, [...]string{"inside", "outside"}[rng.Intn(2)])
			}
		}
		p := fromScript(t, tr.script+glue+`piece("tree", p0, board = card)`).closed()
		o := &orders{p: p, inner: map[[2]int]bool{}}
		spots := o.spots()
		if len(o.pairs) == 0 || len(o.pairs) > 15 {
			continue
		}
		var is []Tangle
		for _, s := range p.Stacks {
			if s.Tangle != nil {
				is = append(is, *s.Tangle)
			}
		}
		if !o.best(func() bool { return o.transitive(spots) && o.next(spots) && o.crossingFree() }) {
			if tangled++; len(is) == 0 {
				for _, q := range o.pairs {
					in, _ := p.isInside(q[1], q[0])
					o.inner[q] = in == (p.plates[q[1]].normal.Z > 0)
				}
				t.Logf("transitive %v, next %v, free of crossings %v: %v", o.transitive(spots), o.next(spots), o.crossingFree(), o.inner)
				t.Errorf("case %d: there is no order, and one was given\n%s%s", n, tr.script, glue)
			}
			continue
		}
		if ordered++; len(is) > 0 {
			t.Errorf("case %d: %+v, and there is an order\n%s%s", n, is, tr.script, glue)
			continue
		}
		for _, q := range o.pairs {
			want := o.inner[q]
			if want != o.wish(q) {
				refused++
			}
			in, ok := p.isInside(q[1], q[0])
			if up := p.plates[q[1]].normal.Z > 0; !ok || in != (want == up) {
				t.Errorf("case %d: p%d inside p%d is %v\n%s%s", n, q[0], q[1], want, tr.script, glue)
				break
			}
		}
	}
	t.Logf("%d ordered, %d tangled, %d wishes refused", ordered, tangled, refused)
	if ordered < 100 || tangled < 10 || refused < 50 {
		t.Errorf("only %d ordered, %d tangled, %d wishes refused", ordered, tangled, refused)
	}
}

// Six petals of which the last is tucked under the first lie in a ring: each
// outside the one before it, the first outside the last.
func TestPetalsLieInARing(t *testing.T) {
	p := fromScript(t, `
s, high = 40, 100
walls = [panel("w1", rect(s, high))]
for i in range(2, 7):
    walls.append(panel("w%d" % i, rect(s, high), on = walls[-1].right, fold = 60))
petals = []
for w in walls:
    petals.append(panel("t" + w.name, polygon([(0.3, 0), (39.7, 0), (20, 32), (6, 28), (0.8, 20)]), on = w.top, by = "e0"))
tuck(petals[5], into = petals[0])
piece("box", walls[0], board = card)
`).closed()
	petal := func(k int) int { return 6 + (k+6)%6 }
	for k := range 6 {
		in, ok := p.isInside(petal(k), petal(k-1))
		if !ok || !in {
			t.Errorf("petal %d does not lie outside the one before it", k+1)
		}
	}
	rings := p.Rings()
	if len(rings) == 0 {
		t.Error("no ring")
	}
	for _, q := range rings {
		if in, ok := p.isInside(q[0], q[1]); !ok || !in || p.Levels[q[0]].Layer < p.Levels[q[1]].Layer {
			t.Errorf("pair %v of a ring: inside %v, levels %+v and %+v", q, in, p.Levels[q[0]], p.Levels[q[1]])
		}
	}
}

// What stays in place: a wall round which webs are folded, and the lid over dust
// flaps, which hang on other walls.
func TestWhatAStackIsHeldBy(t *testing.T) {
	p := fromScript(t, `
base = panel("base", rect(80, 60))
wall = flap("wall", on = base.right, depth = 30)
wing = flap("wing", on = wall.tip, depth = 20, fold = -180)
piece("tray", base, board = card)
`).closed()
	if s := p.Stacks; len(s) != 1 || s[0].Held != 1 || p.Levels[1].Layer != 1 {
		t.Errorf("folded out: %+v", s)
	}
	p = fromScript(t, `
base = panel("front", rect(80, 100))
right = panel("right", rect(50, 100), on = base.right)
back = panel("back", rect(80, 100), on = right.right)
flap("dust", on = right.top, depth = 30)
flap("lid", on = back.top, depth = 50)
piece("box", base, board = card)
`).closed()
	if s := p.Stacks; len(s) != 1 || s[0].Held != 0 || p.Levels[4].Layer != 0 {
		t.Errorf("dust flaps: %+v", s)
	}
}
