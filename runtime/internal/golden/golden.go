// Package golden compares what tests make with files kept in the tree. It is
// the one place that knows how goldens are written anew and finds those that no
// test looks at any more. It serves tests only.
package golden

import (
	"bytes"
	"flag"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

var update = flag.Bool("update", false, "write the golden files anew; look at each afterwards")

// Set is the goldens of one test: files of one folder with one ending, or
// several endings. Whatever else in the folder has such an ending and was not
// asked for by the end of the test is an orphan and fails it.
type Set struct {
	t      *testing.T
	folder string
	asked  map[string]bool
}

// In gives the goldens in a folder. The endings, ".svg" say, tell them from
// other files there; none means that orphans are not looked for. Only one test
// may own an ending in a folder. Subtests that -run leaves out would leave
// orphans, so a filtered run does not look for them.
func In(t *testing.T, folder string, endings ...string) *Set {
	s := &Set{t: t, folder: folder, asked: map[string]bool{}}
	if len(endings) > 0 {
		t.Cleanup(func() { s.orphans(endings) })
	}
	return s
}

// Check compares got with the golden of a name and writes it first where the
// tests run with -update.
func (s *Set) Check(name string, got []byte) {
	s.t.Helper()
	s.asked[name] = true
	path := filepath.Join(s.folder, name)
	if *update {
		if err := os.WriteFile(path, got, 0o644); err != nil {
			s.t.Fatal(err)
		}
	}
	want, err := os.ReadFile(path)
	if err != nil {
		s.t.Fatal(err)
	}
	if at := firstDifference(got, want); at >= 0 {
		s.t.Errorf("%s differs in line %d:\n got %s\nwant %s\nrun with -update and look at the file", path, lineAt(want, at), excerpt(got, at), excerpt(want, at))
	}
}

// orphans fails the test for goldens that it did not ask for.
func (s *Set) orphans(endings []string) {
	s.t.Helper()
	if filter := flag.Lookup("test.run"); filter != nil && strings.Contains(filter.Value.String(), "/") {
		return
	}
	entries, err := os.ReadDir(s.folder)
	if err != nil {
		s.t.Error(err)
		return
	}
	for _, e := range entries {
		if orphan(e.Name(), endings, s.asked) {
			s.t.Errorf("%s is a golden that no test asks for", filepath.Join(s.folder, e.Name()))
		}
	}
}

func orphan(name string, endings []string, asked map[string]bool) bool {
	for _, end := range endings {
		if strings.HasSuffix(name, end) {
			return !asked[name]
		}
	}
	return false
}

// firstDifference is the index of the first byte in which a and b differ, -1
// when they are equal.
func firstDifference(a, b []byte) int {
	for i := range min(len(a), len(b)) {
		if a[i] != b[i] {
			return i
		}
	}
	if len(a) != len(b) {
		return min(len(a), len(b))
	}
	return -1
}

// lineAt is the number of the line that byte at lies in, from 1.
func lineAt(text []byte, at int) int { return 1 + bytes.Count(text[:at], []byte("\n")) }

// shown is how many bytes are quoted to either side of a difference.
const shown = 60

// excerpt quotes the text round byte at, within its line.
func excerpt(text []byte, at int) []byte {
	from, to := max(0, at-shown), min(len(text), at+shown)
	if k := bytes.LastIndexByte(text[from:at], '\n'); k >= 0 {
		from += k + 1
	}
	if k := bytes.IndexByte(text[at:to], '\n'); k >= 0 {
		to = at + k
	}
	return text[from:to]
}
