package fold

import (
	"cmp"
	"math"
	"slices"

	"github.com/creasewright/creasewright/runtime/geom"
)

// reachedTo is when a join counts as held by the solver, in mm.
const reachedTo = 1e-7

// mostAside is how far, in mm, a join may miss by what its constraint does not ask
// (configuration.aside) for the search to end: half of the half millimetre at
// which a join is said to fail.
const mostAside = 0.25

// clearlyLess is the share of the sum of all folds below which a solution counts as
// smaller: solutions that differ by less are branches with an equal claim, and the
// first found stays.
const clearlyLess = 0.9

// joinStarts are the first guesses for folds that joins alone decide, in radians.
var joinStarts = []float64{math.Pi / 12, math.Pi / 6, math.Pi / 3, math.Pi / 2, 2 * math.Pi / 3, 5 * math.Pi / 6}

// joinSearch keeps the best folds that a search for joins has come to.
type joinSearch struct {
	*configuration
	g       *system
	all     []*constraint // loops and joins
	mates   []*constraint // the same with edges drawn end to end
	best    []float64
	miss    float64 // of the best, in mm: of its constraints or beside them
	reached bool    // the best satisfies its constraints
}

// searchJoins looks for folds with which the system's joins hold and its loops
// are closed, and reports whether there are any; without, it leaves those that
// miss least. Even starts of growing size come first, so that the smallest folds
// win. Folds that satisfy every constraint but leave an edge on the line of its
// partner beyond its end, as flat sectors round a point do, are no solution.
//
// What the even starts do not find is sought from the same starts by drawing the
// edges that meet together end to end, in coordinates that keep every fold
// between flat and a half turn on its side; then by closing one constraint after
// another; then both ways from the corners of that range and from scattered places
// in it. The starts are the same each time and on every processor.
func (s *configuration) searchJoins(g *system) (held bool) {
	t := &joinSearch{configuration: s, g: g, all: g.all(), best: s.values(g), miss: math.Inf(1)}
	here := s.values(g)
	start := make([]float64, len(here))
	ways := []func([]float64){t.together, t.oneByOne, t.endToEnd}
	if len(g.unknowns) > mostScattered {
		ways = ways[:1]
	}
	for way, from := range ways {
		for try := -1; try < len(joinStarts); try++ {
			for i, u := range g.unknowns {
				start[i] = s.joinStart(u, try, here[i])
			}
			// Even starts smaller than the folds found may lead to smaller ones: of
			// tubes that close after one turn and after three, the first is meant.
			if t.holds() && (way > 0 || s.hasNear(g) || try >= 0 && joinStarts[try] >= t.largestOf()) {
				break
			}
			from(start)
		}
	}
	for try := 0; !t.holds() && try < s.manyStarts(g); try++ {
		if t.oneByOne(s.startWithin(g, try)); !t.holds() {
			t.endToEnd(s.startWithin(g, try))
		}
	}
	s.restore(g, t.best)
	return t.reached
}

// holds reports that nothing better need be looked for, or that the context has
// ended.
// miss is exactly 0 where nothing exceeds its limit, so the comparison is safe.
func (t *joinSearch) holds() bool { return t.reached && t.miss == 0 || t.stopped() }

// together closes all constraints at once from a start and keeps what it finds if
// it is better.
func (t *joinSearch) together(start []float64) {
	t.restore(t.g, start)
	t.finish()
}

// endToEnd does the same once it has drawn the edges that meet together.
func (t *joinSearch) endToEnd(start []float64) {
	t.restore(t.g, start)
	t.toInside(t.g)
	t.minimize(t.g, t.drawn(), byRange)
	t.finish()
}

// leftApart is how far, in mm, a constraint may stay from its place for the next one
// to be added: where one does not close at all, more of them will not help.
const leftApart = 1

// oneByOne closes the constraints one after another, each from the folds that close
// the ones before: a vertex that is closed leaves its neighbours near to where they
// have to be, while all together draw their folds in different ways.
func (t *joinSearch) oneByOne(start []float64) {
	t.restore(t.g, start)
	t.toInside(t.g)
	mates := t.drawn()
	for n := range mates {
		if t.minimize(t.g, mates[:n+1], byRange) > leftApart {
			return
		}
	}
	t.finish()
}

// finish closes what is closed nearly and keeps the folds if they are better.
func (t *joinSearch) finish() {
	s, g := t.configuration, t.g
	gap := s.minimize(g, t.all, byAngle)
	reached := gap < reachedTo
	if reached {
		s.chooseTabSides(g)
	}
	if s.strays(g) {
		return
	}
	miss := 0.0
	for _, c := range g.joins {
		if aside := s.aside(c); exceeds(aside, mostAside) {
			miss = math.Max(miss, aside)
		}
	}
	if !reached {
		miss = math.Max(miss, gap)
	}
	// A later start has to be better by more than rounding to win, or to hold as
	// well with folds that are clearly smaller.
	at := s.values(g)
	if miss < t.miss*(1-1e-3) || t.holds() && reached && miss == 0 && total(at) < clearlyLess*total(t.best) {
		t.best, t.miss, t.reached = at, miss, reached
	}
}

// largestOf is the size of the largest fold of the best.
func (t *joinSearch) largestOf() float64 {
	top := 0.0
	for _, v := range t.best {
		top = math.Max(top, math.Abs(v))
	}
	return top
}

// total is the sum of the sizes of some folds.
func total(folds []float64) float64 {
	sum := 0.0
	for _, v := range folds {
		sum += math.Abs(v)
	}
	return sum
}

// drawn is the system's constraints with edges that meet drawn end to end, in an
// order in which each brings the fewest new folds: of equals the one with the
// fewest folds, then the first.
// Time grows as the square of the number of constraints; the result is kept.
func (t *joinSearch) drawn() []*constraint {
	if t.mates != nil {
		return t.mates
	}
	rest, known := slices.Clone(t.all), map[int]bool{}
	for len(rest) > 0 {
		fresh := func(c *constraint) (n int) {
			for _, u := range c.unknowns {
				if !known[u] {
					n++
				}
			}
			return n
		}
		next := slices.MinFunc(rest, func(a, b *constraint) int {
			return cmp.Or(cmp.Compare(fresh(a), fresh(b)), cmp.Compare(len(a.unknowns), len(b.unknowns)))
		})
		rest = slices.DeleteFunc(rest, func(c *constraint) bool { return c == next })
		for _, u := range next.unknowns {
			known[u] = true
		}
		if next.pull != nil {
			pulled := *next
			pulled.points = next.pull
			next = &pulled
		}
		t.mates = append(t.mates, next)
	}
	return t.mates
}

// joinStart is the first guess of an unknown in a try, in radians: what near asks
// for first, else where the loops left it (a little off flat, where joins have no
// slope), then even folds.
func (s *configuration) joinStart(u, try int, here float64) float64 {
	near := s.unknowns[u].free.NearDegrees
	switch {
	case near != nil && try <= 0:
		return geom.Degrees(*near).Angle().Radians()
	case try < 0 && here != 0:
		return here
	case try < 0:
		return s.side(u) * startTurn
	}
	return s.side(u) * joinStarts[try]
}

const (
	// mostCorners is the number of unknowns up to which starts are made of every
	// choice between nearly flat and nearly folded over.
	mostCorners = 5
	// scatterWork bounds scattered starts: so many for one unknown, fewer for more.
	scatterWork, mostScatter = 600, 32
)

// manyStarts is how many starts startWithin has for a system.
// A system has at least one unknown, so n is not 0.
func (s *configuration) manyStarts(g *system) int {
	n := len(g.unknowns)
	if n > mostScattered {
		return 0
	}
	tries := min(mostScatter, scatterWork/n)
	if n <= mostCorners {
		tries += 1 << n
	}
	return tries
}

// startWithin gives start number try with every fold on its side, within a half
// turn: near the flat states first, which are where branches meet, then scattered
// over the range. near is kept to in both.
func (s *configuration) startWithin(g *system, try int) []float64 {
	n := len(g.unknowns)
	corners := 0
	if n <= mostCorners {
		corners = 1 << n
	}
	out := make([]float64, n)
	for i, u := range g.unknowns {
		size := startTurn
		switch {
		case try >= corners:
			size = math.Pi * scatter(try-corners, i)
		case try>>i&1 != 0:
			size = math.Pi - startTurn
		}
		out[i] = s.side(u) * size
		if near, ok := s.near(u); ok {
			out[i] = near
		}
	}
	return out
}

// scatter is a number between 0 and 1, exclusive, that looks random: integers
// mixed by multiplication and shifts, the same on every processor.
// The constants are 2⁶⁴ over the golden ratio and two other odd numbers with bits
// that follow no pattern; nothing depends on their values but which starts are tried.
func scatter(try, i int) float64 {
	x := uint64(try+1)*0x9E3779B97F4A7C15 ^ uint64(i+1)*0xD1B54A32D192ED03
	for range 2 {
		x ^= x >> 31
		x *= 0xBF58476D1CE4E5B9
	}
	return (float64(x>>12) + 0.5) / (1 << 52)
}

// toInside moves folds at the ends of their range, where the coordinates that
// keep them in it have no slope, a little inside.
// By a third of startTurn, one degree, from either end.
func (s *configuration) toInside(g *system) {
	for _, u := range g.unknowns {
		size := math.Abs(s.value[u])
		s.value[u] = s.side(u) * min(max(size, startTurn/3), math.Pi-startTurn/3)
	}
}
