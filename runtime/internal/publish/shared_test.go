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

// Scripts that share a folder leave one another's cut files there; the report
// is that of the last.
func TestScriptsThatShareAFolder(t *testing.T) {
	dir := t.TempDir()
	for _, step := range []struct {
		script  string
		files   []engine.File
		removed []string
	}{
		{"tea.star", []engine.File{file("tea.cut.svg", "1"), file("lid.cut.svg", "2"), file("report.json", "tea")}, nil},
		{"mug.star", []engine.File{file("mug.cut.svg", "3"), file("report.json", "mug")}, nil},
		{"tea.star", []engine.File{file("tea.cut.svg", "1"), file("report.json", "tea")}, []string{"lid.cut.svg"}},
		{"mug.star", []engine.File{file("tea.cut.svg", "4"), file("report.json", "mug")}, []string{"mug.cut.svg"}},
		// The mug's script has made the tea's file its own.
		{"tea.star", []engine.File{file("box.cut.svg", "5"), file("report.json", "tea")}, nil},
		// The same bytes do so too.
		{"tea.star", []engine.File{file("tea.cut.svg", "4"), file("report.json", "tea")}, []string{"box.cut.svg"}},
		{"mug.star", []engine.File{file("mug.cut.svg", "6"), file("report.json", "mug")}, nil},
	} {
		if got := publishOf(t, dir, step.script, step.files...); !slices.Equal(got, step.removed) {
			t.Errorf("%s with %s removed %q, want %q", step.script, step.files[0].Name, got, step.removed)
		}
	}
	want := map[string]string{"tea.cut.svg": "4", "mug.cut.svg": "6", "report.json": "mug"}
	if got := stands(t, dir); !maps.Equal(got, want) {
		t.Errorf("left: %v", got)
	}
}

// A record that does not tell scripts apart lets each of them remove what it
// does not make; what one makes is its own from then on.
func TestRecordsWithoutScripts(t *testing.T) {
	dir := t.TempDir()
	record := fmt.Sprintf(`{"format": "creasewright-outputs", "version": 1, "files": {"tea.cut.svg": [%q], "lid.cut.svg": ["", %[1]q]}}`, digestOf([]byte("1")))
	put(t, record, dir, recordName)
	put(t, "1", dir, "tea.cut.svg")
	put(t, "1", dir, "lid.cut.svg")
	if got := publishOf(t, dir, "tea.star", file("tea.cut.svg", "1")); !slices.Equal(got, []string{"lid.cut.svg"}) {
		t.Errorf("removed %q", got)
	}
	if got := publishOf(t, dir, "mug.star", file("mug.cut.svg", "1")); len(got) > 0 {
		t.Errorf("another script's run removed %q", got)
	}
}

// What the record on disk looks like is a promise to later versions.
func TestTheRecordOnDisk(t *testing.T) {
	dir := t.TempDir()
	publishOf(t, dir, "tea.star", file("tea.cut.svg", "1"))
	publishOf(t, dir, "tea.star", file("tea.cut.svg", "2"))
	publishOf(t, dir, "mug.star", file("mug.cut.svg", "1"))
	// sha256sum of "1" and "2", by GNU coreutils
	const one, two = "6b86b273ff34fce19d6b804eff5a3f5747ada4eaa22f1d49c01e52ddb7875b4b", "d4735e3a265e16eee03f59718b9b5d03019c07d8b6c51f90da3a666eec13ab35"
	want := `{
 "format": "creasewright-outputs",
 "version": 1,
 "files": {},
 "scripts": {
  "mug.star": {
   "mug.cut.svg": [
    "` + one + `"
   ]
  },
  "tea.star": {
   "tea.cut.svg": [
    "` + two + `"
   ]
  }
 }
}
`
	if got, err := os.ReadFile(filepath.Join(dir, recordName)); err != nil || string(got) != want {
		t.Errorf("%s, %v", got, err)
	}
}

// A script's name may hold anything; the record shows none of it as it stands,
// and knows the script again.
func TestScriptsOfOddNames(t *testing.T) {
	for _, script := range []string{"\u2028\u0085.star", "\u202egnp.star", "a\nb\x1b[31m.star", "<b>&\"'.star", " .star"} {
		dir := t.TempDir()
		publishOf(t, dir, script, file("tea.cut.svg", "1"), file("lid.cut.svg", "2"))
		text, err := os.ReadFile(filepath.Join(dir, recordName))
		if err != nil || strings.ContainsAny(string(text), "\u2028\u0085\u202e\x1b") {
			t.Errorf("%q: %s, %v", script, text, err)
		}
		if got := publishOf(t, dir, script, file("tea.cut.svg", "1")); !slices.Equal(got, []string{"lid.cut.svg"}) {
			t.Errorf("%q: removed %q", script, got)
		}
	}
}

// Law: whichever scripts publish whatever in whatever order, the folder holds
// of each script the files of its last run, but for those that another has
// replaced since.
func TestSharedFoldersHoldTheLastOfEach(t *testing.T) {
	rng := rand.New(rand.NewSource(23))
	dir := t.TempDir()
	want, maker := map[string]string{}, map[string]string{}
	for range 400 {
		script := fmt.Sprintf("s%d.star", rng.Intn(3))
		maps.DeleteFunc(want, func(name, _ string) bool { return maker[name] == script })
		var files []engine.File
		for _, i := range rng.Perm(8)[:1+rng.Intn(4)] {
			f := file(fmt.Sprintf("f%d.cut.svg", i), fmt.Sprint(rng.Intn(3)))
			files = append(files, f)
			want[f.Name], maker[f.Name] = string(f.Bytes), script
		}
		publishOf(t, dir, script, files...)
		if got := stands(t, dir); !maps.Equal(got, want) {
			t.Fatalf("got %v, want %v", got, want)
		}
	}
}
