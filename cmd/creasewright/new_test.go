package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/creasewright/creasewright/runtime/engine"
	"github.com/creasewright/creasewright/runtime/manual"
)

// Every structure begins a script of at most 15 lines that makes its piece without an
// error or a warning, and there are two dozen of them at least, closures counted.
func TestNewBeginsEveryStructure(t *testing.T) {
	folder := t.TempDir()
	for _, p := range manual.New().Structures() {
		path := filepath.Join(folder, p.Name+".star")
		if said := mustTell(t, 0, "new", path, p.Name); !strings.Contains(said, "creasewright watch "+path) {
			t.Errorf("%s: %s", p.Name, said)
		}
		text, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		if n := strings.Count(string(text), "\n"); n > 15 {
			t.Errorf("%s: %d lines", p.Name, n)
		}
	}
	if said := mustTell(t, 0, "check", folder); strings.Contains(said, "warning") {
		t.Error(said)
	}
}

// What is there is never written over, and what is not known is told with what may
// be meant.
func TestNewRefuses(t *testing.T) {
	folder := t.TempDir()
	path := filepath.Join(folder, "tea.star")
	if err := os.WriteFile(path, []byte("mine\n"), 0o644); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct{ path, structure, want string }{
		{path, "tuck_carton", "is there already"},
		{filepath.Join(folder, "tea"), "tuck_carton", "is there already"},
		{filepath.Join(folder, "none", "tea.star"), "tuck_carton", "there is no folder"},
		{filepath.Join(folder, "new.star"), "tuck_cartn", "did you mean tuck_carton"},
		{filepath.Join(folder, "new.star"), "hexagon", "prism_box"},
		{filepath.Join(folder, "new.star"), "tucked", "did you mean tuck_carton"},
		{filepath.Join(folder, "new.star"), "flap", "there is no structure"},
		{filepath.Join(folder, "new.star"), "tuck_end", "is a part and no structure"},
	} {
		if said := mustTell(t, 2, "new", c.path, c.structure); !strings.Contains(said, c.want) {
			t.Errorf("%s: %s", c.structure, said)
		}
	}
	if text, _ := os.ReadFile(path); string(text) != "mine\n" {
		t.Errorf("written over: %q", text)
	}
}

func TestNewLists(t *testing.T) {
	said := mustTell(t, 0, "new", "box")
	for _, want := range []string{"//cartons.star\n", "  tuck_carton\n", "creasewright new box.star STRUCTURE"} {
		if !strings.Contains(said, want) {
			t.Errorf("no %q in %s", want, said)
		}
	}
	if strings.Contains(said, "dust_flaps") {
		t.Error("a part is listed as a structure")
	}
}

// mustTell runs a command, wants its exit code and gives all that it said.
func mustTell(t *testing.T, code engine.Exit, args ...string) string {
	t.Helper()
	r := cli(args...)
	if r.code != code {
		t.Fatalf("%q: exit %d, want %d\n%s%s", args, r.code, code, r.out, r.err)
	}
	return r.out + r.err
}

// The piece is called after the file, and nothing of the example's products stays.
func TestNewNames(t *testing.T) {
	for file, want := range map[string]string{"jar": `piece("jar", `, "täglich": `piece("tuck carton", `} {
		path := filepath.Join(t.TempDir(), file+".star")
		mustTell(t, 0, "new", path, "tuck_carton")
		text, err := os.ReadFile(path)
		if err != nil || !strings.Contains(string(text), want) || !strings.Contains(string(text), `contents("product"`) || strings.Contains(string(text), "tea") {
			t.Errorf("%s: %v\n%s", file, err, text)
		}
	}
}
