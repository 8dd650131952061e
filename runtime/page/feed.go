package page

import (
	"crypto/sha256"
	"encoding/hex"
	"maps"
	"slices"
	"strings"
	"sync"
	"time"
)

// Bounds of what is kept for pages that have not yet fetched it.
const (
	olderRuns, olderBytes = 4, 32 << 20  // of each script, besides the last
	triedRuns, triedBytes = 64, 64 << 20 // of all scripts and pages together
)

// longestFault is how much of a fault's text pages are told, in bytes: the
// state goes to every page at every change.
const longestFault = 64 << 10

// patience is how long a run goes on before pages are told of it.
const patience = 300 * time.Millisecond

// feed is the state that pages follow, and the data that it names by digest. Each
// change wakes the followers; none of its methods waits for one.
type feed struct {
	mu        sync.Mutex
	scripts   map[int]*script
	next      int // number of the next script
	serial    int // of changes
	tried     *cache[string, tried]
	followers map[chan struct{}]bool
}

// script is one script and its last run.
type script struct {
	about   Script
	serial  int
	run     Run    // the last; Display is that of the last run that had one
	digest  string // of the last run's display, or ""
	last    string // of Display
	older   *cache[string, []byte]
	task    *task            // the run under way, or nil
	trials  map[string]*task // tries under way, by client
	removed bool
}

// tried is the outcome of a try: what motion needs to know of it.
type tried struct {
	display []byte
	script  int
	base    string // digest of the script's own display when it was tried
	params  map[string]string
}

func newFeed() *feed {
	return &feed{
		scripts:   map[int]*script{},
		tried:     newCache[string, tried](triedRuns, triedBytes),
		followers: map[chan struct{}]bool{},
	}
}

func (f *feed) add(about Script) int {
	f.mu.Lock()
	defer f.mu.Unlock()
	id := f.next
	f.next++
	s := &script{about: about, older: newCache[string, []byte](olderRuns, olderBytes), trials: map[string]*task{}}
	f.scripts[id] = s
	f.changed(s)
	return id
}

func (f *feed) remove(id int) {
	f.mu.Lock()
	defer f.mu.Unlock()
	if s := f.scripts[id]; s != nil {
		s.task.end()
		s.removed = true
		delete(f.scripts, id)
		f.changed(s)
	}
}

// show takes in a finished run. The display before it can be fetched for a while.
func (f *feed) show(id int, r Run) {
	digest := digestOf(r.Display)
	r.Fault = shortened(r.Fault)
	f.mu.Lock()
	defer f.mu.Unlock()
	s := f.scripts[id]
	if s == nil {
		return
	}
	s.task.end()
	s.task = nil
	switch {
	case r.Display == nil:
		r.Display = s.run.Display
	case digest != s.last:
		if s.run.Display != nil {
			s.older.put(s.last, s.run.Display, len(s.run.Display))
		}
		s.older.drop(digest)
		s.last = digest
	}
	s.run, s.digest = r, digest
	f.changed(s)
}

// keep takes in the outcome of a try that was begun when the script's display was
// base, and gives the digest by which it can be fetched.
func (f *feed) keep(id int, base string, params map[string]string, display []byte) string {
	digest := digestOf(display)
	if digest == "" {
		return ""
	}
	f.mu.Lock()
	defer f.mu.Unlock()
	f.tried.put(digest, tried{display, id, base, params}, len(display))
	return digest
}

// data gives a display by its digest.
func (f *feed) data(digest string) ([]byte, bool) {
	f.mu.Lock()
	defer f.mu.Unlock()
	for _, s := range f.scripts {
		if s.last == digest && s.run.Display != nil {
			return s.run.Display, true
		}
		if display, ok := s.older.get(digest); ok {
			return display, true
		}
	}
	t, ok := f.tried.get(digest)
	return t.display, ok
}

// first gives the last display of the first script and its digest, "" and nil where there
// is none: what a page shows that knows nothing else.
func (f *feed) first() (digest string, display []byte) {
	f.mu.Lock()
	defer f.mu.Unlock()
	if ids := f.ids(); len(ids) > 0 {
		s := f.scripts[ids[0]]
		return s.last, s.run.Display
	}
	return "", nil
}

// design tells with what parameters a script's display of some digest is made, as long as
// the script is still what it was then.
func (f *feed) design(id int, digest string) (params map[string]string, ok bool) {
	f.mu.Lock()
	defer f.mu.Unlock()
	s := f.scripts[id]
	if s == nil || digest == "" {
		return nil, false
	}
	if digest == s.last {
		return nil, true
	}
	t, ok := f.tried.get(digest)
	return t.params, ok && t.script == id && t.base == s.last
}

// about tells of one script what pages are told.
func (f *feed) about(id int) (Status, bool) {
	f.mu.Lock()
	defer f.mu.Unlock()
	s := f.scripts[id]
	if s == nil {
		return Status{}, false
	}
	return s.status(id), true
}

// changed gives a script a new serial number and wakes the followers. The lock is held.
func (f *feed) changed(s *script) {
	f.serial++
	s.serial = f.serial
	for wake := range f.followers {
		select {
		case wake <- struct{}{}:
		default: // it has not yet looked since it was woken last
		}
	}
}

// follow registers a page. Its channel has something in it when the state has changed
// since the page looked last, and at once; the latest state is asked for then.
func (f *feed) follow(most int) (wake chan struct{}, ok bool) {
	f.mu.Lock()
	defer f.mu.Unlock()
	if len(f.followers) >= most {
		return nil, false
	}
	wake = make(chan struct{}, 1)
	wake <- struct{}{}
	f.followers[wake] = true
	return wake, true
}

func (f *feed) leave(wake chan struct{}) {
	f.mu.Lock()
	defer f.mu.Unlock()
	delete(f.followers, wake)
}

// ids lists the scripts' numbers in order. The lock is held.
func (f *feed) ids() []int { return slices.Sorted(maps.Keys(f.scripts)) }

// digestOf is the SHA-256 of a display in hexadecimal, "" of none.
func digestOf(display []byte) string {
	if display == nil {
		return ""
	}
	sum := sha256.Sum256(display)
	return hex.EncodeToString(sum[:])
}

// shortened cuts a text that is too long for the state.
func shortened(text string) string {
	if len(text) > longestFault {
		text = strings.ToValidUTF8(text[:longestFault], "") + "…"
	}
	return text
}
