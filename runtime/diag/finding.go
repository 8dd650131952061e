// Package diag defines a finding, the one shape in which anything wrong is
// told, and renders findings as text, JSON and SARIF. It decides nothing and
// prints nothing.
//
// The package is stable: names, fields, rule ids and the keys of the JSON stay as
// they are and may be added to. Messages and hints are for people and may change
// any day; programs go by Rule, Severity and Cause.
package diag

import (
	"fmt"
	"slices"
	"strings"
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

// Cause tells faults apart that a program treats differently, whatever their
// words are. Most need no telling.
type Cause uint8

// The causes that have a name.
const (
	OtherCause   Cause = iota
	MakesNothing       // the script ran well and makes no piece, as files do that others load
)

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
	Cause    Cause
	Site     source.Site // the designer's line first
	Related  []Related

	Piece, Panel, Pose string      // names in the script; "" where they do not apply
	At                 *geom.Point // mm in the blank frame; nil when there is no one spot
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

// MostFindings is how many findings of a run are told: nobody reads more, and
// every reader of them, a terminal, an editor or a build server, has to hold them.
const MostFindings = 1000

// mostBytes is how much the texts of those findings may take together.
const mostBytes = 1 << 20

// RuleMore is the rule id of the finding that counts those left out.
const RuleMore = "more-findings"

// AtMost is the findings themselves or, where there are more than most or their
// texts are larger than any reader wants, those of the highest severities that
// fit, in their order, and a last one that counts the others.
func AtMost(most int, fs []*Finding) []*Finding {
	bySeverity := slices.Clone(fs)
	slices.SortStableFunc(bySeverity, func(a, b *Finding) int { return int(b.Severity) - int(a.Severity) })
	n := 0
	for size := 0; n < min(most, len(fs)) && size < mostBytes; n++ {
		size += bySeverity[n].size()
	}
	if n == len(fs) {
		return fs
	}
	left := map[*Finding]bool{}
	for _, f := range bySeverity[n:] {
		left[f] = true
	}
	told := slices.DeleteFunc(slices.Clone(fs), func(f *Finding) bool { return left[f] })
	return append(told, moreFindings(bySeverity[n:]))
}

// size is how many bytes of text a finding brings.
func (f *Finding) size() int {
	n := len(f.Message) + len(f.Hint)
	for _, r := range f.Related {
		n += len(r.Message) + len(r.Span.File)
	}
	return n
}

// moreFindings counts findings, the worst of them first. That is no error
// itself, since it stands behind those that are told.
func moreFindings(fs []*Finding) *Finding {
	var count [Error + 1]int
	for _, f := range fs {
		count[f.Severity]++
	}
	var kinds []string
	for _, s := range []Severity{Error, Warning, Note} {
		if count[s] > 0 {
			kinds = append(kinds, plural(count[s], s.String()))
		}
	}
	return &Finding{
		Rule: RuleMore, Severity: min(fs[0].Severity, Warning),
		Message: "and " + plural(len(fs), "finding") + " more: " + strings.Join(kinds, ", "),
	}
}

// plural says a number of things.
func plural(n int, what string) string {
	if n != 1 {
		what += "s"
	}
	return fmt.Sprintf("%d %s", n, what)
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
