package diag

import (
	"bytes"
	"encoding/json"
	"fmt"
	"unicode/utf16"

	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/decimal"
	"github.com/creasewright/creasewright/runtime/source"
)

// record is a finding as JSON tells it, keys in this order. Keys that do not
// apply are left out.
type record struct {
	Rule     string          `json:"rule"`
	Severity string          `json:"severity"`
	Message  string          `json:"message"`
	Hint     string          `json:"hint,omitempty"`
	place                    // the designer's own line
	Piece    string          `json:"piece,omitempty"`
	Panel    string          `json:"panel,omitempty"`
	Pose     string          `json:"pose,omitempty"`
	At       json.RawMessage `json:"at,omitempty"`
	Related  []relatedRecord `json:"related,omitempty"`
	Reason   string          `json:"reason,omitempty"`
}

// place is where a finding points, as JSON tells it.
type place struct {
	File   string `json:"file,omitempty"`
	Path   string `json:"path,omitempty"`
	Line   int    `json:"line,omitempty"`
	Column int    `json:"column,omitempty"`
}

// relatedRecord is another place that a finding points at.
type relatedRecord struct {
	Message string `json:"message"`
	place
}

// MarshalJSON gives the finding as the report and check's JSON hold it; at is
// rounded to 1e-9 mm.
func (f *Finding) MarshalJSON() ([]byte, error) { return marshal(f.record(nil)) }

// Waived is a finding that the designer allowed, with the reason given.
type Waived struct {
	Finding *Finding
	Reason  string
}

// MarshalJSON gives the finding with the reason as its last key.
func (w Waived) MarshalJSON() ([]byte, error) {
	r := w.Finding.record(nil)
	r.Reason = w.Reason
	return marshal(r)
}

// JSON is the findings as one JSON array, a finding to a line; an empty array
// for none.
func JSON(fs []*Finding) []byte { return Log{Findings: fs}.JSON() }

// JSON is the findings as one JSON array; beside the file's label stands its path
// where Path gives one.
func (l Log) JSON() []byte {
	out := []byte("[")
	for i, f := range l.Findings {
		if i > 0 {
			out = append(out, ',')
		}
		var path func(string) string
		if l.Path != nil {
			path = func(label string) string { return l.Path(f, label) }
		}
		one, err := marshal(f.record(path))
		if err != nil {
			panic(err) // strings and finite numbers always marshal
		}
		out = append(append(out, '\n'), one...)
	}
	return append(out, "\n]\n"...)
}

// record is the finding with every place it points at. path gives a label's path,
// "" for none; nil gives none at all.
func (f *Finding) record(path func(label string) string) record {
	r := record{
		Rule: f.Rule, Severity: f.Severity.String(), Message: f.Message, Hint: f.Hint,
		place: placeOf(f.Site.First(), path), Piece: f.Piece, Panel: f.Panel, Pose: f.Pose,
		At: pointJSON(f.At),
	}
	for _, rel := range f.places() {
		r.Related = append(r.Related, relatedRecord{rel.Message, placeOf(rel.Span, path)})
	}
	return r
}

// places lists every place but the first that a finding points at: the calls
// behind the designer's own line, in a library or in a function of his script,
// then the related spots.
func (f *Finding) places() []Related {
	var out []Related
	for _, s := range f.Site.Inner() {
		what := "inside this library call"
		if s.File == f.Site.First().File {
			what = "inside this call"
		}
		out = append(out, Related{s, what})
	}
	return append(out, f.Related...)
}

// placeOf is a span's beginning.
func placeOf(s source.Span, path func(label string) string) place {
	p := place{File: s.File, Line: s.Line, Column: s.Column}
	if path != nil && s.File != "" {
		p.Path = path(s.File)
	}
	return p
}

// pointJSON is a point as a pair rounded to 1e-9 mm, nil for none and for one
// that is not finite, which JSON has no numbers for.
func pointJSON(p *geom.Point) json.RawMessage {
	if p == nil || !p.Finite() {
		return nil
	}
	out := decimal.AppendShort([]byte{'['}, p.X, 9)
	out = decimal.AppendShort(append(out, ','), p.Y, 9)
	return append(out, ']')
}

// marshal is json.Marshal without turning < and > into escapes: the text is
// for files, not for web pages.
func marshal(v any) ([]byte, error) {
	var buf bytes.Buffer
	enc := json.NewEncoder(&buf)
	enc.SetEscapeHTML(false)
	err := enc.Encode(v)
	return EscapeJSON(bytes.TrimSuffix(buf.Bytes(), []byte("\n"))), err
}

// EscapeJSON is sound JSON text with every character in it that a reader would
// obey rather than show written as an escape: those that Printable escapes.
func EscapeJSON(text []byte) []byte {
	odd := func(r rune) bool { return r != '\n' && unprintable(r) }
	if bytes.IndexFunc(text, odd) < 0 {
		return text
	}
	var out bytes.Buffer
	for _, r := range string(text) {
		switch {
		case !odd(r):
			out.WriteRune(r)
		case r > 0xffff:
			high, low := utf16.EncodeRune(r)
			fmt.Fprintf(&out, `\u%04x\u%04x`, high, low)
		default:
			fmt.Fprintf(&out, `\u%04x`, r)
		}
	}
	return out.Bytes()
}
