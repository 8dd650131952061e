package nest

import (
	"cmp"
	"context"
	"math"
	"math/rand/v2"
	"slices"
)

// Layout is shapes laid on a sheet.
type Layout struct {
	Placements    []Placement
	Width, Height float64 // mm
}

// Placement is one shape laid: turned by so many quarters counter-clockwise about
// its origin, then moved by (X, Y) mm, whole steps of 0.0001 mm.
type Placement struct {
	Part, Turn int
	X, Y       float64
}

func placements(at []laid) []Placement {
	out := make([]Placement, len(at))
	for i, l := range at {
		p := l.at.point()
		out[i] = Placement{l.part, l.turn, p.X, p.Y}
	}
	return out
}

// strips packs all copies of parts into a strip.
type strips struct {
	*search
	height int64
	least  int64 // the length below which some part does not fit in any turn
	length int64 // of best
	best   []laid
	rng    *rand.Rand
}

func strip(length, height int64) bounds { return bounds{hi: vec{length, height}} }

// Strip lays every part Count times on a strip of a height in mm that is as short
// as it can make it, with so many looks at places; fewer if the context ends, which is
// no error once all are laid.
func Strip(ctx context.Context, parts []Part, height float64, seed uint64, looks int) (Layout, error) {
	j, err := newJob(ctx, parts)
	if err != nil {
		return Layout{}, err
	}
	p := &strips{height: int64(math.Floor(height * perMM)), rng: rand.New(rand.NewPCG(seed, 1))}
	switch done, err := p.startClustered(ctx, j, seed, looks); {
	case err != nil:
		return Layout{}, err
	case !done:
		if err := p.start(ctx, j, seed, looks); err != nil {
			return Layout{}, err
		}
	}
	p.explore(ctx, looks/5)
	p.compress(ctx)
	return Layout{placements(p.best), float64(p.length) / perMM, height}, nil
}

// start scatters the copies over a strip and separates them, on ever longer strips
// until it succeeds.
func (p *strips) start(ctx context.Context, j *job, seed uint64, looks int) error {
	var all []laid
	area := 0.0
	var ok bool
	if p.least, ok = j.leastLength(p.height); !ok {
		return ErrNoFit
	}
	for i, part := range j.parts {
		for range part.Count {
			all = append(all, laid{part: i, turn: part.Turns[0]})
		}
		area += float64(part.Count) * part.area
	}
	length := max(int64(area/0.7*perMM*perMM/float64(p.height)), p.least)
	p.search = newSearch(j, strip(length, p.height), all, seed, looks)
	for ; ; length += length / 20 {
		sheet := strip(length, p.height)
		for i := range all {
			l := &all[i]
			for _, k := range p.rng.Perm(len(j.parts[l.part].Turns)) {
				l.turn = j.parts[l.part].Turns[k]
				if room := j.room(l.part, l.turn, sheet); !room.empty() {
					l.at = vec{between(p.rng, room.lo.x, room.hi.x), between(p.rng, room.lo.y, room.hi.y)}
					break
				}
			}
		}
		p.load(sheet, all)
		p.budget = max(p.budget, looks/2)
		if p.separate(ctx, 60, 2) {
			p.keep(length)
			return nil
		}
		if ctx.Err() != nil {
			return context.Cause(ctx)
		}
	}
}

// leastLength is the length of the shortest strip of a height on which every part fits; false where
// some part fits on none.
func (j *job) leastLength(height int64) (least int64, ok bool) {
	for _, part := range j.parts {
		narrowest := int64(math.MaxInt64)
		for _, turn := range part.Turns {
			if b := part.box.turned(turn); b.hi.y-b.lo.y <= height {
				narrowest = min(narrowest, b.hi.x-b.lo.x)
			}
		}
		if narrowest == math.MaxInt64 {
			return 0, false
		}
		least = max(least, narrowest)
	}
	return least, true
}

// keep takes the state as the best.
func (p *strips) keep(length int64) {
	p.best = p.result()
	// As far as the copies reach.
	right := int64(0)
	for _, l := range p.best {
		right = max(right, p.first().box(l).hi.x)
	}
	p.length = min(length, right)
}

// resized lays copies for a strip longer by d, which may be negative: what lies right of some
// place moves.
func (p *strips) resized(at []laid, length, d int64) []laid {
	at = slices.Clone(at)
	cut := p.rng.Int64N(max(length, 1))
	for i, l := range at {
		if b := p.first().box(l); (b.lo.x+b.hi.x)/2 > cut {
			at[i].at.x += d
		}
	}
	return at
}

// shrunk loads the best state on a strip shorter by d.
func (p *strips) shrunk(d int64) {
	for _, w := range p.team {
		w.load(strip(p.length-d, p.height), p.resized(p.best, p.length, -d))
	}
}

// explore shortens the strip by big steps. Where copies do not become clear, it goes on from one
// of the states with little overlap found on that strip, disturbed; after some such, with
// smaller steps. There one separator begins with one of those states, given the strip's new length:
// what nearly lay on a shorter strip may well lie on this one, in another order than the best.
func (p *strips) explore(ctx context.Context, spare int) {
	p.budget -= spare
	ratio := firstShrink
	var tried pool
	for p.budget > 0 && ctx.Err() == nil {
		length := max(p.length-max(int64(ratio*float64(p.length)), 1), p.least)
		if length >= p.length {
			break
		}
		p.shrunk(p.length - length)
		tried = slices.DeleteFunc(tried, func(e pooled) bool { return e.length > length })
		from := func(w *separator) {
			e := tried.pick(p.rng)
			w.load(strip(length, p.height), p.disturbed(p.resized(e.at, e.length, length-e.length)))
		}
		if len(tried) > 0 {
			from(p.team[workers-1])
		}
		fails := 0
		if p.separateAgain(ctx, 60, 2, func(w *separator) {
			if ratio > lastShrink && fails >= disturbances {
				return
			}
			fails++
			tried.add(pooled{slices.Clone(w.best), w.low, length})
			from(w)
		}) {
			p.keep(length)
		} else {
			ratio = max(ratio/2, lastShrink)
		}
	}
	p.budget += spare
}

// Figures of explore.
const (
	firstShrink, lastShrink = 0.01, 0.0005 // shares of its length by which a strip is shortened
	disturbances            = 6            // on one strip before the next is shortened by less
)

// disturbed is a state with the copies about some place laid in each other's places, or with
// two large copies exchanged, or the two ends of the strip.
func (p *strips) disturbed(at []laid) []laid {
	at = slices.Clone(at)
	switch p.rng.IntN(4) {
	case 0:
		p.exchange(at)
	case 1:
		p.swapEnds(at)
	default:
		p.shuffle(at)
	}
	return at
}

// place lays copy i with its centre at c.
func (p *strips) place(at []laid, i int, c vec) {
	at[i].at = at[i].at.add(c.sub(p.first().centre(at[i])))
}

// exchange exchanges two large copies of different shapes.
func (p *strips) exchange(at []laid) {
	j := p.first().job
	// The larger half, by area.
	order := make([]int, len(at))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(j.parts[at[b].part].area, j.parts[at[a].part].area) })
	large := order[:max(len(order)/2, min(2, len(order)))]
	for range 10 {
		a, b := large[p.rng.IntN(len(large))], large[p.rng.IntN(len(large))]
		if at[a].part == at[b].part {
			continue
		}
		ca, cb := j.centre(at[a]), j.centre(at[b])
		p.place(at, a, cb)
		p.place(at, b, ca)
		return
	}
}

// swapEnds moves what lies left of some place to the right end.
func (p *strips) swapEnds(at []laid) {
	j := p.first().job
	right := int64(1)
	for _, l := range at {
		right = max(right, j.box(l).hi.x)
	}
	cut := p.rng.Int64N(right)
	for i, l := range at {
		if j.centre(l).x < cut {
			at[i].at.x += right - cut
		} else {
			at[i].at.x -= cut
		}
	}
}

// leastShuffled is how many copies shuffle takes at the least; at the most a fifth of all more.
const leastShuffled = 3

// shuffle lays the copies nearest to one of them in each other's places.
func (p *strips) shuffle(at []laid) {
	j := p.first().job
	middle := j.centre(at[p.rng.IntN(len(at))])
	type near struct {
		copy     int
		centre   vec
		distance float64
	}
	all := make([]near, len(at))
	for i, l := range at {
		c := j.centre(l)
		all[i] = near{i, c, c.sub(middle).length()}
	}
	slices.SortStableFunc(all, func(a, b near) int { return cmp.Compare(a.distance, b.distance) })
	all = all[:min(leastShuffled+p.rng.IntN(max(len(at)/5, 1)), len(at))]
	for k, m := range p.rng.Perm(len(all)) {
		p.place(at, all[k].copy, all[m].centre)
	}
}

func (j *job) centre(l laid) vec {
	b := j.box(l)
	return vec{(b.lo.x + b.hi.x) / 2, (b.lo.y + b.hi.y) / 2}
}

// compress shortens the best strip by small steps.
func (p *strips) compress(ctx context.Context) {
	const first, last = 0.0005, 0.00001
	ratio := first
	for p.budget > 0 && ctx.Err() == nil && ratio > last {
		d := min(max(int64(ratio*float64(p.length)), 1), p.length-p.least)
		if d <= 0 {
			return
		}
		p.shrunk(d)
		if p.separate(ctx, 40, 1) {
			p.keep(p.length - d)
		} else {
			ratio *= 0.8
		}
	}
}
