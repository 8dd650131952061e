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
	j, err := newJob(ctx, []Part{part})
	if err != nil {
		return Layout{}, err
	}
	sheet := bounds{hi: vec{int64(math.Floor(width*perMM + 1e-6)), int64(math.Floor(height*perMM + 1e-6))}}
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
	sheet := bounds{hi: vec{int64(math.Floor(width*perMM + 1e-6)), int64(math.Floor(height*perMM + 1e-6))}}
	best := 0
	for _, turn := range part.Turns {
		b := part.bounds.turned(turn)
		best = max(best, int(sheet.hi.x/(b.hi.x-b.lo.x)*(sheet.hi.y/(b.hi.y-b.lo.y))))
	}
	return best
}

// onSheet is copies on the sheet, from a lattice.
type onSheet struct {
	at []laid
	by lattice
}

// bestLattice is the sheet with the most copies from any lattice, filled up.
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
		b := j.parts[0].bounds.turned(turn)
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

// ranges is the whole numbers k with lo ≤ k·step ≤ hi.
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

func ceilDiv(a, b int64) int64 {
	q := a / b
	if a%b > 0 {
		q++
	}
	return q
}

// filler adds copies of a part to a sheet, exactly.
type filler struct {
	*job
	ctx   context.Context
	sheet bounds
	at    []laid
	boxes []bounds
	free  []laid // places where one more copy can lie, not all; see around
}

// filled adds copies wherever there is still room, lowest first. If there is room,
// there is a place for it on the boundary of what is free: at a corner of the room, or at an
// end of what the room and the no-fit polygons leave of the rim of one. Such places
// come about only with a copy, so each is looked at when it is laid.
func (j *job) filled(ctx context.Context, sheet bounds, at []laid) ([]laid, error) {
	f := &filler{job: j, ctx: ctx, sheet: sheet}
	for _, l := range at {
		f.at, f.boxes = append(f.at, l), append(f.boxes, j.box(l))
	}
	for part := range j.parts[:1] {
		for _, turn := range j.parts[part].Turns {
			if room := j.room(part, turn, sheet); !room.empty() {
				for _, c := range [...]vec{room.lo, {room.hi.x, room.lo.y}, {room.lo.x, room.hi.y}, room.hi} {
					f.try(laid{part, turn, c}, nil, room)
				}
			}
		}
	}
	for i := range f.at {
		f.around(i)
	}
	for len(f.free) > 0 && ctx.Err() == nil {
		low := slices.MinFunc(f.free, func(a, b laid) int {
			return cmp.Or(cmp.Compare(a.at.y, b.at.y), cmp.Compare(a.at.x, b.at.x), a.turn-b.turn)
		})
		f.at, f.boxes = append(f.at, low), append(f.boxes, j.box(low))
		f.free = slices.DeleteFunc(f.free, func(l laid) bool { return j.overlap(low, l) })
		f.around(len(f.at) - 1)
	}
	if ctx.Err() != nil {
		return nil, context.Cause(ctx)
	}
	return f.at, nil
}

// try keeps a place that is clear of the copies near it, or of all where near is nil.
func (f *filler) try(l laid, near []int, room bounds) {
	l.at = room.clamp(l.at)
	box := f.box(l)
	if near == nil {
		for i := range f.at {
			if box.overlaps(f.boxes[i]) && f.overlap(f.at[i], l) {
				return
			}
		}
	}
	for _, i := range near {
		if box.overlaps(f.boxes[i]) && f.overlap(f.at[i], l) {
			return
		}
	}
	if !slices.Contains(f.free, l) {
		f.free = append(f.free, l)
	}
}

// around looks for places of another copy that touch copy i.
func (f *filler) around(i int) {
	l := f.at[i]
	for part := range f.parts[:1] {
		for _, turn := range f.parts[part].Turns {
			room := f.room(part, turn, f.sheet)
			if room.empty() || f.ctx.Err() != nil {
				continue
			}
			b := f.parts[part].bounds.turned(turn)
			reach := bounds{f.boxes[i].lo.sub(b.hi).add(b.lo), f.boxes[i].hi.add(b.hi).sub(b.lo)}
			near := []int{}
			for k := range f.boxes {
				if f.boxes[k].overlaps(reach) {
					near = append(near, k)
				}
			}
			p, _ := f.pair(l, laid{part: part, turn: turn})
			for _, s := range p.rim {
				s = f.onSheet(s, l, part, turn)
				if s, ok := s.clipped(room); ok {
					f.along(s, i, near, laid{part: part, turn: turn}, room)
				}
			}
		}
	}
}

// onSheet is a side of the pair of l and a part as places of that part on the sheet.
func (j *job) onSheet(s side, l laid, part, turn int) side {
	if l.part > part { // the pair's places are those of l as seen from the part
		s = s.turned(turn + 2)
	} else {
		s = s.turned(l.turn)
	}
	s.px += float64(l.at.x)
	s.py += float64(l.at.y)
	return s
}

// along tries the ends of the stretches of a side, on which the copy touches copy
// own, that lie in no no-fit polygon of the others near.
func (f *filler) along(s side, own int, near []int, c laid, room bounds) {
	a, b := s.at(0), s.at(1)
	swept := f.box(laid{c.part, c.turn, a})
	other := f.box(laid{c.part, c.turn, b})
	swept = swept.with(other.lo).with(other.hi)
	type span struct{ from, to float64 }
	var taken []span
	for _, i := range near {
		l := f.at[i]
		if i == own || !swept.overlaps(f.boxes[i]) {
			continue
		}
		p, t := f.pair(l, laid{c.part, c.turn, a})
		d := b.sub(a).turned(-l.turn)
		if l.part > c.part {
			d = b.sub(a).turned(2 - c.turn)
		}
		reach := nothing().with(t).with(t.add(d))
		for k, loop := range p.sums {
			if reach.hi.x < p.boxes[k].lo.x || reach.lo.x > p.boxes[k].hi.x || reach.hi.y < p.boxes[k].lo.y || reach.lo.y > p.boxes[k].hi.y {
				continue
			}
			if from, to, ok := stretchIn(loop, t, d, false); ok {
				if from == 0 && to == 1 {
					return
				}
				taken = append(taken, span{from, to})
			}
		}
	}
	slices.SortFunc(taken, func(u, v span) int { return cmp.Compare(u.from, v.from) })
	// Rounded to the grid, an end may lie a step inside; so its neighbours are tried too.
	end := func(t float64) {
		v := s.at(t)
		for _, d := range [...]vec{{}, {0, -1}, {-1, 0}, {1, 0}, {0, 1}, {-1, -1}, {1, -1}, {-1, 1}, {1, 1}} {
			f.try(laid{c.part, c.turn, v.add(d)}, near, room)
		}
	}
	clear := 0.0
	for _, u := range taken {
		if u.from > clear {
			end(clear)
			end(u.from)
		}
		clear = max(clear, u.to)
	}
	if clear <= 1 {
		end(clear)
		end(1)
	}
}

// clipped is what of a side lies in a box.
func (s side) clipped(b bounds) (side, bool) {
	from, to := 0.0, 1.0
	for _, e := range [...][3]float64{{s.px, s.dx, float64(b.lo.x)}, {s.py, s.dy, float64(b.lo.y)}} {
		cut(e[0], e[1], e[2], 1, &from, &to)
	}
	for _, e := range [...][3]float64{{s.px, s.dx, float64(b.hi.x)}, {s.py, s.dy, float64(b.hi.y)}} {
		cut(e[0], e[1], e[2], -1, &from, &to)
	}
	if from > to {
		return s, false
	}
	s.px += float64(from * s.dx)
	s.py += float64(from * s.dy)
	s.dx *= to - from
	s.dy *= to - from
	return s, true
}

// cut narrows a stretch to where sense·(p + t·d − limit) ≥ 0, rounding apart.
func cut(p, d, limit, sense float64, from, to *float64) {
	off, rate := sense*(p-limit)+0.5, sense*d
	switch {
	case rate > 0:
		*from = max(*from, -off/rate)
	case rate < 0:
		*to = min(*to, -off/rate)
	case off < 0:
		*from = math.Inf(1)
	}
}

// oneMore adds copies as long as a separation finds room for another.
func (j *job) oneMore(ctx context.Context, sheet bounds, at []laid, most, looks int) []laid {
	for seed := uint64(1); len(at) < most && looks > 0 && ctx.Err() == nil; {
		next := append(slices.Clone(at), laid{part: 0, turn: j.parts[0].Turns[0]})
		s := newSearch(j, sheet, next, seed, looks)
		w := s.first()
		// The new copy where it overlaps least of a number of places.
		best := trial{loss: math.Inf(1)}
		for range 200 {
			turn := j.parts[0].Turns[w.rng.IntN(len(j.parts[0].Turns))]
			room := j.room(0, turn, sheet)
			if room.empty() {
				continue
			}
			l := laid{0, turn, vec{between(w.rng, room.lo.x, room.hi.x), between(w.rng, room.lo.y, room.hi.y)}}
			if loss := w.loss(len(at), l, best.loss); loss < best.loss {
				best = trial{l, loss}
			}
		}
		next[len(at)] = best.laid
		s.load(sheet, next)
		if s.separate(ctx, 60, 2) {
			at = s.result()
		}
		looks = s.budget
		seed++
	}
	return at
}
