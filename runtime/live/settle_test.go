package live

import (
	"context"
	"fmt"
	"sync"
	"testing"
	"testing/synctest"
	"time"

	"github.com/creasewright/creasewright/runtime/engine"
	"github.com/creasewright/creasewright/runtime/internal/publish"
	"github.com/creasewright/creasewright/runtime/internal/read"
	"github.com/creasewright/creasewright/runtime/internal/watch"
)

// fakeWatcher gives the batches that a test sends.
type fakeWatcher chan watch.Batch

func (w fakeWatcher) Follow([]string) error       { return nil }
func (w fakeWatcher) Batches() <-chan watch.Batch { return w }

// Law: a text that has become empty counts as changed once nothing has happened to
// it for partialSaveGrace, and not before; when it is full again in the meantime,
// what it is then decides. The tests run in a bubble of synctest: time there passes only
// while every goroutine waits, so the times are exact on any machine.
func TestAPartialSaveIsReadAgain(t *testing.T) {
	const pause = partialSaveGrace * 2 / 3
	other := box + "#"
	for name, c := range map[string]struct {
		saves   []string // one a pause, the first at once
		changed bool
		after   time.Duration
	}{
		"the same text again":            {[]string{"", box}, false, pause},
		"another text":                   {[]string{"", other}, true, pause},
		"emptied again and again":        {[]string{"", "", "", box}, false, 3 * pause},
		"emptied for good":               {[]string{""}, true, partialSaveGrace},
		"emptied several times for good": {[]string{"", "", ""}, true, 2*pause + partialSaveGrace},
		"changed, and not emptied":       {[]string{other}, true, 0},
		"not changed":                    {[]string{box}, false, 0},
	} {
		t.Run(name, func(t *testing.T) {
			synctest.Test(t, func(t *testing.T) {
				dir, job := newJob(t)
				s := watched(t, job)
				save(t, c.saves[0], dir, "box.star")
				var saving sync.WaitGroup
				defer saving.Wait()
				saving.Go(func() {
					for _, text := range c.saves[1:] {
						time.Sleep(pause)
						save(t, text, dir, "box.star")
						s.watcher.(fakeWatcher) <- watch.Batch{Last: time.Now()}
					}
				})
				start := time.Now()
				if got := s.changed(context.Background()); got != c.changed {
					t.Errorf("changed: %v, want %v", got, c.changed)
				}
				if took := time.Since(start); took != c.after {
					t.Errorf("found out after %v, want %v", took, c.after)
				}
			})
		})
	}
}

// Law: a text that is emptied for ever counts as changed after mostWait.
func TestAPartialSaveWithoutEnd(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		dir, job := newJob(t)
		s := watched(t, job)
		save(t, "", dir, "box.star")
		ctx, cancel := context.WithCancel(context.Background())
		var saving sync.WaitGroup
		defer saving.Wait()
		defer cancel()
		saving.Go(func() {
			for ctx.Err() == nil {
				time.Sleep(partialSaveGrace / 2)
				select {
				case s.watcher.(fakeWatcher) <- watch.Batch{Last: time.Now()}:
				case <-ctx.Done():
				}
			}
		})
		start := time.Now()
		if !s.changed(ctx) {
			t.Error("an empty text is taken for the one there was")
		}
		if took := time.Since(start); took != mostWait {
			t.Errorf("found out after %v, want %v", took, mostWait)
		}
	})
}

// Law: the texts have to rest from the last event on, however late its batch is
// taken, and a change without an event from when it is seen.
func TestTheRestIsCountedFromTheEvent(t *testing.T) {
	for name, c := range map[string]struct {
		late  time.Duration // from the event to its batch
		moved bool          // the text changes as well
		after time.Duration // from the batch to the end of the rest
	}{
		"at once":        {0, false, quietPeriod},
		"late":           {quietPeriod / 4, false, quietPeriod * 3 / 4},
		"later than all": {2 * quietPeriod, false, 0},
		"another text":   {quietPeriod / 4, true, quietPeriod * 3 / 4},
	} {
		t.Run(name, func(t *testing.T) {
			synctest.Test(t, func(t *testing.T) {
				dir, job := newJob(t)
				s := watched(t, job)
				event := time.Now()
				if c.moved {
					save(t, box+"#", dir, "box.star")
				}
				time.Sleep(c.late)
				s.noteEvent(event)
				start := time.Now()
				if got := s.moved(context.Background(), quietPeriod); got != c.moved || time.Since(start) != c.after {
					t.Errorf("moved: %v after %v, want %v after %v", got, time.Since(start), c.moved, c.after)
				}
				if want := map[bool]time.Time{false: event, true: time.Now()}[c.moved]; !s.lastEvent.Equal(want) {
					t.Errorf("the next rest begins %v too late", s.lastEvent.Sub(want))
				}
			})
		})
	}
}

// watched is a session that has seen the job's texts as they are.
func watched(t *testing.T, job Job) *session {
	t.Helper()
	folder, err := read.Beside(job.Script, job.Shelf)
	if err != nil {
		t.Fatal(err)
	}
	seen := &texts{}
	recording := seen.recording(folder.Text)
	for _, label := range []string{"box.star", "parts.star"} {
		if _, err := recording(label); err != nil {
			t.Fatal(fmt.Errorf("%s: %w", label, err))
		}
	}
	return &session{job: job, folder: folder, watcher: make(fakeWatcher, 8), seen: seen, due: time.Now().Add(mostWait)}
}

// Law: what happens to the files ends a run that is under way if the texts that it has seen so
// far are others now, and only then.
func TestARunGoesOnWhileItsTextsAreTheSame(t *testing.T) {
	for name, c := range map[string]struct {
		now  string
		done bool
	}{
		"touched":      {box, true},
		"another text": {box + "#", false},
		"emptied":      {"", false},
	} {
		t.Run(name, func(t *testing.T) {
			synctest.Test(t, func(t *testing.T) {
				dir, job := newJob(t)
				s := watched(t, job)
				s.output = publish.New(job.folder())
				s.job.Build = func(ctx context.Context, req engine.Request) (engine.Result, error) {
					if _, err := req.Read("box.star"); err != nil {
						t.Error(err)
					}
					save(t, c.now, dir, "box.star")
					s.watcher.(fakeWatcher) <- watch.Batch{Last: time.Now()}
					select {
					case <-ctx.Done():
						return engine.Result{}, context.Cause(ctx)
					case <-time.After(time.Second):
						return engine.Result{}, nil
					}
				}
				if _, _, done := s.build(t.Context()); done != c.done {
					t.Errorf("done: %v, want %v", done, c.done)
				}
			})
		})
	}
}
