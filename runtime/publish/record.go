package publish

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"maps"
	"os"
	"slices"

	"github.com/creasewright/creasewright/runtime/build"
)

// recordName is the hidden file that tells a folder's own outputs from what
// else lies there.
const recordName = ".creasewright.json"

const recordFormat = "creasewright-outputs"

// Bounds of a record worth reading, since it may be a stranger's. The largest
// run that nobody has allowed more makes two files each of 20,000 pieces; with
// names as long as may be that is a record of 16 MB. A record beyond the bounds
// is as good as none.
const (
	mostRecord   = 16 << 20 // bytes
	mostRecorded = 100_000  // files
)

// record is which lasting files were written here and what was in them: for
// each name the digest of what is to stand there and, before it, of what stood
// there before. It is written before the files are, and a process may be killed
// at any instant between.
type record struct {
	Format  string              `json:"format"`
	Version int                 `json:"version"`
	Files   map[string][]string `json:"files"`

	changed bool
}

// readRecord reads a folder's record; one that makes no sense is as good as
// none, since it only allows to remove.
func readRecord(root *os.Root) record {
	none := record{Format: recordFormat, Version: 1, Files: map[string][]string{}}
	text, ok := contents(root, recordName, mostRecord)
	var r record
	if !ok || json.Unmarshal(text, &r) != nil || r.Format != recordFormat || r.Version != 1 || r.Files == nil || len(r.Files) > mostRecorded {
		return none
	}
	return r
}

// add puts a file into the record and reports whether that changed it.
func (r *record) add(f build.File) bool {
	digest := digestOf(f.Bytes)
	known := r.Files[f.Name]
	if n := len(known); n > 0 && known[n-1] == digest {
		return false
	}
	r.Files[f.Name] = append(known[max(0, len(known)-1):len(known):len(known)], digest)
	return true
}

// drop takes a name out of the record.
func (r *record) drop(name string) {
	delete(r.Files, name)
	r.changed = true
}

// names lists the recorded files that could have been written by this package.
func (r *record) names() []string {
	names := slices.Sorted(maps.Keys(r.Files))
	return slices.DeleteFunc(names, func(n string) bool { return !plainName(n) })
}

// holds reports whether what stands under a name is what was written there.
func (r *record) holds(root *os.Root, name string) bool {
	text, ok := contents(root, name, mostLast)
	return ok && slices.Contains(r.Files[name], digestOf(text))
}

// file is the record as a file of its own.
func (r *record) file() build.File {
	text, err := json.MarshalIndent(r, "", " ")
	if err != nil {
		panic(err) // strings always marshal
	}
	return build.File{Name: recordName, Bytes: append(text, '\n')}
}

func digestOf(text []byte) string {
	sum := sha256.Sum256(text)
	return hex.EncodeToString(sum[:])
}
