package main

import (
	"bytes"
	"context"
	"os"
	"strings"
	"testing"

	"github.com/creasewright/creasewright/runtime/engine"
)

// A script that is not in style, and as it is in style.
const (
	untidy = "x=1\n"
	tidy   = "x = 1\n"
)

func holds(t *testing.T, name, want string) {
	t.Helper()
	if got, err := os.ReadFile(name); err != nil || string(got) != want {
		t.Errorf("%s holds %q, %v, want %q", name, got, err, want)
	}
}

// fmt writes what differs and says so; --check names it and writes nothing.
func TestFmt(t *testing.T) {
	desk(t, tidy)
	put(t, "box.star", untidy)
	cli("fmt", "--check", ".").wants(t, engine.Faulty, "box.star\n", "1 of 2 scripts not in style; creasewright fmt without --check mends that")
	holds(t, "box.star", untidy)
	cli("fmt", ".").wants(t, engine.Clean, "", "box.star: formatted", "2 scripts, 1 formatted, the others in style already")
	holds(t, "box.star", tidy)
	cli("fmt", "--check", "box.star").wants(t, engine.Clean, "")
}

// What cannot be formatted is told at its place, by its path, and the rest goes on.
func TestFmtFaults(t *testing.T) {
	desk(t, untidy)
	if err := os.Mkdir("sub", 0o777); err != nil {
		t.Fatal(err)
	}
	put(t, "sub/bad.star", "x = (\n")
	cli("fmt", "sub", "none.star", "tray.star").wants(t, engine.Broken, "",
		"sub/bad.star:1:5: error: this ( is never closed", "sub/bad.star: not formatted", `there is no file "none.star"`, "tray.star: formatted")
	holds(t, "sub/bad.star", "x = (\n")
	cli("fmt").wants(t, engine.Broken, "", "fmt takes at least one script or folder")
	cli("fmt", "-", "tray.star").wants(t, engine.Broken, "", `"-" stands alone`)
}

// A dash takes a script from standard input to standard output.
func TestFmtOfAStream(t *testing.T) {
	for _, c := range []struct {
		in   string
		args []string
		code engine.Exit
		out  string
		talk string
	}{
		{untidy, nil, engine.Clean, tidy, ""},
		{untidy, []string{"--check"}, engine.Faulty, "(standard input)\n", ""},
		{tidy, []string{"--check"}, engine.Clean, "", ""},
		{"x = (\n", nil, engine.Broken, "", "(standard input):1:5: error: this ( is never closed"},
	} {
		var out, talk bytes.Buffer
		console := newConsole(&out, &talk, func(string) string { return "" })
		root := rootCommand(console)
		root.SetIn(strings.NewReader(c.in))
		code := execute(context.Background(), console, root, append([]string{"fmt", "-"}, c.args...))
		if engine.Exit(code) != c.code || out.String() != c.out || !strings.Contains(talk.String(), c.talk) {
			t.Errorf("%q %q: exit %d, %q, %q", c.in, c.args, code, &out, &talk)
		}
	}
}
