package live

import (
	"context"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/creasewright/creasewright/runtime/engine"
	"github.com/creasewright/creasewright/runtime/worker"
)

// hangGuard ends a test that waits for a run that never comes. quietWait is how
// long a test waits for a run that must not come: on a slow machine it may miss
// one, and never takes one for granted.
const (
	hangGuard = 2 * time.Minute
	quietWait = 200 * time.Millisecond
)

const box = `"""Box"""
load("parts.star", "size")
card = board("card", caliper = 0.4)
base = panel("base", rect(size, 40))
piece("box", base, board = card)
`

func TestMain(m *testing.M) {
	worker.Main(toys())
	os.Exit(m.Run())
}

// newJob makes a folder with a script and what it loads.
func newJob(t *testing.T) (dir string, job Job) {
	t.Helper()
	dir = t.TempDir()
	save(t, box, dir, "box.star")
	save(t, "size = 50\n", dir, "parts.star")
	return dir, Job{Script: filepath.Join(dir, "box.star"), Dir: filepath.Join(dir, "box"), Shelf: filepath.Join(dir, "shelf")}
}

func save(t testing.TB, text string, path ...string) {
	t.Helper()
	if err := os.WriteFile(filepath.Join(path...), []byte(text), 0o644); err != nil {
		t.Fatal(err)
	}
}

// remove takes a file away.
func remove(t *testing.T, path ...string) {
	t.Helper()
	if err := os.Remove(filepath.Join(path...)); err != nil {
		t.Fatal(err)
	}
}

func TestOnce(t *testing.T) {
	dir, job := newJob(t)
	out, err := job.Once(context.Background())
	if err != nil || out.Err != nil || out.Exit != engine.Clean {
		t.Fatalf("exit %d, %v, %v, %v", out.Exit, err, out.Err, out.Findings)
	}
	if want := []string{"box.cut.svg", "box.cut.dxf", "preview.svg", "report.json"}; !slices.Equal(out.Written, want) {
		t.Errorf("written %q", out.Written)
	}
	again, err := job.Once(context.Background())
	if err != nil || len(again.Written) != 0 {
		t.Errorf("written again: %q, %v", again.Written, err)
	}
	save(t, "size = 60\n", dir, "parts.star")
	wider, err := job.Once(context.Background())
	if err != nil || len(wider.Written) != 4 {
		t.Errorf("written after a change: %q, %v", wider.Written, err)
	}
}

func TestOnceWithoutADisk(t *testing.T) {
	dir, job := newJob(t)
	save(t, "in the way", dir, "box")
	out, err := job.Once(context.Background())
	if err != nil || out.Err == nil || out.Exit != engine.Clean {
		t.Errorf("exit %d, %v, %v", out.Exit, err, out.Err)
	}
	job.Script = filepath.Join(dir, "box", "x.star")
	if _, err := job.Once(context.Background()); err == nil {
		t.Error("a script below a file was run")
	}
}

// watching starts a watch and gives its outcomes one by one.
func watching(t *testing.T, job Job) <-chan Outcome {
	t.Helper()
	told := make(chan Outcome, 100)
	t.Cleanup(watchingInto(t, job, told))
	return told
}

// watchingInto starts a watch; stop ends it and waits for its end.
func watchingInto(t *testing.T, job Job, told chan<- Outcome) (stop func()) {
	t.Helper()
	ctx, cancel := context.WithCancel(context.Background())
	ended := make(chan error)
	go func() { ended <- job.Watch(ctx, func(o Outcome) { told <- o }) }()
	return func() {
		cancel()
		select {
		case err := <-ended:
			if err != nil {
				t.Error(err)
			}
		case <-time.After(hangGuard):
			t.Error("the watch does not end")
		}
	}
}

// next is the next outcome.
func next(t *testing.T, told <-chan Outcome) Outcome {
	t.Helper()
	select {
	case o := <-told:
		return o
	case <-time.After(hangGuard):
		t.Fatal("no run was told")
		panic("not reached")
	}
}

// quiet fails when a run is told.
func quiet(t *testing.T, told <-chan Outcome) {
	t.Helper()
	select {
	case o := <-told:
		t.Fatalf("a run without cause: wrote %q", o.Written)
	case <-time.After(quietWait):
	}
}

func report(t *testing.T, job Job) string {
	t.Helper()
	text, err := os.ReadFile(filepath.Join(job.Dir, "report.json"))
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}

func TestWatchFollowsWhatWasLoaded(t *testing.T) {
	dir, job := newJob(t)
	told := watching(t, job)
	if o := next(t, told); o.Exit != engine.Clean || len(o.Written) != 4 {
		t.Fatalf("exit %d, wrote %q", o.Exit, o.Written)
	}
	quiet(t, told) // its own files are no cause
	save(t, "size = 70\n", dir, "parts.star")
	next(t, told)
	if !strings.Contains(report(t, job), `"width": 70`) {
		t.Errorf("the report is not of the last text:\n%s", report(t, job))
	}
	save(t, "size = 70\n", dir, "parts.star")
	save(t, "other = 1\n", dir, "unloaded.star")
	quiet(t, told) // nothing it was made from has changed
	save(t, strings.Replace(box, `"box"`, `"crate"`, 1), dir, "box.star")
	if o := next(t, told); !slices.Contains(o.Written, "crate.cut.svg") {
		t.Errorf("wrote %q", o.Written)
	}
}

func TestWatchGoesOnAfterErrors(t *testing.T) {
	dir, job := newJob(t)
	told := watching(t, job)
	next(t, told)
	before := report(t, job)
	save(t, box+"base.lid\n", dir, "box.star")
	if o := next(t, told); o.Exit != engine.Broken || !slices.Equal(o.Written, []string{"preview.svg"}) {
		t.Errorf("script error: exit %d, wrote %q", o.Exit, o.Written)
	}
	if report(t, job) != before {
		t.Error("the report changed with a broken script")
	}
	save(t, box+"require(False, \"no\")\n", dir, "box.star")
	if o := next(t, told); o.Exit != engine.Faulty || !slices.Equal(o.Written, []string{"preview.svg", "report.json"}) {
		t.Errorf("design error: exit %d, wrote %q", o.Exit, o.Written)
	}
	save(t, box, dir, "box.star")
	if o := next(t, told); o.Exit != engine.Clean || !slices.Equal(o.Written, []string{"preview.svg", "report.json"}) {
		t.Errorf("healed: exit %d, wrote %q", o.Exit, o.Written)
	}
	if report(t, job) != before {
		t.Error("healed, the report is not what it was")
	}
}

// What was looked for and absent is followed too: the script, a neighbour, a
// module on a shelf that is not there yet.
func TestWatchFollowsAbsences(t *testing.T) {
	dir, job := newJob(t)
	remove(t, dir, "box.star")
	remove(t, dir, "parts.star")
	told := watching(t, job)
	if o := next(t, told); o.Exit != engine.Broken || len(o.Written) != 0 {
		t.Fatalf("without a script: exit %d, wrote %q", o.Exit, o.Written)
	}
	save(t, strings.Replace(box, "parts.star", "@shelf//parts.star", 1), dir, "box.star")
	if o := next(t, told); o.Exit != engine.Broken {
		t.Fatalf("without the module: exit %d", o.Exit)
	}
	if err := os.Mkdir(job.Shelf, 0o755); err != nil {
		t.Fatal(err)
	}
	save(t, "size = 45\n", job.Shelf, "parts.star")
	for o := next(t, told); o.Exit != engine.Clean; {
		o = next(t, told) // the file may be seen before its text is
	}
	remove(t, dir, "box.star")
	if o := next(t, told); o.Exit != engine.Broken {
		t.Errorf("the script gone: exit %d", o.Exit)
	}
	save(t, strings.Replace(box, "parts.star", "@shelf//parts.star", 1), dir, "box.star")
	if o := next(t, told); o.Exit != engine.Clean {
		t.Errorf("the script back: exit %d", o.Exit)
	}
}

// Law: after a storm of saves, good and bad, the files are those of the last
// text.
func TestTheLastSaveStands(t *testing.T) {
	dir, job := newJob(t)
	told := watching(t, job)
	next(t, told)
	for i := range 150 {
		text := strings.Replace(box, "40", "4"+string(rune('0'+i%10)), 1)
		if i%7 == 0 {
			text = text[:len(text)/2]
		}
		save(t, text, dir, "box.star")
		if i%10 == 0 {
			time.Sleep(15 * time.Millisecond)
		}
	}
	save(t, strings.Replace(box, "40", "77", 1), dir, "box.star")
	deadline := time.After(hangGuard)
	for !strings.Contains(report(t, job), `"height": 77`) {
		select {
		case <-told:
		case <-deadline:
			t.Fatalf("the files are not of the last text:\n%s", report(t, job))
		}
	}
}
