package script

import (
	"fmt"
	"unicode/utf8"

	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/limit"
)

// Brackets and blocks within one another are bounded by the limit on nesting.
// What nests without a bracket, each link within the one before it, may be so
// many times longer: no script a person wrote comes near, and the parser's
// work grows with the square of it.
const linksPerNesting = 40

// sizes looks through a text before the parser does, whose stack a text made
// for the purpose can overflow and whose time it can waste. It knows brackets,
// words, numbers, texts and signs and no more of the grammar.
type sizes struct {
	text   []byte
	limits limit.Set

	links   []int // one count for each open bracket and one for outside
	indents []int // widths of the blocks the line is in
	elifs   int
	operand bool // the last thing could be called, indexed or asked for a part

	at      int // where what is being looked at begins
	wrong   limit.Limit
	message string
}

// oversized finds the first spot where a text passes a limit; nil when there is
// none. The text is as readText gives it.
func oversized(label string, text []byte, limits limit.Set) *diag.Finding {
	s := &sizes{text: text, limits: limits, links: []int{0}, indents: []int{0}}
	for i := 0; i < len(text) && s.message == ""; {
		i = s.next(i)
	}
	if s.message == "" {
		return nil
	}
	return diag.Scriptf(siteAt(label, text, s.at), "%s", s.message).WithHint("%s", limits.Raise(s.wrong))
}

// next takes in what begins at i and gives the place just past it.
func (s *sizes) next(i int) int {
	s.at = i
	switch c := s.text[i]; {
	case c == '\n':
		return s.line(i + 1)
	case c == '\\': // the next line goes on with this one
		return s.past(i+1, func(c byte) bool { return c == '\n' })
	case c == ' ' || c == '\t':
		return i + 1
	case c == '#':
		return s.past(i, func(c byte) bool { return c != '\n' })
	case c == '"' || c == '\'':
		return s.quoted(i)
	case isWordByte(c):
		return s.word(i)
	case c == '(' || c == '[' || c == '{':
		s.open()
	case c == ')' || c == ']' || c == '}':
		s.close()
	case c == ',' || c == ';':
		s.links[len(s.links)-1] = 0
		s.operand = false
	case c == '.':
		s.link(s.operand)
		s.operand = false
	default: // an operator, or a part of one
		s.link(c != ':' && c != '=')
		s.operand = false
	}
	return i + 1
}

// past skips what holds.
func (s *sizes) past(i int, holds func(byte) bool) int {
	for i < len(s.text) && holds(s.text[i]) {
		i++
	}
	return i
}

// line begins a line: outside brackets that ends a statement, and its
// indentation tells which blocks it is in.
func (s *sizes) line(i int) int {
	if len(s.links) > 1 {
		return i
	}
	s.links[0], s.operand = 0, false
	end := s.past(i, func(c byte) bool { return c == ' ' || c == '\t' })
	if end == len(s.text) || s.text[end] == '\n' || s.text[end] == '#' {
		return end
	}
	s.at = end
	width := end - i
	for len(s.indents) > 1 && width <= s.indents[len(s.indents)-2] {
		s.indents = s.indents[:len(s.indents)-1]
	}
	if width > s.indents[len(s.indents)-1] {
		s.indents = append(s.indents, width)
		s.atMost(limit.Nesting, len(s.indents)-1, "blocks are indented within one another more than %s times")
	}
	return end
}

func (s *sizes) open() {
	s.link(s.operand)
	s.links = append(s.links, 0)
	s.operand = false
	s.atMost(limit.Nesting, len(s.links)-1, "brackets stand within one another more than %s times")
}

func (s *sizes) close() {
	if len(s.links) > 1 {
		s.links = s.links[:len(s.links)-1]
	}
	s.operand = true
}

// link counts one more link in the chain that an expression is.
func (s *sizes) link(yes bool) {
	if !yes {
		return
	}
	s.links[len(s.links)-1]++
	s.tooLong(s.links[len(s.links)-1], "one expression is a chain of more than %s parts")
}

// quoted takes in a text in quotes.
func (s *sizes) quoted(i int) int {
	end := skipTo(s.text, i)
	s.operand = true
	s.atMost(limit.Text, utf8.RuneCount(s.text[i:end]), "a text has more than %s characters")
	return end
}

// chained are the words that link parts of an expression.
var chained = map[string]bool{"and": true, "or": true, "not": true, "in": true, "if": true, "else": true, "for": true, "lambda": true}

// word takes in a name, a keyword or a number.
func (s *sizes) word(i int) int {
	end := s.past(i, isWordByte)
	switch word := string(s.text[i:min(end, i+8)]); {
	case s.text[i] >= '0' && s.text[i] <= '9':
		s.atMost(limit.Digits, end-i, "a number has more than %s digits")
		s.operand = true
	case word == "elif" && end == i+4:
		s.elifs++
		s.tooLong(s.elifs, "the script has more than %s elif")
	case chained[word] && len(word) == end-i:
		s.link(true)
		s.operand = false
	default:
		s.operand = true
	}
	return end
}

func isWordByte(c byte) bool {
	return c == '_' || c >= '0' && c <= '9' || c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z' || c >= utf8.RuneSelf
}

// atMost records the first limit that a number passes.
func (s *sizes) atMost(l limit.Limit, n int, message string) {
	if s.message == "" && int64(n) > s.limits[l] {
		s.wrong, s.message = l, fmt.Sprintf(message, s.limits.Amount(l))
	}
}

// tooLong is atMost for chains.
func (s *sizes) tooLong(n int, message string) {
	longer := s.limits
	longer[limit.Nesting] *= linksPerNesting
	if s.message == "" && int64(n) > longer[limit.Nesting] {
		s.wrong, s.message = limit.Nesting, fmt.Sprintf(message, longer.Amount(limit.Nesting))
	}
}
