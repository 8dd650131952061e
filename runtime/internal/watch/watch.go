// Package watch turns the file system's events into debounced batches of paths.
// It watches folders rather than files, since many editors save by putting a new
// file in the old one's place, and it reports only the files it was asked to
// follow, so that a build's own outputs cause no events. Where the system has no
// events left to give, it polls the files. It knows nothing of builds.
package watch

import (
	"errors"
	"slices"
	"time"

	"github.com/fsnotify/fsnotify"
)

// Quiet is the debounce time: a batch is given once the followed files have had
// no event for so long. That keeps together the events of one write; those of a whole save,
// a copy put aside or a change of mode, may be a millisecond apart and make batches
// of their own, so that whoever takes them looks whether anything has changed.
const Quiet = 500 * time.Microsecond

// How often the state of the followed files is compared without any event: every
// CheckInterval beside events, since some network folders give none, and every
// PollInterval where there are no events to be had.
const (
	CheckInterval = time.Second
	PollInterval  = 250 * time.Millisecond
)

// Watcher follows a set of files that may come, go and come again.
type Watcher struct {
	follow  chan request
	batches chan Batch
	stop    chan struct{} // closed to end the watcher
	done    chan struct{} // closed when it has ended
}

// Batch is what happened to the followed files in one burst of events.
type Batch struct {
	Files []string  // sorted, each once
	Last  time.Time // of the last event, as it came from the system
}

// request is one call of Follow; the answer comes when it is in force.
type request struct {
	files  []string
	answer chan error
}

// New starts a watcher that follows nothing yet. Close ends it.
func New() *Watcher { return start(systemEvents) }

// start starts a watcher on the events of the source that open opens; without
// one it polls.
func start(open func() (events, error)) *Watcher {
	w := &Watcher{
		follow:  make(chan request),
		batches: make(chan Batch),
		stop:    make(chan struct{}),
		done:    make(chan struct{}),
	}
	source, err := open()
	if err != nil {
		source = events{}
	}
	go w.run(newFollowed(source, err))
	return w
}

// Follow replaces the files to follow, given by absolute path; they need not
// exist, nor their folders. It returns when changes from now on will be seen.
// The error says why they are found by polling; they are followed all the same.
func (w *Watcher) Follow(files []string) (polling error) {
	r := request{slices.Clone(files), make(chan error, 1)}
	select {
	case w.follow <- r:
		return <-r.answer
	case <-w.done:
		return nil
	}
}

// Batches gives, after each quiet period, the followed files that something
// happened to. What happens while nobody receives is added to the
// batch that is waiting. The channel is closed when the watcher ends.
func (w *Watcher) Batches() <-chan Batch { return w.batches }

// Close ends the watcher and waits for it. It may be called once.
func (w *Watcher) Close() {
	close(w.stop)
	<-w.done
}

// run drains the events, and does nothing that takes long.
func (w *Watcher) run(f *followed) {
	defer close(w.done)
	defer close(w.batches)
	defer f.close()
	var pending Batch      // what has happened since the last batch
	var ready chan<- Batch // w.batches once the files have been quiet
	debounce := time.NewTimer(Quiet)
	debounce.Stop()
	interval := f.interval()
	check := time.NewTicker(interval)
	defer check.Stop()
	add := func(files []string) {
		if pending.Files = merge(pending.Files, files); len(files) > 0 {
			ready, pending.Last = nil, time.Now()
			debounce.Reset(Quiet)
		}
	}
	for {
		if now := f.interval(); now != interval {
			interval = now
			check.Reset(now)
		}
		select {
		case <-w.stop:
			return
		case r := <-w.follow:
			add(f.set(r.files))
			r.answer <- f.polling
		case e, ok := <-f.source.events:
			if !ok {
				f.lose(errors.New("the system gives no more events"))
				continue
			}
			add(f.touched(e))
		case <-f.source.errors:
			// Events were lost: anything may have changed.
			f.renew()
			add(f.files)
		case <-debounce.C:
			pending.Files = merge(pending.Files, f.states.update(f.files))
			ready = w.batches
		case <-check.C:
			if len(pending.Files) == 0 {
				add(f.states.update(f.files))
			}
		case ready <- pending:
			pending, ready = Batch{}, nil
		}
	}
}

// merge is the sorted union.
func merge(a, b []string) []string {
	all := append(a, b...)
	slices.Sort(all)
	return slices.Compact(all)
}

// events is where events come from. Its zero value gives none and watches
// nothing.
type events struct {
	events        <-chan fsnotify.Event
	errors        <-chan error
	watch, forget func(dir string) error
	end           func() error
}

// systemEvents are those of the operating system, of which an instance may be
// refused: Linux allows each user 128 of them.
func systemEvents() (events, error) {
	w, err := fsnotify.NewWatcher()
	if err != nil {
		return events{}, err
	}
	return events{w.Events, w.Errors, w.Add, w.Remove, w.Close}, nil
}
