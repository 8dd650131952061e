package watch

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync/atomic"
	"syscall"
	"testing"
	"testing/synctest"
	"time"

	"github.com/fsnotify/fsnotify"
)

// The tests of this file run in a bubble of synctest: time there passes only
// while every goroutine waits, so that no machine is too slow for them. Files
// are real ones, events are made here.

// fakeEvents is a source of events that a test sends.
type fakeEvents struct {
	events  chan fsnotify.Event
	errors  chan error
	allowed atomic.Int32 // how many more watches may be had
	ended   atomic.Bool
}

func newFakeEvents() *fakeEvents {
	f := &fakeEvents{events: make(chan fsnotify.Event), errors: make(chan error)}
	f.allowed.Store(1000)
	return f
}

func (f *fakeEvents) open() (events, error) {
	watch := func(dir string) error {
		if f.allowed.Add(-1) < 0 {
			return &os.PathError{Op: "inotify_add_watch", Path: dir, Err: syscall.ENOSPC}
		}
		return nil
	}
	end := func() error { f.ended.Store(true); return nil }
	return events{f.events, f.errors, watch, func(string) error { return nil }, end}, nil
}

var errRefused = errors.New("too many open files")

// refused is a system without events.
func refused() (events, error) { return events{}, errRefused }

// takeNow takes the batch that is ready at this instant, nil if there is none.
func takeNow(w *Watcher) []string {
	synctest.Wait()
	select {
	case batch := <-w.Batches():
		return batch.Files
	default:
		return nil
	}
}

// Law: events less than the quiet period apart are one batch, sorted and
// without repetition, which comes when the period after the last is over and not
// before.
func TestABurstIsOneBatch(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		dir, source := t.TempDir(), newFakeEvents()
		w := start(source.open)
		defer w.Close()
		a, b := filepath.Join(dir, "a.star"), filepath.Join(dir, "b.star")
		if err := w.Follow([]string{b, a}); err != nil {
			t.Fatal(err)
		}
		for i := range 400 {
			source.events <- fsnotify.Event{Name: []string{b, a, filepath.Join(dir, "c.star")}[i%3], Op: fsnotify.Write}
			time.Sleep(Quiet - 1)
			if batch := takeNow(w); batch != nil && i%3 != 2 {
				t.Fatalf("after event %d: %v", i, batch)
			} else if i%3 == 2 && batch == nil { // the event before is two pauses old
				t.Fatalf("after event %d: no batch", i)
			}
		}
		time.Sleep(time.Minute)
		if batch := takeNow(w); !slices.Equal(batch, []string{b}) {
			t.Errorf("after the last event: %v", batch)
		}
	})
}

// Law: a batch gives the time of its last event, however late it is taken.
func TestTheTimeOfABatch(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		dir, source := t.TempDir(), newFakeEvents()
		w := start(source.open)
		defer w.Close()
		file := filepath.Join(dir, "a.star")
		w.Follow([]string{file})
		var last time.Time
		for range 3 {
			time.Sleep(Quiet / 2)
			source.events <- fsnotify.Event{Name: file, Op: fsnotify.Write}
			last = time.Now()
		}
		source.events <- fsnotify.Event{Name: filepath.Join(dir, "b.star"), Op: fsnotify.Write}
		time.Sleep(time.Minute)
		if batch := <-w.Batches(); !batch.Last.Equal(last) {
			t.Errorf("%v, %v after the last event", batch.Files, batch.Last.Sub(last))
		}
	})
}

// What happens while nobody receives is added to the batch that is waiting, and
// that waits until all of it has been quiet.
func TestABatchThatNobodyTakesGrows(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		dir, source := t.TempDir(), newFakeEvents()
		w := start(source.open)
		defer w.Close()
		a, b := filepath.Join(dir, "a.star"), filepath.Join(dir, "b.star")
		w.Follow([]string{a, b})
		source.events <- fsnotify.Event{Name: b, Op: fsnotify.Write}
		time.Sleep(time.Minute)
		source.events <- fsnotify.Event{Name: a, Op: fsnotify.Write}
		if batch := takeNow(w); batch != nil {
			t.Errorf("upon an event: %v", batch)
		}
		time.Sleep(Quiet)
		if batch := takeNow(w); !slices.Equal(batch, []string{a, b}) {
			t.Errorf("two files: %v", batch)
		}
		source.errors <- fsnotify.ErrEventOverflow
		time.Sleep(Quiet)
		if batch := takeNow(w); !slices.Equal(batch, []string{a, b}) {
			t.Errorf("lost events: %v", batch)
		}
	})
}

// Without events the files are compared at the interval, and no change is told
// twice.
func TestChangesWithoutEvents(t *testing.T) {
	silent := func() (events, error) { return newFakeEvents().open() }
	few := func() (events, error) {
		source := newFakeEvents()
		source.allowed.Store(1) // the folder itself, but not the one above
		return source.open()
	}
	for name, c := range map[string]struct {
		open     func() (events, error)
		polling  string
		interval time.Duration
	}{
		"watched, and silent": {silent, "", CheckInterval},
		"no events at all":    {refused, errRefused.Error(), PollInterval},
		"too few watches":     {few, "no space left", PollInterval},
	} {
		t.Run(name, func(t *testing.T) {
			synctest.Test(t, func(t *testing.T) {
				dir := t.TempDir()
				file := filepath.Join(dir, "tea.star")
				w := start(c.open)
				defer w.Close()
				if err := w.Follow([]string{file}); (err == nil) != (c.polling == "") || !strings.Contains(fmt.Sprint(err), c.polling) {
					t.Fatalf("polling because of %v", err)
				}
				time.Sleep(time.Millisecond) // the checks are at whole intervals
				for _, do := range []func(){
					func() { write(t, "one", file) },
					func() { write(t, "longer", file) },
					func() { must(t, os.Remove(file)) },
					func() { must(t, os.Remove(dir), os.Mkdir(dir, 0o755)); write(t, "anew", file) },
				} {
					do()
					time.Sleep(c.interval - 2*time.Millisecond)
					if batch := takeNow(w); batch != nil {
						t.Errorf("before the interval was over: %v", batch)
					}
					time.Sleep(2*time.Millisecond + Quiet)
					if batch := takeNow(w); !slices.Equal(batch, []string{file}) {
						t.Errorf("got %v", batch)
					}
					time.Sleep(time.Minute - Quiet)
					if batch := takeNow(w); batch != nil {
						t.Errorf("nothing happened, and %v came", batch)
					}
				}
			})
		})
	}
}

// A watcher that got too few watches has events again once it needs fewer; one
// whose events end polls from then on.
func TestEventsThatComeBackAndEnd(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		dir, source := t.TempDir(), newFakeEvents()
		file := filepath.Join(dir, "tea.star")
		w := start(source.open)
		defer w.Close()
		source.allowed.Store(0)
		if err := w.Follow([]string{file}); !errors.Is(err, syscall.ENOSPC) {
			t.Errorf("no watches left: %v", err)
		}
		source.allowed.Store(1000)
		if err := w.Follow([]string{file}); err != nil {
			t.Errorf("watches again: %v", err)
		}
		close(source.events)
		synctest.Wait()
		if err := w.Follow([]string{file}); err == nil || !source.ended.Load() {
			t.Errorf("no more events: %v, ended %v", err, source.ended.Load())
		}
		write(t, "one", file)
		time.Sleep(PollInterval + Quiet)
		if batch := takeNow(w); !slices.Equal(batch, []string{file}) {
			t.Errorf("got %v", batch)
		}
	})
}

// Folders that cannot be watched for another reason than a lack of watches are
// no reason to poll: above the script's there often are some.
func TestExhausted(t *testing.T) {
	for err, want := range map[error]bool{
		syscall.ENOSPC: true, syscall.EMFILE: true, syscall.ENOENT: false, syscall.EACCES: false, syscall.ENOTDIR: false,
	} {
		if got := exhausted(fmt.Errorf("watch: %w", err)); got != want {
			t.Errorf("%v: %v", err, got)
		}
	}
}

func TestStates(t *testing.T) {
	dir := t.TempDir()
	a, b := filepath.Join(dir, "a"), filepath.Join(dir, "b")
	long := time.Now().Add(-time.Hour).Truncate(time.Second)
	put := func(path, text string) {
		write(t, text, path)
		must(t, os.Chtimes(path, long, long))
	}
	s := states{}
	put(a, "one")
	for _, step := range []struct {
		name string
		do   func()
		want []string
	}{
		{"asked for the first time", func() {}, nil},
		{"nothing", func() {}, nil},
		{"made", func() { put(b, "one") }, []string{b}},
		{"longer", func() { put(a, "longer") }, []string{a}},
		{"later", func() { must(t, os.Chtimes(a, long, long.Add(time.Minute))) }, []string{a}},
		{"no longer for others", func() { must(t, os.Chmod(a, 0o600)) }, []string{a}},
		{"another of the same size and time", func() {
			put(a+".new", "longer")
			must(t, os.Chtimes(a+".new", long, long.Add(time.Minute)), os.Rename(a+".new", a))
		}, []string{a}},
		{"gone", func() { must(t, os.Remove(a), os.Remove(b)) }, []string{a, b}},
		{"still gone", func() {}, nil},
	} {
		step.do()
		if got := s.update([]string{a, b}); !slices.Equal(got, step.want) {
			t.Errorf("%s: %v, want %v", step.name, got, step.want)
		}
	}
	if got := s.update([]string{a}); got != nil || len(s) != 1 {
		t.Errorf("a file that is no longer followed: %v, %v", got, s)
	}
}
