package table

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"maps"
	"math/rand/v2"
	"reflect"
	"strings"
	"testing"

	"github.com/creasewright/creasewright/runtime/diag"
)

func mustRead(t *testing.T, text string) *Table {
	t.Helper()
	table, faults := Read("sizes.csv", []byte(text))
	if len(faults) > 0 {
		t.Fatalf("%q: %v", text, faults)
	}
	return table
}

// shape is the table as lines of cells between bars, the row's name first.
func shape(table *Table) (out []string) {
	line := func(name string, cells []Cell) {
		for _, c := range cells {
			name += "|" + c.Text
		}
		out = append(out, name)
	}
	line("", table.Columns)
	for _, r := range table.Rows {
		line(r.Name, r.Cells)
	}
	return out
}

// However a spreadsheet writes it, the table is the same.
func TestDialects(t *testing.T) {
	want := []string{"|name|width|note", "a|a|60|x, y; z", "2|||1\"", "c|c|70|"}
	plain := "name,width,note\na,60,\"x, y; z\"\n,,\"1\"\"\"\nc,70,\n"
	for what, text := range map[string]string{
		"plain":             plain,
		"no last line end":  strings.TrimSuffix(plain, "\n"),
		"byte-order mark":   "\ufeff" + plain,
		"CR LF":             strings.ReplaceAll(plain, "\n", "\r\n"),
		"lone CR":           strings.ReplaceAll(plain, "\n", "\r"),
		"empty lines":       "\n\n" + strings.ReplaceAll(plain, "\n", "\n\n,,\n"),
		"white space":       "name , width, note\n a,60 , \"x, y; z\" \n,,\"1\"\"\"\nc,70,\n",
		"semicolons":        "name;width;note\na;60;\"x, y; z\"\n;;1\"\nc;70;\n",
		"tabs":              "name\twidth\tnote\na\t60\tx, y; z\n\t\t\"1\"\"\"\nc\t70\t\n",
		"separator said":    "sep=;\r\nname;width;note\r\na;60;\"x, y; z\"\r\n;;1\"\r\nc;70;\r\n",
		"quotes everywhere": "\"name\",\"width\",\"note\"\n\"a\",\"60\",\"x, y; z\"\n\"\",\"\",\"1\"\"\"\n\"c\",\"70\",\"\"\n",
	} {
		if got := shape(mustRead(t, text)); !reflect.DeepEqual(got, want) {
			t.Errorf("%s: %q", what, got)
		}
	}
}

// What is wrong is said at its file, line and column.
func TestFaults(t *testing.T) {
	for text, want := range map[string]string{
		"":                                  "sizes.csv: the table is empty",
		"\ufeff\n,\n":                       "sizes.csv: the table is empty",
		"width\n":                           "sizes.csv:1:1: the table has no rows",
		"a,b\n1\n":                          "sizes.csv:2:1: the row has 1 cells, and there are 2 columns",
		"a,b\n1,2,3,4\n":                    "sizes.csv:2:5: the row has 4 cells, and there are 2 columns",
		"a,a\n1,2\n":                        `sizes.csv:1:3: two columns are called "a"`,
		"a,,b\n1,2,3\n":                     "sizes.csv:1:3: column 2 has no name",
		"name,a\nx,1\nß,2\ny,3\nX,4\n":      `sizes.csv:5:1: two rows have the name "X"`,
		"name\nsub/x\n":                     `sizes.csv:2:1: "sub/x" cannot be the name of a folder`,
		"name\n..\n":                        `sizes.csv:2:1: ".." cannot be the name of a folder`,
		"name\nnul\n":                       `sizes.csv:2:1: "nul" cannot be the name of a folder: Windows`,
		"name,a\n.x,1\n":                    "begins with a dot",
		"name\nTable.CSV\n":                 `"Table.CSV" is the name of the table that is written`,
		"name,a\n2,1\n,5\n":                 `sizes.csv:3:1: two rows have the name "2"`,
		"a,b\nü,\"x\ny\n":                   "sizes.csv:2:3: the quotes that open here are not closed",
		"a,b\n1,\"x\"y\n":                   "sizes.csv:2:6: there is more in the cell after its closing quotes",
		"a\n\"x\ny\"z\n":                    "sizes.csv:3:3: there is more",
		"a\nü\xff\n":                        "sizes.csv:2:2: the text is not UTF-8",
		"a\r\n1\x00\r\n":                    "sizes.csv:2:2: the text holds a NUL character",
		"\xff\xfea\x00":                     "sizes.csv: the table is UTF-16 text",
		strings.Repeat("a", MaxSize+1):      "sizes.csv: the table is larger than 16 MB",
		"a\n" + strings.Repeat("1,2\n", 50): "sizes.csv:2:3: the row has 2 cells",
	} {
		_, faults := Read("sizes.csv", []byte(text))
		if len(faults) == 0 || !strings.Contains(faults[0].Error(), want) {
			t.Errorf("%.30q: %v, want %q", text, faults, want)
		}
		if len(faults) > mostFaults {
			t.Errorf("%.30q: %d faults", text, len(faults))
		}
	}
	many := "a\n" + strings.Repeat("1\n", MaxRows+1)
	if _, faults := Read("sizes.csv", []byte(many)); len(faults) != 1 || !strings.Contains(faults[0].Error(), "more than 100000 rows") {
		t.Errorf("too many rows: %v", faults)
	}
}

// A fault of a second cell points at the first, too, and a table quotes its lines.
func TestFaultsPointAtBoth(t *testing.T) {
	table, faults := Read("sizes.csv", []byte("name;width\nTea;60\ntea;70\n"))
	if len(faults) != 1 || len(faults[0].Related) != 1 || faults[0].Related[0].Span.Line != 2 {
		t.Fatal(faults)
	}
	text := string(diag.Style{Line: table.Line}.Text(faults))
	if want := "     3 | tea;70\n       | ^^^\n"; !strings.Contains(text, want) {
		t.Errorf("%s\nwant %q", text, want)
	}
}

// Law: what encoding/csv writes with any separator is read back cell by cell, apart
// from white space at the ends of cells, and each cell's place is where it begins.
func TestReadsWhatOthersWrite(t *testing.T) {
	random := rand.New(rand.NewPCG(3, 4))
	for range 300 {
		columns := 2 + random.IntN(4)
		var records [][]string
		header := make([]string, columns)
		for i := range header {
			header[i] = fmt.Sprintf("c%d", i)
		}
		records = append(records, header)
		for range 1 + random.IntN(5) {
			cells := make([]string, columns)
			cells[0] = "x"
			for i := 1; i < columns; i++ {
				for range random.IntN(6) {
					cells[i] += string([]rune("aü\";,\t \n7")[random.IntN(9)])
				}
			}
			records = append(records, cells)
		}
		var text bytes.Buffer
		w := csv.NewWriter(&text)
		w.Comma = rune(separators[random.IntN(len(separators))])
		w.UseCRLF = random.IntN(2) == 0
		if err := w.WriteAll(records); err != nil {
			t.Fatal(err)
		}
		table := mustRead(t, text.String())
		if len(table.Rows) != len(records)-1 {
			t.Fatalf("%q: %d rows", text.String(), len(table.Rows))
		}
		lines := strings.Split(strings.ReplaceAll(text.String(), "\r\n", "\n"), "\n")
		for i, row := range table.Rows {
			for k, c := range row.Cells {
				if want := strings.TrimSpace(records[i+1][k]); c.Text != want {
					t.Errorf("%q: row %d, cell %d is %q, want %q", text.String(), i, k, c.Text, want)
				}
				rest := string([]rune(lines[c.At.Line-1])[c.At.Column-1:])
				if begins := strings.TrimPrefix(rest, `"`); c.Text != "" && k == 0 && !strings.HasPrefix(begins, "x") {
					t.Errorf("%q: cell at %v, where there is %q", text.String(), c.At, rest)
				}
			}
		}
	}
}

// A missing cell leaves what there is, commas are decimal points beside semicolons
// alone and in no text, and the column of names is a parameter when there is one.
func TestParams(t *testing.T) {
	base := map[string]string{"width": "50", "depth": "40"}
	known := map[string]any{"width": 1.0, "depth": 1.0, "title": "x"}
	for _, c := range []struct {
		text  string
		known map[string]any
		want  map[string]string
	}{
		{"name,width,depth\na,60,\n", known, map[string]string{"width": "60", "depth": "40"}},
		{"name;width;title\na;60,5 mm;1,5\n", known, map[string]string{"width": "60.5 mm", "depth": "40", "title": "1,5"}},
		{"name;width;title\na;1.000,5;1,5,5\n", nil, map[string]string{"width": "1.000,5", "depth": "40", "title": "1,5,5"}},
		{"width,title\n\"60,5\",x\n", known, map[string]string{"width": "60,5", "depth": "40", "title": "x"}},
		{"name,width\na,60\n", map[string]any{"name": "n"}, map[string]string{"width": "60", "depth": "40", "name": "a"}},
	} {
		table := mustRead(t, c.text)
		if got := table.Params(table.Rows[0], base, c.known); !maps.Equal(got, c.want) {
			t.Errorf("%q: %v, want %v", c.text, got, c.want)
		}
	}
	if len(base) != 2 || base["width"] != "50" {
		t.Error("the values given were changed")
	}
}

func TestUnknownColumns(t *testing.T) {
	table := mustRead(t, "Name,width,wdith,zzzzz\na,1,2,3\n")
	known := map[string]any{"width": 1}
	var said []string
	for _, i := range table.Unknown(known) {
		f := table.UnknownColumn(i, known)
		said = append(said, f.Error()+"; "+f.Hint)
	}
	want := []string{
		`sizes.csv:1:1: the script has no parameter "Name"; did you mean "name"?`,
		`sizes.csv:1:12: the script has no parameter "wdith"; did you mean "width"?`,
		`sizes.csv:1:18: the script has no parameter "zzzzz"; columns can be name, width`,
	}
	if !reflect.DeepEqual(said, want) {
		t.Errorf("%q", said)
	}
}

// Law: the parts of a table, one after the other, are its rows, and no part has more
// than one row more than another. Rows keep the numbers they have in the whole.
func TestParts(t *testing.T) {
	for rows := 1; rows < 25; rows++ {
		table := mustRead(t, "a\n"+strings.Repeat("1\n", rows))
		if first, last := table.Rows[0].Name, table.Rows[rows-1].Name; len(first) != len(last) || last != fmt.Sprint(rows) {
			t.Errorf("%d rows are called %s to %s", rows, first, last)
		}
		for parts := 1; parts < 30; parts++ {
			var all []Row
			for k := 1; k <= parts; k++ {
				part := table.Part(k, parts)
				if all = append(all, part...); len(part) > rows/parts+1 {
					t.Errorf("part %d of %d has %d of %d rows", k, parts, len(part), rows)
				}
			}
			if !reflect.DeepEqual(all, table.Rows) {
				t.Errorf("%d parts of %d rows are not the whole", parts, rows)
			}
		}
	}
}

// Law: no text makes reading fail in any other way than by findings with places in
// it, and a table without findings has distinct names and as many cells as columns.
func FuzzRead(f *testing.F) {
	for _, seed := range []string{"name;a\nx;1,5\n", "sep=,\na,b\n1,\"2\"\"\"\n", "\ufeffa\tb\r1\t2\r", "a\n\"", "=\n\n,"} {
		f.Add([]byte(seed))
	}
	f.Fuzz(func(t *testing.T, text []byte) {
		table, faults := Read("t.csv", text)
		for _, fault := range faults {
			at := fault.Site.First()
			_ = diag.Style{Line: table.Line}.Text([]*diag.Finding{fault})
			if at.File != "t.csv" || at.Line < 0 || at.Line > 2+bytes.Count(text, []byte("\n"))+bytes.Count(text, []byte("\r")) {
				t.Errorf("a finding at %+v", at)
			}
		}
		if len(faults) > 0 {
			return
		}
		names := map[string]bool{}
		for _, row := range table.Rows {
			if names[row.Name] || len(row.Cells) != len(table.Columns) {
				t.Errorf("row %q of %d cells", row.Name, len(row.Cells))
			}
			names[row.Name] = true
		}
	})
}
