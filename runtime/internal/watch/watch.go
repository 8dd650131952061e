// Package watch turns the file system's events into quiet batches of paths. It
// watches folders rather than files, since many editors save by putting a new
// file in the old one's place, and it reports only the files it was asked to
// follow, so a build's own outputs never stir it. It knows nothing of builds.
package watch

import (
	"slices"
	"time"

	"github.com/fsnotify/fsnotify"
)

// Quiet is how long the followed files must rest before a batch is given.
// Saves of common editors settle within about a millisecond.
const Quiet = 2 * time.Millisecond

// Recheck is how often the followed files are looked at without any event:
// some network folders give none, and the system may run out of watches.
const Recheck = time.Second

// Watcher follows a set of files that may come, go and come again.
type Watcher struct {
	events  *fsnotify.Watcher
	follow  chan request
	batches chan []string
	done    chan struct{}
}

// request is one call of Follow; seen is closed when it is in force.
type request struct {
	files []string
	seen  chan struct{}
}

// New starts a watcher that follows nothing yet. Close ends it.
func New() (*Watcher, error) {
	events, err := fsnotify.NewWatcher()
	if err != nil {
		return nil, err
	}
	w := &Watcher{
		events:  events,
		follow:  make(chan request),
		batches: make(chan []string),
		done:    make(chan struct{}),
	}
	go w.run()
	return w, nil
}

// Follow replaces the files to follow, given by absolute path; they need not
// exist, nor their folders. It returns when changes from now on will be seen.
func (w *Watcher) Follow(files []string) {
	r := request{slices.Clone(files), make(chan struct{})}
	select {
	case w.follow <- r:
		<-r.seen
	case <-w.done:
	}
}

// Batches gives, after each quiet spell, the followed files that something
// happened to, sorted. What happens while nobody receives is added to the
// batch that is waiting. The channel is closed when the watcher ends.
func (w *Watcher) Batches() <-chan []string { return w.batches }

// Close ends the watcher and waits for it. It may be called once.
func (w *Watcher) Close() error {
	err := w.events.Close()
	<-w.done
	return err
}

// run drains the events, and does nothing that takes long.
func (w *Watcher) run() {
	defer close(w.done)
	defer close(w.batches)
	f := newFollowed(w.events)
	var stirred []string
	var ready chan []string // w.batches once stirred has come to rest
	rest := time.NewTimer(Quiet)
	rest.Stop()
	recheck := time.NewTicker(Recheck)
	defer recheck.Stop()
	stir := func(files []string) {
		if stirred = merge(stirred, files); len(files) > 0 {
			ready = nil
			rest.Reset(Quiet)
		}
	}
	for {
		select {
		case r := <-w.follow:
			stir(f.set(r.files))
			close(r.seen)
		case e, ok := <-w.events.Events:
			if !ok {
				return
			}
			stir(f.touched(e))
		case _, ok := <-w.events.Errors:
			if !ok {
				return
			}
			// Events were lost: anything may have changed.
			f.renew()
			stir(f.files)
		case <-rest.C:
			stirred = merge(stirred, f.looks.again(f.files))
			ready = w.batches
		case <-recheck.C:
			if len(stirred) == 0 {
				stir(f.looks.again(f.files))
			}
		case ready <- stirred:
			stirred, ready = nil, nil
		}
	}
}

// merge is the sorted union.
func merge(a, b []string) []string {
	all := append(a, b...)
	slices.Sort(all)
	return slices.Compact(all)
}
