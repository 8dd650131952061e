package diag

import (
	"fmt"
	"strings"

	"github.com/rivo/uniseg"

	"github.com/creasewright/creasewright/runtime/source"
)

// usualWidth is how many columns a line of an excerpt takes at most where nothing
// is known of the terminal.
const usualWidth = 100

// leastRoom is how many columns of a script line are shown in the narrowest terminal.
const leastRoom = 20

// mostRunes bounds what is measured on each side of a spot's beginning, which is far
// more than any terminal shows.
const mostRunes = 2000

// excerpt shows the line a span starts on, its number before it, and carets
// under as much of the span as lies on that line.
func (s Style) excerpt(out *strings.Builder, at source.Span, colour paint) {
	if !at.Known() || s.Line == nil {
		return
	}
	text := s.Line(at.File, at.Line)
	if strings.TrimSpace(text) == "" {
		return
	}
	columns := s.Width
	if columns <= 0 {
		columns = usualWidth
	}
	gutter := fmt.Sprintf("%6d | ", at.Line)
	before, marked, after := clip(cut(text, at), max(columns-len(gutter), leastRoom))
	fmt.Fprintf(out, "%s%s%s%s\n", gutter, before, marked, after)
	carets := s.paint(colour, strings.Repeat("^", max(1, width(marked))))
	fmt.Fprintf(out, "%s%s%s\n", strings.Repeat(" ", len(gutter)-2)+"| ", strings.Repeat(" ", width(before)), carets)
}

// cell is what a terminal shows as one character: a grapheme cluster, with the
// columns it takes.
type cell struct {
	text  string
	width int
}

// cells are a script line's, in three parts: before a spot, in it, after it.
type cells [3][]cell

// cut takes a script line apart at a span's columns. A span that goes on to further
// lines is marked to the end of this one. A cluster belongs to the spot when any part
// of it does; an empty spot takes in the one that follows it.
func cut(text string, at source.Span) cells {
	runes := []rune(text)
	from := min(max(at.Column-1, 0), len(runes))
	to := from
	switch {
	case at.EndLine > at.Line:
		to = len(runes)
	case at.EndLine == at.Line && at.EndColumn > at.Column:
		to = max(from, min(at.EndColumn-1, len(runes)))
	}
	first, last := max(0, from-mostRunes), min(len(runes), from+mostRunes)
	shown := ""
	if first > 0 {
		shown = ellipsis
	}
	shown += visible(runes[first:from])
	starts := len(shown) // of the spot, in bytes of what is shown
	shown += visible(runes[from:min(to, last)])
	ends := len(shown)
	shown += visible(runes[min(to, last):last])
	if last < len(runes) {
		shown += ellipsis
	}
	var out cells
	read := 0
	for _, c := range cellsOf(shown) {
		begins := read
		read += len(c.text)
		switch {
		case read <= starts:
			out[0] = append(out[0], c)
		case begins < ends || len(out[1]) == 0:
			out[1] = append(out[1], c)
		default:
			out[2] = append(out[2], c)
		}
	}
	return out
}

// cellsOf is printable text, character by character.
func cellsOf(text string) (out []cell) {
	state := -1
	for text != "" {
		var c cell
		c.text, text, c.width, state = uniseg.FirstGraphemeClusterInString(text, state)
		out = append(out, c)
	}
	return out
}

// ellipsis stands for what is not shown of a line, one column wide.
const ellipsis = "…"

// clip makes a line fit into room columns: the whole spot, or as much of its beginning
// as there is room for, and what fits beside it, two thirds of that before it where
// both sides have more. What is left out has an ellipsis in its place.
func clip(line cells, room int) (before, marked, after string) {
	b, spot, a := columns(line[0]), max(1, columns(line[1])), columns(line[2])
	sides := room - spot
	if b+a <= sides {
		return join(line[0]), join(line[1]), join(line[2])
	}
	leastLeft, leastRight := min(1, b), min(1, a)
	if sides < leastLeft+leastRight {
		before = clipLeft(line[0], room/4)
		return before, clipRight(line[1], room-width(before)-leastRight), ""
	}
	left := max(sides-a, sides*2/3)
	before = clipLeft(line[0], max(leastLeft, min(left, sides-leastRight)))
	return before, join(line[1]), clipRight(line[2], sides-width(before))
}

// columns is how wide cells are together.
func columns(line []cell) (n int) {
	for _, c := range line {
		n += c.width
	}
	return n
}

// join is the text of cells.
func join(line []cell) string {
	var out strings.Builder
	for _, c := range line {
		out.WriteString(c.text)
	}
	return out.String()
}

// clipLeft keeps as much of the end of what stands before a spot as fits.
func clipLeft(line []cell, room int) string {
	if columns(line) <= room {
		return join(line)
	}
	from, used := len(line), 1
	for from > 0 && used+line[from-1].width <= room {
		from--
		used += line[from].width
	}
	return ellipsis + join(line[from:])
}

// clipRight keeps as much of the beginning of what stands at a spot or after it as
// fits.
func clipRight(line []cell, room int) string {
	if columns(line) <= room {
		return join(line)
	}
	to, used := 0, 1
	for to < len(line) && used+line[to].width <= room {
		used += line[to].width
		to++
	}
	return join(line[:to]) + ellipsis
}
