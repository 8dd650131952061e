package live

import (
	"bytes"
	"fmt"
	"math/rand"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/creasewright/creasewright/runtime/engine"
	"github.com/creasewright/creasewright/runtime/internal/read"
	"github.com/creasewright/creasewright/runtime/limit"
	"github.com/creasewright/creasewright/runtime/outsidetest"
	"github.com/creasewright/creasewright/runtime/worker"
)

// Law: after a storm of saves of every kind, good texts and bad, with a process
// for every run, the files are byte for byte those of the last text.
func TestSaveStorm(t *testing.T) {
	saves := outsidetest.Times(t, 150, 1000)
	dir, job := newJob(t)
	pool := worker.New(limit.Defaults(), worker.Waiting)
	defer pool.Close()
	job.Build = pool.Run
	told := make(chan Outcome, 2*saves)
	stop := watchingInto(t, job, told)
	<-told
	r := rand.New(rand.NewSource(29))
	tick := time.NewTicker(10 * time.Millisecond)
	defer tick.Stop()
	for i := range saves {
		saveSomehow(t, r, dir, i)
		<-tick.C
	}
	last := strings.Replace(box, "40", "77", 1) + "base.cut(circle(11).shift(25, 25))\n"
	save(t, last, dir, "box.star")
	save(t, "size = 66\n", dir, "parts.star")
	runs := 0
	for deadline := time.After(hangGuard); !strings.Contains(report(t, job), `"height": 77`); {
		select {
		case <-told:
			runs++
		case <-deadline:
			t.Fatalf("the files are not of the last text:\n%s", report(t, job))
		}
	}
	stop()
	t.Logf("%d saves, %d runs told", saves, runs+len(told))
	isOf(t, job)
}

// saveSomehow saves the script or what it loads in one of the ways editors do.
func saveSomehow(t *testing.T, r *rand.Rand, dir string, i int) {
	t.Helper()
	name, text := "box.star", strings.Replace(box, "40", fmt.Sprint(41+i%30), 1)
	if r.Intn(4) == 0 {
		name, text = "parts.star", fmt.Sprintf("size = %d\n", 50+i%30)
	}
	if r.Intn(7) == 0 {
		text = text[:r.Intn(len(text))]
	}
	path := filepath.Join(dir, name)
	switch r.Intn(4) {
	case 0: // a new file in its place
		save(t, text, path+".new")
		if err := os.Rename(path+".new", path); err != nil {
			t.Fatal(err)
		}
	case 1: // the old one aside
		if err := os.Rename(path, path+"~"); err != nil {
			t.Fatal(err)
		}
		save(t, text, path)
	default:
		save(t, text, path)
	}
}

// isOf checks that the output folder holds just what the texts on disk give.
func isOf(t *testing.T, job Job) {
	t.Helper()
	folder, err := read.Beside(job.Script, job.Shelf)
	if err != nil {
		t.Fatal(err)
	}
	want, err := engine.Run(t.Context(), engine.Request{Script: folder.Script(), Read: folder.Text})
	if err != nil || want.Exit != engine.Clean {
		t.Fatal(want.Findings, err)
	}
	for _, f := range want.Files {
		if got, err := os.ReadFile(filepath.Join(job.Dir, f.Name)); err != nil || !bytes.Equal(got, f.Bytes) {
			t.Errorf("%s is not of the last text, %v", f.Name, err)
		}
	}
	for start := time.Now(); ; time.Sleep(time.Millisecond) { // the disk may be slow
		entries, err := os.ReadDir(job.Dir)
		if err == nil && len(entries) == len(want.Files)+1 { // and the record of them
			return
		}
		if time.Since(start) > hangGuard {
			t.Fatalf("the folder holds %v, %v", entries, err)
		}
	}
}
