package publish

import (
	"context"
	"errors"
	"fmt"
	"math/rand"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/creasewright/creasewright/runtime/engine"
)

// A run waits for another that is writing: until it ends, until the wait is
// over or until it is interrupted.
func TestTheLockIsWaitedFor(t *testing.T) {
	dir := t.TempDir()
	other, err := Folder{Path: dir}.open(false)
	if err != nil {
		t.Fatal(err)
	}
	defer other.close()
	unlock, err := other.lock(t.Context(), 0)
	if err != nil {
		t.Fatal(err)
	}
	if !other.locked {
		t.Skip("there are no locks here")
	}
	files := []engine.File{file("a.svg", "a")}
	o := patient(Folder{Path: dir, Shown: "tea"})
	defer o.Close()
	o.lockWait = 3 * lockRetry
	if done, err := o.Files(t.Context(), files, true); !errors.Is(err, errLocked) || !strings.Contains(err.Error(), "folder tea: another run is writing there") || len(done.Written) > 0 {
		t.Errorf("%+v, %v", done, err)
	}
	o.lockWait = time.Hour
	ended, end := context.WithCancel(t.Context())
	end()
	if _, err := o.Files(ended, files, true); !errors.Is(err, context.Canceled) {
		t.Errorf("interrupted: %v", err)
	}
	wrote := make(chan error)
	go func() {
		_, err := o.Files(t.Context(), files, true)
		wrote <- err
	}()
	unlock()
	err = <-wrote
	if closed := o.Close(); closed != nil { // the background is done with its own files
		t.Error(closed)
	}
	if err != nil || stands(t, dir)["a.svg"] != "a" {
		t.Errorf("after the other's end: %v", err)
	}
}

// Law: scripts that are published into one folder at the same time, each over
// and over, leave the last files of each and nothing else, and all of it is on
// record.
func TestRunsAtTheSameTime(t *testing.T) {
	const scripts, runs = 6, 20
	dir := t.TempDir()
	var all sync.WaitGroup
	last := make([][]engine.File, scripts)
	for s := range scripts {
		all.Go(func() {
			r := rand.New(rand.NewSource(int64(s)))
			o := patient(Folder{Path: dir, Script: fmt.Sprintf("s%d.star", s)})
			for n := range runs {
				var files []engine.File
				for _, i := range r.Perm(5)[:1+r.Intn(4)] {
					files = append(files, file(fmt.Sprintf("s%d %d.cut.svg", s, i), fmt.Sprint(n)))
				}
				last[s] = files
				o.Begin()
				if _, err := o.Files(context.Background(), files, true); err != nil {
					t.Error(err)
				}
				if r.Intn(4) == 0 { // a command that ends, and another
					if err := o.Close(); err != nil {
						t.Error(err)
					}
				}
			}
			if err := o.Close(); err != nil {
				t.Error(err)
			}
		})
	}
	all.Wait()
	var files []engine.File
	for _, of := range last {
		files = append(files, of...)
	}
	areOf(t, dir, files)
	d, err := Folder{Path: dir}.open(false)
	if err != nil {
		t.Fatal(err)
	}
	defer d.close()
	record := readLedger(d).record
	for s, of := range last {
		for _, f := range of {
			if e := record[f.Name]; e.script != fmt.Sprintf("s%d.star", s) || e.intended() != digestOf(f.Bytes) {
				t.Errorf("%s is on record as %v", f.Name, e)
			}
		}
	}
	if len(record) != len(files) {
		t.Errorf("%d files on record, and there are %d", len(record), len(files))
	}
}
