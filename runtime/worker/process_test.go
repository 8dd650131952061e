package worker

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/creasewright/creasewright/runtime/engine"
)

// children lists this process's own child processes.
func children(t *testing.T) (pids []int) {
	t.Helper()
	if runtime.GOOS != "linux" {
		t.Skip("processes are listed on Linux only")
	}
	stats, err := filepath.Glob("/proc/[0-9]*/stat")
	if err != nil {
		t.Fatal(err)
	}
	for _, path := range stats {
		text, err := os.ReadFile(path)
		if err != nil {
			continue // it has ended
		}
		// After the name in brackets: the state and the parent.
		fields := strings.Fields(string(text[strings.LastIndexByte(string(text), ')')+1:]))
		if len(fields) > 1 && fields[1] == strconv.Itoa(os.Getpid()) && fields[0] != "Z" {
			pid, err := strconv.Atoi(filepath.Base(filepath.Dir(path)))
			if err != nil {
				t.Fatal(err)
			}
			pids = append(pids, pid)
		}
	}
	return pids
}

// hangGuard ends a test that waits for what never comes.
const hangGuard = 2 * time.Minute

// waitUntilSpent waits until a process has used so many hundredths of a second
// of processor time: it has come as far as that however busy the machine is.
func waitUntilSpent(t *testing.T, p *os.Process, hundredths int) {
	t.Helper()
	for start := time.Now(); time.Since(start) < hangGuard; time.Sleep(10 * time.Millisecond) {
		text, err := os.ReadFile(fmt.Sprintf("/proc/%d/stat", p.Pid))
		if err != nil {
			t.Fatal(err)
		}
		fields := strings.Fields(string(text[strings.LastIndexByte(string(text), ')')+1:]))
		if spent, err := strconv.Atoi(fields[11]); err != nil || spent >= hundredths {
			return
		}
	}
	t.Fatal("it does not run")
}

// waitForChild waits until there is a child and gives it.
func waitForChild(t *testing.T) *os.Process {
	t.Helper()
	for start := time.Now(); time.Since(start) < hangGuard; time.Sleep(10 * time.Millisecond) {
		if pids := children(t); len(pids) > 0 {
			p, err := os.FindProcess(pids[0])
			if err != nil {
				t.Fatal(err)
			}
			return p
		}
	}
	t.Fatal("no child was started")
	return nil
}

// A child that is killed in the middle of a run is one clear message, and the
// next run is as good as ever.
func TestAKilledChild(t *testing.T) {
	p := pool(t)
	asked := make(chan struct{})
	req := engine.Request{Script: "box.star", Read: func(string) ([]byte, error) {
		close(asked)
		return []byte(tray + "x = 1\ny = max(range(1 << 34))\n"), nil
	}}
	got := make(chan engine.Result)
	go func() { got <- runIn(p, req) }()
	<-asked
	child := waitForChild(t)
	waitUntilSpent(t, child, 20)
	if err := child.Kill(); err != nil {
		t.Fatal(err)
	}
	res := <-got
	if res.Exit != engine.Crashed || len(res.Files) > 0 || !strings.Contains(res.Findings[0].Message, "the run ended without an answer (signal: killed)") {
		t.Errorf("exit %d, %v", res.Exit, res.Findings)
	}
	if at := res.Findings[0].Site.First(); at.Line != 7 {
		t.Errorf("it died at %v", at)
	}
	if res := runIn(p, request(tray)); res.Exit != engine.Clean {
		t.Errorf("the next run: exit %d, %v", res.Exit, res.Findings)
	}
}

// A child that dies while it waits is replaced, noticed or not.
func TestAWaitingChildThatDied(t *testing.T) {
	p := pool(t)
	child := waitForChild(t)
	if err := child.Kill(); err != nil {
		t.Fatal(err)
	}
	if res := runIn(p, request(tray)); res.Exit != engine.Clean {
		t.Errorf("exit %d, %v", res.Exit, res.Findings)
	}
}

// A child that stops answering without ending is killed.
func TestAStoppedChild(t *testing.T) {
	p := pool(t, "time=50ms")
	stop := func(string) ([]byte, error) {
		suspend(t, waitForChild(t))
		return []byte(tray), nil
	}
	res := runIn(p, engine.Request{Script: "box.star", Read: stop})
	if res.Exit != engine.Broken || res.Findings[0].Message != "the run is not done after 0.4 s" {
		t.Errorf("exit %d, %v", res.Exit, res.Findings)
	}
}

// When Close returns no child is left, whatever happened before.
func TestNoChildIsLeft(t *testing.T) {
	for _, runs := range []int{0, 1, 3} {
		p := pool(t)
		for range runs {
			ctx, cancel := context.WithTimeout(context.Background(), 40*time.Millisecond)
			_, _ = p.Run(ctx, request("x = max(range(1 << 34))\n"))
			cancel()
		}
		p.Close()
		if left := children(t); len(left) > 0 {
			t.Errorf("after %d runs: children %v are left", runs, left)
		}
	}
}

func TestRunsAtTheSameTime(t *testing.T) {
	p := pool(t)
	var all sync.WaitGroup
	for i := range 8 {
		all.Go(func() {
			name := fmt.Sprint("tray ", i)
			res := runIn(p, request(strings.Replace(tray, `"tray"`, strconv.Quote(name), 1)))
			if res.Exit != engine.Clean || res.Pieces[0] != name {
				t.Errorf("%s: exit %d, %v, %v", name, res.Exit, res.Pieces, res.Findings)
			}
		})
	}
	all.Wait()
}

// Ten thousand honest panels are within every limit.
func TestTenThousandPanelsPass(t *testing.T) {
	if underRace {
		t.Skip("the limit counts processor time, of which the race detector takes many times as much; run without -race")
	}
	script := `"""Concertina"""
paper = board("paper", caliper = 0.1)
spine = panel("spine", rect(6012, 10))
made = 1
for i in range(501):
    on = spine.top.part(12 * i, 12 * i + 10)
    for j in range(20):
        if made < 10000:
            p = panel("p%d" % made, rect(10, 8), on = on, fold = 90 if j % 2 else -90)
            p.cut(circle(4).shift(5, 4))
            on = p.top
            made += 1
piece("concertina", spine, board = paper)
`
	limits := []string{}
	if !BoundsMemory() {
		limits = append(limits, "time=20s") // the race detector's share
	}
	if res := runIn(pool(t, limits...), request(script)); res.Exit >= engine.Broken {
		t.Errorf("exit %d, %v", res.Exit, res.Findings[0])
	}
}

// A run needs neither an environment nor a folder of its own.
func TestARunFromNowhere(t *testing.T) {
	dir := t.TempDir()
	t.Chdir(dir)
	t.Setenv("TMPDIR", "/nowhere")
	t.Setenv("HOME", "/nowhere")
	if err := os.Remove(dir); err != nil && runtime.GOOS == "linux" {
		t.Fatal(err)
	}
	if res := runIn(pool(t), request(tray)); res.Exit != engine.Clean {
		t.Errorf("exit %d, %v", res.Exit, res.Findings)
	}
}
