package publish

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"maps"
	"os"
	"slices"

	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/engine"
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

// record is which lasting files were written here, by which script, and what was
// in them. It is written before the files are, and a process may be killed at
// any instant between.
type record struct {
	files   map[string]entry // by name
	changed bool
}

// entry is what is known of a file.
type entry struct {
	script string // base name of the script that made it last, "" when not known
	// digests are of what is to stand there and, before it, of what stood there
	// before.
	digests []string
}

// stored is a record as it stands on disk, in JSON: SHA-256 digests by file,
// and these by script.
//
//	{"format": "creasewright-outputs", "version": 1, "files": {},
//	 "scripts": {"tea.star": {"tea.cut.svg": ["9f86…", "60a4…"]}}}
//
// In "files" are those of which it is not known which script made them: earlier
// versions told no more, and every script of the folder may remove them.
type stored struct {
	Format  string                         `json:"format"`
	Version int                            `json:"version"`
	Files   map[string][]string            `json:"files"`
	Scripts map[string]map[string][]string `json:"scripts,omitempty"`
}

// readRecord reads a folder's record; one that makes no sense is as good as
// none, since it only allows to remove.
func readRecord(root *os.Root) record {
	r := record{files: map[string]entry{}}
	text, ok := contents(root, recordName, mostRecord)
	var s stored
	if !ok || json.Unmarshal(text, &s) != nil || s.Format != recordFormat || s.Version != 1 || s.count() > mostRecorded {
		return r
	}
	r.take("", s.Files)
	for _, script := range slices.Sorted(maps.Keys(s.Scripts)) {
		r.take(script, s.Scripts[script])
	}
	return r
}

// count is how many files are told of.
func (s *stored) count() int {
	n := len(s.Files)
	for _, files := range s.Scripts {
		n += len(files)
	}
	return n
}

// take takes over what is stored of a script's files.
func (r *record) take(script string, files map[string][]string) {
	for name, digests := range files {
		r.files[name] = entry{script, digests}
	}
}

// add puts a file of a script into the record and reports whether that changed
// it. The file is no other script's from now on.
func (r *record) add(script string, f engine.File) bool {
	digest := digestOf(f.Bytes)
	known := r.files[f.Name]
	last := known.digests[max(0, len(known.digests)-1):]
	if len(last) == 0 || last[0] != digest {
		known.digests = append(slices.Clone(last), digest)
	} else if known.script == script {
		return false
	}
	r.files[f.Name] = entry{script, known.digests}
	return true
}

// drop takes a name out of the record.
func (r *record) drop(name string) {
	delete(r.files, name)
	r.changed = true
}

// namesOf lists the recorded files that could have been written by this package
// for the script.
func (r *record) namesOf(script string) []string {
	var names []string
	for name, e := range r.files {
		if plainName(name) && (e.script == script || e.script == "") {
			names = append(names, name)
		}
	}
	slices.Sort(names)
	return names
}

// holds reports whether what stands under a name is what was written there.
func (r *record) holds(root *os.Root, name string) bool {
	text, ok := contents(root, name, mostLast)
	return ok && slices.Contains(r.files[name].digests, digestOf(text))
}

// file is the record as a file of its own.
func (r *record) file() engine.File {
	s := stored{Format: recordFormat, Version: 1, Files: map[string][]string{}, Scripts: map[string]map[string][]string{}}
	for name, e := range r.files {
		switch {
		case e.script == "":
			s.Files[name] = e.digests
		case s.Scripts[e.script] == nil:
			s.Scripts[e.script] = map[string][]string{name: e.digests}
		default:
			s.Scripts[e.script][name] = e.digests
		}
	}
	text, err := json.MarshalIndent(s, "", " ")
	if err != nil {
		panic(err) // strings always marshal
	}
	return engine.File{Name: recordName, Bytes: append(diag.EscapeJSON(text), '\n')}
}

func digestOf(text []byte) string {
	sum := sha256.Sum256(text)
	return hex.EncodeToString(sum[:])
}
