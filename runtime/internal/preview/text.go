package preview

import (
	"strings"
	"unicode"
)

// advances are the widths of U+0020 to U+007E in thousandths of the type size,
// upright and bold: for each character the widest among common sans-serif
// faces, so that text measured here never comes out longer on the page.
var advances = [2][95]uint16{{
	318, 401, 460, 838, 637, 951, 780, 275, 391, 391, 500, 838, 318, 361, 318, 337,
	637, 637, 637, 637, 637, 637, 637, 637, 637, 637, 337, 337, 838, 838, 838, 557,
	1016, 685, 687, 723, 771, 667, 611, 778, 752, 295, 500, 667, 558, 863, 749, 788,
	667, 788, 723, 667, 611, 732, 685, 989, 686, 667, 686, 391, 337, 391, 838, 557,
	500, 613, 635, 550, 635, 616, 353, 635, 634, 278, 278, 580, 278, 975, 634, 612,
	635, 635, 412, 521, 393, 634, 592, 818, 592, 592, 525, 637, 337, 637, 838,
}, {
	349, 457, 521, 838, 696, 1002, 873, 307, 458, 458, 523, 838, 380, 416, 380, 366,
	696, 696, 696, 696, 696, 696, 696, 696, 696, 696, 400, 400, 838, 838, 838, 611,
	1000, 774, 763, 734, 831, 684, 684, 821, 837, 373, 557, 775, 638, 996, 837, 851,
	733, 851, 771, 721, 683, 813, 774, 1104, 771, 725, 726, 458, 366, 458, 838, 557,
	500, 675, 716, 593, 716, 679, 436, 716, 712, 343, 343, 666, 343, 1042, 712, 688,
	716, 716, 494, 596, 479, 712, 652, 924, 646, 652, 583, 712, 366, 712, 838,
}}

// monoAdvance is the width of every character of a fixed-pitch face, in
// thousandths of the type size (the widest of the common ones).
const monoAdvance = 603

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
		left -= float64(f.advance(r)) * f.size / 1000
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
		used += float64(f.advance(r)) * f.size / 1000
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
