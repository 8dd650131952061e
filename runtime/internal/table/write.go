package table

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"slices"
	"strconv"
	"strings"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/diag"
)

// Report is what a table takes from a run's report.
type Report struct {
	Params Params
	Pieces []Piece
}

// Params are the parameters in force, in the order of the script. Values are
// strings, booleans or json.Numbers.
type Params []Param

// Param is one parameter.
type Param struct {
	Name  string
	Value any
}

// Piece is a piece's blank: mm, mm² and g, and lengths in mm by line kind.
type Piece struct {
	Name  string
	Blank struct {
		Width, Height, Area json.Number
		Mass                *json.Number `json:"mass_g"` // nil where the grammage is not known
		Lengths             map[blank.Kind]json.Number
	}
}

// ReadReport reads a report. The numbers stay as they are written there.
func ReadReport(text []byte) (r Report, err error) {
	return r, json.Unmarshal(text, &r)
}

// UnmarshalJSON keeps the order of the parameters.
func (p *Params) UnmarshalJSON(text []byte) error {
	dec := json.NewDecoder(bytes.NewReader(text))
	dec.UseNumber()
	if _, err := dec.Token(); err != nil { // the brace
		return err
	}
	for dec.More() {
		var param Param
		name, err := dec.Token()
		if err == nil {
			err = dec.Decode(&param.Value)
		}
		if err != nil {
			return err
		}
		param.Name, _ = name.(string)
		*p = append(*p, param)
	}
	return nil
}

// Known are the parameters by name.
func (p Params) Known() map[string]any {
	out := map[string]any{}
	for _, param := range p {
		out[param.Name] = param.Value
	}
	return out
}

// Made is what became of a row. Without a report it has no pieces.
type Made struct {
	Row              Row
	Params           map[string]string // as given, where the run gave none
	Report           Report
	Errors, Warnings int
	Worst            string
}

// Write gives the table of what was made, in the order given: RFC 4180 in UTF-8, a
// line for each piece of each row, and one for a row that made none. The columns of
// parameters and of line kinds are those that occur.
func Write(made []Made) []byte {
	params, kinds := columns(made)
	header := append([]string{NameColumn}, params...)
	header = append(header, "piece", "blank_width_mm", "blank_height_mm", "area_mm2", "mass_g")
	for _, k := range kinds {
		header = append(header, string(k)+"_mm")
	}
	var out bytes.Buffer
	w := csv.NewWriter(&out)
	w.UseCRLF = true
	write := func(cells []string) { _ = w.Write(cells) } // a buffer takes everything
	write(append(header, "errors", "warnings", "worst"))
	for _, m := range made {
		for _, p := range append(m.Report.Pieces, make([]Piece, max(0, 1-len(m.Report.Pieces)))...) {
			write(m.line(p, params, kinds))
		}
	}
	w.Flush()
	return out.Bytes()
}

// columns are the parameters that occur, in the order of the first script to have
// them, and the line kinds, cuts first.
func columns(made []Made) (params []string, kinds []blank.Kind) {
	seen := map[string]bool{}
	occurs := map[blank.Kind]bool{}
	for _, m := range made {
		for _, p := range m.Report.Params {
			if !seen[p.Name] {
				seen[p.Name] = true
				params = append(params, p.Name)
			}
		}
		for _, p := range m.Report.Pieces {
			for k := range p.Blank.Lengths {
				occurs[k] = true
			}
		}
	}
	var given []string // by rows that have no report, and by no other
	for _, m := range made {
		for name := range m.Params {
			if !seen[name] {
				seen[name] = true
				given = append(given, name)
			}
		}
	}
	slices.Sort(given)
	for _, k := range slices.Backward(blank.Kinds()) {
		if occurs[k] {
			kinds = append(kinds, k)
		}
	}
	return append(params, given...), kinds
}

// line is the line of a piece, the empty one for none.
func (m Made) line(p Piece, params []string, kinds []blank.Kind) []string {
	cells := []string{m.Row.Name}
	known := m.Report.Params.Known()
	for _, name := range params {
		if value, ok := known[name]; ok {
			cells = append(cells, text(value))
		} else {
			cells = append(cells, inert(m.Params[name]))
		}
	}
	b := p.Blank
	var mass json.Number
	if b.Mass != nil {
		mass = *b.Mass
	}
	cells = append(cells, inert(p.Name), b.Width.String(), b.Height.String(), b.Area.String(), mass.String())
	for _, k := range kinds {
		cells = append(cells, b.Lengths[k].String())
	}
	return append(cells, strconv.Itoa(m.Errors), strconv.Itoa(m.Warnings), inert(m.Worst))
}

// text is a parameter's value.
func text(value any) string {
	switch v := value.(type) {
	case json.Number:
		return v.String()
	case bool:
		return strconv.FormatBool(v)
	case string:
		return inert(v)
	}
	return ""
}

// inert is a text that no spreadsheet takes for a formula: a script could send one.
// Numbers are left as they are.
func inert(s string) string {
	if s == "" || !strings.ContainsRune("=+-@\t\r", rune(s[0])) {
		return s
	}
	if _, err := strconv.ParseFloat(s, 64); err == nil {
		return s
	}
	return "'" + s
}

// Worst is the worst finding in words, "" for none: the first of the highest
// severity.
func Worst(found []*diag.Finding) string {
	worst, any := diag.Worst(found)
	if !any {
		return ""
	}
	i := slices.IndexFunc(found, func(f *diag.Finding) bool { return f.Severity == worst })
	f := found[i]
	what := f.Severity.String()
	if f.Rule != diag.RuleScript && f.Rule != "" {
		what += " " + f.Rule
	}
	return what + ": " + f.Message
}
