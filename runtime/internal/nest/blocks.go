package nest

import (
	"cmp"
	"context"
	"slices"
)

// fewInBlocks is from how many copies of a shape on a lattice may be denser than what a
// search from a random start finds.
const fewInBlocks = 8

// blocks lays all copies of every part on a lattice of their own, one block after
// the other along a strip of a height in steps, each as short as some lattice makes it. It
// gives the length; false where the parts are too few for it to be of use.
func (j *job) blocks(ctx context.Context, height int64, effort float64) (at []laid, length int64, ok bool) {
	for part := range j.parts {
		if j.parts[part].Count < fewInBlocks {
			return nil, 0, false
		}
	}
	for part := range j.parts {
		block := j.block(ctx, part, height, effort)
		if block == nil {
			return nil, 0, false
		}
		right := length
		for _, l := range block {
			l.at.x += length
			right = max(right, j.box(l).hi.x)
			at = append(at, l)
		}
		length = right
	}
	return at, length, true
}

// block lays the copies of one part on the shortest strip that a lattice needs, or
// rows and columns, from its left end.
func (j *job) block(ctx context.Context, part int, height int64, effort float64) []laid {
	p := j.parts[part]
	var options []lattice
	found := lattices(ctx, j, part, effort)
	seen := map[int]bool{}
	for _, turn := range p.Turns {
		quarter := (turn - p.Turns[0]) & 3
		if seen[quarter&1] {
			continue
		}
		seen[quarter&1] = true
		b := p.bounds.turned(turn)
		size := b.hi.sub(b.lo)
		options = append(options, lattice{[]laid{{part: part, turn: turn}}, vec{size.x, 0}, vec{0, size.y}, size.x * size.y})
		for _, l := range found {
			options = append(options, l.turned(quarter))
		}
	}
	var best []laid
	short := int64(0)
	for _, l := range options {
		// As short as this one can be: by halving, up to the best so far.
		lo, hi := int64(0), short
		if best == nil {
			b := p.bounds
			hi = (max(b.hi.x-b.lo.x, b.hi.y-b.lo.y) + 1) * int64(p.Count) * 2
		}
		for hi-lo > perMM/100+hi/20000 && ctx.Err() == nil {
			mid := (lo + hi) / 2
			at := j.placed(l, bounds{hi: vec{mid, height}})
			if len(at) < p.Count {
				lo = mid
				continue
			}
			hi = mid
			slices.SortStableFunc(at, func(a, b laid) int { return cmp.Compare(j.box(a).hi.x, j.box(b).hi.x) })
			at = at[:p.Count]
			if right := j.box(at[p.Count-1]).hi.x; best == nil || right < short {
				best, short = at, right
			}
		}
	}
	return best
}
