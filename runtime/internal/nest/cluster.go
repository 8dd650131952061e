package nest

import (
	"cmp"
	"context"
	"slices"
)

// Figures of clusters: copies of one shape that are laid together at first, since a
// search hardly finds by chance how long arms nest.
const (
	leastClustered = 8    // copies from which a shape is laid in clusters
	mostClustered  = 16   // copies in one
	clusterTries   = 400  // places of a second copy looked at
	clusterEffort  = 2e4  // of the lattices that blocks are taken from
	clusterNeed    = 1.25 // by which a cluster of some part must fill its hull better than the copy alone
	clusterGain    = 1.03 // by which one must to be used
	clusterShare   = 0.85 // of the work goes into clusters, where there are any
	drawnPlans     = 200  // choices of clusters that are compared by their hulls
)

// clustered is parts some of which stand for several copies of one.
type clustered struct {
	parts  []Part
	copies [][]laid // that each part stands for, turned and placed against it
}

// clustered is the parts laid in clusters, one kind for each, or as single copies where that is nil.
func (j *job) clustered(kinds [][]laid) (c clustered) {
	for i, p := range j.parts {
		rest := p.Count
		if at := kinds[i]; len(at) > 1 {
			c.add(Part{j.compound(at), commonTurns(p.Turns, at), rest / len(at)}, at)
			rest %= len(at)
		}
		if rest > 0 {
			c.add(Part{p.Shape, p.Turns, rest}, []laid{{part: i}})
		}
	}
	return c
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

// cluster is copies of a part laid together, and by how much better than the copy alone they fill their hull.
type cluster struct {
	at   []laid
	gain float64
}

// candidates are clusters of a part that serve on a strip of a height: for each number of copies the one that
// fills its hull best, that which fills its box best, and that which does in columns of as many boxes as fit one above the
// other. Looked at are rows of copies of the same turn, two copies of different turns, and blocks of lattices.
func (j *job) candidates(ctx context.Context, part int, height int64) (out []cluster) {
	p := j.parts[part]
	most := min(mostClustered, p.Count)
	type measured struct {
		cluster
		value float64
	}
	best := make([][3]measured, most+1)
	alone := p.area * perMM * perMM / (float64(area2(p.hull)) / 2)
	consider := func(at []laid) {
		turns := commonTurns(p.Turns, at)
		hull := j.hullOf(at)
		size := boundsOf(hull)
		column := 0.0
		area := float64(len(at)) * p.area * perMM * perMM
		for _, turn := range turns {
			d := size.turned(turn)
			if h := d.hi.y - d.lo.y; h <= height {
				column = max(column, area/float64(d.hi.x-d.lo.x)/float64(height)*float64(height/h))
			}
		}
		if column == 0 {
			return
		}
		d := size.hi.sub(size.lo)
		fill := area / (float64(area2(hull)) / 2)
		if fill < alone*clusterGain {
			return
		}
		for i, v := range [...]float64{fill, area / float64(d.x) / float64(d.y), column} {
			if b := &best[len(at)][i]; v > b.value {
				*b = measured{cluster{slices.Clone(at), fill / alone}, v}
			}
		}
	}
	first := laid{part: part, turn: p.Turns[0]}
	for _, turn := range p.Turns {
		pair, _ := j.pair(first, laid{part: part, turn: turn})
		for _, c := range contacts(pair.rim, clusterTries) {
			c = c.turned(first.turn)
			for n := 2; n <= most && (n == 2 || turn == first.turn); n++ {
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
	for _, l := range lattices(ctx, j, part, clusterEffort) {
		for rows := 1; rows*len(l.motif) <= most; rows++ {
			for long := 1; long*rows*len(l.motif) <= most; long++ {
				if long*rows*len(l.motif) > 1 {
					consider(l.block(long, rows))
				}
			}
		}
	}
	for _, three := range best {
		for _, m := range three {
			if m.at != nil {
				out = append(out, m.cluster)
			}
		}
	}
	return out
}

// block is so many motifs along u by so many along v.
func (l *lattice) block(long, rows int) (out []laid) {
	for k := range long {
		for n := range rows {
			for _, m := range l.motif {
				m.at = m.at.add(l.u.mul(int64(k))).add(l.v.mul(int64(n)))
				out = append(out, m)
			}
		}
	}
	return out
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

// job is the parts with their no-fit polygons, from those of the copies they stand for. The
// error is the context's.
func (c *clustered) job(ctx context.Context, single *job) (*job, error) {
	return newJobOf(ctx, c.parts, func(ctx context.Context, a, b, turn int) (*pair, error) {
		return single.united(ctx, c.copies[a], c.copies[b], turn)
	})
}

// united is the no-fit polygon of two clusters A and B, B turned by quarters: the union, over
// their copies a and b, of those of a and b. With R_k the turn by k quarters and N the no-fit
// polygon of both parts, b moved by t meets a if R_(−r)(b + t − a) lies in N, where r is the turn
// of a; so if t lies in R_r·N + a − b. Where N is kept the other way round, as that of b
// and a, −N stands for it: half a turn more. What a side of N's rim loses is what lies in
// the sums of other copies; sums of its own were taken away before.
func (j *job) united(ctx context.Context, as, bs []laid, turn int) (*pair, error) {
	type member struct {
		*pair
		turn        int
		off         vec
		first, next int // its sums
	}
	var all []member
	u := &pair{bounds: nothing()}
	for _, a := range as {
		for _, b := range bs {
			b = laid{b.part, (b.turn + turn) & 3, b.at.turned(turn)}
			p, _ := j.pair(a, b)
			m := member{pair: p, turn: a.turn, off: a.at.sub(b.at), first: len(u.sums)}
			if a.part > b.part {
				m.turn = b.turn + 2
			}
			if slices.ContainsFunc(all, func(o member) bool { return o.pair == m.pair && o.turn&3 == m.turn&3 && o.off == m.off }) {
				continue // in rows and blocks most are the same
			}
			for k, s := range p.sums {
				moved := make([]vec, len(s))
				for i, v := range s {
					moved[i] = v.turned(m.turn).add(m.off)
				}
				u.sums = append(u.sums, moved)
				u.addBox(p.boxes[k].turned(m.turn).shifted(m.off))
			}
			m.next = len(u.sums)
			all = append(all, m)
		}
	}
	u.cover(ctx)
	cut := u.newCutter()
	for _, m := range all {
		if ctx.Err() != nil {
			return nil, context.Cause(ctx)
		}
		for _, e := range m.edges {
			e.a, e.b = e.a.turned(m.turn).add(m.off), e.b.turned(m.turn).add(m.off)
			cut.addRim(e, m.first, m.next)
		}
	}
	u.findNear(ctx)
	if ctx.Err() != nil {
		return nil, context.Cause(ctx)
	}
	return u, nil
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

// halving says how many plans are worked on in each round, each round with as much work as the
// others (successive halving, with longer strides); the last plan has two, each from long steps on.
var halving = [...]int{6, 2, 1, 1}

// startClustered packs clusters first and takes their copies for a start; false where
// there are none to be formed. Which clusters serve depends on how they go together: of many
// plans, drawn at random, those whose hulls are smallest are packed, the best by the length reached ever further.
func (p *strips) startClustered(ctx context.Context, j *job, seed uint64, looks int) (bool, error) {
	candidates := make([][]cluster, len(j.parts))
	worth := false
	for i, part := range j.parts {
		if part.Count >= leastClustered {
			candidates[i] = j.candidates(ctx, i, p.height)
			worth = worth || slices.ContainsFunc(candidates[i], func(c cluster) bool { return c.gain >= clusterNeed })
		}
	}
	if !worth || ctx.Err() != nil {
		return false, context.Cause(ctx)
	}
	share := int(clusterShare * float64(looks))
	round := share / len(halving)
	var tried []*attempt
	for _, c := range p.plans(j, candidates)[:halving[0]] {
		a, err := p.attempt(ctx, j, c, seed, round/halving[0])
		if err != nil {
			if ctx.Err() != nil && len(tried) > 0 {
				break
			}
			return false, err
		}
		tried = append(tried, a)
	}
	for _, n := range halving {
		slices.SortStableFunc(tried, func(a, b *attempt) int { return cmp.Compare(a.length, b.length) })
		tried = tried[:min(n, len(tried))]
		for _, a := range tried {
			a.budget += round / n
			a.explore(ctx, 0)
		}
	}
	best := tried[0]
	p.least, _ = j.leastLength(p.height)
	p.search = newSearch(j, strip(best.length, p.height), best.split(best.best), seed, looks-share)
	p.keep(best.length)
	return true, nil
}

// attempt is clusters and how they are packed so far.
type attempt struct {
	clustered
	*strips
}

// plans draws choices of clusters, or of single copies, and gives them by the area of all their hulls, the least
// first: what lies between copies of a hull is waste for certain, what lies between hulls may be little.
func (p *strips) plans(j *job, candidates [][]cluster) []clustered {
	var plans []clustered
	for range drawnPlans {
		kinds := make([][]laid, len(candidates))
		for i, c := range candidates {
			if k := p.rng.IntN(len(c)*5/4 + 1); k < len(c) {
				kinds[i] = c[k].at
			}
		}
		plans = append(plans, j.clustered(kinds))
	}
	slices.SortStableFunc(plans, func(a, b clustered) int { return cmp.Compare(a.hulls(), b.hulls()) })
	return plans
}

// hulls is twice the area of the hulls of all copies, in steps².
func (c *clustered) hulls() (sum int64) {
	for _, p := range c.parts {
		sum += area2(p.hull) * int64(p.Count)
	}
	return sum
}

// attempt packs clusters for a first time.
func (p *strips) attempt(ctx context.Context, j *job, c clustered, seed uint64, looks int) (*attempt, error) {
	a := &attempt{clustered: c, strips: &strips{height: p.height, rng: p.rng}}
	whole, err := a.job(ctx, j)
	if err != nil {
		return nil, err
	}
	err = a.start(ctx, whole, seed, looks)
	a.budget = 0
	return a, err
}
