package check

import (
	"cmp"
	"iter"
	"slices"

	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/internal/disjoint"
	"github.com/creasewright/creasewright/runtime/model"
	"github.com/creasewright/creasewright/runtime/source"
)

// Of n panels n²/2 pairs may lie on one another or cross. So pairs are sorted
// out and put together as numbers, and only those that are told get words. What
// is told is the same as with other rules: a waiver on either panel takes a
// pair out, an earlier rule's finding on either explains it, what a pose before
// has shown is not told again, and pairs that share a panel are told as one, those
// that are allowed for the same reason too.

// pairFound is two panels of a piece, by number, that a rule is about in one
// pose; findings are told at b. The heaviest of a group speaks for it.
type pairFound struct {
	a, b   int32
	weight float64
}

// pairRule is what a rule about pairs of panels is made of.
type pairRule struct {
	list   func(state) iter.Seq[pairFound] // by a, then b
	tell   func(state, pairFound) Found
	blames bool // the panels of what is found stand in the wrong place
}

// applyToPairs holds a rule about pairs against every pose.
func (f *facts) applyToPairs(r *Rule, blamed culprits) (stand []*Found, waived []diag.Waived) {
	for _, p := range f.Pieces {
		// Pairs that earlier poses have shown, a list for each, in order, so that one is found by
		// halving.
		var before [][]pairFound
		for _, st := range p.States {
			s := state{st}
			left, allowed := f.sortOut(r, s, blamed, before)
			for _, members := range groupPairs(s.Piece.Panels, left) {
				if f.ended() {
					return nil, nil
				}
				stand = append(stand, tellPairs(r, s, members))
			}
			before = append(before, left)
			for _, a := range allowed {
				for _, members := range groupPairs(s.Piece.Panels, a.pairs) {
					if f.ended() {
						return nil, nil
					}
					waived = append(waived, diag.Waived{Finding: &tellPairs(r, s, members).Finding, Reason: a.reason})
				}
				before = append(before, a.pairs)
			}
		}
	}
	return stand, waived
}

// allowance is the pairs of a pose that waivers with the same reason allow, by
// a, then b. Pairs with different reasons are not told as one.
type allowance struct {
	reason string
	pairs  []pairFound
}

// sortOut parts the pairs of a pose that no pose before has shown into those to
// be told and those that a waiver allows, and notes the panels that they blame.
// A pair is allowed in all poses or in none, since waivers name no pose.
func (f *facts) sortOut(r *Rule, s state, blamed culprits, before [][]pairFound) (left []pairFound, allowed []allowance) {
	panels := s.Piece.Panels
	explained, found := make([]bool, len(panels)), make([]bool, len(panels))
	waiver := make([]int, len(panels)) // the first of a panel, by number
	for i, p := range panels {
		explained[i] = blamed.explain(r, s.Piece, s.Pose, p)
		waiver[i] = f.waivers.number(r.ID, p)
	}
	for q := range r.pairs.list(s) {
		if f.ended() {
			return nil, nil
		}
		shown := func(told []pairFound) bool { return holdsPair(told, q) }
		if w := min(waiver[q.a], waiver[q.b]); w < len(f.waivers.list) {
			if slices.ContainsFunc(before, shown) {
				continue
			}
			reason := f.waivers.list[w].Reason
			at := slices.IndexFunc(allowed, func(a allowance) bool { return a.reason == reason })
			if at < 0 {
				at = len(allowed)
				allowed = append(allowed, allowance{reason: reason})
			}
			allowed[at].pairs = append(allowed[at].pairs, q)
			continue
		}
		found[q.a], found[q.b] = true, true
		if !explained[q.a] && !explained[q.b] && !slices.ContainsFunc(before, shown) {
			left = append(left, q)
		}
	}
	for i, p := range panels {
		if found[i] && r.pairs.blames {
			blamed.add(r, s.Piece, s.Pose, p)
		}
	}
	return left, allowed
}

// holdsPair looks for a pair among others in order.
func holdsPair(in []pairFound, q pairFound) bool {
	_, ok := slices.BinarySearchFunc(in, q, func(x, y pairFound) int { return cmp.Or(cmp.Compare(x.a, y.a), cmp.Compare(x.b, y.b)) })
	return ok
}

// groupPairs puts pairs together that share a panel, or that are told at panels
// which one call made; groups and their members keep their order.
func groupPairs(panels []*model.Panel, pairs []pairFound) [][]pairFound {
	sets := disjoint.New(len(panels))
	told := make([]bool, len(panels))
	for _, q := range pairs {
		sets.Join(int(q.a), int(q.b))
		told[q.b] = true
	}
	made := map[source.Span]int{}
	for i, p := range panels {
		if call := p.Site.First(); told[i] && call.Known() {
			if k, ok := made[call]; ok {
				sets.Join(k, i)
			}
			made[call] = i
		}
	}
	size, at := make([]int, len(panels)), make([]int, len(panels)) // by first panel
	for _, q := range pairs {
		size[sets.First(int(q.b))]++
	}
	var out [][]pairFound
	for _, q := range pairs {
		i := sets.First(int(q.b))
		if at[i] == 0 {
			out = append(out, make([]pairFound, 0, size[i]))
			at[i] = len(out)
		}
		out[at[i]-1] = append(out[at[i]-1], q)
	}
	return out
}

// tellPairs words a group of pairs: as the heaviest of them, the first of
// equals, with others named beside it.
func tellPairs(r *Rule, s state, group []pairFound) *Found {
	word := func(q pairFound) *Found {
		g := r.pairs.tell(s, q)
		g.finish(r)
		return &g
	}
	at := heaviest(len(group), func(i int) float64 { return group[i].weight })
	return representative(word(group[at]), len(group)-1, func(yield func(*Found) bool) {
		for i, q := range group {
			if i != at && !yield(word(q)) {
				return
			}
		}
	})
}
