package nest

import (
	"context"
	"math"
	"math/rand/v2"
	"slices"
)

// Figures of the guided local search (Voudouris and Tsang 1999; for nesting Egeblad,
// Nielsen and Odgaard 2007, Umetani and others 2009, Gardeyn and others 2025).
const (
	workers = 2 // separators that work side by side; fixed, so that results do not depend on the machine

	samplesAnywhere = 24 // places tried for a copy all over the sheet
	samplesNear     = 12 // and round where it lies
	refinedSamples  = 3  // of which so many are refined

	raiseMost, raiseLeast = 2.0, 1.2 // by which weights of overlapping pairs grow in a pass
	decay                 = 0.95     // of the weights of pairs that are clear

	progress = 0.98 // to what share the sum of depths must fall for a pass to have made progress
)

// separator moves copies, by guided local search, until none overlap. Its loss is
// the sum over pairs of weight · depth. Weights of pairs that stay overlapped grow,
// which leads out of local minima.
type separator struct {
	*job
	sheet  bounds
	at     []laid
	boxes  []bounds
	weight []float64 // n × n, symmetric
	base   []float64 // from which weights start and to which they fade
	order  []int
	rng    *rand.Rand
	evals  int // places looked at
	lines  []line
	depths []float64 // of all pairs, of reweigh

	// Progress since the state was loaded.
	low    float64 // least sum that reweigh gave
	best   []laid  // the state then
	start  float64 // low when the strike began
	idle   int     // passes without progress
	strike int
	stuck  bool
}

// line is a side of a no-fit polygon on the sheet: allowed is n·t ≥ c, in steps.
type line struct{ nx, ny, c float64 }

func newSeparator(j *job, sheet bounds, at []laid, seed uint64) *separator {
	n := len(at)
	s := &separator{job: j, sheet: sheet, at: slices.Clone(at), boxes: make([]bounds, n), weight: make([]float64, n*n), rng: rand.New(rand.NewPCG(seed, 0x9e3779b97f4a7c15))}
	s.base = baseWeights(j, at)
	s.load(sheet, at)
	return s
}

// put lays copy i somewhere, inside the sheet; in another turn where the one it has does not fit.
func (s *separator) put(i int, l laid) {
	room := s.room(l.part, l.turn, s.sheet)
	if turns := s.parts[l.part].Turns; room.empty() {
		if k := slices.IndexFunc(turns, func(t int) bool { return !s.room(l.part, t, s.sheet).empty() }); k >= 0 {
			centre := s.centre(l)
			l.turn = turns[k]
			l.at = l.at.add(centre.sub(s.centre(l)))
			room = s.room(l.part, l.turn, s.sheet)
		}
	}
	l.at = room.clamp(l.at)
	s.at[i], s.boxes[i] = l, s.box(l)
}

// loss is the weighted depth of copy i if it lay at l; once it passes limit, it
// may be any value above that.
func (s *separator) loss(i int, l laid, limit float64) float64 {
	s.evals++
	box := s.box(l)
	weights := s.weight[i*len(s.at) : (i+1)*len(s.at)]
	sum := 0.0
	for k := range s.boxes {
		b := &s.boxes[k]
		if box.lo.x >= b.hi.x || b.lo.x >= box.hi.x || box.lo.y >= b.hi.y || b.lo.y >= box.hi.y || k == i {
			continue
		}
		if sum += float64(weights[k] * s.depth(l, s.at[k])); sum > limit {
			return sum
		}
	}
	return sum
}

// trial is a place and its loss.
type trial struct {
	laid
	loss float64
}

// relocate looks for a better place for copy i and moves it there.
func (s *separator) relocate(i int) {
	old := trial{laid: s.at[i]}
	old.loss = s.loss(i, old.laid, math.Inf(1))
	if old.loss == 0 {
		return
	}
	part := s.parts[old.part]
	best := [refinedSamples]trial{old}
	count := 1
	consider := func(l laid) {
		limit := math.Inf(1)
		if count == refinedSamples {
			limit = best[count-1].loss
		}
		t := trial{l, s.loss(i, l, limit)}
		if t.loss >= limit {
			return
		}
		if count < refinedSamples {
			count++
		}
		k := count - 1
		for ; k > 0 && best[k-1].loss > t.loss; k-- {
			best[k] = best[k-1]
		}
		best[k] = t
	}
	for range samplesAnywhere {
		turn := part.Turns[s.rng.IntN(len(part.Turns))]
		if room := s.room(old.part, turn, s.sheet); !room.empty() {
			consider(laid{old.part, turn, vec{between(s.rng, room.lo.x, room.hi.x), between(s.rng, room.lo.y, room.hi.y)}})
		}
	}
	size := s.parts[old.part].bounds
	reach := max(size.hi.x-size.lo.x, size.hi.y-size.lo.y) / 4
	for range samplesNear {
		turn := old.turn
		if len(part.Turns) > 1 && s.rng.IntN(4) == 0 {
			turn = part.Turns[s.rng.IntN(len(part.Turns))]
		}
		if room := s.room(old.part, turn, s.sheet); !room.empty() {
			d := vec{between(s.rng, -reach, reach), between(s.rng, -reach, reach)}
			consider(laid{old.part, turn, room.clamp(old.at.add(d))})
		}
	}
	to := old
	for _, t := range best[:count] {
		if t = s.refine(i, t, float64(reach)/2); t.loss < to.loss {
			to = t
		}
		if to.loss == 0 {
			break
		}
	}
	if to.loss < old.loss {
		s.put(i, to.laid)
	}
}

// between is a number drawn from lo to hi, both among them.
func between(rng *rand.Rand, lo, hi int64) int64 { return lo + rng.Int64N(hi-lo+1) }

// refine improves a place: coarse steps along and across, then by solving for
// contacts.
func (s *separator) refine(i int, t trial, step float64) trial {
	room := s.room(t.part, t.turn, s.sheet)
	for stop := step / 32; step > stop && t.loss > 0; {
		d := int64(step)
		dirs := [...]vec{{d, 0}, {0, d}, {d, d}, {d, -d}}
		v := dirs[s.rng.IntN(len(dirs))]
		moved := false
		for _, w := range [...]vec{v, v.neg()} {
			l := laid{t.part, t.turn, room.clamp(t.at.add(w))}
			if l.at == t.at {
				continue
			}
			if loss := s.loss(i, l, t.loss); loss < t.loss {
				t, moved = trial{l, loss}, true
				break
			}
		}
		if moved {
			step *= 1.1
		} else {
			step *= 0.6
		}
	}
	return s.settle(i, t, room)
}

// Bounds of settle.
const (
	settleRounds = 6
	mostLines    = 6
)

// settle solves for contact: near a place the loss grows with the distances behind
// the nearest sides of the no-fit polygons, so its least value lies where two of them
// meet or on one. Sides found at the points tried join the list.
func (s *separator) settle(i int, t trial, room bounds) trial {
	s.lines = s.lines[:0]
	at, best := t.at, t
	for range settleRounds {
		known := len(s.lines)
		s.violated(i, laid{t.part, t.turn, at})
		if len(s.lines) == known {
			break
		}
		next, low := at, math.Inf(1)
		try := func(x, y float64) {
			if !(math.Abs(x-float64(at.x)) < maxReach && math.Abs(y-float64(at.y)) < maxReach) {
				return
			}
			l := laid{t.part, t.turn, room.clamp(vec{int64(math.Round(x)), int64(math.Round(y))})}
			loss := s.loss(i, l, low)
			if loss < low {
				next, low = l.at, loss
			}
			if loss < best.loss {
				best = trial{l, loss}
			}
		}
		for k, u := range s.lines {
			if k >= known {
				u.onto(at, try)
			}
			for m := range k {
				if k >= known {
					u.meet(s.lines[m], try)
				}
			}
			if best.loss == 0 {
				return best
			}
		}
		for k := known; k < len(s.lines); k++ {
			s.lines[k].along(room, at, try)
		}
		if best.loss == 0 || next == at {
			break
		}
		at = next
	}
	return best
}

// roundedOff is how far beyond a line, in steps, a place is put that is no point
// of the grid, so that rounding leaves it on the allowed side.
const roundedOff = 1

// onGrid reports whether a coordinate is a whole number of steps.
func onGrid(x float64) bool { return math.Abs(x-math.Round(x)) < 1e-6 }

// onto tries the point of the line nearest to p.
func (u line) onto(p vec, try func(x, y float64)) {
	x, y := float64(p.x), float64(p.y)
	d := u.c - float64(u.nx*x) - float64(u.ny*y)
	if px, py := x+float64(d*u.nx), y+float64(d*u.ny); onGrid(px) && onGrid(py) {
		try(px, py)
		return
	}
	d += roundedOff
	try(x+float64(d*u.nx), y+float64(d*u.ny))
}

// meet tries the point where two lines cross.
func (u line) meet(v line, try func(x, y float64)) {
	den := float64(u.nx*v.ny) - float64(u.ny*v.nx)
	if math.Abs(den) < 1e-4 {
		return
	}
	x := (float64(u.c*v.ny) - float64(v.c*u.ny)) / den
	y := (float64(u.nx*v.c) - float64(v.nx*u.c)) / den
	if onGrid(x) && onGrid(y) {
		try(x, y)
		return
	}
	c, d := u.c+roundedOff, v.c+roundedOff
	try((float64(c*v.ny)-float64(d*u.ny))/den, (float64(u.nx*d)-float64(v.nx*c))/den)
}

// along tries where the line leaves the room for a part.
func (u line) along(room bounds, at vec, try func(x, y float64)) {
	for _, x := range [...]int64{room.lo.x, room.hi.x} {
		if math.Abs(u.ny) > 1e-3 {
			y := (u.c - float64(u.nx*float64(x))) / u.ny
			if !onGrid(y) {
				y += math.Copysign(roundedOff/math.Abs(u.ny), u.ny)
			}
			if math.Abs(y-float64(at.y)) < maxReach {
				try(float64(x), y)
			}
		}
	}
	for _, y := range [...]int64{room.lo.y, room.hi.y} {
		if math.Abs(u.nx) > 1e-3 {
			x := (u.c - float64(u.ny*float64(y))) / u.nx
			if !onGrid(x) {
				x += math.Copysign(roundedOff/math.Abs(u.nx), u.nx)
			}
			if math.Abs(x-float64(at.x)) < maxReach {
				try(x, float64(y))
			}
		}
	}
}

// violated appends the nearest side of every no-fit polygon that a place lies in.
func (s *separator) violated(i int, l laid) {
	box := s.box(l)
	for k := range s.boxes {
		if k == i || !box.overlaps(s.boxes[k]) || len(s.lines) >= mostLines {
			continue
		}
		if u, ok := s.lineOf(l, s.at[k]); ok && !slices.Contains(s.lines, u) {
			s.lines = append(s.lines, u)
		}
	}
}

// lineOf is the nearest side of the no-fit polygon of l against other, as a line
// that l.at has to get beyond; false where they are clear.
func (j *job) lineOf(l, other laid) (line, bool) {
	p, t := j.pair(other, l)
	k := p.at(t)
	if k == nil || !k.full && !p.inAny(k, t) {
		return line{}, false
	}
	_, which := p.nearest(k, t)
	nx, ny, c := p.rim[which].out(float64(t.x), float64(t.y))
	// Back from the frame of the pair: it is that of the part with the lower number.
	base, sense := other, 1.0
	if other.part > l.part {
		base, sense = l, -1
	}
	for range base.turn & 3 {
		nx, ny = -ny, nx
	}
	// Allowed is n·(b − a) ≥ c for the places a of the first and b of the second.
	if sense < 0 {
		nx, ny = -nx, -ny
		return line{nx, ny, c + float64(nx*float64(other.at.x)) + float64(ny*float64(other.at.y))}, true
	}
	return line{nx, ny, c + float64(nx*float64(other.at.x)) + float64(ny*float64(other.at.y))}, true
}

// pass relocates all copies that overlap, in random order.
func (s *separator) pass(ctx context.Context) {
	s.order = s.order[:0]
	for i := range s.at {
		if s.loss(i, s.at[i], 0) > 0 {
			s.order = append(s.order, i)
		}
	}
	s.rng.Shuffle(len(s.order), func(a, b int) { s.order[a], s.order[b] = s.order[b], s.order[a] })
	for _, i := range s.order {
		if ctx.Err() != nil {
			return
		}
		s.relocate(i)
	}
}

// load lays all copies anew on a sheet; weights begin anew.
func (s *separator) load(sheet bounds, at []laid) {
	s.sheet = sheet
	for i, l := range at {
		s.put(i, l)
	}
	copy(s.weight, s.base)
	s.low, s.start, s.idle, s.strike, s.stuck = math.Inf(1), math.Inf(1), 0, 0, false
}

// advance makes passes with so many looks together. It ends when all copies are clear, then low is 0, or when there
// was no progress for so many passes, so many times over, then stuck is set and the best
// state is laid.
func (s *separator) advance(ctx context.Context, looks, patience, strikes int) {
	for s.evals < looks && !s.stuck && s.low > 0 && ctx.Err() == nil {
		s.pass(ctx)
		left := s.reweigh()
		s.idle++
		if left < s.low {
			if left < progress*s.low {
				s.idle = 0
			}
			s.low, s.best = left, append(s.best[:0], s.at...)
		}
		if left == 0 || s.idle < patience {
			continue
		}
		if s.strike++; s.low < progress*s.start && !math.IsInf(s.start, 1) {
			s.strike = 0
		}
		s.start, s.idle = s.low, 0
		for i, l := range s.best {
			s.put(i, l)
		}
		s.stuck = s.strike >= strikes
	}
}

// reweigh raises the weights of pairs that overlap, most that of the deepest, and
// lets the others fade to what they began with. It gives the sum of all depths, weighted so.
func (s *separator) reweigh() (sum float64) {
	n := len(s.at)
	deepest := 0.0
	s.depths = s.depths[:0]
	for i := range s.at {
		for k := range i {
			d := 0.0
			if s.boxes[i].overlaps(s.boxes[k]) {
				d = s.depth(s.at[i], s.at[k])
			}
			sum += float64(d * s.base[i*n+k])
			deepest = max(deepest, d)
			s.depths = append(s.depths, d)
		}
	}
	at := 0
	for i := range s.at {
		for k := range i {
			w := s.weight[i*n+k]
			if d := s.depths[at]; d > 0 {
				w *= raiseLeast + float64((raiseMost-raiseLeast)*d)/deepest
			} else {
				w = max(s.base[i*n+k], w*decay)
			}
			s.weight[i*n+k], s.weight[k*n+i] = w, w
			at++
		}
	}
	return sum
}

// baseWeights are the weights of pairs before any has stayed overlapped: the geometric mean of
// both sizes, so that small copies give way to large ones; 1 for two of mean area.
func baseWeights(j *job, at []laid) []float64 {
	n := len(at)
	mean := 0.0
	for _, l := range at {
		mean += j.parts[l.part].area / float64(n)
	}
	sizes := make([]float64, n)
	for i, l := range at {
		sizes[i] = math.Sqrt(math.Sqrt(j.parts[l.part].area / mean))
	}
	out := make([]float64, n*n)
	for i, x := range sizes {
		for k, y := range sizes {
			out[i*n+k] = x * y
		}
	}
	return out
}
