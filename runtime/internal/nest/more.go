package nest

import (
	"cmp"
	"context"
	"math"
	"slices"
)

// oneMore adds copies of the first part as long as a separation finds room for another.
func (j *job) oneMore(ctx context.Context, sheet bounds, at []laid, most, looks int) []laid {
	for seed := uint64(1); len(at) < min(most, mostSeparated) && looks > 0; seed++ {
		more, ok := []laid(nil), false
		if more, ok, looks = j.squeezed(ctx, sheet, at, []int{0}, seed, looks); ok {
			at = more
		}
		if ctx.Err() != nil {
			break
		}
	}
	return at
}

// places is how many places a further copy is tried at before the separation begins.
const places = 200

// squeezed separates the copies that are laid and one more of each part listed, put
// where it overlaps least of a number of places. It gives the copies, whether all are clear,
// and the looks that are left.
func (j *job) squeezed(ctx context.Context, sheet bounds, at []laid, parts []int, seed uint64, looks int) ([]laid, bool, int) {
	next := slices.Clone(at)
	for _, part := range parts {
		next = append(next, laid{part: part, turn: j.parts[part].Turns[0]})
	}
	s := newSearch(j, sheet, next, seed, looks)
	w := s.first()
	for i := len(at); i < len(next); i++ {
		part := j.parts[next[i].part]
		best := trial{laid: next[i], loss: math.Inf(1)}
		for range places {
			turn := part.Turns[w.rng.IntN(len(part.Turns))]
			room := j.room(next[i].part, turn, sheet)
			if room.empty() {
				continue
			}
			l := laid{next[i].part, turn, vec{between(w.rng, room.lo.x, room.hi.x), between(w.rng, room.lo.y, room.hi.y)}}
			if loss := w.loss(i, l, best.loss); loss < best.loss {
				best = trial{l, loss}
			}
		}
		next[i] = best.laid
		w.put(i, best.laid)
	}
	s.load(sheet, next) // for every separator
	ok := s.separate(ctx, 60, 2)
	return s.result(), ok, s.budget
}

// Sets lays as many sets as it can on a sheet of a width and height in mm, each of Count
// copies of every part: set by set at the lowest free places, large copies first, then
// by separation, one more set at a time. most bounds the sets, 0 does not. Layout.Placements
// holds whole sets only.
func Sets(ctx context.Context, parts []Part, width, height float64, most int, effort Effort) (l Layout, sets int, err error) {
	var set []int
	area := 0.0
	for i, p := range parts {
		for range p.Count {
			set = append(set, i)
		}
		area += float64(p.Count) * p.area
	}
	if tooMany(width, height, area/float64(len(set))) {
		return Layout{}, 0, ErrTooMany
	}
	j, err := newJob(ctx, parts)
	if err != nil {
		return Layout{}, 0, err
	}
	sheet := sheetOf(width, height)
	slices.SortStableFunc(set, func(a, b int) int { return cmp.Compare(parts[b].area, parts[a].area) })
	room := int(width * height / area) // more have no room by area
	if most <= 0 || most > room {
		most = room
	}
	f := j.newFiller(ctx, sheet, nil)
	var at []laid
	// A set that comes to lie in part is given up: at stays with the last whole one.
fill:
	for sets < most {
		for _, part := range set {
			if !f.add(part) {
				break fill
			}
		}
		at, sets = slices.Clone(f.at), sets+1
	}
	// The filler left off where a copy found no room; a separation may make some by moving others.
	looks := effort.Looks
	for seed := uint64(1); sets < most && len(at) < mostSeparated && looks > 0 && ctx.Err() == nil; seed++ {
		more, ok := []laid(nil), false
		if more, ok, looks = j.squeezed(ctx, sheet, at, set, seed, looks); ok {
			at, sets = more, sets+1
		}
	}
	switch {
	case ctx.Err() != nil:
		return Layout{}, 0, context.Cause(ctx)
	case sets == 0:
		return Layout{}, 0, ErrNoFit
	}
	return Layout{placements(at), width, height}, sets, nil
}

// sheetOf is a sheet on the grid, rounded down; what is a whole number of steps but for rounding
// of the product keeps its last one.
func sheetOf(width, height float64) bounds {
	return bounds{hi: vec{int64(math.Floor(width*perMM + 1e-6)), int64(math.Floor(height*perMM + 1e-6))}}
}
