package script

import (
	"fmt"
	"unicode/utf8"

	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/limit"
	"github.com/creasewright/creasewright/runtime/source"
)

// Brackets and blocks within one another are bounded by the limit on nesting.
// What nests without a bracket, each link within the one before it, may be so
// many times longer: no script a person wrote comes near, and the parser's
// work grows with the square of it.
const linksPerNesting = 40

// sizes looks through a text before the parser does, whose stack a text made
// for the purpose can overflow and whose time it can waste.
// It works on tokens, in one pass and in memory that grows with the nesting alone, and
// knows no grammar: it may refuse a text made for the purpose that would still parse,
// which is no loss.
type sizes struct {
	limits limit.Set

	links   []int // one count for each open bracket and one for outside
	indents []int // widths of the blocks the line is in
	elifs   int
	fresh   bool // a line begins outside brackets
	operand bool // the last token could be called, indexed or asked for a part

	wrong   limit.Limit
	message string
}

// oversized finds the first spot where a text passes a limit; nil when there is
// none. The text is as readText gives it.
func oversized(label string, text []byte, limits limit.Set) *diag.Finding {
	s := &sizes{limits: limits, links: []int{0}, indents: []int{0}, fresh: true}
	for scan := newScanner(string(text)); ; {
		t, ok := scan.next()
		if !ok {
			return nil
		}
		if s.token(t); s.message != "" {
			at := t.start
			site := source.Site{{File: label, Line: int(at.line), Column: int(at.column), EndLine: int(at.line), EndColumn: int(at.column) + 1}}
			return diag.Scriptf(site, "%s", s.message).WithHint("%s", limits.Raise(s.wrong))
		}
	}
}

// token takes in one token.
func (s *sizes) token(t token) {
	if s.fresh && t.kind != newlineToken {
		s.indented(int(t.start.column) - 1)
	}
	switch t.kind {
	case newlineToken:
		if len(s.links) == 1 { // it ends a statement
			s.links[0], s.operand, s.fresh = 0, false, true
		}
	case stringToken:
		s.operand = true
		s.atMost(limit.Text, utf8.RuneCountInString(t.text), "a text has more than %s characters")
	case numberToken:
		s.operand = true
		s.atMost(limit.Digits, len(t.text), "a number has more than %s digits")
	case wordToken:
		s.word(t.text)
	case openToken:
		s.link(s.operand)
		s.links = append(s.links, 0)
		s.operand = false
		s.atMost(limit.Nesting, len(s.links)-1, "brackets stand within one another more than %s times")
	case closeToken:
		if len(s.links) > 1 {
			s.links = s.links[:len(s.links)-1]
		}
		s.operand = true
	case signToken:
		s.sign(t.text)
	}
}

// indented takes in the indentation of a line, which tells the blocks it is in.
// A width between those of two blocks around it counts as the inner one: the parser
// refuses such a line later.
func (s *sizes) indented(width int) {
	s.fresh = false
	for len(s.indents) > 1 && width <= s.indents[len(s.indents)-2] {
		s.indents = s.indents[:len(s.indents)-1]
	}
	if width > s.indents[len(s.indents)-1] {
		s.indents = append(s.indents, width)
		s.atMost(limit.Nesting, len(s.indents)-1, "blocks are indented within one another more than %s times")
	}
}

// sign takes in any other character. A comma and a semicolon end a chain, and a
// dot continues one after something that can have parts.
func (s *sizes) sign(text string) {
	switch text {
	case ",", ";":
		s.links[len(s.links)-1] = 0
	case ".":
		s.link(s.operand)
	case ":", "=":
	default: // an operator, or a part of one
		s.link(true)
	}
	s.operand = false
}

// word takes in a name or a keyword, some of which link parts of an expression.
func (s *sizes) word(text string) {
	s.operand = false
	switch text {
	case "and", "or", "not", "in", "if", "else", "for", "lambda":
		s.link(true)
	case "elif":
		s.elifs++
		s.tooLong(s.elifs, "the script has more than %s elif")
	default:
		s.operand = true
	}
}

// link counts one more link in the chain that an expression is.
func (s *sizes) link(yes bool) {
	if !yes {
		return
	}
	s.links[len(s.links)-1]++
	s.tooLong(s.links[len(s.links)-1], "one expression is a chain of more than %s parts")
}

// atMost records the first limit that a number passes.
// Later ones are not recorded: the finding stands at the first spot. message has one
// verb, for the limit in words.
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
