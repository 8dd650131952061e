package live

import (
	"context"
	"time"
)

// quietPeriod is how long after the last event the texts must be what the run saw
// before anything made of them is written. The run begins before that, upon the
// watcher's batch: it can be given up.
const quietPeriod = 10 * time.Millisecond

// partialSaveGrace is how long a text must have rested that has just vanished or
// become empty, or that has just been saved and makes no sense. Editors leave a
// file so for half a millisecond or so, copies over a slow network for longer.
const partialSaveGrace = 100 * time.Millisecond

// mostWait is how long texts may go without rest before a run is finished and
// told all the same: a file may be written for ever, and who waits longer than
// this takes the watch for dead.
const mostWait = 2 * time.Second

// burstGap is how far apart events are that belong to saves of their own: a run may
// then be given up for each, however often.
const burstGap = time.Second

// noteEvent notes that something has happened to the texts, and when.
func (s *session) noteEvent(at time.Time) {
	s.events++
	if at.Sub(s.lastEvent) > burstGap {
		s.due = at.Add(mostWait)
	}
	if at.After(s.lastEvent) {
		s.lastEvent = at
	}
}

// moved reports whether the texts are no longer what the run saw, once the last
// event is as old as the grace wants it. A run that has waited mostWait has not been
// moved by anything.
func (s *session) moved(ctx context.Context, grace time.Duration) bool {
	for ctx.Err() == nil && time.Now().Before(s.due) {
		rested := s.waitQuiet(ctx, grace, s.due)
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
// one seems partly saved it looks again whenever something happens to them, until they
// have rested.
func (s *session) changed(ctx context.Context) bool {
	same, partial := s.seen.compare(s.reader())
	if same {
		return false
	}
	if time.Since(s.lastEvent) >= quietPeriod {
		s.noteEvent(time.Now()) // an instant ago, and the event may still be on its way
	}
	end := s.lastEvent.Add(mostWait)
	for rested := false; partial && !rested && ctx.Err() == nil; {
		rested = s.waitQuiet(ctx, partialSaveGrace, end)
		same, partial = s.seen.compare(s.reader())
	}
	return !same
}

// waitQuiet waits until the last event is as old as the grace, or the end has come,
// and is then true; the next event ends it before that.
func (s *session) waitQuiet(ctx context.Context, grace time.Duration, end time.Time) bool {
	until := s.lastEvent.Add(grace)
	if end.Before(until) {
		until = end
	}
	select {
	case <-ctx.Done():
	case batch := <-s.watcher.Batches():
		s.noteEvent(batch.Last)
		return false
	case <-time.After(time.Until(until)):
	}
	return true
}
