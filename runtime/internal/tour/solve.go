package tour

import "context"

const (
	// mostKicks bounds how often the way is shaken, and with it the time: a kick and
	// what follows it take some 30 µs.
	mostKicks = 12000

	// leastVain is how many kicks in a row must gain nothing before the search ends:
	// with so many, of 400 random sets of up to seven tasks all but one were done in the
	// shortest way. More tasks need more, and more for each of them.
	leastVain, leastVainEach, mostVainEach = 40, 2, 6

	// joltEvery is how many kicks there are to one that changes only starts, where
	// there are starts to choose.
	joltEvery = 4
)

// solve is Order for tasks that are valid and sorted.
func solve(ctx context.Context, tasks []Task, o Options) ([]Visit, error) {
	p := newPlan(tasks, o)
	t, err := newTree(ctx, p)
	if err != nil {
		return nil, err
	}
	lists, err := nearest(ctx, t)
	if err != nil {
		return nil, err
	}
	r := newRoute(p)
	if err := r.greedy(ctx, t); err != nil {
		return nil, err
	}
	s := newSearch(r, lists)
	if err := s.refine(ctx); err != nil {
		return nil, err
	}
	if err := s.shake(ctx); err != nil {
		return nil, err
	}
	return r.visits(), nil
}

// refine settles what is queued and then chooses all starts exactly, until that
// changes nothing.
func (s *search) refine(ctx context.Context) error {
	for {
		if _, err := s.settle(ctx); err != nil {
			return err
		}
		s.keep()
		if err := s.choose(ctx); err != nil {
			return err
		}
		if len(s.journal) == 0 {
			return nil
		}
		for _, c := range s.journal {
			t := c.task
			if t == nowhere {
				t = s.task(int(c.from))
			}
			s.push(t)
			s.push(s.beside(s.in(t)).task())
			s.push(s.beside(s.out(t)).task())
		}
	}
}

// shake kicks the way at random places, lets it settle each time, and takes that
// back where the way is no shorter for it (iterated local search; Martin, Otto and
// Felten 1991).
func (s *search) shake(ctx context.Context) error {
	n := s.size()
	if n < fewest && !s.choices {
		return nil
	}
	random, vain := random(1), 0
	for k := 1; k <= mostKicks && vain < enough(n); k++ {
		if k%looks == 0 && ctx.Err() != nil {
			return context.Cause(ctx)
		}
		var lost float64
		if s.choices && (k%joltEvery == 0 || n < fewest) {
			lost = s.jolt(&random)
		} else {
			lost = s.kick(&random)
		}
		gained, err := s.settle(ctx)
		if err != nil {
			return err
		}
		if vain++; gained < lost {
			s.undo()
		} else {
			s.keep()
			if gained > lost+leastGain {
				vain = 0
			}
		}
		if k%max(n, leastVain) == 0 {
			if err := s.refine(ctx); err != nil {
				return err
			}
		}
	}
	return s.refine(ctx)
}

// enough is how many kicks in a row that gain nothing end the search for n tasks.
func enough(n int) int { return max(leastVain, n*min(leastVainEach+n/16, mostVainEach)) }
