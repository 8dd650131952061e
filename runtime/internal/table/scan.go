package table

import (
	"strings"
	"unicode/utf8"

	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/source"
)

// scanner goes through the text cell by cell and knows where it is. The package
// encoding/csv does not know where quotes were opened that are not closed.
type scanner struct {
	file         string
	rest         string
	separator    rune
	line, column int // of what comes next
}

// separators are those that cells are parted by; of equally frequent ones the first
// is taken.
const separators = "\t;,"

// newScanner finds out what parts the cells, and skips a line that says so.
func newScanner(file, text string) *scanner {
	s := &scanner{file: file, rest: text, line: 1, column: 1}
	first, _, _ := strings.Cut(strings.TrimLeft(text, "\r\n"), "\n")
	first = strings.TrimRight(first, "\r")
	if said, ok := strings.CutPrefix(first, "sep="); ok && len(said) == 1 && strings.Contains(separators, said) {
		s.separator = rune(said[0])
		for s.peek() == '\n' {
			s.next()
		}
		for s.rest != "" && s.peek() != '\n' {
			s.next()
		}
		return s
	}
	s.separator = ','
	most := 0
	for _, sep := range separators {
		if n := outsideQuotes(first, sep); n > most {
			s.separator, most = sep, n
		}
	}
	return s
}

// outsideQuotes counts a character where it stands in no quotes.
func outsideQuotes(text string, c rune) (n int) {
	quoted := false
	for _, r := range text {
		if r == '"' {
			quoted = !quoted
		} else if r == c && !quoted {
			n++
		}
	}
	return n
}

// end is what peek and next give at the end of the text.
const end rune = -1

// peek is the next character; every line end is '\n'.
func (s *scanner) peek() rune {
	if s.rest == "" {
		return end
	}
	r, _ := utf8.DecodeRuneInString(s.rest)
	if r == '\r' {
		return '\n'
	}
	return r
}

// next takes the next character.
func (s *scanner) next() rune {
	r := s.peek()
	if r == end {
		return r
	}
	if strings.HasPrefix(s.rest, "\r\n") {
		s.rest = s.rest[1:]
	}
	_, n := utf8.DecodeRuneInString(s.rest)
	s.rest = s.rest[n:]
	if s.column++; r == '\n' {
		s.line, s.column = s.line+1, 1
	}
	return r
}

// record gives the cells of the next line that is not empty, nil at the end.
func (s *scanner) record() ([]Cell, *diag.Finding) {
	for s.peek() == '\n' {
		s.next()
	}
	if s.peek() == end {
		return nil, nil
	}
	var cells []Cell
	for {
		c, f := s.cell()
		if f != nil {
			return nil, f
		}
		cells = append(cells, c)
		if s.next() != s.separator {
			return cells, nil
		}
	}
}

// ends reports whether a character ends a cell.
func (s *scanner) ends(r rune) bool { return r == s.separator || r == '\n' || r == end }

// cell reads a cell and leaves what ends it. Quotes count only where they begin the
// cell: inches may be written with them.
func (s *scanner) cell() (Cell, *diag.Finding) {
	for s.peek() == ' ' {
		s.next()
	}
	c := Cell{At: source.Span{File: s.file, Line: s.line, Column: s.column}}
	var text strings.Builder
	if s.peek() == '"' {
		if f := s.quoted(&text, c); f != nil {
			return c, f
		}
	} else {
		for !s.ends(s.peek()) {
			text.WriteRune(s.next())
		}
	}
	c.Text = strings.TrimSpace(text.String())
	c.At.EndLine, c.At.EndColumn = s.line, s.column
	return c, nil
}

// quoted reads a cell in quotes, in which quotes are doubled.
func (s *scanner) quoted(text *strings.Builder, at Cell) *diag.Finding {
	const hint = `a cell in quotes ends with ", and a quote within it is doubled`
	s.next()
	for {
		r := s.next()
		if r == end {
			at.At.EndLine, at.At.EndColumn = at.At.Line, at.At.Column+1
			return fault(at, "the quotes that open here are not closed").WithHint(hint)
		}
		if r == '"' {
			if s.peek() != '"' {
				break
			}
			s.next()
		}
		text.WriteRune(r)
	}
	for s.peek() == ' ' {
		s.next()
	}
	if !s.ends(s.peek()) {
		at.At = source.Span{File: s.file, Line: s.line, Column: s.column, EndLine: s.line, EndColumn: s.column + 1}
		return fault(at, "there is more in the cell after its closing quotes").WithHint(hint)
	}
	return nil
}
