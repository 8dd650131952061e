package nest

import (
	"context"

	"github.com/creasewright/creasewright/runtime/internal/parallel"
)

// Part is a shape that is to be laid: how often, and how it may be turned.
type Part struct {
	*Shape
	Turns []int // quarter turns counter-clockwise that are allowed: 0 to 3
	Count int   // how often it is to be laid: in all, or in each set
}

// job is parts with their no-fit polygons, for laying. The pairs are computed
// once and read by all workers.
type job struct {
	parts []Part
	pairs [][][4]*pair // by the numbers of both parts, the lower first, and the turn of the second against the first
}

// newJob computes the no-fit polygons of parts. The error is the context's.
func newJob(ctx context.Context, parts []Part) (*job, error) {
	return newJobOf(ctx, parts, func(ctx context.Context, a, b, turn int) (*pair, error) {
		return noFit(ctx, parts[a].Shape, parts[b].Shape.turned(turn))
	})
}

// newJobOf is parts with their no-fit polygons: with of two parts, the second turned by
// quarters against the first.
func newJobOf(ctx context.Context, parts []Part, of func(ctx context.Context, a, b, turn int) (*pair, error)) (*job, error) {
	type key struct{ a, b, turn int }
	var todo []key
	j := &job{parts: parts, pairs: make([][][4]*pair, len(parts))}
	for a := range parts {
		j.pairs[a] = make([][4]*pair, len(parts))
	}
	for a := range parts {
		for b := a; b < len(parts); b++ {
			var needed [4]bool
			for _, r := range parts[a].Turns {
				for _, s := range parts[b].Turns {
					needed[(s-r)&3] = true
				}
			}
			for turn, yes := range needed {
				if yes {
					todo = append(todo, key{a, b, turn})
				}
			}
		}
	}
	err := parallel.Each(ctx, len(todo), func(i int) error {
		k := todo[i]
		p, err := of(ctx, k.a, k.b, k.turn)
		j.pairs[k.a][k.b][k.turn] = p
		return err
	})
	return j, err
}

// laid is one copy of a part on the sheet.
type laid struct {
	part, turn int
	at         vec
}

// place is where b stands as the pair of the two sees it, and that pair.
// With R_k the turn by k quarters, A turned by r and B turned by s overlap at
// a and b if A and R_(s−r)B do with the second at R_(−r)(b − a).
func (j *job) pair(a, b laid) (*pair, vec) {
	if a.part > b.part {
		a, b = b, a
	}
	return j.pairs[a.part][b.part][(b.turn-a.turn)&3], b.at.sub(a.at).turned(-a.turn)
}

func (j *job) overlap(a, b laid) bool {
	p, t := j.pair(a, b)
	return p.holds(t)
}

func (j *job) depth(a, b laid) float64 {
	p, t := j.pair(a, b)
	return p.depth(t)
}

// box is the box round a copy.
func (j *job) box(l laid) bounds { return j.parts[l.part].bounds.turned(l.turn).shifted(l.at) }

// room is where a part's origin may lie so that it lies within a box; empty if it
// does not fit.
func (j *job) room(part, turn int, sheet bounds) bounds {
	b := j.parts[part].box.turned(turn)
	return bounds{sheet.lo.sub(b.lo), sheet.hi.sub(b.hi)}
}
