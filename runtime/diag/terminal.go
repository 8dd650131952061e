package diag

import (
	"fmt"
	"strings"
	"unicode"

	"github.com/rivo/uniseg"
)

// paint is an ANSI colour; plain is none.
type paint string

const (
	plain   paint = ""
	bold    paint = "1"
	red     paint = "1;31"
	yellow  paint = "1;33"
	magenta paint = "1;35"
)

var severityPaint = [...]paint{Note: magenta, Warning: yellow, Error: red}

// paint colours text that is printable already.
func (s Style) paint(p paint, text string) string {
	if !s.Colour || p == plain {
		return text
	}
	return "\x1b[" + string(p) + "m" + text + "\x1b[0m"
}

// Printable shows what a terminal would obey rather than print as an escape:
// line breaks, control characters, marks that turn writing round, invisible
// characters and bad UTF-8.
func Printable(s string) string {
	if strings.IndexFunc(s, unprintable) < 0 {
		return s
	}
	var out strings.Builder
	for _, r := range s {
		writeVisible(&out, r)
	}
	return out.String()
}

// visible is Printable for a piece of a script line, with each tab as four
// spaces, so that carets below keep their place whatever the terminal makes of
// a tab.
func visible(runes []rune) string {
	var out strings.Builder
	for _, r := range runes {
		if r == '\t' {
			out.WriteString("    ")
			continue
		}
		writeVisible(&out, r)
	}
	return out.String()
}

// writeVisible writes a character, as an escape when a terminal would obey it.
func writeVisible(out *strings.Builder, r rune) {
	switch {
	case !unprintable(r):
		out.WriteRune(r)
	case r == '\n':
		out.WriteString(`\n`)
	case r == '\t':
		out.WriteString(`\t`)
	case r < 0x80:
		fmt.Fprintf(out, `\x%02x`, r)
	default:
		fmt.Fprintf(out, `\u{%x}`, r)
	}
}

// unprintable holds for control characters and line separators, for every
// character whose only effect is on others, and for the mark of bad UTF-8. The
// two joiners are let through: scripts of India and Persia and many emoji are
// written with them, and they move nothing.
func unprintable(r rune) bool {
	if ' ' <= r && r < 0x7f { // most text
		return false
	}
	if r == zeroWidthJoiner || r == zeroWidthNonJoiner {
		return false
	}
	return r == unicode.ReplacementChar || unicode.In(r, unicode.Cc, unicode.Cf, unicode.Zl, unicode.Zp, unicode.Co, unicode.Cs)
}

const (
	zeroWidthNonJoiner = '\u200c'
	zeroWidthJoiner    = '\u200d'
)

// width is how many columns of a terminal printable text takes, by grapheme
// clusters (Unicode Standard Annexes 11 and 29).
func width(s string) int { return uniseg.StringWidth(s) }
