package publish

import (
	"fmt"
	"maps"
	"math/rand"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/creasewright/creasewright/runtime/engine"
)

// publishOf publishes all there should be of a script and gives what was removed.
func publishOf(t *testing.T, dir, script string, files ...engine.File) []string {
	t.Helper()
	done, err := once(Folder{Path: dir, Script: script}, files, true)
	if err != nil {
		t.Fatal(err)
	}
	return done.Removed
}

// publishAll does so for one script.
func publishAll(t *testing.T, dir string, files ...engine.File) []string {
	t.Helper()
	return publishOf(t, dir, "tea.star", files...)
}

// put writes a file as its owner would.
func put(t *testing.T, text string, path ...string) {
	t.Helper()
	if err := os.WriteFile(filepath.Join(path...), []byte(text), 0o644); err != nil {
		t.Fatal(err)
	}
}

func TestOutputsNoLongerMadeAreRemoved(t *testing.T) {
	dir := t.TempDir()
	report, preview := file("report.json", "r"), file("preview.svg", "p")
	publishAll(t, dir, file("tea.cut.svg", "1"), file("lid.cut.svg", "2"), file("ours but edited.cut.svg", "3"), preview, report)
	put(t, "the user's own", dir, "mine.cut.svg")
	put(t, "edited", dir, "ours but edited.cut.svg")
	if got := publishAll(t, dir, file("tea.cut.svg", "4"), preview, report); !slices.Equal(got, []string{"lid.cut.svg"}) {
		t.Errorf("removed %q", got)
	}
	want := map[string]string{
		"tea.cut.svg": "4", "ours but edited.cut.svg": "edited", "mine.cut.svg": "the user's own", "preview.svg": "p", "report.json": "r",
	}
	if got := stands(t, dir); !maps.Equal(got, want) {
		t.Errorf("left: %v", got)
	}
	// What its owner puts back is the owner's.
	put(t, "2", dir, "lid.cut.svg")
	put(t, "3", dir, "ours but edited.cut.svg")
	if got := publishAll(t, dir, file("tea.cut.svg", "5"), preview, report); len(got) > 0 {
		t.Errorf("removed what was put back: %q", got)
	}
}

// A run that does not give everything removes nothing.
func TestPartOfTheFilesRemovesNothing(t *testing.T) {
	dir := t.TempDir()
	publishAll(t, dir, file("tea.cut.svg", "1"), file("report.json", "r"))
	publish(t, dir, file("report.json", "s"))
	if got := stands(t, dir); got["tea.cut.svg"] != "1" {
		t.Errorf("left: %v", got)
	}
}

// A record that someone has spoilt allows to remove nothing, and least of all
// outside the folder.
func TestSpoiltRecords(t *testing.T) {
	secret := filepath.Join(t.TempDir(), "secret")
	put(t, "s", secret)
	digest := digestOf([]byte("s"))
	for _, text := range []string{
		"", "{", "[]", `{"format": "another", "version": 1, "files": {"keep.svg": ["` + digest + `"]}}`,
		`{"format": "creasewright-outputs", "version": 2, "files": {"keep.svg": ["` + digest + `"]}}`,
		`{"format": "creasewright-outputs", "version": 1, "files": {"../secret": ["` + digest + `"], "` + secret + `": ["` + digest + `"]}}`,
		`{"format": "creasewright-outputs", "version": 1, "files": {"link.svg": ["` + digest + `"], "folder": ["` + digest + `"]}}`,
		`{"format": "creasewright-outputs", "version": 1, "scripts": {"tea.star": {"../secret": ["` + digest + `"], "link.svg": ["` + digest + `"]}}}`,
		`{"format": "creasewright-outputs", "version": 1, "scripts": {"tea.star": ["keep.svg"]}}`,
		`{"format": "creasewright-outputs", "version": 1, "files": null, "scripts": {"tea.star": null, "": {"keep.svg": null}}}`,
		strings.Repeat(" ", mostRecord+1),
	} {
		dir := t.TempDir()
		put(t, "s", dir, "keep.svg")
		put(t, text, dir, recordName)
		if err := os.Mkdir(filepath.Join(dir, "folder"), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.Symlink(secret, filepath.Join(dir, "link.svg")); err != nil {
			t.Fatal(err)
		}
		if got := publishAll(t, dir, file("a.cut.svg", "a")); len(got) > 0 {
			t.Errorf("%.60q: removed %q", text, got)
		}
		if _, err := os.Stat(secret); err != nil {
			t.Fatalf("%.60q: %v", text, err)
		}
		if text, err := os.ReadFile(filepath.Join(dir, recordName)); err != nil || !strings.Contains(string(text), "a.cut.svg") {
			t.Errorf("the record afterwards: %q, %v", text, err)
		}
	}
}

// The record is not touched while it says what is so, and no journal is left.
func TestTheRecordChangesOnlyWithTheFiles(t *testing.T) {
	dir := t.TempDir()
	record := func() os.FileInfo {
		info, err := os.Stat(filepath.Join(dir, recordName))
		if err != nil {
			t.Fatal(err)
		}
		if _, err := os.Stat(filepath.Join(dir, journalName)); err == nil {
			t.Error("a journal is left")
		}
		return info
	}
	publishAll(t, dir, file("a.cut.svg", "1"), file("report.json", "1"))
	first := record()
	publishAll(t, dir, file("a.cut.svg", "1"), file("report.json", "1"))
	if _, err := once(Folder{Path: dir, Script: "tea.star"}, []engine.File{file("report.json", "1")}, false); err != nil {
		t.Error(err)
	}
	if !os.SameFile(first, record()) {
		t.Error("the record was written again")
	}
	publishAll(t, dir, file("a.cut.svg", "2"), file("report.json", "1"))
	if os.SameFile(first, record()) {
		t.Error("the record was not written again")
	}
}

// Where case does not count, a piece renamed only in case keeps its file. (A
// hard link stands for such a file system.)
func TestAFileUnderTwoNamesIsKept(t *testing.T) {
	dir := t.TempDir()
	publishAll(t, dir, file("Tea.cut.svg", "1"))
	if err := os.Link(filepath.Join(dir, "Tea.cut.svg"), filepath.Join(dir, "tea.cut.svg")); err != nil {
		t.Skip(err)
	}
	if got := publishAll(t, dir, file("tea.cut.svg", "1")); len(got) > 0 {
		t.Errorf("removed %q", got)
	}
}

// Law: whatever is made and whatever its owner does to the folder in between,
// what stands there afterwards is what was made last and what is not ours.
func TestOwnersAndOutputs(t *testing.T) {
	r := rand.New(rand.NewSource(19))
	dir := t.TempDir()
	want := map[string]string{} // what must stand there
	ours := map[string]string{} // what stands there as we left it
	for range 400 {
		made := map[string]string{}
		var files []engine.File
		for _, i := range r.Perm(6)[:1+r.Intn(4)] {
			f := file(fmt.Sprintf("f%d.svg", i), fmt.Sprint(r.Intn(3)))
			files = append(files, f)
			made[f.Name] = string(f.Bytes)
		}
		publishAll(t, dir, files...)
		for name, text := range ours {
			if _, again := made[name]; !again && want[name] == text {
				delete(want, name)
			}
		}
		maps.Copy(want, made)
		ours = made
		if got := stands(t, dir); !maps.Equal(got, want) {
			t.Fatalf("got %v, want %v", got, want)
		}
		name := fmt.Sprintf("f%d.svg", r.Intn(6))
		switch r.Intn(3) {
		case 0:
			text := fmt.Sprint("mine ", r.Intn(100))
			put(t, text, dir, name)
			want[name] = text
		case 1:
			if os.Remove(filepath.Join(dir, name)) == nil {
				delete(want, name)
			}
		}
	}
}

// Temporary files are told from the user's by the whole form of their names.
func TestTemporaryFilesAreToldByName(t *testing.T) {
	for name, want := range map[string]bool{
		fmt.Sprintf(partFormat, 4711, 3): true, ".creasewright-1-2.part": true,
		".creasewright-1-2.part.svg": false, ".creasewright-1-.part": false, ".creasewright--2.part": false,
		".creasewright-1a-2.part": false, ".creasewright-12.part": false, "creasewright-1-2.part": false, recordName: false,
	} {
		if got := isPart(name); got != want {
			t.Errorf("%s: %v, want %v", name, got, want)
		}
	}
}
