package main

import (
	"net/http"
	"os"
	"os/signal"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/creasewright/creasewright/runtime/page"
)

// running lists the processes that run the program under test.
func running(t *testing.T) (pids []string) {
	t.Helper()
	path, err := binary()
	if err != nil {
		t.Fatal(err)
	}
	links, err := filepath.Glob("/proc/[0-9]*/exe")
	if err != nil {
		t.Fatal(err)
	}
	for _, link := range links {
		if target, err := os.Readlink(link); err == nil && target == path {
			pids = append(pids, filepath.Base(filepath.Dir(link)))
		}
	}
	return pids
}

// However a watch is ended, in the middle of a run or between two, no process
// is left behind a moment later and no half-written file.
func TestNothingIsLeftBehind(t *testing.T) {
	if _, err := binary(); err != nil {
		t.Fatal(err)
	}
	endless := "x = 1\ny = max(range(1 << 34))\n"
	for name, c := range map[string]struct {
		script string
		signal os.Signal
		clean  bool // the program itself ends as it should
	}{
		"Ctrl-C between runs":    {tray, os.Interrupt, true},
		"Ctrl-C during a run":    {endless, os.Interrupt, true},
		"ended during a run":     {endless, syscall.SIGTERM, true},
		"killed between runs":    {tray, syscall.SIGKILL, false},
		"killed during a run":    {endless, syscall.SIGKILL, false},
		"its terminal is closed": {endless, syscall.SIGHUP, true},
	} {
		t.Run(name, func(t *testing.T) {
			if c.signal == syscall.SIGHUP && signal.Ignored(syscall.SIGHUP) {
				t.Skip("whoever runs this outlives the terminal, and so does what is run here")
			}
			desk(t, c.script)
			cmd, _, _ := program(t, "watch", "tray.star")
			talk := startWatch(t, cmd)
			talk.waitFor(t, "watching tray.star")
			if c.script == tray {
				talk.waitFor(t, "files in tray")
			}
			waitForRun(t)
			if err := cmd.Process.Signal(c.signal); err != nil {
				t.Fatal(err)
			}
			if err := cmd.Wait(); (err == nil) != c.clean {
				t.Errorf("it ends with %v", err)
			}
			deadline := time.Now().Add(hangGuard)
			if c.clean {
				deadline = time.Now() // its own end waits for theirs
			}
			for left := running(t); len(left) > 0; left = running(t) {
				if time.Now().After(deadline) {
					t.Fatalf("processes %v are left", left)
				}
				time.Sleep(10 * time.Millisecond)
			}
			if !c.clean && c.script == tray { // what the syncing had not done is the next run's to do
				again, _, _ := program(t, "make", "tray.star")
				if err := again.Run(); err != nil {
					t.Error(err)
				}
			}
			noParts(t)
			if strings.Contains(talk.String(), "without an answer") {
				t.Errorf("the end is told as a failure:\n%s", talk)
			}
		})
	}
}

// waitForRun waits until the program has started a process for its run.
func waitForRun(t *testing.T) {
	t.Helper()
	for start := time.Now(); time.Since(start) < hangGuard; time.Sleep(10 * time.Millisecond) {
		if len(running(t)) > 1 {
			return
		}
	}
	t.Error("no run has a process of its own")
}

// noParts checks that no file is left half written.
func noParts(t *testing.T) {
	t.Helper()
	parts, err := filepath.Glob(filepath.Join("tray", ".creasewright-*"))
	if err != nil || len(parts) > 0 {
		t.Errorf("left: %q, %v", parts, err)
	}
}

// A whole terminal's worth of Ctrl-C, which reaches the children too, ends all
// quietly.
func TestCtrlCForTheWholeGroup(t *testing.T) {
	if _, err := binary(); err != nil {
		t.Fatal(err)
	}
	desk(t, "x = 1\ny = max(range(1 << 34))\n")
	cmd, _, _ := program(t, "watch", "tray.star", "--page", "off")
	cmd.SysProcAttr = &syscall.SysProcAttr{Setpgid: true}
	talk := startWatch(t, cmd)
	talk.waitFor(t, "watching tray.star")
	waitForRun(t)
	if err := syscall.Kill(-cmd.Process.Pid, syscall.SIGINT); err != nil {
		t.Fatal(err)
	}
	if err := cmd.Wait(); err != nil {
		t.Error(err)
	}
	if got := talk.String(); got != "watching tray.star; Ctrl-C ends\n" {
		t.Errorf("it said\n%s", got)
	}
}

// One run that is ended from outside is told as that, and blames nobody.
func TestInterruptedRuns(t *testing.T) {
	if _, err := binary(); err != nil {
		t.Fatal(err)
	}
	for command, want := range map[string]string{
		"make": "creasewright: interrupted; no files written\n", "check": "creasewright: interrupted; not every script was checked\n",
	} {
		desk(t, "x = 1\ny = max(range(1 << 34))\n")
		cmd, _, _ := program(t, command, "tray.star")
		talk := &tail{}
		cmd.Stderr = talk
		if err := cmd.Start(); err != nil {
			t.Fatal(err)
		}
		waitForRun(t)
		if err := cmd.Process.Signal(os.Interrupt); err != nil {
			t.Fatal(err)
		}
		_ = cmd.Wait() // its exit code is looked at
		if code := cmd.ProcessState.ExitCode(); code != 3 || talk.String() != want {
			t.Errorf("%s: exit %d, says %q", command, code, talk)
		}
		if _, err := os.Stat("tray"); err == nil {
			t.Errorf("%s left a folder", command)
		}
	}
}

// What a page tries ends with the watch, in the middle of a run too.
func TestTriesEndWithTheWatch(t *testing.T) {
	if _, err := binary(); err != nil {
		t.Fatal(err)
	}
	desk(t, tray+"n = param(\"n\", 1, max = 40)\nmost = max(range(1 << n))\n")
	cmd, _, _ := program(t, "watch", "tray.star")
	s := &served{t: t, talk: startWatch(t, cmd)}
	s.talk.waitFor(t, "the page is ", "files in tray")
	_, rest, _ := strings.Cut(s.talk.String(), "the page is ")
	s.url = strings.Fields(rest)[0]
	if code, body := s.post("try/0", map[string]any{"client": "c", "params": map[string]string{"n": "2"}}); code != http.StatusOK {
		t.Fatalf("%d %s", code, body)
	}
	s.states = make(chan page.State)
	s.follow()
	request := s.request("try/0", map[string]any{"client": "c", "params": map[string]string{"n": "34"}})
	gone := make(chan error)
	go func() {
		res, err := http.DefaultClient.Do(request)
		if err == nil {
			res.Body.Close()
		}
		gone <- err
	}()
	s.until("the try is under way", func(st []page.Status) bool { return len(st) == 1 && len(st[0].Trials) == 1 })
	if err := cmd.Process.Signal(os.Interrupt); err != nil {
		t.Fatal(err)
	}
	if err := cmd.Wait(); err != nil {
		t.Error(err)
	}
	if left := running(t); len(left) > 0 {
		t.Errorf("processes %v are left", left)
	}
	if err := <-gone; err == nil {
		t.Error("the try was answered")
	}
}
