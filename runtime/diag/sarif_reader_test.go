package diag

import (
	"encoding/json"
	"math"
	"strings"
	"testing"

	"github.com/creasewright/creasewright/runtime/diag/diagtest"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/source"
)

// oddLogs are findings of every shape: none, without a place, with a file
// only, with library lines, related spots, odd characters and no numbers.
func oddLogs() [][]byte {
	at, nowhere := geom.Pt(1.5, -2), geom.Pt(math.Inf(1), 0)
	odd := []*Finding{
		{Rule: RuleScript, Severity: Error, Message: "no place at all"},
		{Rule: "join-gap", Severity: Error, Message: "a file only", Site: source.Site{{File: "a b%ü.star"}}, At: &nowhere},
		(&Finding{Rule: "join-gap", Severity: Warning, Message: "tabs\tand \"quotes\" <&>\u2028\x00", At: &at, Piece: "box", Panel: "lid", Pose: "closed",
			Site: source.Site{span("box.star", 3, 4, 9), span("//closures.star", 8, 1, 2), span("@shelf//mine.star", 1, 1, 5)}}).WithHint("depth = 16.4 would clear it"),
		{Rule: "panels-layered", Severity: Note, Message: "notes too", Site: source.Site{span("box.star", 3, 4, 9)},
			Related: []Related{{span("box.star", 1, 1, 1), "here"}, {source.Span{File: "box.star"}, "somewhere here"}, {Message: "nowhere"}}},
	}
	explained := Log{Findings: odd, Folder: func(*Finding) string { return "designs/of mine" },
		About: func(rule string) (string, string) {
			if rule == RuleScript { // it has no page
				return "", ""
			}
			return "about " + rule, "# " + rule + "\n"
		}}
	return [][]byte{SARIF(nil), SARIF(odd), explained.SARIF()}
}

func TestSARIFIsValid(t *testing.T) { diagtest.ValidSARIF(t, oddLogs()...) }

// The validator is asked in earnest: it refuses a log that is wrong.
func TestLogsWithoutVersionAreRefused(t *testing.T) {
	refused := &quiet{TB: t}
	diagtest.ValidSARIF(refused, []byte(`{"runs": []}`))
	if !refused.failed {
		t.Error("a log without a version is taken for valid")
	}
}

// quiet notes errors and passes none on.
type quiet struct {
	testing.TB
	failed bool
}

func (q *quiet) Errorf(string, ...any) { q.failed = true }

// Places that a log refers to by a base are explained, and results say where in
// the design they stand.
func TestSARIFExplainsItself(t *testing.T) {
	var log struct {
		Runs []struct {
			Tool struct {
				Driver struct {
					Rules []struct {
						ID               string
						ShortDescription struct{ Text string }
						Help             struct{ Markdown string }
					}
				}
			}
			OriginalURIBaseIDs map[string]struct {
				URI         *string
				Description struct{ Text string }
			}
			Results []struct {
				Properties struct {
					Piece, Panel, Pose string
					At                 []float64
				}
				Locations []struct {
					PhysicalLocation struct{ ArtifactLocation struct{ URI string } }
				}
			}
		}
	}
	if err := json.Unmarshal(oddLogs()[2], &log); err != nil {
		t.Fatal(err)
	}
	run := log.Runs[0]
	for _, r := range run.Tool.Driver.Rules {
		if titled := r.ID != RuleScript; (r.ShortDescription.Text != "") != titled || (r.Help.Markdown != "") != titled {
			t.Errorf("rule %+v", r)
		}
	}
	for _, base := range []string{"STDLIB", "SHELF"} {
		if b := run.OriginalURIBaseIDs[base]; b.URI != nil || b.Description.Text == "" {
			t.Errorf("base %s: %+v", base, b)
		}
	}
	if p := run.Results[2].Properties; p.Piece != "box" || p.Panel != "lid" || p.Pose != "closed" || len(p.At) != 2 || p.At[1] != -2 {
		t.Errorf("properties %+v", p)
	}
	if uri := run.Results[2].Locations[0].PhysicalLocation.ArtifactLocation.URI; uri != "designs/of%20mine/box.star" {
		t.Errorf("the script lies in %q", uri)
	}
	if strings.Contains(string(oddLogs()[1]), "\x00") {
		t.Error("a control character is written as it is")
	}
}
