package script

import (
	"strings"
	"unicode"
	"unicode/utf8"

	"go.starlark.net/syntax"

	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/source"
)

// atReader are the parser's messages whose position is where it has read to,
// just past the sign it stumbled on; the others stand at the sign.
const atReader = "got «», want «»\nnot an identifier\nkeyword argument must «»\nfirst operand «»\nload operand «»\nload statement «»\noriginal name «»"

// wantsBracket are those that may come of a bracket left open further up.
const wantsBracket = "got «», want '«,|)|]|}»'\ngot «», want end of file\ngot end of file«»"

// syntaxFault explains what the parser could not read.
func (h *host) syntaxFault(site source.Site, e syntax.Error) *diag.Finding {
	label, line, column := e.Pos.Filename(), int(e.Pos.Line), int(e.Pos.Col)
	if fits(atReader, e.Msg) && !strings.HasSuffix(e.Msg, "primary expression") {
		line, column = h.tokenBefore(label, line, column)
	}
	if f := h.openBracketFault(e.Msg, label, line, column); f != nil {
		f.Site = extend(site, f.Site[0])
		return f
	}
	at := h.wordAt(label, line, column)
	message, hint := apply(syntaxRewordings, e.Msg)
	if unit := h.markedText(at); h.isUnit(unit) {
		hint = "write the unit first, as in " + unit + "(" + h.numberBefore(at) + ")"
	}
	return diag.Scriptf(extend(site, at), "%s", message).WithHint("%s", hint)
}

// openBracketFault is the fault of a bracket that nothing closes, when that is
// what the parser ran into: at the end of the file, or at a line that begins
// at the left margin, as no line within brackets does.
func (h *host) openBracketFault(msg, label string, line, column int) *diag.Finding {
	atEnd := strings.HasPrefix(msg, "got end of file")
	if !fits(wantsBracket, msg) || !atEnd && column != 1 {
		return nil
	}
	text, _ := readText(h.store, label)
	before := string(text)
	if !atEnd {
		before = firstLines(before, line-1)
	}
	line, column, bracket, ok := openBracket(before)
	if !ok {
		return nil
	}
	return diag.Scriptf(source.Site{h.wordAt(label, line, column)}, "this %c is never closed", bracket)
}

// firstLines is the text up to the end of its n-th line.
func firstLines(text string, n int) string {
	rest := text
	for ; n > 0; n-- {
		_, after, found := strings.Cut(rest, "\n")
		if !found {
			return text
		}
		rest = after
	}
	return text[:len(text)-len(rest)]
}

// tokenBefore is where the sign, number, name or text begins that ends just
// before a place; at the beginning of a line that is the end of the line above.
func (h *host) tokenBefore(label string, line, column int) (int, int) {
	if column == 1 && line > 1 {
		above := strings.TrimRight(h.store.Line(label, line-1), " \t")
		return line - 1, 1 + utf8.RuneCountInString(above)
	}
	runes := []rune(h.store.Line(label, line))
	i := min(column-1, len(runes)) - 1
	if i < 0 {
		return line, column
	}
	switch r := runes[i]; {
	case r == '"' || r == '\'':
		for i--; i > 0 && runes[i] != r; i-- {
		}
	case isWordRune(r) || r == '.':
		letter := unicode.IsLetter(r) // 5mm is two: the unit is the last
		for i > 0 && (isWordRune(runes[i-1]) || runes[i-1] == '.') {
			i--
		}
		for letter && unicode.IsDigit(runes[i]) {
			i++
		}
	}
	return line, max(i, 0) + 1
}

// markedText is the text a span on one line marks.
func (h *host) markedText(s source.Span) string {
	runes := []rune(h.store.Line(s.File, s.Line))
	if s.EndLine != s.Line || s.EndColumn-1 > len(runes) {
		return ""
	}
	return string(runes[s.Column-1 : s.EndColumn-1])
}

// numberBefore is the number that ends before a span, with a decimal point, or
// an ordinary size.
func (h *host) numberBefore(s source.Span) string {
	runes := []rune(h.store.Line(s.File, s.Line))
	before := strings.TrimSpace(string(runes[:min(max(s.Column-1, 0), len(runes))]))
	if n := lastNumber(before); n != "" {
		return strings.Replace(n, ",", ".", 1)
	}
	return "60"
}

// lastNumber is the number at the end of a text, its decimal sign a point or a
// comma; "" when there is none.
func lastNumber(text string) string {
	const digits = "0123456789"
	start := len(strings.TrimRight(text, digits))
	if start == len(text) {
		return ""
	}
	if whole := strings.TrimRight(text[:max(start-1, 0)], digits); start > 0 && strings.ContainsRune(".,", rune(text[start-1])) && len(whole) < start-1 {
		start = len(whole)
	}
	return text[start:]
}

// isUnit reports whether a name is a word that turns a unit into millimetres.
func (h *host) isUnit(name string) bool {
	w := h.table.byName[name]
	return w != nil && w.Group == groupUnits
}
