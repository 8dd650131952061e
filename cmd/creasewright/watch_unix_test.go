//go:build unix

package main

import (
	"bytes"
	"context"
	"os"
	"os/exec"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/creasewright/creasewright/runtime/engine"
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

// A folder's scripts are watched, each told by its path; those that make no piece are
// named, and watched once they do. Scripts that come are taken in, and those that go
// let go.
func TestWatchOfAFolder(t *testing.T) {
	t.Chdir(t.TempDir())
	cli("watch", ".").wants(t, engine.Broken, "", `there is no script in folder "."`)
	if err := os.MkdirAll("d/deep", 0o755); err != nil {
		t.Fatal(err)
	}
	put(t, "d/a.star", tray)
	put(t, "d/part.star", "def half(x):\n    return x / 2\n")
	cli("watch", "d", "-o", "x").wants(t, engine.Broken, "", "-o, --also and --for go with one script")
	cli("watch", "d", "--also", "png").wants(t, engine.Broken, "", "-o, --also and --for go with one script")
	cli("watch", "d", "--open", "--page", "off").wants(t, engine.Broken, "", "--open goes with one script where there is no page")
	cli("watch", "d", "d/a.star").wants(t, engine.Broken, "", `watch takes scripts or one folder of them, and "d" is a folder`)
	cli("watch", "d", "--set", "width").wants(t, engine.Broken, "", "is not of the form name=value")

	ctx, end := context.WithCancel(t.Context())
	defer end()
	talk, code := &tail{}, make(chan int)
	c := newConsole(&bytes.Buffer{}, talk, os.Getenv)
	c.sandbox = inProcess
	go func() { code <- run(ctx, c, []string{"watch", "d"}) }()
	talk.waitFor(t, "watching the scripts in d; Ctrl-C ends\n")
	talk.waitFor(t, "d/part.star: makes no piece, so it is not watched\n")
	talk.waitForAny(t, "d/a.star: 1 piece, nothing to mend; files in d/a  (")
	put(t, "d/deep/b.star", faulty)
	talk.waitFor(t, "d/deep/b.star:7:1: error: the rack takes 50 mm", "d/deep/b.star: 1 piece, 1 error: see preview.svg")
	put(t, "d/a.star", strings.Replace(tray, "60,", "70,", 1))
	talk.waitFor(t, "d/a.star: 1 piece, nothing to mend; tray is 70 × 60 mm, was 60 × 60 mm; wrote ")
	put(t, "d/part.star", tray)
	talk.waitFor(t, "d/part.star: 1 piece, nothing to mend; files in d/part  (")
	if err := os.Remove("d/deep/b.star"); err != nil {
		t.Fatal(err)
	}
	talk.waitFor(t, "d/deep/b.star: is gone, and no longer watched\n")
	put(t, "d/deep/b.star", tray)
	talk.waitFor(t, "d/deep/b.star: 1 piece, nothing to mend")
	end()
	if got := <-code; got != 0 {
		t.Errorf("exit %d", got)
	}
	if _, err := os.Stat("d/deep/b/tray.cut.svg"); err != nil {
		t.Error(err)
	}
	if said := talk.String(); !strings.Contains(said, "the preview is d/a/preview.svg\n") {
		t.Errorf("not said where the preview is, or what this watch does not take:\n%s", said)
	}
}

// waitForAny waits until the words have been said, before or after what was waited
// for last.
func (l *tail) waitForAny(t *testing.T, words string) {
	t.Helper()
	for deadline := time.Now().Add(hangGuard); !strings.Contains(l.String(), words); time.Sleep(5 * time.Millisecond) {
		if time.Now().After(deadline) {
			t.Fatalf("nothing said of %q:\n%s", words, l)
		}
	}
}
