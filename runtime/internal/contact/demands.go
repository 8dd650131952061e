package contact

import (
	"math"
	"slices"

	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/model"
)

// demands are what the order of a stack must satisfy: facts of the pose, sides
// and nearness of joins, and that no board passes through a crease.
//
// The crossing conditions are those of Justin ("Towards a mathematical theory of
// origami", 1997) and Hull ("On the mathematics of flat origamis", 1994; values
// from memory): a board that runs on over a folded crease lies outside or inside
// of both panels beside it; of two creases along one line, folded to the same
// side, either both panels of one lie between those of the other or none. The
// third condition, for boards that run on over a flat crease, holds by itself
// since such boards are one facet; the fold of a tongue, which leads to the other
// side of its target, is asked for none. A crease that leads out of the plane is a
// wall: what runs on over it lies on the other side of its panel.
type demands struct {
	facts   []fact
	bonds   []bond
	creases []crease
	walls   []wall
	lines   []line
	// By facet, the enclosures of which it is placed last.
	enclosures [][]enclosure
}

// fact says that facet a, folded flat on b, lies inside it or outside.
// Inside is toward the inside of the stack, against Stack.Out, here and in all
// that follows, whichever way a facet faces.
type fact struct {
	a, b   int32
	inside bool // a lies inside b
}

// bond is a facet that lies next to its target on the side that a join names.
// a is the facet of the join's first end, b its target's.
type bond struct {
	a, b   int32
	inside bool
	join   *model.Join
}

// crease is two facets folded on one another along a line.
// line is a place in demands.lines.
type crease struct {
	a, b, line int32
	hinge      *model.Hinge
}

// Tangle is a demand on the order of a stack that cannot be met together with
// the others.
type Tangle struct {
	Panel int // the one that finds no place
	With  int // another that the demand is about
	// Join is what names the side of the two, or keeps Panel from lying between
	// its two; Hinge the fold that Panel would pass through. Both are nil where
	// the places of the panels in the pose are the demand.
	Join  *model.Join
	Hinge *model.Hinge
}

// wall is a panel outside the stack's plane that hangs on a facet.
// No facet can lie on that side of the wall's facet and run on over the line.
type wall struct {
	facet, line int32
	inward      bool // it leads to the inside of the stack
	hinge       *model.Hinge
}

// enclosure is a facet that carries a wall along the line of a crease between two
// others, a < b: it may not lie between them.
type enclosure struct {
	facet, a, b int32
	hinge       *model.Hinge // of the crease
}

// line is a place of creases in the stack's plane: from p to q, board on the
// left.
type line struct {
	p, q    geom.Point
	crossed []int32 // facets that run on over it
	beside  []int32 // lines along it with board on the same side, itself too
}

// findDemands gathers what the pose, the joins and the hinges demand.
// Demands are of facets, not panels, and do not change while facets are placed. For
// l lines, w walls and c creases it takes l² + w·c steps besides findCrossed. Curved
// hinges make no demand.
func (o *ordering) findDemands() {
	at := map[[4]float64]int32{}
	for k, h := range o.Piece.Hinges {
		i, j := o.index[h.Parent], o.index[h.Child]
		// Each hinge is looked at once: a is the facet of its parent, b of its child, −1 where that
		// is not in the stack.
		turn := o.Pose.Angles[k]
		if !turn.OK || !o.plates[i].ok || !o.plates[j].ok {
			continue
		}
		a, b := o.of[i], o.of[j]
		switch {
		case a == b, h.Curve.Kind != geom.Line:
		case a >= 0 && b >= 0:
			// Both lie in one plane, so the turn is about 0 or about ±180°; 90
			// tells the two apart with the widest margin.
			if turn.Degrees.Abs() < 90 {
				break
			}
			// Folded on one another they face opposite ways, so each lies on
			// the other's inside when the turn is positive.
			o.facts = append(o.facts, fact{b, a, (turn.Degrees > 0) == o.facets[a].up})
			o.creases = append(o.creases, crease{a, b, o.line(at, i, h.Curve), h})
		case a >= 0:
			o.walls = append(o.walls, wall{a, o.line(at, i, h.Curve), (turn.Degrees > 0) == o.facets[a].up, h})
		case b >= 0:
			o.walls = append(o.walls, wall{b, o.line(at, j, h.By.Stretch()), (turn.Degrees > 0) == o.facets[b].up, h})
		}
	}
	for _, j := range o.Piece.Joins {
		a, b := o.of[o.index[j.A.Panel]], o.of[o.index[j.B.Panel]]
		// A meet says nothing of sides, and what goes through an opening lies on both.
		if j.Kind != model.MeetJoin && !j.B.IsThrough() && a >= 0 && b >= 0 && a != b && o.Requires(j) {
			o.bonds = append(o.bonds, bond{a, b, j.Outside != o.facets[b].up, j})
		}
	}
	o.findCrossed()
	for i := range o.lines {
		for k := range o.lines {
			if i == k || o.lines[i].along(&o.lines[k]) {
				o.lines[i].beside = append(o.lines[i].beside, int32(k))
			}
		}
	}
	o.enclosures = make([][]enclosure, len(o.facets))
	for _, w := range o.walls {
		for _, c := range o.creases {
			a, b := min(c.a, c.b), max(c.a, c.b)
			if w.facet != a && w.facet != b && slices.Contains(o.lines[w.line].beside, c.line) {
				last := max(b, w.facet)
				o.enclosures[last] = append(o.enclosures[last], enclosure{w.facet, a, b, c.hinge})
			}
		}
	}
}

// line is the number of the line along an edge of panel i, given in its frame
// with board on the left.
// at maps the ends of lines, in snap tolerances, to their numbers. A line is turned
// round for a panel that is seen from its back, so that board stays on its left.
func (o *ordering) line(at map[[4]float64]int32, i int, c geom.Curve) int32 {
	m := o.plates[i].onto(&o.plates[o.stack.plane])
	p, q := m.Apply(c.P.Space()).Plane(), m.Apply(c.Q.Space()).Plane()
	if m.Normal().Z < 0 {
		p, q = q, p
	}
	// Lines within the snap tolerance of each other share a key, or, on either side of a rounding
	// step, are two lines that run beside one another: found as such, they mean the same.
	round := func(v float64) float64 { return math.Round(v / geom.SnapTolerance) }
	key := [4]float64{round(p.X), round(p.Y), round(q.X), round(q.Y)}
	n, ok := at[key]
	if !ok {
		n = int32(len(o.lines))
		at[key] = n
		o.lines = append(o.lines, line{p: p, q: q})
	}
	return n
}

// along reports whether two lines run together: within Rim of one another over
// more than that, with board on the same side. By tolerance: creases that are to
// lie on one another do so within rounding, those that are not keep a caliper
// apart or more, and Rim lies between.
func (l *line) along(m *line) bool {
	u, length := l.q.Sub(l.p).Unit(), l.q.Dist(l.p)
	if v := m.q.Sub(m.p); u.Dot(v) <= 0 {
		return false
	}
	// Offsets across l and places along it, by the dot and cross products with its direction.
	from, to := m.p.Sub(l.p), m.q.Sub(l.p)
	if max(math.Abs(u.Cross(from)), math.Abs(u.Cross(to))) > Rim {
		return false
	}
	return min(length, u.Dot(to))-max(0, u.Dot(from)) > Rim
}

// findCrossed finds the facets that run on over each line: with board more than
// Rim to either side of more than Rim of it. What facets of one panel do is found
// once for each group of coincident panels.
// For l lines and n chords in the groups of the stack it takes some l·n steps.
func (o *ordering) findCrossed() {
	plane := &o.plates[o.stack.plane]
	// Coincident panels run on over the same lines: 0 not looked at, +1 yes, −1 no.
	known := make([]int8, len(o.layers.groups.members)) // by group, of one line
	loops := make([][][]geom.Point, len(o.plates))
	for _, i := range o.stack.Panels {
		m := o.plates[i].onto(plane)
		for _, loop := range o.plates[i].body.Loops {
			loops[i] = append(loops[i], laid(loop, m))
		}
	}
	for n := range o.lines {
		l := &o.lines[n]
		clear(known)
		for f := range o.facets {
			panels := o.facets[f].panels
			g := o.layers.groups.of[panels[0]]
			if len(panels) == 1 && known[g] != 0 {
				if known[g] > 0 {
					l.crossed = append(l.crossed, int32(f))
				}
				continue
			}
			is := l.crosses(panels, loops)
			if is {
				l.crossed = append(l.crossed, int32(f))
			}
			if len(panels) == 1 {
				known[g] = signOf(is)
			}
		}
	}
}

// crosses reports whether the board of some panels runs on over the line: parallels
// Rim to its left and to its right share a stretch of board as long as that. By
// tolerance, so that a rim that lies on the crease, as that of a panel hinged there,
// does not run on over it.
// loops are by panel, in the frame of the stack's plane, counter-clockwise.
func (l *line) crosses(panels []int, loops [][][]geom.Point) bool {
	u := l.q.Sub(l.p).Unit()
	// A quick look: board on one side of the line only cannot run on over it.
	low, high := math.Inf(1), math.Inf(-1)
	for _, i := range panels {
		for _, loop := range loops[i] {
			for _, q := range loop {
				off := u.Cross(q.Sub(l.p))
				low, high = min(low, off), max(high, off)
			}
		}
	}
	if low > -Rim || high < Rim {
		return false
	}
	beside := func(by float64) (out []Stretch) {
		for _, i := range panels {
			out = append(out, Along(loops[i], l.p.Add(u.Left().Mul(by)), u)...)
		}
		slices.SortFunc(out, func(a, b Stretch) int {
			if a.From < b.From {
				return -1
			}
			return 1
		})
		return out
	}
	// Board on both parallels over the same stretch; that it has none between is not looked for, as
	// a window narrower than two rims leaves the board in one.
	for _, s := range common(common(beside(Rim), beside(-Rim)), []Stretch{{0, l.p.Dist(l.q)}}) {
		if s.Length() > Rim {
			return true
		}
	}
	return false
}

// demand gives the signs that are demanded of m; false when they contradict one
// another, unless the ordering is soft.
// In what order the demands are made does not change whether all can be met: signs and
// equalities are collected, and propagate closes over equalities found after a sign.
// In a soft ordering the earlier of two that contradict holds and the later is
// passed over, so the order decides which is named.
func (o *ordering) demand() bool {
	o.conflicting = false
	o.demandFacts()
	o.demandBonds()
	o.demandCreases()
	o.demandWalls()
	o.propagate()
	return o.soft || !o.conflicting
}

// constrain demands a sign for a reason.
// A demand on a facet that is not placed yet or shares no cell with m is left out
// here; it is made again when the later of the two is placed. A refused sign leaves
// no trace.
func (o *ordering) constrain(q int32, inside bool, j *model.Join, h *model.Hinge) {
	if !o.shared(q) {
		return
	}
	if mark := len(o.assigned); !o.assign(q, signOf(inside)) {
		o.retract(mark)
		o.conflict(q, j, h)
	}
}

// conflict books a demand that cannot be met; the first of a soft ordering is
// told.
// Either j or h is the reason, or neither where the pose itself is.
func (o *ordering) conflict(q int32, j *model.Join, h *model.Hinge) {
	if o.conflicting = true; o.soft && o.tangled == nil {
		o.tangled = &Tangle{o.facets[o.m].panels[0], o.facets[q].panels[0], j, h}
	}
}

// propagate gives signs that are to be alike where one of them was given before
// that was said. Once is enough: what a given sign entails goes through all links
// that are there by then.
func (o *ordering) propagate() {
	// An equality found after one of its two got a sign has not been followed yet. Where both have,
	// they must agree.
	for _, l := range o.equalities {
		switch {
		case o.sign[l.a]*o.sign[l.b] < 0:
			o.conflict(l.a, l.join, l.hinge)
		case o.sign[l.a] != 0:
			o.constrain(l.b, o.sign[l.a] > 0, l.join, l.hinge)
		case o.sign[l.b] != 0:
			o.constrain(l.a, o.sign[l.b] > 0, l.join, l.hinge)
		}
	}
}

// demandFacts gives what the pose says itself: planes more than half a caliper
// apart, and panels folded on one another.
func (o *ordering) demandFacts() {
	for _, f := range o.facts {
		// The facet placed last gets the demand, seen from its side.
		if f.a == o.m {
			o.constrain(f.b, f.inside, nil, nil)
		} else if f.b == o.m {
			o.constrain(f.a, !f.inside, nil, nil)
		}
	}
	for _, q := range o.others {
		if inside, ok := o.height(o.m, q, o.caliper/2); ok && !o.goesBetween(q) && !o.foldedBy(q) {
			o.constrain(q, inside, nil, nil)
		}
	}
}

// goesBetween reports whether m is a tongue and q its target, or the other way
// round: the join says on which side it comes out, whatever its plane.
func (o *ordering) goesBetween(q int32) bool {
	return slices.ContainsFunc(o.bonds, func(b bond) bool {
		return (b.a == o.m && b.b == q || b.a == q && b.b == o.m) && o.goesThrough(b.join)
	})
}

// foldedBy reports whether the pose names panels of both m and q in an order of
// folding, and their planes are so near that folding decides: within a caliper.
// A distance of one caliper exactly still counts as near.
func (o *ordering) foldedBy(q int32) bool {
	if _, far := o.height(o.m, q, o.caliper+geom.SnapTolerance); far {
		return false
	}
	return o.named(o.m) && o.named(q)
}

// named reports whether the pose's order of folding names a panel of a facet.
func (o *ordering) named(q int32) bool {
	return slices.ContainsFunc(o.Pose.Pose.Order, func(p *model.Panel) bool { return o.of[o.index[p]] == q })
}

// demandBonds keeps joined facets next to one another on the side that is named.
func (o *ordering) demandBonds() {
	for _, b := range o.bonds {
		switch o.m {
		case b.a:
			o.constrain(b.b, b.inside, b.join, nil)
			o.keepAdjacent(b.b, b)
		case b.b:
			o.constrain(b.a, !b.inside, b.join, nil)
			o.keepAdjacent(b.a, b)
		default:
			// A third facet lies outside both of a join or inside both: between them is nothing.
			if !o.sameTarget(o.m, b) && o.meetIn(o.m, b.a, b.b) {
				o.equate(b.a, b.b, b.join, nil)
			}
		}
	}
}

// keepAdjacent puts m on the same side of all others as a facet it is joined to.
// Only where to was placed before m: otherwise it is asked the other way round.
func (o *ordering) keepAdjacent(to int32, b bond) {
	if to > o.m {
		return
	}
	for _, q := range o.others {
		// What holds of to holds of m, where all three lie over one spot.
		if q != to && !o.sameTarget(q, b) && o.meetIn(o.m, to, q) {
			o.constrain(q, o.isOuter(q, to), b.join, nil)
		}
	}
}

// sameTarget reports whether a facet is joined to the target of a bond as well, on
// the same side: one of the two has to give way.
func (o *ordering) sameTarget(q int32, b bond) bool {
	return slices.ContainsFunc(o.bonds, func(c bond) bool { return c.a == q && c.b == b.b && c.inside == b.inside })
}

// meetIn reports whether three facets share a cell.
// Cells' facets are sorted, so that each look is a binary search; only cells that
// are part of no other are looked at, which hold all the others.
func (o *ordering) meetIn(a, b, c int32) bool {
	for _, n := range o.with[a] {
		_, onB := slices.BinarySearch(o.cells[n], b)
		_, onC := slices.BinarySearch(o.cells[n], c)
		if onB && onC {
			return true
		}
	}
	return false
}

// demandCreases keeps boards out of creases. Of the two facets of a crease and one
// that runs on over it, the last to be placed gets the demand: the one that runs
// on lies on the same side of both, and the second of the crease on that side of
// the one that runs on where the first lies.
func (o *ordering) demandCreases() {
	for k, c := range o.creases {
		a, b := min(c.a, c.b), max(c.a, c.b)
		switch {
		case b < o.m:
			if _, over := slices.BinarySearch(o.lines[c.line].crossed, o.m); over {
				o.equate(a, b, nil, c.hinge)
			}
		case b == o.m:
			// m is the second of the crease: it goes to that side of q where the first lies.
			for _, q := range o.lines[c.line].crossed {
				if q != a && q < o.m && o.meetPair(q, a) {
					o.constrain(q, o.isOuter(q, a), nil, c.hinge)
				}
			}
			o.nest(k, a)
		}
	}
}

// nest keeps the crease of a and m apart from those along the same line: both
// lie between the panels of another, or none.
// k is the number of the crease of a and m. The literature on flat folding calls this
// the taco-taco condition, and that of demandCreases the taco-tortilla condition.
func (o *ordering) nest(k int, a int32) {
	// With c.a and c.b on different sides of a, m has to lie between them too; with
	// both on one side, m lies outside both or inside both.
	for n, c := range o.creases {
		if n == k || max(c.a, c.b) >= o.m || c.a == a || c.b == a || !slices.Contains(o.lines[o.creases[k].line].beside, c.line) {
			continue
		}
		if !o.meetPair(a, c.a) || !o.meetPair(a, c.b) {
			continue
		}
		if o.isOuter(c.a, a) == o.isOuter(c.b, a) {
			o.equate(c.a, c.b, nil, c.hinge)
		} else {
			o.constrain(c.a, o.isOuter(c.a, a), nil, c.hinge)
			o.constrain(c.b, o.isOuter(c.b, a), nil, c.hinge)
		}
	}
}

// meetPair reports whether two facets share a cell.
func (o *ordering) meetPair(a, b int32) bool { return o.meetIn(a, b, b) }

// demandWalls keeps boards out of walls, and walls out of folds: a wall that hangs
// on a facet along the line of a crease would lead through it if the facet lay
// between the crease's two.
func (o *ordering) demandWalls() {
	for _, w := range o.walls {
		crossed := o.lines[w.line].crossed
		if w.facet == o.m {
			// A wall that leads inward bars all that is further in: what runs on over it lies outside
			// its facet.
			for _, q := range crossed {
				o.constrain(q, w.inward, nil, w.hinge)
			}
		} else if w.facet < o.m {
			if _, over := slices.BinarySearch(crossed, o.m); over {
				o.constrain(w.facet, !w.inward, nil, w.hinge)
			}
		}
	}
	for _, e := range o.enclosures[o.m] {
		if f := e.facet; f == o.m {
			o.equate(e.a, e.b, nil, e.hinge)
		} else if o.meetPair(f, e.a) {
			o.constrain(f, o.isOuter(f, e.a), nil, e.hinge)
		}
	}
}
