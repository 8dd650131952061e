package diag

import (
	"encoding/json"
	"net/url"
	"path"
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
		Tool       sarifTool                `json:"tool"`
		Bases      map[string]sarifArtifact `json:"originalUriBaseIds,omitempty"`
		ColumnKind string                   `json:"columnKind"`
		Results    []sarifResult            `json:"results"`
	}
	sarifTool struct {
		Driver sarifDriver `json:"driver"`
	}
	sarifDriver struct {
		Name  string      `json:"name"`
		Rules []sarifRule `json:"rules"`
	}
	sarifRule struct {
		ID    string        `json:"id"`
		Short *sarifMessage `json:"shortDescription,omitempty"`
		Help  *sarifMessage `json:"help,omitempty"`
	}
	sarifResult struct {
		RuleID     string           `json:"ruleId"`
		RuleIndex  int              `json:"ruleIndex"`
		Level      string           `json:"level"`
		Message    sarifMessage     `json:"message"`
		Locations  []sarifLocation  `json:"locations,omitempty"`
		Related    []sarifLocation  `json:"relatedLocations,omitempty"`
		Properties *sarifProperties `json:"properties,omitempty"`
	}
	sarifMessage struct {
		Text     string `json:"text"`
		Markdown string `json:"markdown,omitempty"`
	}
	sarifLocation struct {
		ID       int           `json:"id,omitempty"`
		Physical sarifPhysical `json:"physicalLocation"`
		Message  *sarifMessage `json:"message,omitempty"`
	}
	sarifPhysical struct {
		Artifact sarifArtifact `json:"artifactLocation"`
		Region   *sarifRegion  `json:"region,omitempty"`
	}
	sarifArtifact struct {
		URI         string        `json:"uri,omitempty"`
		BaseID      string        `json:"uriBaseId,omitempty"`
		Description *sarifMessage `json:"description,omitempty"`
	}
	sarifRegion struct {
		StartLine   int `json:"startLine"`
		StartColumn int `json:"startColumn,omitempty"`
		EndLine     int `json:"endLine,omitempty"`
		EndColumn   int `json:"endColumn,omitempty"`
	}
	// sarifProperties tells where in the design a finding stands.
	sarifProperties struct {
		Piece string          `json:"piece,omitempty"`
		Panel string          `json:"panel,omitempty"`
		Pose  string          `json:"pose,omitempty"`
		At    json.RawMessage `json:"at,omitempty"`
	}
)

// The bases of labels that do not lie beside a script: where they lie is not
// told.
var sarifBases = map[string]string{
	"STDLIB": "the standard library, part of the program",
	"SHELF":  "the personal shelf",
}

// Log is findings to be given as SARIF or as JSON, with what the findings do not
// know themselves. The functions may be nil.
type Log struct {
	Findings []*Finding
	// Folder is where the script of a finding lies, as a relative path with
	// slashes, "" for here.
	Folder func(*Finding) string
	// Path is the path of a text that a finding points into, by its label, "" where
	// it has none: for JSON.
	Path func(f *Finding, label string) string
	// About is a rule's title and its page in Markdown, "" where there is none.
	About func(rule string) (title, page string)
}

// SARIF is the findings as a SARIF 2.1.0 log of one run. Columns are counted
// in code points, as the log declares. Labels of the standard library and of
// the shelf become relative to the base ids STDLIB and SHELF.
func SARIF(fs []*Finding) []byte { return Log{Findings: fs}.SARIF() }

// SARIF is the log as text.
func (l Log) SARIF() []byte {
	rules, index := l.ruleTable()
	run := sarifRun{
		Tool:       sarifTool{sarifDriver{"creasewright", rules}},
		ColumnKind: "unicodeCodePoints",
		Results:    make([]sarifResult, len(l.Findings)),
	}
	for i, f := range l.Findings {
		run.Results[i] = l.result(f, index[f.Rule])
		run.addBases(run.Results[i].Locations)
		run.addBases(run.Results[i].Related)
	}
	out, err := json.MarshalIndent(sarifLog{
		Schema:  "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json",
		Version: "2.1.0",
		Runs:    []sarifRun{run},
	}, "", " ")
	if err != nil {
		panic(err) // strings and numbers always marshal
	}
	return append(EscapeJSON(out), '\n')
}

// addBases describes the bases that locations are relative to.
func (r *sarifRun) addBases(where []sarifLocation) {
	for _, l := range where {
		if id := l.Physical.Artifact.BaseID; id != "" {
			if r.Bases == nil {
				r.Bases = map[string]sarifArtifact{}
			}
			r.Bases[id] = sarifArtifact{Description: &sarifMessage{Text: sarifBases[id]}}
		}
	}
}

// ruleTable lists the rules that occur, in order of id, and each one's place.
func (l Log) ruleTable() ([]sarifRule, map[string]int) {
	index := map[string]int{}
	for _, f := range l.Findings {
		index[f.Rule] = 0
	}
	rules := make([]sarifRule, 0, len(index))
	for id := range index {
		r := sarifRule{ID: id}
		if l.About != nil {
			if title, page := l.About(id); title != "" {
				r.Short, r.Help = &sarifMessage{Text: title}, &sarifMessage{Text: title, Markdown: page}
			}
		}
		rules = append(rules, r)
	}
	sort.Slice(rules, func(i, j int) bool { return rules[i].ID < rules[j].ID })
	for i, r := range rules {
		index[r.ID] = i
	}
	return rules, index
}

// result is one finding, the rule it breaks given by its place in the table.
func (l Log) result(f *Finding, ruleIndex int) sarifResult {
	text := f.Message
	if f.Hint != "" {
		text += "\nHint: " + f.Hint
	}
	r := sarifResult{
		RuleID: f.Rule, RuleIndex: ruleIndex, Level: f.Severity.String(),
		Message: sarifMessage{Text: text},
	}
	folder := ""
	if l.Folder != nil {
		folder = l.Folder(f)
	}
	if at := f.Site.First(); at.File != "" {
		r.Locations = []sarifLocation{{Physical: physical(at, folder)}}
	}
	for _, rel := range f.places() {
		if rel.Span.File != "" {
			r.Related = append(r.Related, sarifLocation{len(r.Related) + 1, physical(rel.Span, folder), &sarifMessage{Text: rel.Message}})
		}
	}
	if p := (sarifProperties{f.Piece, f.Panel, f.Pose, pointJSON(f.At)}); f.Piece+f.Panel+f.Pose != "" || p.At != nil {
		r.Properties = &p
	}
	return r
}

// physical is where a span points, the script lying in a folder.
func physical(s source.Span, folder string) sarifPhysical {
	p := sarifPhysical{Artifact: artifact(s.File, folder)}
	if s.Known() {
		p.Region = &sarifRegion{s.Line, s.Column, s.EndLine, s.EndColumn}
	}
	return p
}

// artifact is where a label points: one beside the script lies in the script's
// folder.
func artifact(label, folder string) sarifArtifact {
	base, file := "", label
	if rest, ok := strings.CutPrefix(label, "//"); ok {
		base, file = "STDLIB", rest
	} else if rest, ok := strings.CutPrefix(label, "@shelf//"); ok {
		base, file = "SHELF", rest
	} else if folder != "" {
		file = path.Join(folder, label)
	}
	// String escapes what a URI may not hold and keeps a colon in the first
	// part from reading as a scheme.
	return sarifArtifact{URI: (&url.URL{Path: file}).String(), BaseID: base}
}
