//go:build unix

package publish

import (
	"os"
	"path/filepath"
	"syscall"
	"testing"
	"time"

	"github.com/creasewright/creasewright/runtime/emit"
)

// swapping puts, under a name, now a pipe that nobody writes to, now a link out
// of the folder and now an ordinary file, until the test ends.
func swapping(t *testing.T, dir, name string) {
	t.Helper()
	away := t.TempDir()
	pipe, out := filepath.Join(away, "pipe"), filepath.Join(away, "secret")
	if err := syscall.Mkfifo(pipe, 0o644); err != nil {
		t.Fatal(err)
	}
	put(t, "secret", out)
	put(t, "ours", away, "ours")
	stop, stopped := make(chan struct{}), make(chan struct{})
	spare, place := filepath.Join(away, "spare"), filepath.Join(dir, name)
	kinds := []func() error{
		func() error { return os.Link(pipe, spare) },
		func() error { return os.Symlink(out, spare) },
		func() error { return os.Link(filepath.Join(away, "ours"), spare) },
	}
	go func() {
		defer close(stopped)
		for i := 0; ; i++ {
			select {
			case <-stop:
				return
			default:
			}
			if kinds[i%len(kinds)]() != nil || os.Rename(spare, place) != nil {
				return
			}
		}
	}()
	t.Cleanup(func() {
		close(stop)
		<-stopped
	})
}

// Law: whatever takes a file's place between a look and the opening, reading it
// does not wait and gives what was in an ordinary file of the folder, or
// nothing.
func TestReadingDoesNotWait(t *testing.T) {
	dir := t.TempDir()
	root, err := os.OpenRoot(dir)
	if err != nil {
		t.Fatal(err)
	}
	defer root.Close()
	swapping(t, dir, emit.PreviewName)
	r := record{files: map[string]entry{emit.PreviewName: {digests: []string{digestOf([]byte("secret"))}}}}
	done := make(chan struct{})
	go func() {
		defer close(done)
		for range 10_000 {
			if got := Last(dir, emit.PreviewName); got != nil && string(got) != "ours" {
				t.Errorf("read %q", got)
				return
			}
			if r.holds(root, emit.PreviewName) {
				t.Error("a file outside the folder was taken for an output")
				return
			}
		}
	}()
	select {
	case <-done:
	case <-time.After(20 * time.Second):
		t.Error("a pipe holds it up")
	}
}
