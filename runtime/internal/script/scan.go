package script

import (
	"sort"
	"strings"
	"unicode"
	"unicode/utf8"

	"go.starlark.net/syntax"

	"github.com/creasewright/creasewright/runtime/source"
)

// The language keeps its scanner to itself, and its parser can neither be asked
// about a text that may overflow its stack nor says much of one that is at fault.
// So texts are taken apart once more here, by the same rules as far as brackets,
// blocks, strings, numbers and names are concerned.

// kind is what a token is.
type kind byte

// The kinds of tokens. Blanks, comments and continued line ends are none.
const (
	newlineToken kind = iota
	wordToken         // a name or a keyword
	numberToken
	stringToken // a text in quotes
	openToken
	closeToken
	signToken // any other character
)

// token is a stretch of a text; end is just past it.
type token struct {
	kind       kind
	text       string
	start, end place
}

// place is a position within one file, counted from 1, columns in code points.
type place struct{ line, column int32 }

// before reports whether p comes before q in the text.
func (p place) before(q place) bool {
	return p.line < q.line || p.line == q.line && p.column < q.column
}

// span is where the token stands in the text behind a label.
func (t token) span(label string) source.Span {
	return source.Span{
		File: label, Line: int(t.start.line), Column: int(t.start.column),
		EndLine: int(t.end.line), EndColumn: int(t.end.column),
	}
}

// scanner takes a text apart, token by token.
type scanner struct {
	rest string
	at   place
}

// newScanner begins at the first character of a text, which is as readText
// gives it.
func newScanner(text string) *scanner { return &scanner{text, place{1, 1}} }

// next is the next token; ok is false at the end of the text. Tokens are in order and
// do not overlap; every text can be taken apart, at fault or not, and each call takes
// at least one byte.
func (s *scanner) next() (t token, ok bool) {
	s.skipBlanks()
	if s.rest == "" {
		return token{start: s.at, end: s.at}, false
	}
	t.start = s.at
	t.kind, t.text = s.measure()
	s.take(len(t.text))
	t.end = s.at
	return t, true
}

// skipBlanks skips spaces, comments and line ends after a backslash.
func (s *scanner) skipBlanks() {
	for s.rest != "" {
		switch s.rest[0] {
		case ' ', '\t':
			s.take(1)
		case '#':
			s.take(len(s.rest) - len(strings.TrimLeftFunc(s.rest, func(r rune) bool { return r != '\n' })))
		case '\\':
			s.take(len(s.rest) - len(strings.TrimLeft(s.rest[1:], "\n")))
		default:
			return
		}
	}
}

// take moves past n bytes and counts lines and code points on the way.
func (s *scanner) take(n int) {
	for _, r := range s.rest[:n] {
		if s.at.column++; r == '\n' {
			s.at = place{s.at.line + 1, 1}
		}
	}
	s.rest = s.rest[n:]
}

// measure is the token that the rest, which is not empty, begins with: its kind and its
// text. What is none of the language's is a token of one character.
func (s *scanner) measure() (kind, string) {
	c := s.rest[0]
	switch {
	case c == '\n':
		return newlineToken, s.rest[:1]
	case quotesAt(s.rest) >= 0:
		n := quotesAt(s.rest)
		return stringToken, s.rest[:n+quotedEnd(s.rest[n:])]
	case isDigit(c) || c == '.' && len(s.rest) > 1 && isDigit(s.rest[1]):
		return numberToken, s.rest[:numberEnd(s.rest)]
	case strings.IndexByte("([{", c) >= 0:
		return openToken, s.rest[:1]
	case strings.IndexByte(")]}", c) >= 0:
		return closeToken, s.rest[:1]
	}
	if n := len(s.rest) - len(strings.TrimLeftFunc(s.rest, isWordRune)); n > 0 {
		return wordToken, s.rest[:n]
	}
	_, n := utf8.DecodeRuneInString(s.rest)
	return signToken, s.rest[:n]
}

// quotesAt is where the quotes open of a text that s begins with, behind the r of
// a raw text or the b of bytes; −1 if it begins with none.
func quotesAt(s string) int {
	for n, prefix := range [...]string{"", "r", "rb"} {
		for _, quote := range []string{`"`, "'"} {
			if strings.HasPrefix(s, prefix+quote) || n == 1 && strings.HasPrefix(s, "b"+quote) {
				return n
			}
		}
	}
	return -1
}

// isWordRune reports whether a character may be part of a name.
func isWordRune(r rune) bool { return r == '_' || unicode.IsLetter(r) || unicode.IsDigit(r) }

func isDigit(c byte) bool { return '0' <= c && c <= '9' }

// quotedEnd is the length in bytes of the text in quotes that s begins with. One in
// single quotes that is not closed goes to the end of its line.
func quotedEnd(s string) int {
	quote := s[:1]
	if strings.HasPrefix(s[1:], quote+quote) {
		quote = s[:3]
	}
	for i := len(quote); i < len(s); i++ {
		switch {
		case strings.HasPrefix(s[i:], quote):
			return i + len(quote)
		case s[i] == '\\':
			i++
		case s[i] == '\n' && len(quote) == 1:
			return i
		}
	}
	return len(s)
}

// numberEnd is the length of the number that s begins with: what follows a
// number without being part of it, such as a unit, is a word of its own.
func numberEnd(s string) int {
	if s[0] == '0' && len(s) > 1 && strings.IndexByte("xXoObB", s[1]) >= 0 {
		return len(s) - len(strings.TrimLeftFunc(s, isWordRune))
	}
	digits := func(i int) int {
		for i < len(s) && isDigit(s[i]) {
			i++
		}
		return i
	}
	i := digits(0)
	if i < len(s) && s[i] == '.' {
		i = digits(i + 1)
	}
	if i < len(s) && (s[i] == 'e' || s[i] == 'E') {
		exponent := i + 1
		if exponent < len(s) && (s[exponent] == '+' || s[exponent] == '-') {
			exponent++
		}
		if end := digits(exponent); end > exponent {
			i = end
		}
	}
	return i
}

// tokensOf lists the tokens of the text behind a label, once for each text: messages ask
// for them again and again.
func (h *host) tokensOf(label string) []token {
	if ts, ok := h.tokens[label]; ok {
		return ts
	}
	text, _ := readText(h.store, label)
	var ts []token
	for s := newScanner(string(text)); ; {
		t, ok := s.next()
		if !ok {
			break
		}
		ts = append(ts, t)
	}
	h.tokens[label] = ts
	return ts
}

// tokenAt is the token that a position of the parser's lies in, and its place in
// the list; a single character where there is none.
func (h *host) tokenAt(pos syntax.Position) (t token, i int) {
	at := place{pos.Line, pos.Col}
	ts := h.tokensOf(pos.Filename())
	i = sort.Search(len(ts), func(i int) bool { return at.before(ts[i].end) })
	if i < len(ts) && !at.before(ts[i].start) && ts[i].kind != newlineToken {
		return ts[i], i
	}
	return token{kind: signToken, start: at, end: place{at.line, at.column + 1}}, i
}

// tokenBefore is the token that ends at a position of the parser's or before
// it, and its place in the list; the end of the line above where that is nearer.
func (h *host) tokenBefore(pos syntax.Position) (t token, i int) {
	at := place{pos.Line, pos.Col}
	ts := h.tokensOf(pos.Filename())
	i = sort.Search(len(ts), func(i int) bool { return at.before(ts[i].end) }) - 1
	if i < 0 {
		return token{kind: signToken, start: at, end: place{at.line, at.column + 1}}, i
	}
	t = ts[i]
	if t.kind == newlineToken {
		t.end = place{t.start.line, t.start.column + 1}
	}
	return t, i
}

// openBracket is the innermost bracket of the tokens that nothing closes. The
// parser notices only at the end of the file, where nobody made the mistake.
func openBracket(ts []token) (bracket token, ok bool) {
	var open []token
	for _, t := range ts {
		switch {
		case t.kind == openToken:
			open = append(open, t)
		case t.kind == closeToken && len(open) > 0:
			open = open[:len(open)-1]
		}
	}
	if len(open) == 0 {
		return token{}, false
	}
	return open[len(open)-1], true
}
