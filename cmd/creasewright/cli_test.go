package main

import (
	"bytes"
	"context"
	"errors"
	"os"
	"path/filepath"
	"runtime/debug"
	"strings"
	"testing"

	"github.com/creasewright/creasewright/runtime/engine"
)

// ran is what one command line came to.
type ran struct {
	code     engine.Exit
	out, err string
}

// cli carries out a command line in this process.
func cli(args ...string) ran {
	var out, err bytes.Buffer
	c := newConsole(&out, &err, func(string) string { return "" })
	c.sandbox = inProcess
	code := run(context.Background(), c, args)
	return ran{engine.Exit(code), out.String(), err.String()}
}

// wants checks the exit code and that the talk and the result hold what they
// should; "" asks for an empty result.
func (r ran) wants(t *testing.T, code engine.Exit, result string, talk ...string) {
	t.Helper()
	if r.code != code {
		t.Errorf("exit %d, want %d", r.code, code)
	}
	if result == "" && r.out != "" || !strings.Contains(r.out, result) {
		t.Errorf("the result is %q, want %q", r.out, result)
	}
	for _, s := range talk {
		if !strings.Contains(r.err, s) {
			t.Errorf("nothing said of %q:\n%s", s, r.err)
		}
	}
	if t.Failed() {
		t.Logf("standard output:\n%s\nstandard error:\n%s", r.out, r.err)
	}
}

const tray = `"""Tray"""
width = param("width", 60, min = 20, max = 200)
card = board("card", caliper = 0.4)
base = panel("base", rect(width, 40))
wall = panel("wall", rect(width, 20), on = base.top)
piece("tray", base, board = card)
`

// Lines that make the tray a design with a warning, a design with an error, or
// no design at all.
const (
	warned = tray + "spare = panel(\"spare\", rect(5, 5))\n"
	faulty = tray + "require(width < 50, \"the rack takes 50 mm\")\n"
	broken = tray + "base.lid.cut(circle(1))\n"
)

// desk is a fresh folder with one script in it, the current folder from now.
func desk(t *testing.T, script string) {
	t.Helper()
	t.Chdir(t.TempDir())
	put(t, "tray.star", script)
}

func put(t *testing.T, name, text string) {
	t.Helper()
	if err := os.WriteFile(name, []byte(text), 0o644); err != nil {
		t.Fatal(err)
	}
}

// folder reads a folder back: name to text, hidden files left out.
func folder(t *testing.T, dir string) map[string]string {
	t.Helper()
	entries, err := os.ReadDir(dir)
	if err != nil {
		t.Fatal(err)
	}
	files := map[string]string{}
	for _, e := range entries {
		if strings.HasPrefix(e.Name(), ".") {
			continue
		}
		text, err := os.ReadFile(filepath.Join(dir, e.Name()))
		if err != nil {
			t.Fatal(err)
		}
		files[e.Name()] = string(text)
	}
	return files
}

func TestTheCommandLineAtFault(t *testing.T) {
	desk(t, tray)
	for line, talk := range map[string]string{
		"mak tray.star":                               `unknown command "mak" for "creasewright"; did you mean make?`,
		"tray.star":                                   `unknown command "tray.star" for "creasewright"; did you mean creasewright make tray.star?`,
		"make tray":                                   `there is no file "tray"; did you mean "tray.star"?`,
		"watch tray":                                  `there is no file "tray"; did you mean "tray.star"?`,
		"make tray.star --oot x":                      `unknown flag: --oot; did you mean --out?`,
		"make":                                        "make takes one script, not 0",
		"make tray.star other.star":                   "make takes one script, not 2",
		"make tray.star --colour":                     "unknown flag: --colour",
		"make tray.star --set width":                  `--set "width" is not of the form name=value`,
		"make tray.star --set =5":                     `--set "=5" is not of the form name=value`,
		"watch":                                       "watch takes at least one script",
		"watch tray.star --set x":                     "not of the form name=value",
		"watch tray.star tray":                        `there is no file "tray"; did you mean "tray.star"?`,
		"watch tray.star a.star -o x":                 "-o, --also and --for go with one script",
		"make tray.star --also display":               `--also takes print, tiles, glb, stl, sheet, pdf or png, not "display"`,
		"watch tray.star a.star --also png":           "-o, --also and --for go with one script",
		"watch tray.star --page 0.0.0.0:80":           "--page 0.0.0.0:80: the page is for this machine alone; give a port",
		"watch tray.star --page [::]:80":              "--page [::]:80: the page is for this machine alone",
		"watch tray.star --page :80":                  "--page :80: the page is for this machine alone",
		"watch tray.star --page a.test:80":            "--page a.test:80: the page is for this machine alone",
		"watch tray.star --page [fe80::1%lo]:8":       "the page is for this machine alone",
		"watch tray.star --page of":                   `--page takes a port, a loopback host:port such as 127.0.0.1:8080, or off, not "of"`,
		"watch tray.star --page 65536":                `or off, not "65536"`,
		"watch tray.star --page -1":                   `or off, not "-1"`,
		"watch tray.star --page 127.0.0.1:":           `or off, not "127.0.0.1:"`,
		"watch tray.star --page http://localhost:80/": `or off, not "http://localhost:80/"`,
		"watch tray.star --editor ed":                 "--editor: {file} is missing",
		"watch tray.star --page off --editor {file}":  "--editor opens scripts from the page, which is off",
		"check":                            "check takes at least one script",
		"check tray.star --set x":          "not of the form name=value",
		"check tray.star --format yaml":    `--format "yaml" is none of text, json, sarif`,
		"words //tubes.star seam":          `//tubes.star has no function "seam"`,
		"words pannel":                     `the manual has nothing about "pannel"; did you mean "panel"?`,
		"words wwwwwwwwwwww":               `the manual has nothing about "wwwwwwwwwwww"`,
		"make tray.star/x.star":            "x.star: not a directory",
		"make tray.star --out tray --out=": "",
	} {
		got := cli(strings.Fields(line)...)
		if talk == "" {
			got.wants(t, engine.Clean, "")
			continue
		}
		got.wants(t, engine.Broken, "", talk)
		if n := strings.Count(got.err, talk); n != 1 {
			t.Errorf("%s: the error is printed %d times", line, n)
		}
	}
}

func TestHelp(t *testing.T) {
	cli().wants(t, engine.Clean, "Exit codes: 0")
	cli("--help").wants(t, engine.Clean, "make ")
	for _, name := range []string{"make", "watch", "check", "words"} {
		cli(name, "--help").wants(t, engine.Clean, "creasewright "+name)
	}
}

func TestColourOnlyWhereItIsWanted(t *testing.T) {
	// The null device is a character device, as a terminal is.
	terminal, err := os.OpenFile(os.DevNull, os.O_WRONLY, 0)
	if err != nil {
		t.Fatal(err)
	}
	defer terminal.Close()
	for name, c := range map[string]struct {
		env  map[string]string
		want bool
	}{
		"terminal":       {nil, true},
		"NO_COLOR":       {map[string]string{"NO_COLOR": "1"}, false},
		"empty NO_COLOR": {map[string]string{"NO_COLOR": ""}, true},
		"dumb":           {map[string]string{"TERM": "dumb"}, false},
	} {
		console := newConsole(&bytes.Buffer{}, terminal, func(k string) string { return c.env[k] })
		if console.colourErr != c.want || console.colourOut {
			t.Errorf("%s: colour %v on the terminal, %v in a buffer", name, console.colourErr, console.colourOut)
		}
	}
	desk(t, broken)
	var talk bytes.Buffer
	c := newConsole(&bytes.Buffer{}, &talk, os.Getenv)
	c.colourErr = true
	run(context.Background(), c, []string{"make", "tray.star"})
	if !strings.Contains(talk.String(), "\x1b[") {
		t.Errorf("no colour where it was wanted: %q", talk.String())
	}
	if got := cli("make", "tray.star"); strings.Contains(got.err, "\x1b") {
		t.Errorf("colour where nobody asked: %q", got.err)
	}
}

// full is a device without room.
type full struct{}

func (full) Write([]byte) (int, error) {
	return 0, &os.PathError{Op: "write", Path: "/dev/full", Err: errors.New("no space left on device")}
}

// A result that cannot be written is told, whatever else was to be told.
func TestResultsThatCannotBeWritten(t *testing.T) {
	desk(t, warned)
	put(t, "faulty.star", faulty)
	for _, line := range []string{
		"check tray.star", "check faulty.star", "check tray.star --format json", "check tray.star --format sarif",
		"words", "words panel", "words --rules", "--help", "make --help", "--version",
	} {
		var talk bytes.Buffer
		c := newConsole(full{}, &talk, os.Getenv)
		c.sandbox = inProcess
		code := engine.Exit(run(t.Context(), c, strings.Fields(line)))
		if code != engine.Crashed || !strings.HasSuffix(talk.String(), "creasewright: cannot write the result: no space left on device\n") {
			t.Errorf("%s: exit %d, says\n%s", line, code, &talk)
		}
	}
	cli("make", "tray.star").wants(t, engine.Clean, "") // has no result to write
}

// The version is that of the module and of the revision it was built from, and
// "devel" when neither is known.
func TestVersions(t *testing.T) {
	cli("--version").wants(t, engine.Clean, "creasewright ")
	cli("version").wants(t, engine.Clean, cli("--version").out)
	setting := func(key, value string) debug.BuildSetting { return debug.BuildSetting{Key: key, Value: value} }
	module := func(version string) debug.Module { return debug.Module{Path: "m", Version: version} }
	for want, info := range map[string]*debug.BuildInfo{
		"creasewright devel\n":                nil,
		"creasewright devel (go1.26)\n":       {GoVersion: "go1.26", Main: module("(devel)")},
		"creasewright devel (go1.27)\n":       {GoVersion: "go1.27"},
		"creasewright v1.2.3 (go1.26)\n":      {GoVersion: "go1.26", Main: module("v1.2.3")},
		"creasewright v1.2.3 (abc, go1.26)\n": {GoVersion: "go1.26", Main: module("v1.2.3"), Settings: []debug.BuildSetting{setting("vcs.revision", "abc"), setting("vcs.modified", "false")}},
		"creasewright devel (abc, with changes, go1.26)\n": {
			GoVersion: "go1.26", Settings: []debug.BuildSetting{setting("vcs.revision", "abc"), setting("vcs.modified", "true")},
		},
	} {
		if got := versionLine(info); got != want {
			t.Errorf("got %q, want %q", got, want)
		}
	}
}
