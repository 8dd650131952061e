package source

import (
	"errors"
	"sort"
	"strings"
)

// ErrAbsent is what a Reader returns, wrapped or bare, for a text that is not
// there. Every other error means the text exists and could not be had.
var ErrAbsent = errors.New("no such file")

// Reader gives the text behind a label: "name.star" for the main script and
// its neighbours, "//name.star" for the standard library, "@shelf//name.star"
// for the personal shelf.
type Reader func(label string) ([]byte, error)

// ErrNoReader is what a nil Reader says of every text.
var ErrNoReader = errors.New("there is no reader to ask for texts")

// Text gives the text behind a label; a nil Reader has none.
func (r Reader) Text(label string) ([]byte, error) {
	if r == nil {
		return nil, ErrNoReader
	}
	return r(label)
}

// Read is the record of one look at a text, absences included: together the
// records of a run are what a watcher has to follow.
type Read struct {
	Label  string
	Absent bool
}

// Store reads each label once and keeps what came back, so that one run sees
// one version of every text. Not for use by several goroutines at once.
type Store struct {
	read  Reader
	texts map[string]entry
}

// entry is what came back for one label.
type entry struct {
	text  []byte
	err   error
	lines []string // once one has been asked for
}

// NewStore reads through r. With a nil Reader every text is an error.
func NewStore(r Reader) *Store { return &Store{read: r, texts: map[string]entry{}} }

// Text gives the text behind label, from memory the second time.
func (s *Store) Text(label string) ([]byte, error) {
	if e, ok := s.texts[label]; ok {
		return e.text, e.err
	}
	text, err := s.read.Text(label)
	s.texts[label] = entry{text: text, err: err}
	return text, err
}

// Reads lists every label looked at, in order of label.
func (s *Store) Reads() []Read {
	out := make([]Read, 0, len(s.texts))
	for label, e := range s.texts {
		out = append(out, Read{label, errors.Is(e.err, ErrAbsent)})
	}
	sort.Slice(out, func(i, j int) bool { return out[i].Label < out[j].Label })
	return out
}

// Line gives one line of a text already read, without its line end; "" when
// there is none. Lines count from 1, and end with LF, CR LF or a lone CR, as
// they do for the language.
func (s *Store) Line(label string, line int) string {
	e, ok := s.texts[label]
	if !ok || line < 1 {
		return ""
	}
	if e.lines == nil {
		e.lines = linesOf(strings.TrimPrefix(string(e.text), "\ufeff"))
		s.texts[label] = e
	}
	if line > len(e.lines) {
		return ""
	}
	return e.lines[line-1]
}

// linesOf takes a text apart at its line ends, which are left out.
func linesOf(rest string) []string {
	lines := []string{}
	for {
		end := strings.IndexAny(rest, "\r\n")
		if end < 0 {
			return append(lines, rest)
		}
		lines = append(lines, rest[:end])
		if strings.HasPrefix(rest[end:], "\r\n") {
			end++
		}
		rest = rest[end+1:]
	}
}
