package diag

import (
	"encoding/json"
	"maps"
	"slices"
	"testing"

	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/source"
)

// parsed is the structure that SARIF 2.1.0 demands (sarif-schema-2.1.0.json:
// version and runs; tool, driver, name; message.text; regions from 1).
type parsed struct {
	Schema  string `json:"$schema"`
	Version string
	Runs    []struct {
		Tool struct {
			Driver struct {
				Name  string
				Rules []struct{ ID string }
			}
		}
		ColumnKind string
		Results    []parsedResult
	}
}

type parsedResult struct {
	RuleID           string
	RuleIndex        *int
	Level            string
	Message          struct{ Text string }
	Locations        []parsedLocation
	RelatedLocations []parsedLocation
	Properties       map[string]any
}

type parsedLocation struct {
	ID               int
	Message          *struct{ Text string }
	PhysicalLocation struct {
		ArtifactLocation struct{ URI, URIBaseID string }
		Region           *struct{ StartLine, StartColumn, EndLine, EndColumn int }
	}
}

func parseSARIF(t *testing.T, fs []*Finding) parsed {
	t.Helper()
	var log parsed
	if err := json.Unmarshal(SARIF(fs), &log); err != nil {
		t.Fatal(err)
	}
	if log.Version != "2.1.0" || log.Schema == "" || len(log.Runs) != 1 || log.Runs[0].Tool.Driver.Name == "" {
		t.Fatalf("not a SARIF 2.1.0 log of one run: %+v", log)
	}
	// columnKind: utf16CodeUnits or unicodeCodePoints; ours counts code points.
	if log.Runs[0].ColumnKind != "unicodeCodePoints" {
		t.Errorf("columnKind is %q", log.Runs[0].ColumnKind)
	}
	return log
}

func TestSARIFHoldsEveryFinding(t *testing.T) {
	fs := []*Finding{
		(&Finding{Rule: "join-gap", Severity: Error, Message: "m1", Site: source.Site{span("my box.star", 8, 9, 20), span("//seams.star", 3, 5, 9)}}).WithHint("h1"),
		{Rule: "board-caliper", Severity: Warning, Message: "m2", Site: source.Site{{File: "a:b%.star"}}},
		{Rule: "join-gap", Severity: Note, Message: "m3", Related: []Related{{span("@shelf//é.star", 1, 2, 3), "there"}, {Message: "nowhere"}}},
	}
	run := parseSARIF(t, fs).Runs[0]
	rules := []string{}
	for _, r := range run.Tool.Driver.Rules {
		rules = append(rules, r.ID)
	}
	if !slices.Equal(rules, []string{"board-caliper", "join-gap"}) {
		t.Errorf("rules are %v", rules)
	}
	if len(run.Results) != len(fs) {
		t.Fatalf("%d results for %d findings", len(run.Results), len(fs))
	}
	for i, r := range run.Results {
		if r.RuleID != fs[i].Rule || r.RuleIndex == nil || rules[*r.RuleIndex] != r.RuleID {
			t.Errorf("result %d is of rule %s, index %v", i, r.RuleID, r.RuleIndex)
		}
		if r.Level != fs[i].Severity.String() || r.Message.Text == "" {
			t.Errorf("result %d: level %q, text %q", i, r.Level, r.Message.Text)
		}
	}
	if got := run.Results[0].Message.Text; got != "m1\nHint: h1" {
		t.Errorf("text is %q", got)
	}
}

// Regions count from 1 and end past the last character, as spans do; a file
// URI with a space holds %20. The related locations of a result have ids of their
// own that count from 1.
func TestSARIFLocations(t *testing.T) {
	fs := []*Finding{{Rule: "r", Message: "m",
		Site: source.Site{span("my box.star", 8, 9, 20), span("//seams.star", 3, 5, 9), span("@shelf//é.star", 4, 1, 2), {File: "a:b%.star"}}}}
	r := parseSARIF(t, fs).Runs[0].Results[0]
	if len(r.Locations) != 1 || len(r.RelatedLocations) != 3 {
		t.Fatalf("%d locations and %d related", len(r.Locations), len(r.RelatedLocations))
	}
	at := r.Locations[0].PhysicalLocation
	if at.ArtifactLocation.URI != "my%20box.star" || at.ArtifactLocation.URIBaseID != "" {
		t.Errorf("artifact %+v", at.ArtifactLocation)
	}
	if g := at.Region; g == nil || g.StartLine != 8 || g.StartColumn != 9 || g.EndLine != 8 || g.EndColumn != 20 {
		t.Errorf("region %+v", at.Region)
	}
	for i, want := range [][2]string{{"seams.star", "STDLIB"}, {"%C3%A9.star", "SHELF"}, {"./a:b%25.star", ""}} {
		rel := r.RelatedLocations[i]
		got := rel.PhysicalLocation.ArtifactLocation
		if got.URI != want[0] || got.URIBaseID != want[1] || rel.Message == nil || rel.ID != i+1 {
			t.Errorf("related %d is %d, %+v, want %d, %v", i, rel.ID, got, i+1, want)
		}
	}
	if r.RelatedLocations[2].PhysicalLocation.Region != nil {
		t.Error("a span of a whole file has a region")
	}
}

// A result has properties just if it has something to put there.
func TestSARIFProperties(t *testing.T) {
	for _, c := range []struct {
		f    Finding
		want []string
	}{
		{Finding{}, nil},
		{Finding{At: &geom.Point{X: 1, Y: 2}}, []string{"at"}},
		{Finding{Piece: "box"}, []string{"piece"}},
		{Finding{Panel: "lid", Pose: "closed"}, []string{"panel", "pose"}},
	} {
		got := parseSARIF(t, []*Finding{&c.f}).Runs[0].Results[0].Properties
		if names := slices.Sorted(maps.Keys(got)); !slices.Equal(names, c.want) || (got == nil) != (c.want == nil) {
			t.Errorf("%+v: properties %v, want %v", c.f, got, c.want)
		}
	}
}

func TestSARIFOfNothing(t *testing.T) {
	run := parseSARIF(t, nil).Runs[0]
	if run.Results == nil || run.Tool.Driver.Rules == nil {
		t.Error("results and rules must be arrays, not null")
	}
}
