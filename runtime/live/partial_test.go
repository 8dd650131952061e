package live

import (
	"context"
	"strings"
	"testing"
	"testing/synctest"
	"time"

	"github.com/creasewright/creasewright/runtime/engine"
)

// What stands in a file in the middle of a save is not told, though it is saved
// again and again and gets no fuller.
func TestPartialSavesThatComeAgain(t *testing.T) {
	half := box[:strings.Index(box, ", board")]
	for name, c := range map[string]struct {
		partial string
		times   int
		pause   time.Duration
	}{
		"half, and the same half": {half, 2, 15 * time.Millisecond},
		"half, for long":          {half, 8, partialSaveGrace / 4},
		"emptied":                 {"", 1, partialSaveGrace / 5},
		"emptied, for long":       {"", 8, partialSaveGrace / 4},
	} {
		t.Run(name, func(t *testing.T) {
			dir, job := newJob(t)
			told := watching(t, job)
			next(t, told)
			// On a busy machine a pause may outlast the grace; the partial text is then
			// told, rightly, and only the end is held.
			for i, counted := 0, 0; counted < 3 && i < 20; i++ {
				inTime := true
				for range c.times {
					inTime = saveAndPause(t, c.partial, c.pause, dir) && inTime
				}
				save(t, strings.Replace(box, "40", "4"+string(rune('1'+i%9)), 1), dir, "box.star")
				soundRun(t, told, inTime)
				if inTime {
					counted++
				}
			}
		})
	}
}

// saveAndPause reports whether the pause was not far longer than it was to be.
func saveAndPause(t *testing.T, text string, pause time.Duration, dir string) bool {
	t.Helper()
	start := time.Now()
	save(t, text, dir, "box.star")
	time.Sleep(pause)
	return time.Since(start) < partialSaveGrace/2
}

// soundRun waits for a run without errors, which must be the next one or not.
func soundRun(t *testing.T, told <-chan Outcome, atOnce bool) {
	t.Helper()
	for o := next(t, told); o.Exit != engine.Clean; o = next(t, told) {
		if atOnce {
			t.Fatalf("a partial save was reported: %v", o.Findings)
		}
	}
}

// A file that is never left in peace is told of all the same, sound or not,
// and whether its text changes or not.
func TestAFileThatIsWrittenForEver(t *testing.T) {
	for name, text := range map[string]func(i int) string{
		"half of a text":      func(int) string { return box[:len(box)-9] },
		"one text":            func(int) string { return strings.Replace(box, "40", "77", 1) },
		"text after text":     func(i int) string { return strings.Replace(box, "40", "7"+string(rune('0'+i%10)), 1) },
		"nothing whatever":    func(int) string { return "" },
		"more and more of it": func(i int) string { return box + strings.Repeat("#", i) },
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			dir, job := newJob(t)
			told := watching(t, job)
			next(t, told)
			saveForEver(t, told, 4*time.Millisecond, func(i int) { save(t, text(i), dir, "box.star") })
		})
	}
}

// saveForEver saves until a run is told.
func saveForEver(t *testing.T, told <-chan Outcome, every time.Duration, save func(i int)) {
	t.Helper()
	tick := time.NewTicker(every)
	defer tick.Stop()
	for i, late := 0, time.After(hangGuard); ; i++ {
		save(i)
		select {
		case <-told:
			return
		case <-late:
			t.Fatal("nothing is told of it")
		case <-tick.C:
		}
	}
}

// A run that takes longer than the saves are apart is not given up for ever.
func TestASlowRunAmongSavesWithoutEnd(t *testing.T) {
	dir, job := newJob(t)
	job.Build = func(ctx context.Context, r engine.Request) (engine.Result, error) {
		select {
		case <-ctx.Done():
		case <-time.After(quietWait):
		}
		return engine.Run(ctx, r)
	}
	told := watching(t, job)
	next(t, told)
	saveForEver(t, told, quietWait/3, func(i int) { save(t, box+strings.Repeat("#", i), dir, "box.star") })
}

// Law: only events that come close upon one another make a run wait no longer.
func TestTheEndOfABurst(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		now, before := time.Now(), time.Now().Add(-time.Minute)
		for name, c := range map[string]struct {
			last time.Time
			due  time.Time
		}{
			"the first":      {time.Time{}, now.Add(mostWait)},
			"long after":     {before, now.Add(mostWait)},
			"just outside":   {now.Add(-burstGap - 1), now.Add(mostWait)},
			"within a burst": {now.Add(-burstGap), before},
		} {
			s := session{lastEvent: c.last, due: before}
			s.noteEvent(now)
			if !s.due.Equal(c.due) || !s.lastEvent.Equal(now) {
				t.Errorf("%s: due %v, last event %v", name, s.due, s.lastEvent)
			}
		}
	})
}
