package publish

import (
	"errors"
	"io/fs"
	"os"

	"github.com/creasewright/creasewright/runtime/emit"
	"github.com/creasewright/creasewright/runtime/engine"
)

// plan is what is to be done to a folder.
type plan struct {
	root   *os.Root
	script string // whose files they are
	record record
	change []engine.File // to write, the report last
	stale  []string      // to remove
	parts  int           // how many names parts have been given
}

// compare finds the files whose bytes are not there yet.
func (p *plan) compare(files []engine.File) {
	for _, f := range reportLast(files) {
		if !same(p.root, f) {
			p.change = append(p.change, f)
		}
		if !f.EveryRun() && p.record.add(p.script, f) {
			p.record.changed = true
		}
	}
}

// findStale finds the files of earlier runs of the script that are not made any
// more and that nobody has changed. Others that are not made any more are nobody's business
// from now on.
func (p *plan) findStale(files []engine.File) {
	made := madeOf(p.root, files)
	for _, name := range p.record.namesOf(p.script) {
		switch {
		case made.has(name):
		case p.record.holds(p.root, name) && !made.hasUnder(name):
			p.stale = append(p.stale, name)
		default:
			p.record.drop(name)
		}
	}
}

// carryOut writes everything beside its place and only then puts one after the
// other into it: the record first, so that no file stands unrecorded, and the
// report last.
func (p *plan) carryOut() (done Change, err error) {
	files := p.change
	if p.record.changed {
		files = append([]engine.File{p.record.file()}, files...)
	}
	parts, err := p.prepareAll(files)
	defer p.discard(parts)
	if err != nil {
		return done, err
	}
	for i, f := range files {
		if f.Kind == emit.KindReport {
			if err := p.removeStale(&done); err != nil {
				return done, err
			}
		}
		if err := p.root.Rename(parts[i], f.Name); err != nil {
			return done, failed("write", f.Name, err)
		}
		if f.Name != recordName {
			done.Written = append(done.Written, f.Name)
		}
	}
	return done, p.removeStale(&done)
}

// removeStale removes what is stale, and then takes it out of the record.
func (p *plan) removeStale(done *Change) error {
	if len(p.stale) == 0 {
		return nil
	}
	for _, name := range p.stale {
		if err := p.root.Remove(name); err != nil && !errors.Is(err, fs.ErrNotExist) {
			return failed("remove", name, err)
		}
		done.Removed = append(done.Removed, name)
		p.record.drop(name)
	}
	p.stale = nil
	f := p.record.file()
	part, err := p.prepare(f)
	defer p.discard([]string{part})
	if err == nil {
		err = p.root.Rename(part, f.Name)
	}
	if err != nil {
		return failed("write", f.Name, err)
	}
	return nil
}

// prepareAll writes every file beside its place.
func (p *plan) prepareAll(files []engine.File) (parts []string, err error) {
	for _, f := range files {
		part, err := p.prepare(f)
		parts = append(parts, part)
		if err != nil {
			return parts, failed("write", f.Name, err)
		}
	}
	return parts, nil
}

// discard removes the parts that have not been put into their places.
func (p *plan) discard(parts []string) {
	for _, part := range parts {
		if part != "" {
			_ = p.root.Remove(part) // most are gone
		}
	}
}

// prepare writes a file beside its place. It looks first whether the place can
// be taken, since a folder there would be found out too late.
func (p *plan) prepare(f engine.File) (part string, err error) {
	if info, err := p.root.Lstat(f.Name); err == nil && info.IsDir() {
		return "", errors.New("there is a folder of that name")
	}
	part, file, err := p.create()
	if err != nil {
		return "", err
	}
	_, err = file.Write(f.Bytes)
	return part, errors.Join(err, file.Close())
}
