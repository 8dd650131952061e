package main

import (
	"bytes"
	"context"
	"errors"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/creasewright/creasewright/runtime/engine"
)

// The first run into a folder says where the preview is; later ones do not. With
// --open each make opens it, and one that cannot be opened is told and nothing more.
func TestTheFirstRunSaysWhereThePreviewIs(t *testing.T) {
	desk(t, tray)
	preview := filepath.Join("tray", "preview.svg")
	said := "the preview is " + preview + "; --open opens it\n"
	cli("make", "tray.star").wants(t, engine.Clean, "", said)
	if got := cli("make", "tray.star"); strings.Contains(got.err, "the preview is") {
		t.Errorf("said once more:\n%s", got.err)
	}
	var opened []string
	var fails error
	withOpen := func(args ...string) (int, string) {
		var talk bytes.Buffer
		c := newConsole(&bytes.Buffer{}, &talk, os.Getenv)
		c.sandbox = inProcess
		c.open = func(path string) error { opened = append(opened, path); return fails }
		return run(context.Background(), c, args), talk.String()
	}
	if code, talk := withOpen("make", "tray.star", "--open"); code != 0 || !slices.Equal(opened, []string{preview}) {
		t.Errorf("exit %d, opened %q\n%s", code, opened, talk)
	}
	put(t, "tray.star", broken)
	if code, _ := withOpen("make", "tray.star", "--open"); code != int(engine.Broken) || len(opened) != 2 {
		t.Errorf("a fault has a preview too: exit %d, opened %q", code, opened)
	}
	if code, _ := withOpen("make", "none.star", "--open"); code != int(engine.Broken) || len(opened) != 2 {
		t.Errorf("nothing was made: exit %d, opened %q", code, opened)
	}
	put(t, "tray.star", tray)
	fails = errors.New("no such program")
	if code, talk := withOpen("make", "tray.star", "--open"); code != 0 || !strings.Contains(talk, "cannot open "+preview+": no such program\n") {
		t.Errorf("exit %d\n%s", code, talk)
	}
}

// What opens a file on each system, and never with a name that could be an option.
func TestOpeners(t *testing.T) {
	full, err := filepath.Abs("-x.svg")
	if err != nil {
		t.Fatal(err)
	}
	for system, want := range map[string][]string{
		"linux": {"xdg-open", full}, "freebsd": {"xdg-open", full}, "darwin": {"open", full},
		"windows": {"rundll32", "url.dll,FileProtocolHandler", full},
	} {
		if got, err := opener(system, "-x.svg"); err != nil || !slices.Equal(got, want) {
			t.Errorf("%s: %q, %v", system, got, err)
		}
	}
	if _, err := opener("js", "x.svg"); err == nil {
		t.Error("a system without programs opens one")
	}
}

// A program that is not there is an error and not a failure.
func TestNothingToOpenWith(t *testing.T) {
	t.Setenv("PATH", t.TempDir())
	if err := openWithSystem("x.svg"); err == nil {
		t.Error("opened without a program")
	}
}
