package nest

import (
	"cmp"
	"context"
	"math"
	"slices"
)

// filler adds copies of parts to a sheet, exactly.
type filler struct {
	*job
	ctx   context.Context
	sheet bounds
	at    []laid
	boxes []bounds
	free  []laid // places where one more copy can lie, not all; see around
}

// newFiller looks at a sheet with copies on it. If there is room for one more, there
// is a place for it on the boundary of what is free: at a corner of the room, or at an
// end of what the room and the no-fit polygons leave of the rim of one. Such places
// come about only with a copy, so each is looked at when it is laid.
func (j *job) newFiller(ctx context.Context, sheet bounds, at []laid) *filler {
	f := &filler{job: j, ctx: ctx, sheet: sheet}
	for _, l := range at {
		f.at, f.boxes = append(f.at, l), append(f.boxes, j.box(l))
	}
	for part := range j.parts {
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
	return f
}

// add lays one more copy of a part at its lowest free place, of these the one
// furthest left; false where there is none.
func (f *filler) add(part int) bool {
	best := -1
	for i, l := range f.free {
		if l.part == part && (best < 0 || cmp.Or(cmp.Compare(l.at.y, f.free[best].at.y), cmp.Compare(l.at.x, f.free[best].at.x), l.turn-f.free[best].turn) < 0) {
			best = i
		}
	}
	if best < 0 || f.ctx.Err() != nil {
		return false
	}
	low := f.free[best]
	f.at, f.boxes = append(f.at, low), append(f.boxes, f.box(low))
	f.free = slices.DeleteFunc(f.free, func(l laid) bool { return f.overlap(low, l) })
	f.around(len(f.at) - 1)
	return true
}

// filled adds copies of the first part wherever there is still room.
func (j *job) filled(ctx context.Context, sheet bounds, at []laid) ([]laid, error) {
	f := j.newFiller(ctx, sheet, at)
	for f.add(0) {
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

// around looks for places of another copy that touch copy i: for each part and turn, along the rim of
// its no-fit polygon with i, cut to the room on the sheet. Only copies within reach, i's box grown by that of the
// new copy on all sides, can be in the way there.
func (f *filler) around(i int) {
	l := f.at[i]
	for part := range f.parts {
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
// own, that lie in no no-fit polygon of the others near. Those are convex sums, and what a
// segment has inside a convex loop is one stretch, so what is free is what the stretches together leave of it.
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
		// The side as the pair sees it: the pair's frame is that of the part with the lower number.
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

// clipped is what of a side lies in a box (Liang and Barsky 1984).
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

// cut narrows a stretch to where sense·(p + t·d − limit) ≥ −½: half a step, which rounding to the grid
// takes back.
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
