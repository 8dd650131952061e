package preview

import (
	"strings"
	"unicode"
)

//go:generate go run ./widths

// font is a type size in mm and a weight.
type font struct {
	size float64
	bold bool
}

// width is an upper bound on the width of s on the page, in mm.
func (f font) width(s string) float64 {
	sum := 0
	for _, r := range s {
		sum += f.advance(r)
	}
	return float64(sum) * f.size / 1000
}

// advance is an upper bound on the advance width of a character, in thousandths of
// the type size: from the table for ASCII, by class elsewhere. Combining marks have
// none.
func (f font) advance(r rune) int {
	weight := 0
	if f.bold {
		weight = 1
	}
	switch {
	case r >= ' ' && r <= '~':
		return int(advances[weight][r-' '])
	case unicode.In(r, unicode.Mn, unicode.Me, unicode.Cf):
		return 0
	case r < 0x2E80:
		return 860 // the widest letters of the alphabets are M-wide, most are narrower
	}
	return 1050 // full-width scripts and signs; emoji are a little wider than the em
}

// shorten cuts s to fit width mm, with an ellipsis where something is lost.
func (f font) shorten(s string, width float64) string {
	if f.width(s) <= width {
		return s
	}
	left := width - f.width("…")
	for i, r := range s {
		left -= float64(float64(f.advance(r)) * f.size / 1000)
		if left < 0 {
			return strings.TrimRight(s[:i], " ") + "…"
		}
	}
	return s
}

// wrap breaks s at spaces into lines of at most width mm; a word that is
// longer than a line is broken where it must be.
func (f font) wrap(s string, width float64) []string {
	var lines []string
	line := ""
	for _, word := range strings.Fields(s) {
		switch {
		case line != "" && f.width(line+" "+word) <= width:
			line += " " + word
			continue
		case line != "":
			lines = append(lines, line)
		}
		head, tail := f.fit(word, width)
		for tail != "" {
			lines = append(lines, head)
			head, tail = f.fit(tail, width)
		}
		line = head
	}
	if line != "" {
		lines = append(lines, line)
	}
	return lines
}

// fit splits off as much of a word as fits, at least one character.
func (f font) fit(word string, width float64) (head, tail string) {
	used := 0.0
	for i, r := range word {
		used += float64(float64(f.advance(r)) * f.size / 1000)
		if used > width && i > 0 {
			return word[:i], word[i:]
		}
	}
	return word, ""
}

// clip keeps at most n lines, the last one ending in an ellipsis if more went.
func (f font) clip(lines []string, n int, width float64) []string {
	if len(lines) <= n {
		return lines
	}
	last := f.shorten(lines[n-1]+" "+lines[n]+"……", width)
	return append(append([]string{}, lines[:n-1]...), last)
}
