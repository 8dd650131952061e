package publish

import (
	"context"
	"errors"
	"fmt"
	"math/rand"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/creasewright/creasewright/runtime/emit"
	"github.com/creasewright/creasewright/runtime/engine"
)

// file is a file of the format that its name says, or of a cut file's.
func file(name, text string) engine.File {
	formats := emit.Formats()
	i := max(0, slices.IndexFunc(formats, func(f emit.Format) bool { return f.Name == name }))
	return engine.File{Name: name, Traits: formats[i].Traits, Bytes: []byte(text)}
}

// patient is an output that waits for a slow disk, as tests must.
func patient(to Folder) *Output {
	o := New(to)
	o.lockWait, o.closeWait, o.hooks.unsynced = time.Hour, time.Hour, true
	return o
}

// once publishes as a command does that ends afterwards.
func once(to Folder, files []engine.File, all bool) (Change, error) {
	o := patient(to)
	o.Begin()
	done, err := o.Files(context.Background(), files, all)
	return done, errors.Join(err, o.Close())
}

func publish(t *testing.T, dir string, files ...engine.File) []string {
	t.Helper()
	done, err := once(Folder{Path: dir}, files, false)
	if err != nil || len(done.Removed) > 0 {
		t.Fatal(done.Removed, err)
	}
	return done.Written
}

// stands reads the folder back: name to text, the record left out.
func stands(t *testing.T, dir string) map[string]string {
	t.Helper()
	entries, err := os.ReadDir(dir)
	if err != nil {
		t.Fatal(err)
	}
	got := map[string]string{}
	for _, e := range entries {
		if e.Name() == recordName {
			continue
		}
		text, err := os.ReadFile(filepath.Join(dir, e.Name()))
		if err != nil {
			t.Fatal(err)
		}
		got[e.Name()] = string(text)
	}
	return got
}

func TestWritesWhatChanged(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "out", "tea")
	if got := publish(t, dir, file("report.json", "r1"), file("a.cut.svg", "a1"), file("b.cut.svg", "b1")); !slices.Equal(got, []string{"a.cut.svg", "b.cut.svg", "report.json"}) {
		t.Errorf("first: %v, want everything with the report last", got)
	}
	long := time.Now().Add(-time.Hour)
	for name := range stands(t, dir) {
		if err := os.Chtimes(filepath.Join(dir, name), long, long); err != nil {
			t.Fatal(err)
		}
	}
	if got := publish(t, dir, file("a.cut.svg", "a1"), file("b.cut.svg", "b2"), file("report.json", "r1")); !slices.Equal(got, []string{"b.cut.svg"}) {
		t.Errorf("second: %v, want only what changed", got)
	}
	for name, touched := range map[string]bool{"a.cut.svg": false, "b.cut.svg": true, "report.json": false} {
		info, err := os.Stat(filepath.Join(dir, name))
		if err != nil {
			t.Fatal(err)
		}
		if info.ModTime().Equal(long) == touched {
			t.Errorf("%s: touched is not %v", name, touched)
		}
	}
}

func TestOtherFilesStay(t *testing.T) {
	dir := t.TempDir()
	publish(t, dir, file("a.cut.svg", "a"), file("report.json", "r"))
	publish(t, dir, file("preview.svg", "p"))
	publish(t, dir)
	if got := stands(t, dir); len(got) != 3 || got["a.cut.svg"] != "a" {
		t.Errorf("got %v", got)
	}
}

// A link in the output folder is replaced; what it led to is left alone.
func TestLinksAreNotFollowed(t *testing.T) {
	dir := t.TempDir()
	keep := filepath.Join(t.TempDir(), "keep")
	if err := os.WriteFile(keep, []byte("same"), 0o644); err != nil {
		t.Fatal(err)
	}
	if err := os.Symlink(keep, filepath.Join(dir, "a.cut.svg")); err != nil {
		t.Fatal(err)
	}
	publish(t, dir, file("a.cut.svg", "same"))
	publish(t, dir, file("a.cut.svg", "new"))
	if text, err := os.ReadFile(keep); err != nil || string(text) != "same" {
		t.Errorf("the file behind the link: %q, %v", text, err)
	}
	if got := stands(t, dir)["a.cut.svg"]; got != "new" {
		t.Errorf("got %q", got)
	}
}

func TestNamesThatLeaveTheFolder(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "out")
	for _, name := range []string{"", ".", "..", "../a", "a/b", `a\b`, "C:a", "a\x00"} {
		if _, err := once(Folder{Path: dir}, []engine.File{file("fine.svg", "x"), file(name, "x")}, false); err == nil {
			t.Errorf("%q was written", name)
		}
	}
	if _, err := os.Stat(dir); err == nil {
		t.Error("something was written before the bad name was seen")
	}
}

// When one file cannot be written the others stay as they were, the error names
// it and no folder, and no half-made file is left behind.
func TestWhatCannotBeWritten(t *testing.T) {
	dir := t.TempDir()
	publish(t, dir, file("a.cut.svg", "old"))
	if err := os.MkdirAll(filepath.Join(dir, "b.cut.svg", "in the way"), 0o755); err != nil {
		t.Fatal(err)
	}
	done, err := once(Folder{Path: dir}, []engine.File{file("a.cut.svg", "a"), file("b.cut.svg", "b"), file("report.json", "r")}, true)
	if err == nil || err.Error() != "cannot write b.cut.svg: there is a folder of that name" {
		t.Errorf("error: %v", err)
	}
	if text, err := os.ReadFile(filepath.Join(dir, "a.cut.svg")); len(done.Written) > 0 || err != nil || string(text) != "old" {
		t.Errorf("written: %v; a is %q, %v", done.Written, text, err)
	}
	if entries, err := os.ReadDir(dir); err != nil || len(entries) != 3 {
		t.Errorf("left behind: %v, %v", entries, err)
	}
	if _, err := once(Folder{Path: filepath.Join(dir, "a.cut.svg")}, []engine.File{file("x", "x")}, false); err == nil {
		t.Error("a file served as the folder")
	}
}

// Law: whatever is published in whatever order, the folder holds the last
// bytes given for each name and nothing else, and a second time writes nothing.
func TestTheLastBytesStand(t *testing.T) {
	rng := rand.New(rand.NewSource(7))
	dir := t.TempDir()
	want := map[string]string{}
	for range 200 {
		var files []engine.File
		for _, i := range rng.Perm(6)[:rng.Intn(7)] {
			f := file(fmt.Sprintf("f%d.svg", i), strings.Repeat("x", rng.Intn(3)))
			want[f.Name] = string(f.Bytes)
			files = append(files, f)
		}
		publish(t, dir, files...)
		if again := publish(t, dir, files...); len(again) > 0 {
			t.Fatalf("written twice: %v", again)
		}
		if got := stands(t, dir); fmt.Sprint(got) != fmt.Sprint(want) {
			t.Fatalf("got %v, want %v", got, want)
		}
	}
}
