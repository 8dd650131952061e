package main

import (
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
)

// limited has the command run in a user namespace of its own, in which a limit
// of the system is 0.
func limited(t *testing.T, cmd *exec.Cmd, limit string) {
	t.Helper()
	within := func(args ...string) *exec.Cmd {
		set := exec.Command("sh", append([]string{"-c", `echo 0 > "/proc/sys/user/$0" && exec "$@"`, limit}, args...)...)
		set.SysProcAttr = &syscall.SysProcAttr{
			Cloneflags:  syscall.CLONE_NEWUSER,
			UidMappings: []syscall.SysProcIDMap{{HostID: os.Getuid(), Size: 1}},
			GidMappings: []syscall.SysProcIDMap{{HostID: os.Getgid(), Size: 1}},
		}
		return set
	}
	if out, err := within("true").CombinedOutput(); err != nil {
		t.Skipf("no user namespaces here: %v %s", err, out)
	}
	set := within(cmd.Args...)
	cmd.Path, cmd.Args, cmd.SysProcAttr = set.Path, set.Args, set.SysProcAttr
}

// Where the system gives no events, for want of instances or of watches, watch
// says so once and sees every save all the same.
func TestWatchWithoutEvents(t *testing.T) {
	if _, err := binary(); err != nil {
		t.Fatal(err)
	}
	for limit, why := range map[string]string{
		"max_inotify_instances": "too many open files", "max_inotify_watches": "no space left on device",
	} {
		t.Run(limit, func(t *testing.T) {
			desk(t, tray)
			cmd, _, _ := program(t, "watch", "tray.star")
			limited(t, cmd, limit)
			talk := startWatch(t, cmd)
			talk.waitFor(t, "the system does not tell of saves", why, "looked at every 250 ms", "1 piece, nothing to mend")
			for range 2 {
				put(t, "tray.star", broken)
				talk.waitFor(t, "the script does not run")
				put(t, "tray.star", tray)
				talk.waitFor(t, "mended: 1 piece")
			}
			if n := strings.Count(talk.String(), why); n != 1 {
				t.Errorf("said %d times:\n%s", n, talk)
			}
		})
	}
}

// A watch started within its script's folder goes on when that is removed and
// made again, with events and without: only the path counts, and not the folder
// that the process is in.
func TestTheFolderOfAWatchIsMadeAgain(t *testing.T) {
	if _, err := binary(); err != nil {
		t.Fatal(err)
	}
	for name, limit := range map[string]string{"events": "", "polling": "max_inotify_instances"} {
		t.Run(name, func(t *testing.T) {
			desk(t, tray)
			dir := filepath.Join(t.TempDir(), "work")
			again := func(text string) {
				for os.RemoveAll(dir) != nil { // the record of the files may just be written
				}
				if err := os.Mkdir(dir, 0o755); err != nil {
					t.Fatal(err)
				}
				put(t, filepath.Join(dir, "tray.star"), text)
			}
			again(tray)
			cmd, _, _ := program(t, "watch", "tray.star")
			cmd.Dir = dir
			if limit != "" {
				limited(t, cmd, limit)
			}
			talk := startWatch(t, cmd)
			talk.waitFor(t, "1 piece, nothing to mend")
			for range 2 {
				again(broken)
				talk.waitFor(t, "the script does not run")
				again(tray)
				talk.waitFor(t, "mended: 1 piece")
			}
			if files := folder(t, filepath.Join(dir, "tray")); files["tray.cut.svg"] == "" {
				t.Errorf("%d files in the new folder", len(files))
			}
		})
	}
}
