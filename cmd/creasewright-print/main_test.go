package main

import (
	"context"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"testing"

	"os"

	"github.com/creasewright/creasewright/runtime/emit"
)

// Both programs beside one another draw the sheet in every format; a wrong format
// and a missing program are told, and the program alone says whose it is.
func TestAlso(t *testing.T) {
	dir := t.TempDir()
	exe := ""
	if runtime.GOOS == "windows" {
		exe = ".exe"
	}
	build := exec.Command("go", "build", "-o", dir, ".", "../creasewright")
	if out, err := build.CombinedOutput(); err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	made := filepath.Join(dir, "made")
	run := func(program string, args ...string) (string, int) {
		cmd := exec.Command(filepath.Join(dir, program+exe), args...)
		cmd.Env = append(os.Environ(), "PATH=")
		out, _ := cmd.CombinedOutput() // the code tells
		return string(out), cmd.ProcessState.ExitCode()
	}
	script := filepath.Join("..", "..", "scripts", "soap-sleeve.star")
	if out, code := run("creasewright", "make", script, "-o", made, "--also", "pdf,png"); code != 0 {
		t.Fatalf("code %d: %s", code, out)
	}
	for _, k := range []emit.Kind{emit.KindPDF, emit.KindPNG, emit.KindPreview} {
		f, _ := emit.Formats().Of(k)
		text, err := os.ReadFile(filepath.Join(made, f.FileName("", "")))
		if err != nil || f.Check(context.Background(), text) != nil {
			t.Errorf("%s: %d bytes, error %v", k, len(text), err)
		}
	}
	if out, code := run("creasewright", "make", script, "-o", made, "--also", "tiff"); code != 2 || !strings.Contains(out, `pdf or png, not "tiff"`) {
		t.Errorf("code %d: %s", code, out)
	}
	if out, code := run("creasewright-print"); code != 2 || !strings.Contains(out, "is started by creasewright") {
		t.Errorf("code %d: %s", code, out)
	}
	if err := os.Remove(filepath.Join(dir, "creasewright-print"+exe)); err != nil {
		t.Fatal(err)
	}
	if out, code := run("creasewright", "make", script, "-o", made, "--also", "pdf"); code != 2 || !strings.Contains(out, "needs the program creasewright-print") {
		t.Errorf("code %d: %s", code, out)
	}
}

// What draws PDF and PNG is no part of the other program, which would pay for it
// at every start.
func TestOtherProgramDoesWithoutCanvas(t *testing.T) {
	out, err := exec.Command("go", "list", "-deps", "../creasewright").Output()
	if err != nil {
		t.Fatal(err)
	}
	if strings.Contains(string(out), "tdewolff") || !strings.Contains(string(out), "runtime/engine") {
		t.Error("the program has canvas in it")
	}
}
