package diag

import (
	"encoding/json"
	"net/url"
	"sort"
	"strings"

	"github.com/creasewright/creasewright/runtime/source"
)

// The parts of a SARIF 2.1.0 log that a finding fills (OASIS standard,
// errata 01).
type (
	sarifLog struct {
		Schema  string     `json:"$schema"`
		Version string     `json:"version"`
		Runs    []sarifRun `json:"runs"`
	}
	sarifRun struct {
		Tool       sarifTool     `json:"tool"`
		ColumnKind string        `json:"columnKind"`
		Results    []sarifResult `json:"results"`
	}
	sarifTool struct {
		Driver sarifDriver `json:"driver"`
	}
	sarifDriver struct {
		Name  string      `json:"name"`
		Rules []sarifRule `json:"rules"`
	}
	sarifRule struct {
		ID string `json:"id"`
	}
	sarifResult struct {
		RuleID    string          `json:"ruleId"`
		RuleIndex int             `json:"ruleIndex"`
		Level     string          `json:"level"`
		Message   sarifMessage    `json:"message"`
		Locations []sarifLocation `json:"locations,omitempty"`
		Related   []sarifLocation `json:"relatedLocations,omitempty"`
	}
	sarifMessage struct {
		Text string `json:"text"`
	}
	sarifLocation struct {
		Physical sarifPhysical `json:"physicalLocation"`
		Message  *sarifMessage `json:"message,omitempty"`
	}
	sarifPhysical struct {
		Artifact sarifArtifact `json:"artifactLocation"`
		Region   *sarifRegion  `json:"region,omitempty"`
	}
	sarifArtifact struct {
		URI    string `json:"uri"`
		BaseID string `json:"uriBaseId,omitempty"`
	}
	sarifRegion struct {
		StartLine   int `json:"startLine"`
		StartColumn int `json:"startColumn,omitempty"`
		EndLine     int `json:"endLine,omitempty"`
		EndColumn   int `json:"endColumn,omitempty"`
	}
)

// SARIF is the findings as a SARIF 2.1.0 log of one run. Columns are counted
// in code points, as the log declares. Labels of the standard library and of
// the shelf become relative to the base ids STDLIB and SHELF, since where these
// lie is not told.
func SARIF(fs []*Finding) []byte {
	rules, index := ruleTable(fs)
	run := sarifRun{
		Tool:       sarifTool{sarifDriver{"creasewright", rules}},
		ColumnKind: "unicodeCodePoints",
		Results:    make([]sarifResult, len(fs)),
	}
	for i, f := range fs {
		run.Results[i] = f.sarif(index[f.Rule])
	}
	out, err := json.MarshalIndent(sarifLog{
		Schema:  "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json",
		Version: "2.1.0",
		Runs:    []sarifRun{run},
	}, "", " ")
	if err != nil {
		panic(err) // strings and integers always marshal
	}
	return append(out, '\n')
}

// ruleTable lists the rules that occur, in order of id, and each one's place.
func ruleTable(fs []*Finding) ([]sarifRule, map[string]int) {
	index := map[string]int{}
	for _, f := range fs {
		index[f.Rule] = 0
	}
	rules := make([]sarifRule, 0, len(index))
	for id := range index {
		rules = append(rules, sarifRule{id})
	}
	sort.Slice(rules, func(i, j int) bool { return rules[i].ID < rules[j].ID })
	for i, r := range rules {
		index[r.ID] = i
	}
	return rules, index
}

func (f *Finding) sarif(ruleIndex int) sarifResult {
	text := f.Message
	if f.Hint != "" {
		text += "\nHint: " + f.Hint
	}
	r := sarifResult{
		RuleID: f.Rule, RuleIndex: ruleIndex, Level: f.Severity.String(),
		Message: sarifMessage{text},
	}
	if at := f.Site.First(); at.File != "" {
		r.Locations = []sarifLocation{{Physical: physical(at)}}
	}
	for _, rel := range f.places() {
		if rel.Span.File != "" {
			r.Related = append(r.Related, sarifLocation{physical(rel.Span), &sarifMessage{rel.Message}})
		}
	}
	return r
}

func physical(s source.Span) sarifPhysical {
	p := sarifPhysical{Artifact: artifact(s.File)}
	if s.Known() {
		p.Region = &sarifRegion{s.Line, s.Column, s.EndLine, s.EndColumn}
	}
	return p
}

func artifact(label string) sarifArtifact {
	base, path := "", label
	if rest, ok := strings.CutPrefix(label, "//"); ok {
		base, path = "STDLIB", rest
	} else if rest, ok := strings.CutPrefix(label, "@shelf//"); ok {
		base, path = "SHELF", rest
	}
	// String escapes what a URI may not hold and keeps a colon in the first
	// part from reading as a scheme.
	return sarifArtifact{URI: (&url.URL{Path: path}).String(), BaseID: base}
}
