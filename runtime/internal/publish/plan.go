package publish

import (
	"errors"
	"io/fs"
	"os"
	"slices"

	"github.com/creasewright/creasewright/runtime/emit"
	"github.com/creasewright/creasewright/runtime/engine"
)

// plan is what is to be done to a folder, and what is to be put on record when
// it has been done and synced.
type plan struct {
	disk        *disk
	script      string // whose files they are
	ledger      ledger
	journaled   bool              // the journal is to be written
	interrupted bool              // files of the script are of different runs
	change      []engine.File     // to write, the report last
	stale       []string          // to remove
	done        map[string]string // digests of the files that are as intended
	gone        map[string]bool   // files to take off the record
}

// recover compares what the journal says of earlier runs of the script with
// what is in the folder. Where some of the files are as intended and others are
// not, a run was interrupted. Afterwards the journal holds, of each file, the
// digest it has, if it is from there, and the one it should have.
func (p *plan) recover() {
	p.done, p.gone = map[string]string{}, map[string]bool{}
	p.interrupted = p.ledger.torn
	missing := map[string]string{} // what is there instead
	for name, e := range p.ledger.journal {
		if e.script != p.script {
			continue
		}
		switch has := p.disk.digest(name); {
		case has == e.intended():
			p.done[name] = has
			p.set(name, entry{e.script, []string{has}})
		case has == "" || has == emptyDigest || p.ledger.wrote(name, has):
			missing[name] = has
			p.interrupted = p.interrupted || has == emptyDigest
		default: // someone has changed it since
			p.gone[name] = true
		}
	}
	p.interrupted = p.interrupted || len(p.done) > 0 && len(missing) > 0
	for name, has := range missing {
		e := p.ledger.journal[name]
		now := entry{script: e.script}
		if slices.Contains(e.digests, has) {
			now.digests = append(now.digests, has)
		}
		if p.interrupted {
			now.digests = append(now.digests, e.intended())
		} else if len(now.digests) > 0 {
			p.done[name] = has // that run changed nothing: it is forgotten
		}
		p.set(name, now)
	}
}

// set changes an entry of the journal, or removes it when there are no digests.
func (p *plan) set(name string, e entry) {
	if e.equal(p.ledger.journal[name]) {
		return
	}
	p.journaled = true
	if p.ledger.journal[name] = e; len(e.digests) == 0 {
		delete(p.ledger.journal, name)
	}
}

// emptyDigest is that of a file whose bytes were lost with the power.
var emptyDigest = digestOf(nil)

// compare finds the files whose bytes are not there yet, and what the ledger
// does not know of the others.
func (p *plan) compare(files []engine.File) {
	for _, f := range reportLast(files) {
		digest, known := digestOf(f.Bytes), p.ledger.journal[f.Name]
		if !p.disk.holds(f.Name, f.Bytes) {
			p.change = append(p.change, f)
		} else if r := p.ledger.record[f.Name]; known.digests == nil && r.script == p.script && r.intended() == digest {
			continue
		}
		p.done[f.Name] = digest
		delete(p.gone, f.Name)
		before := known.digests[:min(1, len(known.digests))] // what it is or what it should have been
		p.set(f.Name, entry{p.script, slices.Compact(append(slices.Clone(before), digest))})
	}
}

func (e entry) equal(other entry) bool {
	return e.script == other.script && slices.Equal(e.digests, other.digests)
}

// findStale finds the files of earlier runs of the script that are not made any
// more and that nobody has changed. Others are the user's from now on.
func (p *plan) findStale(files []engine.File) {
	made := newFileSet(p.disk.root, files)
	for _, name := range p.ledger.namesOf(p.script) {
		if made.names[name] {
			continue
		}
		p.gone[name] = true
		delete(p.done, name)
		if has := p.disk.digest(name); has != "" && p.ledger.wrote(name, has) && !made.hasUnder(name) {
			p.stale = append(p.stale, name)
		}
	}
}

// findKept lists the files of earlier runs of the script that are there and not
// among these, by name.
func (p *plan) findKept(files []engine.File) (kept []string) {
	for _, name := range p.ledger.namesOf(p.script) {
		made := slices.ContainsFunc(files, func(f engine.File) bool { return f.Name == name })
		if !made && p.disk.digest(name) != "" {
			kept = append(kept, name)
		}
	}
	return kept
}

// carryOut writes everything beside its place and only then puts one after the
// other into it: the journal first, so that no file is there without anything
// known of it, and the report last.
func (p *plan) carryOut() (done Change, err error) {
	done.Interrupted = p.interrupted
	files := p.change
	if p.journaled {
		journal := engine.File{Name: journalName, Bytes: p.ledger.journal.encode(journalFormat)}
		files = append([]engine.File{journal}, files...)
		p.ledger.hasJournal = true
	}
	parts, err := p.prepare(files)
	defer func() {
		for _, part := range parts { // those that have not got their names
			_ = p.disk.remove(part)
		}
	}()
	if err != nil {
		return done, err
	}
	for _, f := range files {
		if f.Kind == emit.KindReport {
			if err := p.removeStale(&done); err != nil {
				return done, err
			}
		}
		if err := p.disk.replace(parts[0], f.Name); err != nil {
			return done, failed("write", f.Name, err)
		}
		parts = parts[1:]
		if f.Name != journalName {
			done.Written = append(done.Written, f.Name)
		}
	}
	return done, p.removeStale(&done)
}

// prepare writes every file under a temporary name. It looks first whether the
// place can be taken, since a folder there would be found out too late.
func (p *plan) prepare(files []engine.File) (parts []string, err error) {
	for _, f := range files {
		if p.disk.isFolder(f.Name) {
			return parts, failed("write", f.Name, errFolder)
		}
		part, err := p.disk.create(f.Bytes)
		if part != "" {
			parts = append(parts, part)
		}
		if err != nil {
			return parts, failed("write", f.Name, err)
		}
	}
	return parts, nil
}

func (p *plan) removeStale(done *Change) error {
	for _, name := range p.stale {
		if err := p.disk.remove(name); err != nil && !errors.Is(err, fs.ErrNotExist) {
			return failed("remove", name, err)
		}
		done.Removed = append(done.Removed, name)
	}
	p.stale = nil
	return nil
}

// fileSet is the files of a run, for telling whether a name stands for one of
// them. That takes no longer for many of them than for few.
type fileSet struct {
	root  *os.Root
	names map[string]bool
	there map[stamp][]fs.FileInfo // those that are in the folder; nil until asked
}

// stamp is what a file has in common with itself under another name, and with
// few others.
type stamp struct {
	size int64
	at   int64 // ns
}

func stampOf(info fs.FileInfo) stamp { return stamp{info.Size(), info.ModTime().UnixNano()} }

func newFileSet(root *os.Root, files []engine.File) *fileSet {
	m := fileSet{root: root, names: map[string]bool{}}
	for _, f := range files {
		m.names[f.Name] = true
	}
	return &m
}

// hasUnder reports whether one of the files is there under the name although it
// has another, as it may where the file system does not tell case apart.
func (m *fileSet) hasUnder(name string) bool {
	old, err := m.root.Lstat(name)
	if err != nil {
		return false
	}
	if m.there == nil {
		m.there = map[stamp][]fs.FileInfo{}
		for name := range m.names {
			if info, err := m.root.Lstat(name); err == nil {
				m.there[stampOf(info)] = append(m.there[stampOf(info)], info)
			}
		}
	}
	return slices.ContainsFunc(m.there[stampOf(old)], func(f fs.FileInfo) bool { return os.SameFile(old, f) })
}
