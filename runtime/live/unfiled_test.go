package live

import (
	"context"
	"os"
	"path/filepath"
	"testing"

	"github.com/creasewright/creasewright/runtime/engine"
)

// A script that stands in no file is run as if it lay where its path says: what it
// loads is read from there and watched, and what lies at the path itself is not.
func TestAScriptInNoFile(t *testing.T) {
	dir, job := newJob(t)
	text, err := os.ReadFile(job.Script)
	if err != nil {
		t.Fatal(err)
	}
	job.Text = text
	save(t, "in nobody's way", dir, "box.star")
	if res, err := job.Check(t.Context()); err != nil || res.Exit != engine.Clean {
		t.Errorf("exit %d, %v, %v", res.Exit, res.Findings, err)
	}
	if out, err := job.Once(context.Background()); err != nil || out.Exit != engine.Clean || len(out.Written) == 0 {
		t.Errorf("exit %d, wrote %q, %v", out.Exit, out.Written, err)
	}
	told := watching(t, job)
	next(t, told)
	save(t, "still in nobody's way", dir, "box.star")
	quiet(t, told)
	save(t, "size = foo\n", dir, "parts.star")
	if out := next(t, told); out.Exit != engine.Broken {
		t.Errorf("exit %d", out.Exit)
	}
}

// Put makes the folder and the file, and replaces what is there.
func TestPut(t *testing.T) {
	path := filepath.Join(t.TempDir(), "a", "b", "lid.star")
	for _, want := range []string{"one", "and two"} {
		err := Put(path, []byte(want))
		if got, _ := os.ReadFile(path); err != nil || string(got) != want {
			t.Errorf("%q, %v", got, err)
		}
	}
	if err := Put(filepath.Join(path, "lid.star"), nil); err == nil {
		t.Error("a file serves as a folder")
	}
}
