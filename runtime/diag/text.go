package diag

import (
	"fmt"
	"strings"

	"github.com/creasewright/creasewright/runtime/source"
)

// Style is how findings are shown as text.
type Style struct {
	// Line gives one line of a text by its label, "" when it is not to be had.
	// Nil shows no script lines.
	Line func(label string, line int) string
	// Path gives the path under which a text is shown by its label, such as one that
	// an editor can open. Nil shows the labels.
	Path func(label string) string
	// Colour marks the parts with ANSI colours.
	Colour bool
}

// spot is where a span begins, as it is shown.
func (s Style) spot(at source.Span) string {
	if s.Path != nil {
		at.File = s.Path(at.File)
	}
	return Printable(at.String())
}

// Text is the findings for a terminal, one after another with a blank line
// between: the place, the severity and the message; the script line with the
// spot marked; the library lines behind it; related spots; the hint. A spot is
// quoted once in each. Control characters and marks that turn writing round are
// shown escaped, wherever they came from.
func (s Style) Text(fs []*Finding) []byte {
	var out strings.Builder
	for i, f := range fs {
		if i > 0 {
			out.WriteByte('\n')
		}
		s.finding(&out, f)
	}
	return []byte(out.String())
}

// finding writes one finding.
func (s Style) finding(out *strings.Builder, f *Finding) {
	at := f.Site.First()
	if at.File != "" {
		out.WriteString(s.paint(bold, s.spot(at)+":") + " ")
	}
	out.WriteString(s.paint(severityPaint[f.Severity], f.Severity.String()+":"))
	out.WriteString(" " + s.paint(bold, Printable(f.Message)))
	if f.Rule != RuleScript && f.Rule != "" {
		out.WriteString(" (" + f.Rule + ")")
	}
	out.WriteByte('\n')
	s.excerpt(out, at, severityPaint[f.Severity])
	quoted := map[source.Span]bool{at: true}
	for _, place := range f.places() {
		fmt.Fprintf(out, "  %s %s\n", s.paint(bold, s.spot(place.Span)+":"), Printable(place.Message))
		if !quoted[place.Span] {
			s.excerpt(out, place.Span, plain)
		}
		quoted[place.Span] = true
	}
	if f.Hint != "" {
		fmt.Fprintf(out, "  %s %s\n", s.paint(bold, "hint:"), Printable(f.Hint))
	}
}

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
	before, marked, after := cut(text, at)
	before, marked, after = clipLeft(before), clipRight(marked, mostMarked), clipRight(after, mostAfter)
	gutter := fmt.Sprintf("%6d | ", at.Line)
	fmt.Fprintf(out, "%s%s%s%s\n", gutter, before, marked, after)
	carets := s.paint(colour, strings.Repeat("^", max(1, width(marked))))
	fmt.Fprintf(out, "%s%s%s\n", strings.Repeat(" ", len(gutter)-2)+"| ", strings.Repeat(" ", width(before)), carets)
}

// cut splits a script line at a span's columns, each part ready to print. A
// span that goes on to further lines is marked to the end of this one.
func cut(text string, at source.Span) (before, marked, after string) {
	runes := []rune(text)
	from := min(max(at.Column-1, 0), len(runes))
	to := from
	switch {
	case at.EndLine > at.Line:
		to = len(runes)
	case at.EndColumn > at.Column:
		to = min(at.EndColumn-1, len(runes))
	}
	return visible(runes[:from]), visible(runes[from:to]), visible(runes[to:])
}

// Lines longer than a screen are shown round the spot only.
const (
	mostBefore = 60
	mostMarked = 80
	mostAfter  = 40
)

// clipLeft keeps the end of what stands before a spot.
func clipLeft(s string) string {
	r := []rune(s)
	if len(r) <= mostBefore {
		return s
	}
	return "…" + string(r[len(r)-mostBefore:])
}

// clipRight keeps the beginning of what stands at a spot or after it.
func clipRight(s string, most int) string {
	r := []rune(s)
	if len(r) <= most {
		return s
	}
	return string(r[:most]) + "…"
}
