package live

import (
	"context"
	"errors"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/creasewright/creasewright/runtime/engine"
)

// touch gives a file another time and leaves its text.
func touch(t *testing.T, path ...string) {
	t.Helper()
	now := time.Now()
	if err := os.Chtimes(filepath.Join(path...), now, now); err != nil {
		t.Fatal(err)
	}
}

// removeAll removes a folder in which the background may be at work.
func removeAll(t *testing.T, dir string) {
	t.Helper()
	for start := time.Now(); ; {
		err := os.RemoveAll(dir)
		if err == nil {
			return
		}
		if time.Since(start) > hangGuard {
			t.Fatal(err)
		}
	}
}

// When the disk takes files again they come, though nobody saves; until then
// nothing is told twice, even if someone does.
func TestWhatCouldNotBeWrittenIsTriedAgain(t *testing.T) {
	dir, job := newJob(t)
	save(t, "in the way", dir, "box")
	told := watching(t, job)
	if o := next(t, told); o.Err == nil || o.Exit != engine.Clean {
		t.Fatalf("exit %d, %v", o.Exit, o.Err)
	}
	touch(t, dir, "box.star")
	save(t, box, dir, "box.star")
	time.Sleep(retry + retry/2)
	quiet(t, told)
	remove(t, dir, "box")
	if o := next(t, told); o.Err != nil || o.Exit != engine.Clean || len(o.Written) != 4 {
		t.Errorf("exit %d, wrote %q, %v", o.Exit, o.Written, o.Err)
	}
	touch(t, dir, "box.star")
	quiet(t, told)
}

// Another failure is told, and a save in between is run as ever.
func TestFailuresToWriteThatChange(t *testing.T) {
	dir, job := newJob(t)
	job.Dir = filepath.Join(dir, "out", "box")
	save(t, "in the way", dir, "out")
	told := watching(t, job)
	first := next(t, told)
	save(t, strings.Replace(box, "40", "41", 1), dir, "box.star")
	if o := next(t, told); o.Err == nil || o.Err.Error() != first.Err.Error() {
		t.Errorf("%v, and before %v", o.Err, first.Err)
	}
	link := filepath.Join(dir, "link")
	if err := errors.Join(os.Symlink("nowhere", link), os.Rename(link, filepath.Join(dir, "out"))); err != nil {
		t.Fatal(err)
	}
	if o := next(t, told); o.Err == nil || o.Err.Error() == first.Err.Error() {
		t.Errorf("%v, and before %v", o.Err, first.Err)
	}
	remove(t, dir, "out")
	if o := next(t, told); o.Err != nil || !strings.Contains(report(t, job), `"height": 41`) {
		t.Errorf("%v\n%s", o.Err, report(t, job))
	}
}

// The output folder, or a file in it, is taken away: a save brings it back,
// though it changes nothing.
func TestFilesTakenAwayComeBack(t *testing.T) {
	dir, job := newJob(t)
	told := watching(t, job)
	next(t, told)
	for range 3 {
		removeAll(t, job.Dir)
		quiet(t, told)
		touch(t, dir, "parts.star")
		if o := next(t, told); o.Err != nil || len(o.Written) != 4 {
			t.Errorf("the folder: wrote %q, %v", o.Written, o.Err)
		}
	}
	remove(t, job.Dir, "box.cut.dxf")
	save(t, box, dir, "box.star")
	if o := next(t, told); o.Err != nil || len(o.Written) != 1 {
		t.Errorf("a file: wrote %q, %v", o.Written, o.Err)
	}
	isOf(t, job)
	save(t, box, dir, "box.star")
	quiet(t, told)
}

// A save that is seen half done, and then changes nothing, brings a file back
// as well: reading the texts itself takes in what happens to them.
func TestAPartialSaveWithoutAChangeBringsFilesBack(t *testing.T) {
	dir, job := newJob(t)
	text, err := os.ReadFile(filepath.Join(dir, "box.star"))
	if err != nil {
		t.Fatal(err)
	}
	back := make(chan bool, 100)
	first := true
	tell := func(o Outcome) {
		if first {
			first = false
			remove(t, job.Dir, "box.cut.dxf")
			save(t, "", dir, "box.star")
			time.AfterFunc(partialSaveGrace/5, func() { save(t, string(text), dir, "box.star") })
		}
		back <- slices.Contains(o.Written, "box.cut.dxf")
	}
	ctx, cancel := context.WithCancel(context.Background())
	ended := make(chan error)
	go func() { ended <- job.Watch(ctx, tell) }()
	defer func() {
		cancel()
		if err := <-ended; err != nil {
			t.Error(err)
		}
	}()
	<-back
	for {
		select {
		case is := <-back:
			if is {
				return
			}
		case <-time.After(hangGuard):
			t.Fatal("the file does not come back")
		}
	}
}

// A broken script's picture comes back too; the cut files cannot, and are not
// tried for ever.
func TestThePictureComesBack(t *testing.T) {
	dir, job := newJob(t)
	told := watching(t, job)
	next(t, told)
	save(t, box+"base.lid\n", dir, "box.star")
	next(t, told)
	removeAll(t, job.Dir)
	touch(t, dir, "box.star")
	if o := next(t, told); o.Exit != engine.Broken || len(o.Written) != 1 {
		t.Errorf("exit %d, wrote %q", o.Exit, o.Written)
	}
	touch(t, dir, "box.star")
	quiet(t, told)
}

// A run that failed of itself is made again at a save that changes nothing.
func TestAFailedRunIsMadeAgain(t *testing.T) {
	dir, job := newJob(t)
	runs := 0
	job.Build = func(ctx context.Context, r engine.Request) (engine.Result, error) {
		out, err := engine.Run(ctx, r)
		if runs++; runs == 1 {
			out.Exit, out.Files = engine.Crashed, nil
		}
		return out, err
	}
	told := watching(t, job)
	if o := next(t, told); o.Exit != engine.Crashed {
		t.Fatalf("exit %d", o.Exit)
	}
	quiet(t, told)
	touch(t, dir, "box.star")
	if o := next(t, told); o.Exit != engine.Clean || len(o.Written) != 4 {
		t.Errorf("exit %d, wrote %q", o.Exit, o.Written)
	}
}

// A run without cut files of its own tells whether the last ones are there.
func TestCutFilesThatAreGone(t *testing.T) {
	dir, job := newJob(t)
	save(t, box+"base.lid\n", dir, "box.star")
	told := watching(t, job)
	if o := next(t, told); o.Gone {
		t.Error("gone before there were any")
	}
	for _, step := range []struct {
		name string
		do   func()
		gone bool
	}{
		{"good", func() { save(t, box, dir, "box.star") }, false},
		{"broken", func() { save(t, box+"base.lid\n", dir, "box.star") }, false},
		{"one gone", func() {
			remove(t, job.Dir, "box.cut.dxf")
			save(t, box+"base.roof\n", dir, "box.star")
		}, true},
		{"good again", func() { save(t, box, dir, "box.star") }, false},
		{"everything gone", func() {
			removeAll(t, dir)
		}, true},
	} {
		step.do()
		if o := next(t, told); o.Gone != step.gone {
			t.Errorf("%s: exit %d, gone is %v", step.name, o.Exit, o.Gone)
		}
	}
	if _, err := os.Stat(dir); err == nil {
		t.Error("the folder was made again")
	}
}
