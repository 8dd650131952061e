// Package diag defines a finding, the one shape in which anything wrong is
// told, and renders findings as text, JSON and SARIF. It decides nothing and
// prints nothing.
package diag

import (
	"fmt"
	"unicode/utf8"

	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/source"
)

// Severity orders findings; the zero value is the mildest.
type Severity uint8

// Severities. A note stays in the report and out of the terminal unless asked
// for; an error keeps cut files from being written.
const (
	Note Severity = iota
	Warning
	Error
)

func (s Severity) String() string { return [...]string{"note", "warning", "error"}[s] }

// RuleScript is the rule id of everything the script or the command line got
// wrong, as opposed to what the design got wrong.
const RuleScript = "script"

// Related is another place that helps to understand a finding.
type Related struct {
	Span    source.Span
	Message string
}

// Finding is one thing that is wrong or worth knowing. Message states the
// fault with names and numbers and ends without a full stop; only Hint
// proposes a cure.
type Finding struct {
	Rule     string // kebab-case id
	Severity Severity
	Message  string
	Hint     string
	Site     source.Site // the designer's line first
	Related  []Related

	Piece, Panel, Pose string      // "" where they do not apply
	At                 *geom.Point // in the blank frame; nil when there is no one spot
}

// Error makes a finding usable as a Go error.
func (f *Finding) Error() string {
	if at := f.Site.First().String(); at != "" {
		return at + ": " + f.Message
	}
	return f.Message
}

// MostText is how many bytes of a message or a hint are kept; the rest is cut
// off. What a script names may be of any length, and a page is enough.
const MostText = 5000

// Scriptf is a script error at a site.
func Scriptf(site source.Site, format string, args ...any) *Finding {
	return &Finding{Rule: RuleScript, Severity: Error, Site: site, Message: Short(fmt.Sprintf(format, args...))}
}

// WithHint adds the proposed cure and returns f.
func (f *Finding) WithHint(format string, args ...any) *Finding {
	f.Hint = Short(fmt.Sprintf(format, args...))
	return f
}

// Short is a text cut to MostText, with an ellipsis where it is cut.
func Short(s string) string {
	if len(s) <= MostText {
		return s
	}
	end := MostText - len("…")
	for end > 0 && !utf8.RuneStart(s[end]) {
		end--
	}
	return s[:end] + "…"
}

// Worst is the highest severity among the findings; ok is false for none.
func Worst(fs []*Finding) (worst Severity, ok bool) {
	for _, f := range fs {
		if !ok || f.Severity > worst {
			worst, ok = f.Severity, true
		}
	}
	return worst, ok
}
