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
	// Width is how many columns the lines of excerpts take at most, those of the
	// terminal; 0 for 100.
	Width int
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
