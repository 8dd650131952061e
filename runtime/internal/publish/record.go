package publish

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"maps"
	"slices"

	"github.com/creasewright/creasewright/runtime/diag"
)

// The hidden files that tell a folder's own outputs from what else lies there:
// what has been written, and what is being written.
const (
	recordName    = ".creasewright.json"
	journalName   = ".creasewright-journal.json"
	recordFormat  = "creasewright-outputs"
	journalFormat = "creasewright-journal"
)

// Bounds of a record worth reading, since it may be a stranger's. The largest
// run that nobody has allowed more makes two files each of 20,000 pieces; with
// names as long as may be that is a record of 16 MB. A record beyond the bounds
// is as good as none.
const (
	mostRecord   = 16 << 20 // bytes
	mostRecorded = 100_000  // files
)

// entries is what is known of files, by name.
type entries map[string]entry

type entry struct {
	script string // base name of the script that made it last, "" when not known
	// digests are those that the file may have. In the journal the last one is
	// that of the file to come. In a record there is one; earlier versions, which
	// had no journal, put those of a file to come there too.
	digests []string
}

// intended is the digest of the file that was to be there in the end.
func (e entry) intended() string {
	if len(e.digests) == 0 {
		return ""
	}
	return e.digests[len(e.digests)-1]
}

// ledger is the record and the journal of a folder.
type ledger struct {
	record, journal entries
	// hasJournal says that there is a journal, and torn that it could not be read,
	// as after a loss of power.
	hasJournal, torn bool
}

// stored is a record or a journal as it is on disk, in JSON: SHA-256 digests by
// file, and these by script.
//
//	{"format": "creasewright-outputs", "version": 1, "files": {},
//	 "scripts": {"tea.star": {"tea.cut.svg": ["9f86…"]}}}
//
// In "files" are those of which it is not known which script made them: the
// earliest versions told no more, and every script of the folder may remove
// them.
type stored struct {
	Format  string                         `json:"format"`
	Version int                            `json:"version"`
	Files   map[string][]string            `json:"files"`
	Scripts map[string]map[string][]string `json:"scripts,omitempty"`
}

// readLedger reads both. A record that makes no sense is as good as none, since
// it only allows to remove.
func readLedger(d *disk) ledger {
	var l ledger
	l.record, _ = decode(d.read(recordName, mostRecord), recordFormat)
	_, err := d.root.Lstat(journalName)
	if l.hasJournal = err == nil; l.hasJournal {
		var ok bool
		l.journal, ok = decode(d.read(journalName, mostRecord), journalFormat)
		l.torn = !ok
	} else {
		l.journal = entries{}
	}
	return l
}

func decode(text []byte, format string) (out entries, ok bool) {
	out = entries{}
	var s stored
	if json.Unmarshal(text, &s) != nil || s.Format != format || s.Version != 1 || s.count() > mostRecorded {
		return out, false
	}
	add := func(script string, files map[string][]string) {
		for name, digests := range files {
			if plainName(name) && len(digests) > 0 {
				out[name] = entry{script, digests}
			}
		}
	}
	add("", s.Files)
	for _, script := range slices.Sorted(maps.Keys(s.Scripts)) {
		add(script, s.Scripts[script])
	}
	return out, true
}

// count is how many files are told of.
func (s *stored) count() int {
	n := len(s.Files)
	for _, files := range s.Scripts {
		n += len(files)
	}
	return n
}

func (e entries) encode(format string) []byte {
	s := stored{Format: format, Version: 1, Files: map[string][]string{}, Scripts: map[string]map[string][]string{}}
	for name, entry := range e {
		switch {
		case entry.script == "":
			s.Files[name] = entry.digests
		case s.Scripts[entry.script] == nil:
			s.Scripts[entry.script] = map[string][]string{name: entry.digests}
		default:
			s.Scripts[entry.script][name] = entry.digests
		}
	}
	text, err := json.MarshalIndent(s, "", " ")
	if err != nil {
		panic(err) // strings always marshal
	}
	return append(diag.EscapeJSON(text), '\n')
}

// namesOf lists the files that may be removed for the script's sake.
func (l *ledger) namesOf(script string) []string {
	var names []string
	for _, from := range []entries{l.record, l.journal} {
		for name, e := range from {
			if e.script == script || e.script == "" {
				names = append(names, name)
			}
		}
	}
	slices.Sort(names)
	return slices.Compact(names)
}

// wrote reports whether a file of the name and the digest was written here.
func (l *ledger) wrote(name, digest string) bool {
	return slices.Contains(l.record[name].digests, digest) || slices.Contains(l.journal[name].digests, digest)
}

func digestOf(text []byte) string {
	sum := sha256.Sum256(text)
	return hex.EncodeToString(sum[:])
}

// digest is that of the ordinary file of the name, "" when there is none.
func (d *disk) digest(name string) string {
	if text := d.read(name, mostLast); text != nil {
		return digestOf(text)
	}
	return ""
}
