package nest

import (
	"context"
	"slices"
	"sync"
)

// search is separators that work side by side from one state: after each pass
// the best result goes to all.
type search struct {
	team   [workers]*separator
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
func (s *search) first() *separator { return s.team[0] }

// load lays all copies anew on a sheet; weights start from 1.
func (s *search) load(sheet bounds, at []laid) {
	for _, w := range s.team {
		w.sheet = sheet
		for i, l := range at {
			w.put(i, l)
		}
		for i := range w.weight {
			w.weight[i] = 1
		}
	}
}

// step makes one pass and gives the sum of depths that is left.
func (s *search) step(ctx context.Context) float64 {
	var wg sync.WaitGroup
	for _, w := range s.team[1:] {
		wg.Add(1)
		go func() {
			defer wg.Done()
			w.pass(ctx)
		}()
	}
	s.first().pass(ctx)
	wg.Wait()
	best, plain, low := 0, 0.0, 0.0
	for i, w := range s.team {
		s.budget -= w.evals
		w.evals = 0
		if p, l := w.losses(); i == 0 || l < low {
			best, plain, low = i, p, l
		}
	}
	from := s.team[best]
	if plain > 0 {
		from.reweigh()
	}
	for _, w := range s.team {
		if w != from {
			copy(w.at, from.at)
			copy(w.boxes, from.boxes)
			copy(w.weight, from.weight)
		}
	}
	return plain
}

// separate works until nothing overlaps, which it reports, or until there was no
// progress for so many passes, so many times over.
func (s *search) separate(ctx context.Context, patience, strikes int) bool {
	low := -1.0
	var best []laid
	for strike := 0; strike < strikes; strike++ {
		start := low
		for idle := 0; idle < patience; idle++ {
			left := s.step(ctx)
			if ctx.Err() != nil {
				return false
			}
			if left == 0 {
				return true
			}
			if low < 0 || left < low {
				if left < 0.98*low {
					idle = 0
				}
				low = left
				best = append(best[:0], s.first().at...)
			}
			if s.budget <= 0 {
				return false
			}
		}
		if start >= 0 && low < 0.98*start {
			strike = -1
		}
		for _, w := range s.team {
			for i, l := range best {
				w.put(i, l)
			}
		}
	}
	return false
}

// result is the copies as they lie.
func (s *search) result() []laid { return slices.Clone(s.first().at) }
