package nest

import (
	"cmp"
	"context"
	"math"
	"slices"
)

// lattice is copies repeated without end: a motif of one copy, or of one and its
// half turn, at every k·u + l·v.
type lattice struct {
	motif []laid
	u, v  vec
	det   int64 // |u × v|, steps²
}

// cell is the area for each copy, in steps².
func (l *lattice) cell() float64 { return float64(l.det) / float64(len(l.motif)) }

// motif is copies with the places at which another one of it would meet it.
type motif struct {
	*job
	at   []laid
	rim  []side // with t on it, the motif at t touches the one at the origin
	box  bounds // of the rim
	area int64  // least determinant, from the areas, steps²
}

// areaSlack is the share of the copies' area from which a lattice's cell may be: the area is that of
// the true curves, and rounding to the grid may make the polygons a trace smaller.
const areaSlack = 0.999

// newMotif is copies as a motif. A second motif at t meets the first if one of its copies b, at
// b.at + t, meets a copy a of the first; with the pair's place of b against a moved to where the motif
// stands, the rims of all such pairs together hold the rim of the motif. Of stretches that lie
// inside another pair's sums most are dropped, those found inside at three places; one that stays
// does no harm, since every lattice is proved by valid.
func newMotif(j *job, at ...laid) *motif {
	m := &motif{job: j, at: at, box: nothing()}
	for _, l := range at {
		m.area += int64(j.parts[l.part].area * perMM * perMM * areaSlack)
	}
	for _, a := range at {
		for _, b := range at {
			p, shift := j.pair(a, b)
			// The sums as the motif's own place t sees them: t + shift lies in them.
			for _, s := range p.rim {
				s = s.turned(a.turn)
				off := shift.turned(a.turn)
				s.px -= float64(off.x)
				s.py -= float64(off.y)
				m.rim = append(m.rim, s)
			}
			box := p.bounds.turned(a.turn).shifted(shift.turned(a.turn).neg())
			m.box = m.box.with(box.lo).with(box.hi)
		}
	}
	if len(at) > 1 {
		m.rim = slices.DeleteFunc(m.rim, func(s side) bool {
			return m.meets(s.at(0.5)) && m.meets(s.at(0.1)) && m.meets(s.at(0.9))
		})
	}
	return m
}

// turned is the side turned by quarters about the origin.
func (s side) turned(quarters int) side {
	for range quarters & 3 {
		s.px, s.py, s.dx, s.dy = -s.py, s.px, -s.dy, s.dx
	}
	return s
}

// at is the point of the grid nearest to a place along the side.
func (s side) at(t float64) vec {
	return vec{int64(math.Round(s.px + float64(t*s.dx))), int64(math.Round(s.py + float64(t*s.dy)))}
}

// meets reports whether the motif moved by t meets itself. Exact.
func (m *motif) meets(t vec) bool {
	if t.x <= m.box.lo.x || t.y <= m.box.lo.y || t.x >= m.box.hi.x || t.y >= m.box.hi.y {
		return false
	}
	for _, a := range m.at {
		for _, b := range m.at {
			if b.at = b.at.add(t); m.overlap(a, b) {
				return true
			}
		}
	}
	return false
}

// valid reports whether no two motifs of a lattice meet. Exact. Two of them differ by some
// t = k·u + l·v, and by symmetry l ≥ 0 is enough. Only a t in the box can meet, so |l| is at most
// the largest |u × c| / (u × v) of the box's corners c, and k lies round the foot of the origin on row l,
// within the box's radius.
func (m *motif) valid(u, v vec) bool {
	det := u.cross(v)
	if det < 0 {
		det, v = -det, v.neg()
	}
	if det < m.area {
		return false
	}
	// k·u + l·v lies in the box only while |l| is within the box's reach across u.
	corners := [...]vec{m.box.lo, m.box.hi, {m.box.lo.x, m.box.hi.y}, {m.box.hi.x, m.box.lo.y}}
	most := 0.0
	for _, c := range corners {
		most = max(most, math.Abs(float64(u.cross(c))))
	}
	rows := int64(most / float64(det))
	radius := 0.0
	for _, c := range corners {
		radius = max(radius, c.length())
	}
	long := u.length()
	for l := int64(0); l <= rows; l++ {
		at := v.mul(l)
		mid := -float64(u.dot(at)) / (long * long) // k at the foot of the origin
		span := radius / long
		for k := int64(math.Floor(mid - span)); k <= int64(math.Ceil(mid+span)); k++ {
			if t := at.add(u.mul(k)); t != (vec{}) && m.meets(t) {
				return false
			}
		}
		if l == 0 && !m.clearRow(u, radius) {
			return false
		}
	}
	return true
}

// clearRow reports whether the motif's copies along u are clear of one another: k·u for every
// k up to a radius, beyond which none can meet.
func (m *motif) clearRow(u vec, radius float64) bool {
	for k := int64(1); float64(k)*u.length() <= radius; k++ {
		if m.meets(u.mul(k)) {
			return false
		}
	}
	return true
}

const (
	mostSpots = 400  // lowest places for the next row that are proved
	rounding  = 1e-9 // of shares of a side: a crossing at its end counts
)

// bestAcross is the lattice with the row along u and the least determinant below
// most that it finds: rows that touch in two places, or that slide along a side. The row is
// to be clear.
//
// The determinant is |u| times the height h of v above the row, so the lowest v is wanted that
// lies in no no-fit polygon of any motif of the first row: below the union of the rim shifted by all k·u.
// The lowest point of that free area is a corner of it: an end of some side, or where two sides
// cross, one of them shifted by k·u against the other; a shift of both by the same k·u only moves v along
// the row. So sides are turned into the frame of the row, s along it and h above it, all such spots
// are gathered and the lowest that proves valid is taken.
func (m *motif) bestAcross(u vec, most int64) (lattice, bool) {
	long := u.length()
	ux, uy := float64(u.x)/long, float64(u.y)/long
	// Sides as seen along the row: s along it, h above it.
	type flat struct{ s0, h0, s1, h1, loS, hiS, loH, hiH float64 }
	limit := float64(most) / long
	least := float64(m.area) / long
	var above []flat
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, e := range m.rim {
		s0, h0 := float64(e.px*ux)+float64(e.py*uy), float64(e.py*ux)-float64(e.px*uy)
		s1, h1 := s0+float64(e.dx*ux)+float64(e.dy*uy), h0+float64(e.dy*ux)-float64(e.dx*uy)
		if max(h0, h1) < least || min(h0, h1) > limit {
			continue
		}
		above = append(above, flat{s0, h0, s1, h1, min(s0, s1), max(s0, s1), min(h0, h1), max(h0, h1)})
		lo, hi = min(lo, s0, s1), max(hi, s0, s1)
	}
	type spot struct{ s, h float64 }
	var spots []spot
	add := func(s, h float64) {
		if h >= least && h <= limit {
			spots = append(spots, spot{s, h})
		}
	}
	for _, e := range above {
		add(e.s0, e.h0)
		add(e.s1, e.h1)
	}
	for k := 1.0; float64(k*long) <= hi-lo; k++ {
		off := k * long
		for i := range above {
			a := &above[i]
			for n := range above {
				b := &above[n]
				if a.hiS < b.loS+off || a.loS > b.hiS+off || a.hiH < b.loH || a.loH > b.hiH {
					continue
				}
				as, ah, bs, bh := a.s1-a.s0, a.h1-a.h0, b.s1-b.s0, b.h1-b.h0
				den := float64(as*bh) - float64(ah*bs)
				if den == 0 {
					continue
				}
				ps, ph := b.s0+off-a.s0, b.h0-a.h0
				// a's start + t·a = b's start + w·b, by Cramer's rule.
				t := (float64(ps*bh) - float64(ph*bs)) / den
				w := (float64(ps*ah) - float64(ph*as)) / den
				if t < -rounding || t > 1+rounding || w < -rounding || w > 1+rounding {
					continue
				}
				add(a.s0+float64(t*as), a.h0+float64(t*ah))
			}
		}
	}
	slices.SortFunc(spots, func(a, b spot) int { return cmp.Or(cmp.Compare(a.h, b.h), cmp.Compare(a.s, b.s)) })
	tried := 0
	for i, p := range spots {
		// Less than half a step apart they round to the same place, or to neighbours.
		if i > 0 && math.Abs(p.h-spots[i-1].h) < 0.5 && math.Abs(p.s-spots[i-1].s) < 0.5 {
			continue
		}
		if tried++; tried > mostSpots {
			break
		}
		// On the grid and a step or two higher, where rounding went below.
		for _, up := range [...]float64{0, 1, 2} {
			x, y := float64(p.s*ux)-float64((p.h+up)*uy), float64(p.s*uy)+float64((p.h+up)*ux)
			if up == 0 && !(onGrid(x) && onGrid(y)) {
				continue
			}
			v := vec{int64(math.Round(x)), int64(math.Round(y))}
			if det := u.cross(v); det <= most && m.valid(u, v) {
				return lattice{m.at, u, v, det}, true
			}
		}
	}
	return lattice{}, false
}

// contacts are places on the rim, at its corners and between, evenly by length: about so many, of
// which twice as many may come about where corners are close.
func contacts(rim []side, most int) []vec {
	total := 0.0
	for _, s := range rim {
		total += math.Sqrt(1 / max(s.inv, 1e-30))
	}
	var out []vec
	seen := map[vec]bool{}
	keep := func(v vec) {
		if !seen[v] {
			seen[v] = true
			out = append(out, v)
		}
	}
	for _, s := range rim {
		n := int(float64(most)*math.Sqrt(1/max(s.inv, 1e-30))/total) + 1
		for k := range n + 1 {
			keep(s.at(float64(k) / float64(n)))
		}
	}
	for len(out) > 2*most { // too many corners: every second one
		for i := range len(out) / 2 {
			out[i] = out[2*i]
		}
		out = out[:len(out)/2]
	}
	return out
}

// freed is the place moved off by a step or two where rounding put it inside.
func (m *motif) freed(t vec) (vec, bool) {
	for _, d := range [...]vec{{}, {1, 0}, {0, 1}, {-1, 0}, {0, -1}, {1, 1}, {-1, 1}, {1, -1}, {-1, -1}} {
		if w := t.add(d); !m.meets(w) {
			return w, true
		}
	}
	return t, false
}

// alongAxis is the shortest row along a direction, (1, 0) or (0, 1): every multiple
// of it is clear. Copies along it touch where the rim crosses the axis, or a multiple of the row does; where
// no such place is clear, the row is one box long.
func (m *motif) alongAxis(dir vec) vec {
	reach := max(m.box.hi.x, m.box.hi.y)
	best := reach
	for _, s := range m.rim {
		// Where the side crosses the axis.
		a, da, b, db := s.py, s.dy, s.px, s.dx
		if dir.y != 0 {
			a, da, b, db = s.px, s.dx, s.py, s.dy
		}
		for _, t := range [...]float64{-a / da, 0, 1} {
			if da == 0 && t != 0 && t != 1 || math.IsNaN(t) || math.Abs(a+float64(t*da)) > 1 || t < 0 || t > 1 {
				continue
			}
			for k := 1.0; k < 4; k++ { // a multiple touches: long arms nest
				x := int64(math.Ceil((b+float64(t*db))/k - 1e-6))
				if x > 0 && x < best && m.clearRow(dir.mul(x), float64(reach)*1.5) {
					best = x
				}
			}
		}
	}
	return dir.mul(best)
}

// How many lattices are given: of rows along the axes more, since on a small sheet it is by chance
// whose rows fit its sides.
const (
	mostDense = 12
	mostRows  = 24
)

// lattices are good lattices of a part: the densest first, then the densest with
// rows along the axes. effort bounds the crossings of sides that are looked at for a motif, by how many rows u are
// tried. Each u is tried with the determinant of the best so far as the bound, so most are given up soon. With half
// turns allowed, motifs of two copies are looked at too: those of the smallest hulls and boxes, and that of
// the densest double lattice of the hull, whose density is thereby reached or passed.
func lattices(ctx context.Context, j *job, part int, effort float64) []lattice {
	var all, rows []lattice
	look := func(m *motif, us int) {
		best := int64(math.MaxInt64)
		for _, dir := range [...]vec{{1, 0}, {0, 1}} {
			u := m.alongAxis(dir)
			if l, ok := m.bestAcross(u, 4*m.area+maxRow(m, u)); ok {
				rows = append(rows, l)
				best = min(best, l.det)
			}
		}
		if best == math.MaxInt64 {
			best = 4 * m.area
		}
		for _, u := range contacts(m.rim, us) {
			if ctx.Err() != nil {
				return
			}
			if !(u.y > 0 || u.y == 0 && u.x > 0) {
				continue // the other half is the same
			}
			u, ok := m.freed(u)
			if !ok || !m.clearRow(u, u.length()*4) {
				continue
			}
			if l, ok := m.bestAcross(u, best); ok {
				all = append(all, l)
				best = l.det - 1
			}
		}
	}
	turns := j.parts[part].Turns
	first := laid{part: part, turn: turns[0]}
	single := newMotif(j, first)
	us := int(max(12, min(effort/float64(1+len(single.rim)*len(single.rim)), 200)))
	look(single, us)
	if half := (turns[0] + 2) & 3; slices.Contains(turns, half) {
		second := laid{part: part, turn: half}
		p, _ := j.pair(first, second)
		u, v, c := doubleLattice(j.parts[part].hull)
		u, v, c = u.turned(turns[0]), v.turned(turns[0]), c.turned(turns[0])
		second.at = c
		if m := newMotif(j, first, second); m.valid(u, v) {
			l := lattice{m.at, u, v, u.cross(v)}
			if closer, ok := m.bestAcross(u, l.det); ok {
				l = closer
			}
			all = append(all, l)
		}
		offsets := []vec{c}
		for _, c := range contacts(p.rim, 4*us) {
			offsets = append(offsets, c.turned(turns[0]))
		}
		motifs := j.compact(ctx, first, second, offsets, max(8, us/2))
		for _, m := range motifs {
			look(m, us)
		}
	}
	return append(leading(all, mostDense), leading(rows, mostRows)...)
}

// maxRow is the determinant of rows along u that lie one box above the other.
func maxRow(m *motif, u vec) int64 {
	up := m.box.hi.y
	if u.x == 0 {
		up = m.box.hi.x
	}
	return int64(float64(up) * u.length())
}

// compact makes motifs of a copy and its half turn, of all the offsets those whose
// two copies have the smallest hulls and boxes.
func (j *job) compact(ctx context.Context, first, second laid, offsets []vec, most int) []*motif {
	type option struct {
		at   vec     // of the second copy
		size float64 // of the hull or the box, steps²
	}
	var byHull, byBox []option
	for _, c := range offsets {
		ok := false
		for _, d := range [...]vec{{}, {1, 0}, {0, 1}, {-1, 0}, {0, -1}, {1, 1}, {-1, 1}, {1, -1}, {-1, -1}} {
			if second.at = c.add(d); !j.overlap(first, second) {
				ok = true
				break
			}
		}
		if !ok {
			continue
		}
		var pts []vec
		for _, l := range [...]laid{first, second} {
			for _, v := range j.parts[l.part].hull {
				pts = append(pts, v.turned(l.turn).add(l.at))
			}
		}
		box := boundsOf(pts)
		size := box.hi.sub(box.lo)
		byHull = append(byHull, option{second.at, float64(area2(hull(pts)))})
		byBox = append(byBox, option{second.at, float64(size.x) * float64(size.y)})
	}
	var out []*motif
	seen := map[vec]bool{}
	for _, list := range [...][]option{byHull, byBox} {
		slices.SortStableFunc(list, func(a, b option) int { return cmp.Compare(a.size, b.size) })
		n := 0
		for _, o := range list {
			if n == most/2 || ctx.Err() != nil {
				break
			}
			if seen[o.at] {
				continue
			}
			seen[o.at] = true
			n++
			second.at = o.at
			out = append(out, newMotif(j, first, second))
		}
	}
	return out
}

// leading are the densest lattices, at most so many.
func leading(ls []lattice, most int) []lattice {
	slices.SortStableFunc(ls, func(a, b lattice) int { return cmp.Compare(a.cell(), b.cell()) })
	return ls[:min(len(ls), most)]
}
