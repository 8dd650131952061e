// Package source holds the texts of one run: what was read under which label,
// what was looked for and absent, and the spans that point into them. It reads
// nothing itself; it is handed a Reader.
//
// The package is stable: names and fields stay as they are and may be added to.
package source

import "fmt"

// Span is a stretch of one text. Lines and columns count from 1, columns in
// Unicode code points; End is just past the last character. A zero Line means
// the whole file, a zero File no place at all.
type Span struct {
	File               string // load label, or the main script's base name
	Line, Column       int
	EndLine, EndColumn int
}

// Known reports whether the span points at a line.
func (s Span) Known() bool { return s.File != "" && s.Line > 0 }

func (s Span) String() string {
	switch {
	case s.File == "":
		return ""
	case s.Line == 0:
		return s.File
	}
	return fmt.Sprintf("%s:%d:%d", s.File, s.Line, s.Column)
}

// Site is where something was asked for: the calls that led there, the
// designer's own line in the main script first and the innermost library line
// last. Most sites hold one span.
type Site []Span

// First is the designer's own line.
func (s Site) First() Span {
	if len(s) == 0 {
		return Span{}
	}
	return s[0]
}

// Inner lists the library lines behind the designer's own, outermost first.
func (s Site) Inner() []Span {
	if len(s) < 2 {
		return nil
	}
	return s[1:]
}
