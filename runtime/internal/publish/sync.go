package publish

import (
	"context"
	"errors"
	"io/fs"
	"maps"
	"slices"
	"sync"
	"time"
)

// syncer syncs what has been published, in the background. At most one batch
// is under way and one waits: a newer one takes the place of that, since what
// it leaves in the journal is settled with the newer one.
type syncer struct {
	mu   sync.Mutex
	next *batch
	idle chan struct{} // closed when there is nothing left to do; nil when nothing was begun
	err  error         // of the last batch
}

// closeWait is how long the end of a command waits for the disk, which takes
// some ten milliseconds and seconds on one that is busy with other work. What is
// not synced by then is settled by the next run.
const closeWait = 10 * time.Second

func (s *syncer) add(b *batch) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.next != nil {
		s.next.disk.removeOld()
		s.next.disk.close()
	}
	s.next = b
	if s.idle == nil {
		s.idle = make(chan struct{})
		go s.run()
	}
}

func (s *syncer) run() {
	for {
		s.mu.Lock()
		b := s.next
		if s.next = nil; b == nil {
			close(s.idle)
			s.idle = nil
			s.mu.Unlock()
			return
		}
		s.mu.Unlock()
		err := b.sync()
		s.mu.Lock()
		s.err = err
		s.mu.Unlock()
	}
}

// waitFor waits until everything is synced, but no longer than given.
func (s *syncer) waitFor(most time.Duration) error {
	s.mu.Lock()
	idle := s.idle
	s.mu.Unlock()
	if idle != nil {
		select {
		case <-idle:
		case <-time.After(most):
		}
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.err
}

// batch is what one run leaves to be synced and put on record.
type batch struct {
	disk    *disk
	script  string
	done    map[string]string // digests by name
	gone    map[string]bool
	journal entries // as the run left it
}

// toSync is nil when the run has left nothing to do. While files of the script
// are still missing, nothing is settled: the next run is to know too.
func (p *plan) toSync() *batch {
	if !p.ledger.hasJournal && len(p.gone) == 0 {
		return nil
	}
	for name, e := range p.ledger.journal {
		if e.script == p.script && p.done[name] == "" && !p.gone[name] {
			p.done = nil
		}
	}
	return &batch{p.disk, p.script, p.done, p.gone, p.ledger.journal}
}

// sync brings the journal, the files and their names to disk, and then settles
// them. It closes the folder.
func (b *batch) sync() error {
	defer b.disk.close()
	b.disk.removeOld()
	for _, name := range append([]string{journalName}, slices.Sorted(maps.Keys(b.done))...) {
		if err := b.disk.sync(name); err != nil && !errors.Is(err, fs.ErrNotExist) {
			return failed("write", name, err)
		}
	}
	b.disk.syncSelf()
	unlock, err := b.disk.lock(context.Background(), lockWait)
	if err != nil {
		return nil // the next run settles it
	}
	defer unlock()
	defer b.disk.removeOld()
	b.disk.sweep()
	return b.settle()
}

// settle moves what is done from the journal to the record. Runs that came in
// between have changed both; what they have put into the journal is left to
// them.
func (b *batch) settle() error {
	now := readLedger(b.disk)
	record, journal := maps.Clone(now.record), maps.Clone(now.journal)
	for name, digest := range b.done {
		if e, there := journal[name]; there && e.intended() == digest {
			delete(journal, name)
			record[name] = entry{e.script, []string{digest}}
		}
	}
	for name := range b.gone {
		if e, there := journal[name]; there && !e.equal(b.journal[name]) {
			continue
		}
		delete(journal, name)
		if e := record[name]; e.script == b.script || e.script == "" {
			delete(record, name)
		}
	}
	if !maps.EqualFunc(record, now.record, entry.equal) {
		if err := b.put(recordName, record.encode(recordFormat)); err != nil {
			return err
		}
	}
	switch {
	case len(journal) == 0 && now.hasJournal:
		if err := b.disk.remove(journalName); err != nil {
			return failed("remove", journalName, err)
		}
	case !maps.EqualFunc(journal, now.journal, entry.equal):
		return b.put(journalName, journal.encode(journalFormat))
	}
	return nil
}

// put replaces a file once the new one has reached the disk.
func (b *batch) put(name string, text []byte) error {
	part, err := b.disk.create(text)
	if err == nil {
		err = b.disk.sync(part)
	}
	if err == nil {
		err = b.disk.replace(part, name)
	}
	if err != nil {
		if part != "" {
			_ = b.disk.remove(part)
		}
		return failed("write", name, err)
	}
	return nil
}
