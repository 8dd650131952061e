package nest

import (
	"context"
	"slices"
)

// Figures of clusters: copies of one shape that are laid together at first, since a
// search hardly finds by chance how long arms nest.
const (
	leastClustered = 8    // copies from which a shape is laid in clusters
	mostClustered  = 5    // copies in one
	clusterParts   = 12   // convex parts of one at most: pairs take the product
	clusterGain    = 1.25 // by which a cluster must fill its hull better than the copy alone,
	clusterStep    = 1.05 // and than a smaller cluster
	clusterTries   = 400  // places of a second copy looked at
)

// clustered is parts some of which stand for several copies of one.
type clustered struct {
	parts  []Part
	copies [][]laid // that each part stands for, turned and placed against it
}

// clusters forms clusters of the parts that fill their hulls badly and that there
// are many of. ok is false where that changes nothing.
func (j *job) clusters() (c clustered, ok bool) {
	for i, p := range j.parts {
		best := []laid{{part: i}}
		if p.Count >= leastClustered {
			best = j.cluster(i)
		}
		n := p.Count / len(best)
		if len(best) > 1 {
			ok = true
			c.add(Part{j.compound(best), commonTurns(p.Turns, best), n}, best)
		}
		if rest := p.Count - n*len(best); len(best) == 1 || rest > 0 {
			if len(best) == 1 {
				rest = p.Count
			}
			c.add(Part{p.Shape, p.Turns, rest}, []laid{{part: i}})
		}
	}
	return c, ok
}

func (c *clustered) add(p Part, copies []laid) {
	c.parts, c.copies = append(c.parts, p), append(c.copies, copies)
}

// split is what copies of clustered parts stand for.
func (c *clustered) split(at []laid) (out []laid) {
	for _, l := range at {
		for _, m := range c.copies[l.part] {
			out = append(out, laid{m.part, (m.turn + l.turn) & 3, l.at.add(m.at.turned(l.turn))})
		}
	}
	return out
}

// cluster is the copies that fill their hull best: a row of the same turn, or a copy
// and its half turn.
func (j *job) cluster(part int) []laid {
	p := j.parts[part]
	best := []laid{{part: part}}
	fill := p.area * perMM * perMM / (float64(area2(p.hull)) / 2)
	wanted := fill * clusterGain
	consider := func(at []laid) {
		if f := float64(len(at)) * p.area * perMM * perMM / (float64(area2(j.hullOf(at))) / 2); f > wanted {
			best, wanted = at, f*clusterStep
		}
	}
	first := laid{part: part}
	for n := 2; n <= mostClustered && n*len(p.parts) <= clusterParts && n <= p.Count; n++ {
		for _, turn := range [...]int{0, 2} {
			if turn == 2 && (n > 2 || !slices.Contains(p.Turns, (p.Turns[0]+2)&3)) {
				continue
			}
			pair, _ := j.pair(first, laid{part: part, turn: turn})
			for _, c := range contacts(pair.rim, clusterTries) {
				at := []laid{first}
				for k := 1; k < n; k++ {
					at = append(at, laid{part, turn, c.mul(int64(k))})
				}
				if j.clearOfFirst(at) {
					consider(at)
				}
			}
		}
	}
	return best
}

// clearOfFirst reports whether the first copy is clear of all others; in a row this holds
// for any two then.
func (j *job) clearOfFirst(at []laid) bool {
	return !slices.ContainsFunc(at[1:], func(l laid) bool { return j.overlap(at[0], l) })
}

// hullOf is the hull of copies.
func (j *job) hullOf(at []laid) []vec {
	var pts []vec
	for _, l := range at {
		for _, v := range j.parts[l.part].hull {
			pts = append(pts, v.turned(l.turn).add(l.at))
		}
	}
	return hull(pts)
}

// compound is copies as one shape.
func (j *job) compound(at []laid) *Shape {
	s := &Shape{bounds: nothing(), box: nothing(), hull: j.hullOf(at)}
	for _, l := range at {
		t := j.parts[l.part].turned(l.turn)
		for _, p := range t.parts {
			q := make([]vec, len(p))
			for i, v := range p {
				q[i] = v.add(l.at)
			}
			s.parts = append(s.parts, q)
		}
		b, box := t.bounds.shifted(l.at), t.box.shifted(l.at)
		s.bounds = s.bounds.with(b.lo).with(b.hi)
		s.box = s.box.with(box.lo).with(box.hi)
		s.area += t.area
	}
	return s
}

// commonTurns are the turns of a cluster that leave every copy in a turn that is allowed.
func commonTurns(turns []int, at []laid) (out []int) {
	for _, t := range turns {
		if !slices.ContainsFunc(at, func(l laid) bool { return !slices.Contains(turns, (l.turn+t)&3) }) {
			out = append(out, t)
		}
	}
	return out
}

// clusterShare is the share of the work that goes into clusters, where there are any.
const clusterShare = 0.6

// startClustered packs clusters first and takes their copies for a start; false where
// there are none to be formed.
func (p *strips) startClustered(ctx context.Context, j *job, seed uint64, looks int) (bool, error) {
	c, ok := j.clusters()
	if !ok {
		return false, nil
	}
	whole, err := newJob(ctx, c.parts)
	if err != nil {
		return false, err
	}
	share := int(clusterShare * float64(looks))
	q := &strips{height: p.height, rng: p.rng}
	if err := q.start(ctx, whole, seed, share); err != nil {
		return false, err
	}
	q.explore(ctx, 0)
	at := c.split(q.best)
	p.search = newSearch(j, strip(q.length, p.height), at, seed, looks-share)
	p.keep(q.length)
	return true, nil
}
