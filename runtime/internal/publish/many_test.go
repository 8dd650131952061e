package publish

import (
	"fmt"
	"os"
	"strings"
	"testing"

	"github.com/creasewright/creasewright/runtime/engine"
	"github.com/creasewright/creasewright/runtime/limit"
	"github.com/creasewright/creasewright/runtime/model"
)

// cutFiles are the two files each of so many pieces, and the report.
func cutFiles(pieces int, name string) []engine.File {
	var files []engine.File
	for i := range pieces {
		for _, kind := range []string{"svg", "dxf"} {
			files = append(files, file(fmt.Sprintf("%s %d.cut.%s", name, i, kind), fmt.Sprint(name, i)))
		}
	}
	return append(files, file("report.json", name))
}

// Several thousand files go into one folder, and out of it again; so they do
// when a killed process of the same number left temporary files of its own.
func TestManyPieces(t *testing.T) {
	dir := t.TempDir()
	const pieces, left = 600, 600
	for i := range left {
		put(t, "left", dir, fmt.Sprintf(partFormat, os.Getpid(), i))
	}
	publishAll(t, dir, cutFiles(pieces, "tea")...)
	if got := stands(t, dir); len(got) != 2*pieces+1 || got["tea 599.cut.dxf"] != "tea599" {
		t.Errorf("%d files", len(got))
	}
	if got := publishAll(t, dir, cutFiles(1, "mug")...); len(got) != 2*pieces {
		t.Errorf("%d files removed, want %d", len(got), 2*pieces)
	}
	if got := stands(t, dir); len(got) != 3 {
		t.Errorf("%d files left", len(got))
	}
}

// Temporary files of a process that was killed while an output is in use go with
// its next files, in the background.
func TestPartsThatAppearLater(t *testing.T) {
	dir := t.TempDir()
	o := patient(Folder{Path: dir})
	for i := range 3 {
		put(t, "left", dir, fmt.Sprintf(partFormat, os.Getpid(), i))
		o.Begin()
		if _, err := o.Files(t.Context(), []engine.File{file("report.json", fmt.Sprint(i))}, true); err != nil {
			t.Fatal(err)
		}
		if err := o.syncs.waitFor(o.closeWait); err != nil {
			t.Fatal(err)
		}
		if got := stands(t, dir); len(got) != 1 {
			t.Errorf("after %d: %v", i, got)
		}
	}
}

// Whatever a run may make without being allowed more, the record of it can be
// read back: each panel a piece, names as long as may be, and of every file
// what stands there and what is to.
func TestTheLargestRecord(t *testing.T) {
	files := cutFiles(int(limit.Defaults()[limit.Panels]), strings.Repeat("𐌀", model.MaxPieceName-6))
	digest := digestOf(nil)
	all := entries{}
	for _, f := range files {
		all[f.Name] = entry{"tea.star", []string{digest, digest}}
	}
	text := all.encode(journalFormat)
	if back, ok := decode(text, journalFormat); !ok || len(text) > mostRecord || len(back) != len(files) {
		t.Errorf("%d of %d files are in a record of %d bytes", len(back), len(files), len(text))
	}
}

// A stranger's record of more files than anyone makes is as good as none.
func TestARecordOfTooMany(t *testing.T) {
	dir := t.TempDir()
	put(t, "s", dir, "keep.svg")
	var text strings.Builder
	fmt.Fprintf(&text, `{"format": %q, "version": 1, "files": {"keep.svg": [%q]`, recordFormat, digestOf([]byte("s")))
	for i := range mostRecorded {
		fmt.Fprintf(&text, `, "%x": []`, i)
	}
	put(t, text.String()+"}}", dir, recordName)
	if got := publishAll(t, dir, file("a.cut.svg", "a")); len(got) > 0 {
		t.Errorf("removed %q", got)
	}
}
