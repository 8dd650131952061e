//go:build unix

package publish

import (
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"

	"github.com/creasewright/creasewright/runtime/engine"
)

// A pipe in place of the folder is an error and nothing to wait for.
func TestAPipeInPlaceOfTheFolder(t *testing.T) {
	dir := t.TempDir()
	pipe := filepath.Join(dir, "tea")
	if err := syscall.Mkfifo(pipe, 0o644); err != nil {
		t.Fatal(err)
	}
	for _, to := range []Folder{{Path: pipe}, {Path: pipe, Derived: true}, {Path: filepath.Join(pipe, "deep")}, {Path: filepath.Join(pipe, "deep"), Derived: true}} {
		if _, err := once(to, []engine.File{file("a.svg", "a")}, true); err == nil || !strings.Contains(err.Error(), "not a directory") {
			t.Errorf("%+v: %v", to, err)
		}
	}
}

// Law: a link that takes the folder's place at any step of a run leads nothing
// astray: the files are all in the folder that was opened.
func TestAFolderExchangedForALink(t *testing.T) {
	for at, last := 0, false; !last; at++ {
		outer := t.TempDir()
		dir, away, victim := filepath.Join(outer, "tea"), filepath.Join(outer, "away"), filepath.Join(outer, "victim")
		publishAll(t, dir, edition(1)...)
		if err := os.Mkdir(victim, 0o755); err != nil {
			t.Fatal(err)
		}
		o := patient(Folder{Path: dir, Script: "tea.star", Derived: at%2 == 0})
		steps := 0
		o.hooks.step = func(string, string) error {
			if steps++; steps == at {
				exchangeForALink(t, dir, away, victim)
			}
			return nil
		}
		o.Begin()
		if at == 0 {
			exchangeForALink(t, dir, away, victim)
		}
		if _, err := o.Files(t.Context(), edition(3), true); err != nil {
			t.Errorf("step %d: %v", at, err)
		}
		if err := o.Close(); err != nil {
			t.Errorf("step %d: %v", at, err)
		}
		if last = at > steps; last {
			break
		}
		if got := stands(t, victim); len(got) > 0 {
			t.Errorf("step %d: where the link leads there are %d files", at, len(got))
		}
		areOf(t, away, edition(3))
	}
}

func exchangeForALink(t *testing.T, dir, away, victim string) {
	t.Helper()
	if err := os.Rename(dir, away); err != nil {
		t.Error(err)
	}
	if err := os.Symlink(victim, dir); err != nil {
		t.Error(err)
	}
}

// Law: however often a derived folder and a link change places while it is
// opened, what is opened is never where the link leads.
func TestADerivedFolderAmongLinks(t *testing.T) {
	outer := t.TempDir()
	dir, link, victim := filepath.Join(outer, "tea"), filepath.Join(outer, "link"), filepath.Join(outer, "victim")
	for _, path := range []string{dir, victim} {
		if err := os.Mkdir(path, 0o755); err != nil {
			t.Fatal(err)
		}
	}
	if err := os.Symlink("victim", link); err != nil {
		t.Fatal(err)
	}
	bad, err := os.Stat(victim)
	if err != nil {
		t.Fatal(err)
	}
	stop, stopped := make(chan struct{}), make(chan struct{})
	go func() {
		defer close(stopped)
		for {
			select {
			case <-stop:
				return
			default:
				_ = os.Rename(dir, dir+".old")
				_ = os.Rename(link, dir)
				_ = os.Rename(dir, link)
				_ = os.Rename(dir+".old", dir)
			}
		}
	}()
	defer func() { close(stop); <-stopped }()
	for range 2000 {
		d, err := Folder{Path: dir, Derived: true}.open(false)
		if err != nil {
			continue
		}
		if opened, err := d.root.Stat("."); err != nil || os.SameFile(opened, bad) {
			t.Errorf("the link was followed, %v", err)
		}
		d.close()
	}
}
