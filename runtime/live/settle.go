package live

import (
	"context"
	"time"
)

// settled is how long the texts must have rested, all in all, before anything
// made of them is written. The run begins before that: it can be given up.
const settled = 10 * time.Millisecond

// tornGrace is how long a text must have rested that has just vanished or
// become empty, or that has just been saved and makes no sense. Editors leave a
// file so for half a millisecond or so, copies over a slow network for longer.
const tornGrace = 100 * time.Millisecond

// overdue is how long texts may go without rest before a run is finished and
// told all the same: a file may be written for ever, and who waits longer than
// this takes the watch for dead.
const overdue = 2 * time.Second

// calm is how far apart events are that belong to saves of their own: a run may
// then be given up for each, however often.
const calm = time.Second

// stir notes that something has happened.
func (s *session) stir() {
	now := time.Now()
	if now.Sub(s.stirred) > calm {
		s.due = now.Add(overdue)
	}
	s.stirred = now
}

// moved reports whether the texts are no longer what the run saw, once the last
// event is as old as the grace wants it. A run that is overdue has not been
// moved by anything.
func (s *session) moved(ctx context.Context, grace time.Duration) bool {
	for ctx.Err() == nil && time.Now().Before(s.due) {
		rested := s.rest(ctx, grace, s.due)
		if s.changed(ctx) {
			return true
		}
		if rested {
			return false
		}
	}
	return false
}

// changed reports whether the texts are no longer what the last run saw. Where
// one seems torn it looks again whenever something happens to them, until they
// have rested.
func (s *session) changed(ctx context.Context) bool {
	same, torn := s.seen.compare(s.reader())
	if same {
		return false
	}
	s.stir() // an instant ago, and the event may still be on its way
	end := s.stirred.Add(overdue)
	for rested := false; torn && !rested && ctx.Err() == nil; {
		rested = s.rest(ctx, tornGrace, end)
		same, torn = s.seen.compare(s.reader())
	}
	return !same
}

// rest waits until the last event is as old as the grace, or the end has come,
// and is then true; the next event ends it before that.
func (s *session) rest(ctx context.Context, grace time.Duration, end time.Time) bool {
	until := s.stirred.Add(grace)
	if end.Before(until) {
		until = end
	}
	select {
	case <-ctx.Done():
	case <-s.watcher.Batches():
		s.stir()
		return false
	case <-time.After(time.Until(until)):
	}
	return true
}
