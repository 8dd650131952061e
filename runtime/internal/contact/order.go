package contact

import (
	"cmp"
	"context"
	"slices"

	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/disjoint"
	"github.com/creasewright/creasewright/runtime/model"
)

// facet is the panels of a stack that continue one another over hinges that are
// flat in the pose: they leave the plane together and have one place in it. A
// tongue is a facet of its own, since it goes through to the other side of its
// target.
// panels are in order of making.
type facet struct {
	panels []int
	up     bool    // its outside looks out of the stack
	slots  []int32 // its places in cells, once it is in order
}

// slot is a facet's place in the order of a cell.
type slot struct {
	facet, cell int32
	outer, next int32 // slots next to it, −1 at the ends
}

// ordering puts the facets of one stack in order, one after the other as they
// fold. Of facet m and each one before it that shares a cell with it, a sign
// says whether m lies inside. Within a cell the signs are monotone: m inside of
// a facet is inside of all that lie outside that one. With the creases, the
// joins and the folding order every demand is then either a sign that is given
// or two signs that are alike, and what follows from a sign is found by
// following such links, without search. A wish that cannot be had is passed
// over; only a demand that cannot be met sends the search back to an earlier
// wish.
//
// Signs and ranks are integers, so all of this is exact. What is by tolerance is
// said where lengths make demands and wishes of it: line, crosses, height, approach.
type ordering struct {
	*Posed
	stack  *Stack
	facets []facet   // as they fold
	of     []int32   // by panel, its facet; −1 outside the stack
	all    [][]int32 // by cell of the stack, its facets
	cells  [][]int32 // of these, those that are part of no other
	spots  []geom.Point
	part   []int32   // by cell of the stack, the one of cells that it is part of
	with   [][]int32 // by facet, the cells of cells it is in
	demands
	when    []int       // by panel, when it folds
	asMade  bool        // as they were made
	heights [][]float64 // by cell of the stack, over the plane at samples of it, for its facets; nil where all are level
	uneven  [][]int32   // by facet, the cells of the stack that have heights

	slots []slot
	head  []int32  // outermost slot of each cell
	outer []uint64 // bit matrix: facet a lies outside b; meant for facets that share a cell

	insertion
}

// insertion is the placing of one facet.
// sign, equal and shares are by facet and as long as facets; all signs are 0 and all of
// equal empty between two placings (end).
type insertion struct {
	m           int32
	soft        bool    // demands that cannot be met are passed over
	sign        []int8  // by facet: +1 when m lies inside it, −1 outside, 0 not yet said
	turn        int32   // counts the placings
	shares      []int32 // by facet: the last placing of one that it shares a cell with
	here        []int32 // by cell: the last placing of one that is in it
	equal       [][]int32
	equalities  []equality // what the entries in equal come from
	assigned    []int32    // signs given, in order
	others      []int32    // facets that share a cell with m
	queue       []int32
	conflicting bool    // a demand could not be met
	tangled     *Tangle // the first of them in a soft ordering
}

// equality is two facets whose signs are to be the same, and why.
type equality struct {
	a, b  int32
	join  *model.Join
	hinge *model.Hinge
}

// backtracks bounds the search: how many facets are placed anew before it is
// given up. Stacks that can be ordered at all hardly ever take one.
const backtracks = 4000

// order puts the stacks of the pose in order.
func (p *Posed) order(ctx context.Context) error {
	p.Levels = make([]Level, len(p.plates))
	for i := range p.Levels {
		p.Levels[i] = Level{Stack: -1, Out: p.plates[i].normal}
	}
	// Stacks share no cells, so each is put in order by itself.
	for _, panels := range p.stacks() {
		s := Stack{Panels: panels, Out: p.plates[panels[0]].normal, plane: panels[0]}
		var err error
		if s.Cells, err = p.cells(ctx, panels); err != nil {
			return err
		}
		o := p.newOrdering(&s)
		if err := o.solve(ctx); err != nil {
			return err
		}
		o.finish(len(p.Stacks))
		s.Held = p.held(&s)
		p.Stacks = append(p.Stacks, s)
	}
	p.findPlaces()
	return nil
}

// stacks lists the panels of each stack of two or more that lie on one another,
// in order of making.
// Panels are connected by common ground and by hinges that are flat in the pose; of the
// components those count in which some panels share ground.
func (p *Posed) stacks() [][]int {
	sets := disjoint.New(len(p.plates))
	for _, m := range p.layers.groups.members {
		for _, i := range m[1:] {
			sets.Join(m[0], i)
		}
	}
	for _, g := range p.layers.grounds {
		sets.Join(g.first, g.second)
	}
	covered := make([]bool, len(p.plates)) // by first of the stack, whether panels lie on one another in it
	for i := range p.layers.grounds {
		covered[sets.First(p.layers.grounds[i].first)] = true
	}
	for k, h := range p.Piece.Hinges {
		i, j := p.index[h.Parent], p.index[h.Child]
		if p.isFlat(k) && p.plates[i].ok && p.plates[j].ok {
			on := covered[sets.First(i)] || covered[sets.First(j)]
			sets.Join(i, j)
			covered[sets.First(i)] = on
		}
	}
	byFirst := make([][]int, len(p.plates))
	for i := range p.plates {
		if p.plates[i].ok {
			byFirst[sets.First(i)] = append(byFirst[sets.First(i)], i)
		}
	}
	var out [][]int
	for i, s := range byFirst {
		if len(s) > 1 && covered[i] {
			out = append(out, s)
		}
	}
	return out
}

// flatTurn is the fold angle, in degrees, up to which a hinge counts as not folded.
const flatTurn = 0.01

// isFlat reports whether a hinge is not folded in the pose, so that the panels
// beside it are one board.
func (p *Posed) isFlat(hinge int) bool {
	turn := p.Pose.Angles[hinge]
	return turn.OK && turn.Degrees.Abs() <= flatTurn
}

// newOrdering gathers what the order of a stack depends on: its facets, which of them share cells,
// their heights, and what the pose, the joins and the hinges demand. Nothing in it changes while
// facets are placed but slots, head, outer and the insertion.
func (p *Posed) newOrdering(s *Stack) *ordering {
	o := &ordering{Posed: p, stack: s, of: make([]int32, len(p.plates))}
	o.findFacets()
	n := len(o.facets)
	o.all = make([][]int32, len(s.Cells))
	for c := range s.Cells {
		for _, i := range s.Cells[c].Panels {
			o.all[c] = append(o.all[c], o.of[i])
		}
		slices.Sort(o.all[c])
		o.all[c] = slices.Compact(o.all[c])
	}
	o.maximal(n)
	o.head, o.here, o.with = make([]int32, len(o.cells)), make([]int32, len(o.cells)), make([][]int32, n)
	for c, in := range o.cells {
		o.head[c] = -1
		for _, f := range in {
			o.with[f] = append(o.with[f], int32(c))
		}
	}
	// n² bits rather than n² bytes: stacks of some thousand panels occur.
	o.outer = make([]uint64, (n*n+63)/64)
	o.sign, o.shares, o.equal = make([]int8, n), make([]int32, n), make([][]int32, n)
	o.sample()
	o.findDemands()
	return o
}

// maximal finds the cells whose facets are not all in one other cell: an order of
// those orders all. Cells are compared as sets of bits, larger ones first.
// For c cells, k of them maximal, and n facets it takes c·k·n/64 steps at most.
func (o *ordering) maximal(n int) {
	words := (n + 63) / 64
	bySize := make([]int, len(o.all))
	for c := range bySize {
		bySize[c] = c
	}
	// The larger ones first, so that a cell is compared only with those that could hold it.
	slices.SortStableFunc(bySize, func(a, b int) int { return cmp.Compare(len(o.all[b]), len(o.all[a])) })
	o.part = make([]int32, len(o.all))
	var sets [][]uint64
	for _, c := range bySize {
		// A cell is part of another when no bit of its set is missing there.
		bits := make([]uint64, words)
		for _, f := range o.all[c] {
			bits[f/64] |= 1 << (f % 64)
		}
		within := func(set []uint64) bool {
			for w := range bits {
				if bits[w]&^set[w] != 0 {
					return false
				}
			}
			return true
		}
		k := slices.IndexFunc(sets, within)
		if k < 0 {
			k = len(sets)
			o.stack.Cells[c].whole = true
			sets, o.cells, o.spots = append(sets, bits), append(o.cells, o.all[c]), append(o.spots, o.stack.Cells[c].Spot)
		}
		o.part[c] = int32(k)
	}
}

// findFacets joins panels over flat hinges, those of tongues aside, and sorts the facets as they fold.
func (o *ordering) findFacets() {
	sets := disjoint.New(len(o.plates))
	for i := range o.of {
		o.of[i] = -1
	}
	for _, i := range o.stack.Panels {
		o.of[i] = 0
	}
	tongues := map[*model.Hinge]bool{}
	for _, j := range o.Piece.Joins {
		if o.goesThrough(j) && o.Requires(j) {
			tongues[j.A.Panel.Hang] = true
		}
	}
	for k, h := range o.Piece.Hinges {
		i, j := o.index[h.Parent], o.index[h.Child]
		if o.of[i] == 0 && o.of[j] == 0 && o.isFlat(k) && !tongues[h] {
			sets.Join(i, j)
		}
	}
	at := map[int]int{}
	for _, i := range o.stack.Panels {
		r := sets.First(i)
		if _, ok := at[r]; !ok {
			at[r] = len(o.facets)
			o.facets = append(o.facets, facet{up: o.plates[r].normal.Dot(o.stack.Out) > 0})
		}
		f := &o.facets[at[r]]
		f.panels = append(f.panels, i)
	}
	o.when, o.asMade = o.folding(), len(o.Pose.Pose.Order) == 0
	// A facet folds with the panel of it that was made first, on which the others hang. Ties do not
	// occur: when is a permutation.
	slices.SortStableFunc(o.facets, func(a, b facet) int { return cmp.Compare(o.when[a.panels[0]], o.when[b.panels[0]]) })
	for n, f := range o.facets {
		for _, i := range f.panels {
			o.of[i] = int32(n)
		}
	}
}

// isOuter reports whether facet a, which shares a cell with b, lies outside it.
// It holds for facets that are both placed, and means nothing for others.
func (o *ordering) isOuter(a, b int32) bool {
	k := int(a)*len(o.facets) + int(b)
	// Bit k%64 of word k/64.
	return o.outer[k/64]>>(k%64)&1 == 1
}

// setOuter books whether facet a lies outside b.
func (o *ordering) setOuter(a, b int32, is bool) {
	k := int(a)*len(o.facets) + int(b)
	if is {
		o.outer[k/64] |= 1 << (k % 64)
	} else {
		o.outer[k/64] &^= 1 << (k % 64)
	}
}

// solve places the facets as they fold, each where it meets all demands and as
// many wishes as can be had, earlier wishes first. Where a facet has no place,
// the last wish before it that could be given up is, so that what is found first
// is the best order in this sense.
// A soft ordering always ends: it has no demand that fails, so every placing succeeds.
func (o *ordering) solve(ctx context.Context) error {
	// Chronological backtracking over wishes: kept is the stack of choices. Demands are no choices,
	// and their propagation is complete within a placing, so that a placing that fails has none of
	// its own to take back.
	kept := make([][]bool, len(o.facets)) // by facet: of its wishes that could be given up, those that were granted
	left := backtracks
	for m := 0; m < len(o.facets); {
		if err := ended(ctx); err != nil {
			return err
		}
		var ok bool
		if kept[m], ok = o.place(int32(m), kept[m]); ok {
			if m++; m < len(kept) {
				kept[m] = nil
			}
			continue
		}
		// Back to the last facet with a wish that could be given up.
		for left--; m > 0; {
			m--
			o.remove(int32(m))
			w := kept[m]
			// Wishes already given up have been tried both ways.
			for len(w) > 0 && !w[len(w)-1] {
				w = w[:len(w)-1]
			}
			if kept[m] = w; len(w) > 0 {
				w[len(w)-1] = false
				break
			}
		}
		// No order meets all demands, or none was found in time: begin anew and
		// pass over those that cannot be met.
		if m == 0 && len(kept[0]) == 0 || left == 0 {
			for ; m > 0; m-- {
				o.remove(int32(m - 1))
			}
			o.soft, o.tangled = true, nil
			for i := range kept {
				kept[i] = nil
			}
		}
	}
	return nil
}

// place puts facet m into the order of its cells. granted says of the first
// wishes that could be given up which are granted; the result says it of all.
// ok is false when demands cannot be met together.
// Within a placing a wish costs a walk over what follows from its sign, up to three
// times; all is undone but what insert writes.
func (o *ordering) place(m int32, granted []bool) (all []bool, ok bool) {
	o.begin(m)
	defer o.end()
	if !o.demand() {
		return granted, false
	}
	// A wish is granted when what follows from it contradicts nothing. It could be
	// given up when its contrary holds as well; only such are booked in all.
	wish := func(q int32, inside bool) {
		if o.sign[q] != 0 {
			return
		}
		want := signOf(inside)
		mark := len(o.assigned)
		if len(all) < len(granted) && !granted[len(all)] {
			want = -want
		}
		if !o.assign(q, want) {
			o.retract(mark)
			o.assign(q, -want)
			return
		}
		o.retract(mark)
		// Could it be given up? Only if its contrary contradicts nothing either; else the wish
		// follows from demands and is no choice.
		free := o.assign(q, -want)
		o.retract(mark)
		o.assign(q, want)
		if free {
			all = append(all, want == signOf(inside))
		}
	}
	// Heights first, then folding. Of each the facets that folded last come first: of wishes that
	// contradict one another, that about the fold nearest in time holds.
	for k := len(o.others) - 1; k >= 0; k-- {
		if inside, ok := o.height(m, o.others[k], geom.SnapTolerance); ok && !o.foldedBy(o.others[k]) {
			wish(o.others[k], inside)
		}
	}
	for k := len(o.others) - 1; k >= 0; k-- {
		if q := o.others[k]; o.sign[q] == 0 {
			wish(q, o.landsInside(m, q))
		}
	}
	o.insert(m)
	return all, true
}

// signOf is the sign of a facet that m lies inside of, or outside.
func signOf(inside bool) int8 {
	if inside {
		return 1
	}
	return -1
}

// begin finds the facets that share a cell with m.
func (o *ordering) begin(m int32) {
	o.m, o.others, o.assigned = m, o.others[:0], o.assigned[:0]
	// Marks of earlier placings are told by their turn, so that nothing has to be cleared.
	o.turn++
	for _, c := range o.with[m] {
		o.here[c] = o.turn
		// Facets of a cell are sorted, and those from m on are not placed yet.
		for _, q := range o.cells[c] {
			if q >= m {
				break
			}
			if o.shares[q] != o.turn {
				o.shares[q] = o.turn
				o.others = append(o.others, q)
			}
		}
	}
	slices.Sort(o.others)
}

// end forgets the signs.
func (o *ordering) end() {
	o.retract(0)
	for _, l := range o.equalities {
		o.equal[l.a], o.equal[l.b] = o.equal[l.a][:0], o.equal[l.b][:0]
	}
	o.equalities = o.equalities[:0]
}

// shared reports whether a facet placed before shares a cell with m.
func (o *ordering) shared(q int32) bool { return q < o.m && o.shares[q] == o.turn }

// equate demands that the signs of two facets be alike, for a reason.
func (o *ordering) equate(a, b int32, j *model.Join, h *model.Hinge) {
	if !o.shared(a) || !o.shared(b) {
		return
	}
	o.equal[a], o.equal[b] = append(o.equal[a], b), append(o.equal[b], a)
	o.equalities = append(o.equalities, equality{a, b, j, h})
}

// assign gives a sign and all that follow from it; false when one of them has been
// given otherwise.
// When it fails, the signs given on the way stay; the caller retracts to its mark.
func (o *ordering) assign(q int32, sign int8) bool {
	if !o.shared(q) {
		return true
	}
	if o.sign[q] != 0 {
		return o.sign[q] == sign
	}
	// What follows: +1 for all that lie outside q, −1 for all inside, along the
	// slots of the cells that m is in, and the same sign for what is linked.
	give := func(q int32) bool {
		switch o.sign[q] {
		case sign:
			return true
		case 0:
			o.sign[q] = sign
			o.assigned = append(o.assigned, q)
			o.queue = append(o.queue, q)
			return true
		}
		return false
	}
	o.queue = o.queue[:0]
	give(q)
	// Breadth does not matter: the closure is the same in any order. Each facet enters the queue
	// once, and looks at one neighbour for each cell that it shares with m and at its equalities.
	for len(o.queue) > 0 {
		q := o.queue[len(o.queue)-1]
		o.queue = o.queue[:len(o.queue)-1]
		for _, s := range o.facets[q].slots {
			if o.here[o.slots[s].cell] != o.turn {
				continue
			}
			to := o.slots[s].outer
			if sign < 0 {
				to = o.slots[s].next
			}
			if to >= 0 && !give(o.slots[to].facet) {
				return false
			}
		}
		for _, r := range o.equal[q] {
			if !give(r) {
				return false
			}
		}
	}
	return true
}

// retract takes back the signs given since the trail was so long.
// mark is a length of assigned, as it was before the signs to take back.
func (o *ordering) retract(mark int) {
	for _, q := range o.assigned[mark:] {
		o.sign[q] = 0
	}
	o.assigned = o.assigned[:mark]
}

// insert puts m into its cells, where its signs change: all that lie outside it
// have sign +1 and come first, which the links followed by assign have made sure of.
// An order stays a total order of each cell: the signs in it are +1 down to some facet
// and −1 from there on.
func (o *ordering) insert(m int32) {
	// Whoever shares a cell with m has a sign by now, as every wish gives one.
	for _, q := range o.others {
		o.setOuter(q, m, o.sign[q] > 0)
		o.setOuter(m, q, o.sign[q] < 0)
	}
	for _, c := range o.with[m] {
		// Walk inward over the facets that m lies inside of; m goes before the first other one.
		outer, next := int32(-1), o.head[c]
		for next >= 0 && o.sign[o.slots[next].facet] > 0 {
			outer, next = next, o.slots[next].next
		}
		s := int32(len(o.slots))
		o.slots = append(o.slots, slot{m, c, outer, next})
		o.facets[m].slots = append(o.facets[m].slots, s)
		o.join(c, outer, s)
		o.join(c, s, next)
	}
}

// join makes two slots of cell c neighbours; −1 is its end.
func (o *ordering) join(c, outer, next int32) {
	if outer >= 0 {
		o.slots[outer].next = next
	} else {
		o.head[c] = next
	}
	if next >= 0 {
		o.slots[next].outer = outer
	}
}

// remove takes the facet that was placed last out again.
func (o *ordering) remove(m int32) {
	// Slots of the facet placed last are the last ones, so that they can be cut off the list.
	for _, s := range slices.Backward(o.facets[m].slots) {
		o.join(o.slots[s].cell, o.slots[s].outer, o.slots[s].next)
	}
	o.slots = o.slots[:len(o.slots)-len(o.facets[m].slots)]
	o.facets[m].slots = o.facets[m].slots[:0]
}
