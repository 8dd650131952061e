package nest

import (
	"cmp"
	"context"
	"math"
	"math/rand/v2"
	"slices"
	"sync"
)

// roundLooks is how many looks at places a separator makes before it is asked how it stands:
// as much work for each, so that none waits long for the others.
const roundLooks = 40_000

// search is separators that work side by side, each on a state of its own.
type search struct {
	team   [workers]*separator
	winner int // the separator whose state counts
	budget int // places that may still be looked at
}

func newSearch(j *job, sheet bounds, at []laid, seed uint64, budget int) *search {
	s := &search{budget: budget}
	for i := range s.team {
		s.team[i] = newSeparator(j, sheet, at, seed+uint64(i)*7919)
	}
	return s
}

// first is the separator whose state counts.
func (s *search) first() *separator { return s.team[s.winner] }

// load lays all copies anew on a sheet, the same way for every separator.
func (s *search) load(sheet bounds, at []laid) {
	for _, w := range s.team {
		w.load(sheet, at)
	}
}

// round lets every separator that is not stuck make some passes. It gives the number of the
// first that has made all copies clear, or -1.
func (s *search) round(ctx context.Context, patience, strikes int) int {
	var wg sync.WaitGroup
	for _, w := range s.team[1:] {
		wg.Go(func() { w.advance(ctx, roundLooks, patience, strikes) })
	}
	s.team[0].advance(ctx, roundLooks, patience, strikes)
	wg.Wait()
	for _, w := range s.team {
		s.budget -= w.evals
		w.evals = 0
	}
	if ctx.Err() != nil {
		return -1
	}
	return slices.IndexFunc(s.team[:], func(w *separator) bool { return w.low == 0 })
}

// separate works until nothing overlaps for one of the separators, which it reports, or until all
// are stuck: until there was no progress for so many passes, so many times over.
func (s *search) separate(ctx context.Context, patience, strikes int) bool {
	return s.separateAgain(ctx, patience, strikes, nil)
}

// separateAgain is separate, where a separator that is stuck goes on from what again lays, as
// long as that does.
func (s *search) separateAgain(ctx context.Context, patience, strikes int, again func(w *separator)) bool {
	for {
		if k := s.round(ctx, patience, strikes); k >= 0 {
			s.winner = k
			return true
		}
		if s.budget <= 0 || ctx.Err() != nil {
			return false
		}
		working := false
		for _, w := range s.team {
			if w.stuck && again != nil {
				again(w)
			}
			working = working || !w.stuck
		}
		if !working {
			return false
		}
	}
}

// result is the copies as they lie.
func (s *search) result() []laid { return slices.Clone(s.first().at) }

// pool is states in which copies still overlap, the least first.
type pool []pooled

type pooled struct {
	at     []laid
	loss   float64
	length int64 // of the strip
}

// mostPooled is how many states a pool holds.
const mostPooled = 40

func (p *pool) add(e pooled) {
	k, _ := slices.BinarySearchFunc(*p, e.loss, func(e pooled, loss float64) int { return cmp.Compare(e.loss, loss) })
	*p = slices.Insert(*p, k, e)
	*p = (*p)[:min(len(*p), mostPooled)]
}

// pick draws a state, low ones more often: by the half of a normal distribution with a
// deviation of a quarter of the pool.
func (p pool) pick(rng *rand.Rand) pooled {
	k := int(math.Abs(rng.NormFloat64()) * float64(len(p)) / 4)
	return p[min(k, len(p)-1)]
}
