package diag

import (
	"fmt"
	"strings"
	"unicode"
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

// width is how many columns of a terminal printable text takes.
func width(s string) int {
	n := 0
	for _, r := range s {
		switch {
		case unicode.In(r, unicode.Mn, unicode.Me, unicode.Cf):
		case unicode.Is(wide, r):
			n += 2
		default:
			n++
		}
	}
	return n
}

// wide holds the blocks whose characters take two columns: the East Asian
// scripts and the pictures (Unicode Standard Annex 11, classes W and F, by
// block rather than by character).
var wide = &unicode.RangeTable{
	R16: []unicode.Range16{
		{Lo: 0x1100, Hi: 0x115f, Stride: 1},
		{Lo: 0x2e80, Hi: 0x303e, Stride: 1},
		{Lo: 0x3041, Hi: 0xa4cf, Stride: 1},
		{Lo: 0xa960, Hi: 0xa97f, Stride: 1},
		{Lo: 0xac00, Hi: 0xd7a3, Stride: 1},
		{Lo: 0xf900, Hi: 0xfaff, Stride: 1},
		{Lo: 0xfe30, Hi: 0xfe6f, Stride: 1},
		{Lo: 0xff00, Hi: 0xff60, Stride: 1},
		{Lo: 0xffe0, Hi: 0xffe6, Stride: 1},
	},
	R32: []unicode.Range32{
		{Lo: 0x1f300, Hi: 0x1f64f, Stride: 1},
		{Lo: 0x1f680, Hi: 0x1f6ff, Stride: 1},
		{Lo: 0x1f900, Hi: 0x1faff, Stride: 1},
		{Lo: 0x20000, Hi: 0x3fffd, Stride: 1},
	},
}
