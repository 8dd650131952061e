package script

import (
	"strings"

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
	find := h.tokenAt
	if fits(atReader, e.Msg) && !strings.HasSuffix(e.Msg, "primary expression") {
		find = h.tokenBefore
	}
	at, i := find(e.Pos)
	label := e.Pos.Filename()
	if bracket, ok := h.openBracketFor(e, at, i); ok {
		return diag.Scriptf(extend(site, bracket.span(label)), "this %s is never closed", bracket.text)
	}
	message, hint := apply(syntaxRewordings, e.Msg)
	if h.isUnit(at.text) {
		hint = "write the unit first, as in " + at.text + "(" + numberBefore(h.tokensOf(label), i) + ")"
	}
	return diag.Scriptf(extend(site, at.span(label)), "%s", message).WithHint("%s", hint)
}

// openBracketFor is the bracket that nothing closes, when that is what the
// parser ran into: at the end of the file, or at a line that begins at the left
// margin, as no line within brackets does. The parser stumbled on the i-th token.
func (h *host) openBracketFor(e syntax.Error, at token, i int) (bracket token, ok bool) {
	ts := h.tokensOf(e.Pos.Filename())
	atEnd := strings.HasPrefix(e.Msg, "got end of file")
	if !fits(wantsBracket, e.Msg) || !atEnd && at.start.column != 1 {
		return token{}, false
	}
	if !atEnd {
		ts = ts[:i]
	}
	return openBracket(ts)
}

// numberBefore is the number right before the i-th token, with a decimal point,
// or an ordinary size. A comma within it is taken for the decimal sign.
func numberBefore(ts []token, i int) string {
	if i < 1 || ts[i-1].kind != numberToken {
		return "60"
	}
	n := ts[i-1].text
	if i > 2 && ts[i-2].text == "," && ts[i-3].kind == numberToken && ts[i-2].end == ts[i-1].start && ts[i-3].end == ts[i-2].start {
		n = ts[i-3].text + "." + n
	}
	return n
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
