package nest

import (
	"cmp"
	"context"
	"math"
	"slices"
)

// Effort bounds the work of laying copies; work is counted, so that results are
// the same everywhere.
type Effort struct {
	Lattice float64 // crossings of sides looked at for each row and pair of copies
	Fills   int     // lattices whose sheets are filled up
	Looks   int     // places looked at to fit in one more copy, in all
}

// DefaultEffort takes some seconds for a blank of a hundred curves.
func DefaultEffort() Effort { return Effort{Lattice: 5e5, Fills: 6, Looks: 3e6} }

// Copies lays as many copies of a part as it can on a sheet of a width and height in
// mm: lattices in all turns that are allowed, the best of them filled up, and then
// one more copy at a time as long as one can be made to fit. Part.Count is the most that
// are laid, 0 for no bound.
func Copies(ctx context.Context, part Part, width, height float64, effort Effort) (Layout, error) {
	if tooMany(width, height, part.area) {
		return Layout{}, ErrTooMany
	}
	j, err := newJob(ctx, []Part{part})
	if err != nil {
		return Layout{}, err
	}
	sheet := sheetOf(width, height)
	best, err := j.bestLattice(ctx, sheet, effort)
	if err != nil {
		return Layout{}, err
	}
	if len(best) == 0 {
		return Layout{}, ErrNoFit
	}
	most := int(float64(sheet.hi.x) * float64(sheet.hi.y) / (part.area * perMM * perMM))
	if part.Count > 0 {
		most = min(most, part.Count)
	}
	best = j.oneMore(ctx, sheet, best, most, effort.Looks)
	if ctx.Err() != nil {
		return Layout{}, context.Cause(ctx)
	}
	if len(best) > most {
		best = best[:most]
	}
	return Layout{placements(best), width, height}, nil
}

// Grid is how many copies of a part lie in rows and columns of boxes, in the better
// of the turns that are allowed: what a layout is compared with.
func Grid(part Part, width, height float64) int {
	sheet := sheetOf(width, height)
	best := 0
	for _, turn := range part.Turns {
		b := part.box.turned(turn)
		best = max(best, int(sheet.hi.x/(b.hi.x-b.lo.x)*(sheet.hi.y/(b.hi.y-b.lo.y))))
	}
	return best
}

// onSheet is copies on the sheet, from a lattice.
type onSheet struct {
	at []laid
	by lattice
}

// bestLattice is the sheet with the most copies from any lattice, filled up: of the lattices in all turns, and
// plain rows of boxes, those that bring most copies onto the sheet by themselves are filled, since filling costs more.
func (j *job) bestLattice(ctx context.Context, sheet bounds, effort Effort) ([]laid, error) {
	var options []onSheet
	found := lattices(ctx, j, 0, effort.Lattice)
	if ctx.Err() != nil {
		return nil, context.Cause(ctx)
	}
	seen := map[int]bool{}
	for _, turn := range j.parts[0].Turns {
		quarter := (turn - j.parts[0].Turns[0]) & 3
		if seen[quarter&1] {
			continue // half turns of a lattice are laid too by moving it
		}
		seen[quarter&1] = true
		b := j.parts[0].box.turned(turn)
		size := b.hi.sub(b.lo)
		options = append(options, onSheet{by: lattice{[]laid{{turn: turn}}, vec{size.x, 0}, vec{0, size.y}, size.x * size.y}})
		for _, l := range found {
			options = append(options, onSheet{by: l.turned(quarter)})
		}
	}
	for i := range options {
		if ctx.Err() != nil {
			return nil, context.Cause(ctx)
		}
		options[i].at = j.placed(options[i].by, sheet)
	}
	slices.SortStableFunc(options, func(a, b onSheet) int { return cmp.Compare(len(b.at), len(a.at)) })
	var best []laid
	for _, o := range options[:min(len(options), effort.Fills)] {
		if at, err := j.filled(ctx, sheet, o.at); err != nil {
			return nil, err
		} else if len(at) > len(best) {
			best = at
		}
	}
	return best, nil
}

// turned is the lattice turned by quarters.
func (l lattice) turned(quarters int) lattice {
	out := lattice{u: l.u.turned(quarters), v: l.v.turned(quarters), det: l.det}
	for _, c := range l.motif {
		out.motif = append(out.motif, laid{c.part, (c.turn + quarters) & 3, c.at.turned(quarters)})
	}
	return out
}

// placed is as many copies of a lattice as a sheet takes. Moved to the left and
// then down as far as it goes with no copy lost, a copy touches the left side and one the lower
// side: so only those places of the lattice are looked at.
func (j *job) placed(l lattice, sheet bounds) []laid {
	// Where the motif may stand for its copy i to lie on the sheet.
	rooms := make([]bounds, len(l.motif))
	for i, c := range l.motif {
		rooms[i] = j.room(c.part, c.turn, sheet)
		rooms[i] = rooms[i].shifted(c.at.neg())
	}
	bestCount, bestAt := -1, vec{}
	reach := sheet.hi.sub(sheet.lo)
	span := max(reach.x, reach.y)
	for m := range rooms {
		if rooms[m].empty() {
			continue
		}
		for n := range rooms {
			if rooms[n].empty() {
				continue
			}
			tried := map[int64]bool{}
			l.each(bounds{vec{-span, -span}, vec{span, span}}, func(t vec) {
				// A copy m at the left side, the copy n that lies at t beside it at the lower side.
				at := vec{rooms[m].lo.x, rooms[n].lo.y - t.y}
				if at.y < rooms[m].lo.y || at.y > rooms[m].hi.y || at.x+t.x < rooms[n].lo.x || at.x+t.x > rooms[n].hi.x || tried[at.y] {
					return
				}
				tried[at.y] = true
				count := 0
				for i := range rooms {
					count += l.count(rooms[i].shifted(at.neg()))
				}
				if count > bestCount {
					bestCount, bestAt = count, at
				}
			})
		}
	}
	var out []laid
	for i, c := range l.motif {
		if bestCount > 0 {
			l.each(rooms[i].shifted(bestAt.neg()), func(t vec) {
				out = append(out, laid{c.part, c.turn, c.at.add(bestAt).add(t)})
			})
		}
	}
	slices.SortFunc(out, func(a, b laid) int {
		return cmp.Or(cmp.Compare(a.at.y, b.at.y), cmp.Compare(a.at.x, b.at.x))
	})
	return out
}

// each visits the points k·u + l·v in a box.
func (l lattice) each(box bounds, visit func(vec)) {
	l.rows(box, func(at vec, from, to int64) {
		for k := from; k <= to; k++ {
			visit(at.add(l.u.mul(k)))
		}
	})
}

// count is how many points each would visit.
func (l lattice) count(box bounds) (n int) {
	l.rows(box, func(_ vec, from, to int64) { n += int(max(to-from+1, 0)) })
	return n
}

// rows visits the rows at + k·u of points in a box, with the first and the last k.
func (l lattice) rows(box bounds, visit func(at vec, from, to int64)) {
	if box.empty() {
		return
	}
	// With t = k·u + l·v, u × t = l · (u × v).
	det := float64(l.u.cross(l.v))
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, c := range [...]vec{box.lo, box.hi, {box.lo.x, box.hi.y}, {box.hi.x, box.lo.y}} {
		r := float64(l.u.cross(c)) / det
		lo, hi = min(lo, r), max(hi, r)
	}
	for row := int64(math.Ceil(lo - 1e-9)); float64(row) <= hi+1e-9; row++ {
		at := l.v.mul(row)
		from, to := ranges(l.u.x, box.lo.x-at.x, box.hi.x-at.x)
		f2, t2 := ranges(l.u.y, box.lo.y-at.y, box.hi.y-at.y)
		visit(at, max(from, f2), min(to, t2))
	}
}

// ranges is the whole numbers k with lo ≤ k·step ≤ hi, from > to where there are none. For a step of 0
// every k will do or none; the other coordinate's range bounds it then.
func ranges(step, lo, hi int64) (from, to int64) {
	switch {
	case step == 0 && lo <= 0 && hi >= 0:
		return math.MinInt32, math.MaxInt32
	case step == 0:
		return 0, -1
	case step < 0:
		return ranges(-step, -hi, -lo)
	}
	return ceilDiv(lo, step), -ceilDiv(-hi, step)
}

// ceilDiv is a / b rounded up, for b > 0.
func ceilDiv(a, b int64) int64 {
	q := a / b
	if a%b > 0 {
		q++
	}
	return q
}
