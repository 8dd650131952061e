//go:build unix

package main

import (
	"bytes"
	"os"
	"os/exec"
	"strings"
	"sync"
	"testing"
	"time"
)

// watch tells each run in a line, goes on after errors, and ends with Ctrl-C
// and exit code 0.
func TestWatchFromStartToEnd(t *testing.T) {
	if _, err := binary(); err != nil {
		t.Fatal(err)
	}
	desk(t, tray)
	cmd, out, _ := program(t, "watch", "tray.star", "--set", "width=70")
	talk := startWatch(t, cmd)
	talk.waitFor(t, "watching tray.star", "1 piece, nothing to mend; files in tray  (", "caution: Cutting")
	put(t, "tray.star", broken)
	talk.waitFor(t, `panel "base" has no edge "lid"`, "the script does not run: see preview.svg; the cut files stay as of ")
	put(t, "tray.star", tray)
	talk.waitFor(t, "mended: 1 piece, nothing to mend; the cut files are up to date again; wrote preview.svg  (")
	if err := cmd.Process.Signal(os.Interrupt); err != nil {
		t.Fatal(err)
	}
	if err := cmd.Wait(); err != nil {
		t.Errorf("Ctrl-C: %v", err)
	}
	if n := strings.Count(talk.String(), "caution: Cutting"); n != 1 || out.Len() > 0 {
		t.Errorf("the caution is said %d times; standard output holds %q", n, out)
	}
}

// startWatch starts a watch, which is killed at the end of the test if it has
// not ended by then.
func startWatch(t *testing.T, cmd *exec.Cmd) *tail {
	t.Helper()
	talk := &tail{}
	cmd.Stderr = talk
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		_ = cmd.Process.Kill() // does nothing once it has ended
		_ = cmd.Wait()
	})
	return talk
}

// hangGuard ends a test that waits for a word that never comes.
const hangGuard = 2 * time.Minute

// tail collects what a process says while it runs.
type tail struct {
	mu   sync.Mutex
	text bytes.Buffer
	read int // how far waitFor has come
}

func (t *tail) Write(p []byte) (int, error) {
	t.mu.Lock()
	defer t.mu.Unlock()
	return t.text.Write(p)
}

func (t *tail) String() string {
	t.mu.Lock()
	defer t.mu.Unlock()
	return t.text.String()
}

// waitFor waits until the words have been said, in this order, after what was
// waited for last.
func (l *tail) waitFor(t *testing.T, words ...string) {
	t.Helper()
	deadline := time.Now().Add(hangGuard)
	for _, w := range words {
		for {
			if i := strings.Index(l.String()[l.read:], w); i >= 0 {
				l.read += i + len(w)
				break
			}
			if time.Now().After(deadline) {
				t.Fatalf("nothing said of %q:\n%s", w, l)
			}
			time.Sleep(5 * time.Millisecond)
		}
	}
}
