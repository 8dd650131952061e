package publish

import (
	"context"
	"errors"
	"fmt"
	"maps"
	"math/rand"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/creasewright/creasewright/runtime/engine"
	"github.com/creasewright/creasewright/runtime/outsidetest"
)

// killArgument has the test's own program publish edition 3 and kill itself at
// a step.
const killArgument = "(publish and be killed)"

func TestMain(m *testing.M) {
	if len(os.Args) == 4 && os.Args[1] == killArgument {
		publishUntilKilled(os.Args[2], os.Args[3])
	}
	os.Exit(m.Run())
}

// edition is six files of some 20 KB that all say which edition they are of.
// Every third edition has another piece.
func edition(n int) []engine.File {
	name := "tea"
	if n%3 == 0 {
		name = "mug"
	}
	text := strings.Repeat(fmt.Sprintf("edition %6d\n", n), 1500)
	return []engine.File{
		file(name+".cut.svg", text), file(name+".cut.dxf", text),
		file("lid.cut.svg", text), file("lid.cut.dxf", text),
		file("preview.svg", text), file("report.json", text),
	}
}

func publishUntilKilled(dir, step string) {
	at, err := strconv.Atoi(step)
	if err != nil {
		os.Exit(3)
	}
	o := New(Folder{Path: dir, Script: "tea.star"})
	o.closeWait = time.Hour
	steps := 0
	o.hooks.step = func(string, string) error {
		if steps++; steps == at {
			if self, err := os.FindProcess(os.Getpid()); err == nil {
				_ = self.Kill()
			}
			select {} // until that takes effect
		}
		return nil
	}
	o.Begin()
	_, err = o.Files(context.Background(), edition(3), true)
	if err = errors.Join(err, o.Close()); err != nil {
		fmt.Println(err)
		os.Exit(2)
	}
	os.Exit(0)
}

// Law: a process that is killed at any step leaves each file either old or new
// and none torn; the next run puts everything in order, and tells when it found
// some files new and others old.
func TestKilledAtEveryStep(t *testing.T) {
	mixed := 0
	for at := 1; ; at++ {
		dir := t.TempDir()
		publishAll(t, dir, edition(1)...)
		talk, err := exec.Command(os.Args[0], killArgument, dir, strconv.Itoa(at)).Output()
		if err == nil {
			if at < 20 || mixed < 4 {
				t.Errorf("only %d steps, %d with files of two editions", at, mixed)
			}
			areOf(t, dir, edition(3))
			return
		}
		if len(talk) > 0 {
			t.Fatalf("it could not publish: %s", talk)
		}
		_, news := editionsOf(t, dir)
		wantMixed := news > 0 && news < len(edition(3))
		if wantMixed {
			mixed++
		}
		done, err := once(Folder{Path: dir, Script: "tea.star"}, edition(4), true)
		if err != nil || done.Interrupted != wantMixed {
			t.Errorf("killed at step %d, which left %d new files: interrupted is %v, %v", at, news, done.Interrupted, err)
		}
		areOf(t, dir, edition(4))
	}
}

// editionsOf checks that every file is whole, and counts those of edition 1 and 3.
func editionsOf(t *testing.T, dir string) (olds, news int) {
	t.Helper()
	for name, text := range stands(t, dir) {
		var n int
		if isPart(name) || name == journalName {
			continue
		}
		if _, err := fmt.Sscanf(text, "edition %d\n", &n); err != nil || text != string(edition(n)[0].Bytes) {
			t.Errorf("%s is torn: %d bytes, %.20q", name, len(text), text)
		}
		if n == 3 {
			news++
		} else {
			olds++
		}
	}
	return olds, news
}

// areOf checks that the folder holds an edition and nothing else, and that
// nothing is left to settle.
func areOf(t *testing.T, dir string, files []engine.File) {
	t.Helper()
	want := map[string]string{}
	for _, f := range files {
		want[f.Name] = string(f.Bytes)
	}
	got := stands(t, dir)
	for name, text := range got {
		if want[name] != text {
			t.Errorf("%s is left, %.14q", name, text)
		}
	}
	if len(got) != len(want) {
		t.Errorf("there are %q", slices.Sorted(maps.Keys(got)))
	}
}

var errKilled = errors.New("killed")

// publishUntil publishes and, from a step on, changes nothing any more, as if the
// process had been killed. It reports whether that step was reached.
func publishUntil(t *testing.T, dir string, files []engine.File, at int) (killed bool) {
	t.Helper()
	o := patient(Folder{Path: dir, Script: "tea.star"})
	steps := 0
	o.hooks.step = func(string, string) error {
		if steps++; steps >= at {
			return errKilled
		}
		return nil
	}
	o.Begin()
	_, err := o.Files(t.Context(), files, true)
	if err = errors.Join(err, o.Close()); err != nil && !errors.Is(err, errKilled) {
		t.Error(err)
	}
	return steps >= at
}

// Law: after two kills in a row, at whatever steps, no file is left that no run
// removes.
func TestKilledTwice(t *testing.T) {
	few := func(n int) []engine.File { return append(edition(n)[:1], edition(n)[5]) }
	steps := 1
	for dir := t.TempDir(); publishUntil(t, dir, few(1), steps); dir = t.TempDir() {
		steps++
	}
	tries := outsidetest.Times(t, 150, 2000)
	r := rand.New(rand.NewSource(43))
	for range tries {
		dir := t.TempDir()
		first, second := 1+r.Intn(steps+5), 1+r.Intn(steps+5)
		publishAll(t, dir, few(1)...)
		publishUntil(t, dir, few(2), first)
		publishUntil(t, dir, few(4+r.Intn(2)), second)
		publishAll(t, dir, few(3)...)
		areOf(t, dir, few(3))
		if t.Failed() {
			t.Fatalf("killed at steps %d and %d", first, second)
		}
	}
}

// Until a run without errors has written everything anew, each run tells that
// the files are of different runs.
func TestInterruptedUntilMended(t *testing.T) {
	dir := t.TempDir()
	publishAll(t, dir, edition(1)...)
	half := false
	o := patient(Folder{Path: dir, Script: "tea.star"})
	o.hooks.step = func(change, name string) error {
		if half = half || change == "replace" && name == "lid.cut.svg"; half {
			return errKilled
		}
		return nil
	}
	if _, err := o.Files(t.Context(), edition(2), true); !errors.Is(err, errKilled) {
		t.Fatal(err)
	}
	_ = o.Close() // as if killed
	picture := func(n int) []engine.File { return edition(n)[4:] }
	for n, step := range []struct {
		script string
		files  []engine.File
		all    bool
		want   bool
	}{
		{"mug.star", []engine.File{file("mug.cut.svg", "m")}, true, false},
		{"tea.star", picture(4), false, true},
		{"tea.star", picture(4), false, true},
		{"tea.star", picture(5), false, true},
		{"tea.star", edition(7), true, true},
		{"tea.star", edition(7), true, false},
		{"tea.star", picture(8), false, false},
	} {
		done, err := once(Folder{Path: dir, Script: step.script}, step.files, step.all)
		if err != nil || done.Interrupted != step.want {
			t.Errorf("step %d: interrupted is %v, %v", n, done.Interrupted, err)
		}
	}
}

// A loss of power may leave files and the journal empty: that is told and mended.
func TestEmptyFiles(t *testing.T) {
	for _, names := range [][]string{{"lid.cut.svg"}, {"lid.cut.svg", journalName}} {
		dir := t.TempDir()
		publishAll(t, dir, edition(1)...)
		o := patient(Folder{Path: dir, Script: "tea.star"})
		o.hooks.step = func(change, _ string) error {
			if change == "sync" {
				return errKilled
			}
			return nil
		}
		if _, err := o.Files(t.Context(), edition(2), true); err != nil {
			t.Fatal(err)
		}
		_ = o.Close() // as if the power were lost
		for _, name := range names {
			put(t, "", dir, name)
		}
		done, err := once(Folder{Path: dir, Script: "tea.star"}, edition(2), true)
		if err != nil || !done.Interrupted || !slices.Equal(done.Written, []string{"lid.cut.svg"}) {
			t.Errorf("%q empty: %+v, %v", names, done, err)
		}
		areOf(t, dir, edition(2))
	}
}

// A failure within one command has been told; the next run of it does not tell
// that the files are of different runs.
func TestFailuresAreToldOnce(t *testing.T) {
	dir := t.TempDir()
	o := patient(Folder{Path: dir, Script: "tea.star"})
	fail := true
	o.hooks.step = func(change, name string) error {
		if fail && change == "replace" && name == "lid.cut.svg" {
			return errKilled
		}
		return nil
	}
	if done, err := o.Files(t.Context(), edition(1), true); err == nil || len(done.Written) != 2 {
		t.Fatalf("%+v, %v", done, err)
	}
	fail = false
	if done, err := o.Files(t.Context(), edition(1), true); err != nil || done.Interrupted || len(done.Written) != 4 {
		t.Errorf("%+v, %v", done, err)
	}
	if err := o.Close(); err != nil {
		t.Error(err)
	}
	areOf(t, dir, edition(1))
}

// Temporary files of killed processes are removed; what only looks like them is
// not. Where there is no lock, those of the last minute may be in use.
func TestSweeping(t *testing.T) {
	dir := t.TempDir()
	old := time.Now().Add(-2 * partAge)
	put(t, "x", dir, ".creasewright-13-1.part")
	for _, name := range []string{".creasewright-12-0.part", ".creasewright-x-0.part", "creasewright-12-0.part"} {
		put(t, "x", dir, name)
		if err := os.Chtimes(filepath.Join(dir, name), old, old); err != nil {
			t.Fatal(err)
		}
	}
	d, err := Folder{Path: dir}.open(false)
	if err != nil {
		t.Fatal(err)
	}
	defer d.close()
	for _, step := range []struct {
		locked bool
		left   int
	}{{false, 3}, {true, 2}} {
		d.locked = step.locked
		d.sweep()
		if got := stands(t, dir); len(got) != step.left {
			t.Errorf("locked %v, left: %v", step.locked, got)
		}
	}
}
