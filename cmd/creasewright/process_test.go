package main

import (
	"bytes"
	"errors"
	"os"
	"os/exec"
	"path/filepath"
	"reflect"
	"runtime"
	"strings"
	"sync"
	"testing"

	"github.com/creasewright/creasewright/runtime/engine"
	"github.com/creasewright/creasewright/runtime/page/browsertest"
	"github.com/creasewright/creasewright/runtime/worker"
)

// binary builds the program once for all tests that start it as a process.
var binary = sync.OnceValues(func() (string, error) {
	dir, err := os.MkdirTemp("", "creasewright")
	if err != nil {
		return "", err
	}
	path := filepath.Join(dir, "creasewright")
	if runtime.GOOS == "windows" {
		path += ".exe"
	}
	out, err := exec.Command("go", "build", "-o", path, ".").CombinedOutput()
	if err != nil {
		return "", errors.New(string(out))
	}
	return path, nil
})

func TestMain(m *testing.M) {
	worker.Main(nil)
	code := m.Run()
	browsertest.Close()
	if path, err := binary(); err == nil {
		os.RemoveAll(filepath.Dir(path))
	}
	os.Exit(code)
}

// program is the program with a command line, not started yet.
func program(t testing.TB, args ...string) (cmd *exec.Cmd, out, talk *bytes.Buffer) {
	t.Helper()
	path, err := binary()
	if err != nil {
		t.Fatal(err)
	}
	cmd, out, talk = exec.Command(path, args...), &bytes.Buffer{}, &bytes.Buffer{}
	cmd.Stdout, cmd.Stderr = out, talk
	return cmd, out, talk
}

// The scripts of the project, made by two processes in two folders, give the
// same bytes.
func TestProcessesGiveTheSameBytes(t *testing.T) {
	scripts, err := filepath.Glob(filepath.Join("..", "..", "scripts", "*.star"))
	if err != nil || len(scripts) < 5 {
		t.Fatalf("%d scripts, %v", len(scripts), err)
	}
	if _, err := binary(); err != nil {
		t.Fatal(err)
	}
	for _, script := range scripts {
		var made [2]map[string]string
		for i := range made {
			dir := filepath.Join(t.TempDir(), "out")
			cmd, out, talk := program(t, "make", script, "-o", dir)
			if err := cmd.Run(); err != nil || out.Len() > 0 {
				t.Fatalf("%s: %v\n%s%s", script, err, out, talk)
			}
			made[i] = folder(t, dir)
		}
		if len(made[0]) < 4 || !reflect.DeepEqual(made[0], made[1]) {
			t.Errorf("%s: two processes gave different files", script)
		}
	}
}

func TestExitCodesOfTheProcess(t *testing.T) {
	path, err := binary() // before the folder changes
	if err != nil {
		t.Fatal(err)
	}
	desks(t)
	put(t, "blocked", "in the way")
	put(t, "blocked.star", tray)
	for script, want := range map[string]engine.Exit{
		"tray.star": engine.Clean, "warned.star": engine.Clean, "faulty.star": engine.Faulty,
		"broken.star": engine.Broken, "blocked.star": engine.Crashed,
	} {
		err := exec.Command(path, "make", script).Run()
		var exit *exec.ExitError
		switch {
		case err == nil && want == engine.Clean:
		case errors.As(err, &exit) && exit.ExitCode() == int(want):
		default:
			t.Errorf("%s: %v, want exit code %d", script, err, want)
		}
	}
}

// The whole command as a process, start to end.
func BenchmarkMakeProcess(b *testing.B) {
	if _, err := binary(); err != nil {
		b.Fatal(err)
	}
	dir := b.TempDir()
	for b.Loop() {
		cmd, _, talk := program(b, "make", filepath.Join("..", "..", "scripts", "tea-carton.star"), "-o", dir)
		if err := cmd.Run(); err != nil {
			b.Fatalf("%v\n%s", err, talk)
		}
	}
}

// What a command line must say for a process to be started before it is understood.
func TestRunsScript(t *testing.T) {
	for line, want := range map[string]bool{
		"make tea.star": true, "check a.star b.star --notes": true, "watch tea.star -o out": true,
		"make": false, "make --help": false, "make tea.star --also pdf": false, "make tea.star --also=pdf": false,
		"words panel": false, "shelf list": false, "": false,
	} {
		if got := runsScript(strings.Fields(line)); got != want {
			t.Errorf("%q: %v, want %v", line, got, want)
		}
	}
}
