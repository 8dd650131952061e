// Package table reads tables of parameters, a row for each run of a script, from
// comma-separated text as spreadsheets write it, and writes tables that they read.
//
// What is read is RFC 4180 with the habits of the field: a byte-order mark is
// skipped; cells may be parted by semicolons or tabs, which the first line shows or
// a line "sep=;" before it says; with these, numbers may have a decimal comma; lines
// end with LF, CR LF or a lone CR; empty lines and lines of empty cells are skipped.
package table

import (
	"bytes"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/internal/unit"
	"github.com/creasewright/creasewright/runtime/model"
	"github.com/creasewright/creasewright/runtime/source"
)

// NameColumn is the column that names a row's folder.
const NameColumn = "name"

// Bounds of a table.
const (
	MaxSize = 16 << 20 // bytes
	MaxRows = 100_000
)

// mostFaults is how many faults of one table are told.
const mostFaults = 20

// Table is a table of parameters.
type Table struct {
	Columns []Cell // their names, in the order of the table
	Rows    []Row  // those that hold anything, in the order of the table

	decimalComma bool
	file         string
	store        *source.Store
}

// Cell is the text of one cell, without white space at its ends, and its place.
type Cell struct {
	Text string
	At   source.Span
}

// Row is one row.
type Row struct {
	Name  string // of its folder: distinct from others in any case of letters
	Line  int    // on which it begins
	Cells []Cell // as many as there are columns
}

// Read reads a table whose file has the name given, by which findings call it. It
// gives a table or what is wrong with it, at most mostFaults of that.
func Read(file string, text []byte) (*Table, []*diag.Finding) {
	t := &Table{file: file, store: source.NewStore(func(string) ([]byte, error) { return text, nil })}
	_, _ = t.store.Text(file) // to be quoted
	if f := t.decodable(text); f != nil {
		return t, []*diag.Finding{f}
	}
	s := newScanner(file, string(bytes.TrimPrefix(text, []byte("\ufeff"))))
	t.decimalComma = s.separator != ','
	var rows [][]Cell
	for {
		cells, f := s.record()
		if f != nil {
			return t, []*diag.Finding{f}
		}
		if cells == nil {
			break
		}
		if slices.ContainsFunc(cells, func(c Cell) bool { return c.Text != "" }) {
			rows = append(rows, cells)
		}
	}
	if len(rows) == 0 {
		f := diag.Scriptf(source.Site{{File: file}}, "the table is empty")
		return t, []*diag.Finding{f.WithHint("its first line names the columns: %s and parameters of the script", NameColumn)}
	}
	t.Columns = rows[0]
	faults := t.header()
	faults = append(faults, t.take(rows[1:])...)
	return t, faults[:min(len(faults), mostFaults)]
}

// decodable asks for text in UTF-8.
func (t *Table) decodable(text []byte) *diag.Finding {
	whole := source.Site{{File: t.file}}
	switch {
	case len(text) > MaxSize:
		return diag.Scriptf(whole, "the table is larger than %d MB", MaxSize>>20)
	case bytes.HasPrefix(text, []byte{0xff, 0xfe}) || bytes.HasPrefix(text, []byte{0xfe, 0xff}):
		return diag.Scriptf(whole, "the table is UTF-16 text").WithHint("save it as CSV in UTF-8")
	}
	line, column := 1, 1
	for rest := string(text); rest != ""; {
		r, n := utf8.DecodeRuneInString(rest)
		at := source.Span{File: t.file, Line: line, Column: column, EndLine: line, EndColumn: column + 1}
		switch {
		case r == utf8.RuneError && n == 1:
			return diag.Scriptf(source.Site{at}, "the text is not UTF-8").WithHint("save the table as CSV in UTF-8")
		case r == 0:
			return diag.Scriptf(source.Site{at}, "the text holds a NUL character").WithHint("save the table as CSV: this is no text file")
		}
		rest = rest[n:]
		if column++; r == '\n' || r == '\r' && !strings.HasPrefix(rest, "\n") {
			line, column = line+1, 1
		}
	}
	return nil
}

// header looks at the names of the columns.
func (t *Table) header() (faults []*diag.Finding) {
	seen := map[string]Cell{}
	for i, c := range t.Columns {
		first, again := seen[c.Text]
		switch {
		case c.Text == "":
			faults = append(faults, fault(c, "column %d has no name", i+1).
				WithHint("the first line names the columns: %s and parameters of the script", NameColumn))
		case again:
			faults = append(faults, related(fault(c, "two columns are called %q", c.Text), first, "the other column"))
		default:
			seen[c.Text] = c
		}
	}
	return faults
}

// take takes the rows in and gives each its name. One without a name is called by
// its number in the table, with as many digits as the last row's.
func (t *Table) take(rows [][]Cell) (faults []*diag.Finding) {
	if len(rows) == 0 {
		f := fault(t.Columns[0], "the table has no rows, only the names of columns")
		return []*diag.Finding{f.WithHint("each further line is a row, with a value in each column")}
	}
	if len(rows) > MaxRows {
		return []*diag.Finding{fault(rows[MaxRows][0], "the table has more than %d rows", MaxRows)}
	}
	named := t.column(NameColumn)
	digits := len(strconv.Itoa(len(rows)))
	taken := map[string]Cell{}
	for i, cells := range rows {
		row := Row{Name: fmt.Sprintf("%0*d", digits, i+1), Line: cells[0].At.Line, Cells: cells}
		if len(cells) != len(t.Columns) {
			faults = append(faults, t.unequal(cells))
			continue
		}
		at := cells[0]
		if named >= 0 && cells[named].Text != "" {
			at, row.Name = cells[named], cells[named].Text
			if why, hint := model.FileNameFault(row.Name); why != "" {
				f := fault(at, "%q cannot be the name of a folder: %s", row.Name, why)
				if hint != "" {
					f.WithHint("%s", hint)
				}
				faults = append(faults, f)
			}
		}
		key := model.FileKey(row.Name)
		if first, again := taken[key]; again {
			faults = append(faults, related(fault(at, "two rows have the name %q", row.Name), first, "the other row").
				WithHint("names that differ only in capital letters are one, as in folders on many systems"))
		} else if key == model.FileKey(OutName(1, 1)) {
			faults = append(faults, fault(at, "%q is the name of the table that is written", row.Name))
		}
		taken[key] = at
		t.Rows = append(t.Rows, row)
	}
	return faults
}

// unequal is about a row with too many or too few cells; it points at the first
// that is too many, or at the last.
func (t *Table) unequal(cells []Cell) *diag.Finding {
	at := cells[min(len(cells)-1, len(t.Columns))]
	f := fault(at, "the row has %d cells, and there are %d columns", len(cells), len(t.Columns))
	if len(cells) > len(t.Columns) && !t.decimalComma {
		return f.WithHint(`put a cell that holds a comma into quotes: "1,5"; decimal commas need semicolons between cells`)
	}
	return f.WithHint("leave a cell empty for the default, but keep what parts it from the next")
}

// column is the index of a column, −1 when there is none of that name.
func (t *Table) column(name string) int {
	return slices.IndexFunc(t.Columns, func(c Cell) bool { return c.Text == name })
}

// Params are the values that a row gives to parameters, over those given. known are
// the script's parameters with a value each, nil when they are not known: a column
// called as NameColumn is one when the script has such a parameter, and text may
// hold a comma where a number has it for a decimal point.
func (t *Table) Params(row Row, base map[string]string, known map[string]any) map[string]string {
	out := make(map[string]string, len(base)+len(row.Cells))
	for name, value := range base {
		out[name] = value
	}
	for i, c := range row.Cells {
		name := t.Columns[i].Text
		value, declared := known[name]
		if c.Text == "" || name == NameColumn && !declared {
			continue
		}
		out[name] = c.Text
		if _, text := value.(string); t.decimalComma && !text {
			out[name] = decimalPoint(c.Text)
		}
	}
	return out
}

// decimalPoint is a length with a decimal comma written with a point; all other
// text is left as it is.
func decimalPoint(text string) string {
	if strings.Count(text, ",") != 1 || strings.Contains(text, ".") {
		return text
	}
	point := strings.Replace(text, ",", ".", 1)
	if _, err := unit.Parse(point); err != nil {
		return text
	}
	return point
}

// Unknown are the columns that are neither names nor parameters of the script.
func (t *Table) Unknown(known map[string]any) (out []int) {
	for i, c := range t.Columns {
		if _, ok := known[c.Text]; !ok && c.Text != NameColumn {
			out = append(out, i)
		}
	}
	return out
}

// UnknownColumn is the finding about a column that the script has no parameter for.
func (t *Table) UnknownColumn(column int, known map[string]any) *diag.Finding {
	names := []string{NameColumn}
	for name := range known {
		names = append(names, name)
	}
	slices.Sort(names)
	c := t.Columns[column]
	f := fault(c, "the script has no parameter %q", c.Text)
	if near, ok := model.Nearest(c.Text, names); ok {
		return f.WithHint("did you mean %q?", near)
	}
	return f.WithHint("columns can be %s", strings.Join(names, ", "))
}

// Part is the k-th of n parts of the rows, 1 ≤ k ≤ n: rows that follow one another,
// so that the parts' own tables one after the other are the whole one.
func (t *Table) Part(k, n int) []Row {
	return t.Rows[len(t.Rows)*(k-1)/n : len(t.Rows)*k/n]
}

// OutName is the name of the table that is written for the k-th of n parts. Those of
// several have names of their own, for the machines may share the folder.
func OutName(k, n int) string {
	if n == 1 {
		return "table.csv"
	}
	return fmt.Sprintf("table-%d-of-%d.csv", k, n)
}

// Line gives a line of the table's text, for quoting.
func (t *Table) Line(file string, line int) string { return t.store.Line(file, line) }

func fault(at Cell, format string, args ...any) *diag.Finding {
	return diag.Scriptf(source.Site{at.At}, format, args...)
}

func related(f *diag.Finding, at Cell, what string) *diag.Finding {
	f.Related = append(f.Related, diag.Related{Span: at.At, Message: what})
	return f
}
