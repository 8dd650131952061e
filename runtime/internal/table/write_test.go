package table

import (
	"encoding/csv"
	"reflect"
	"strings"
	"testing"

	"github.com/creasewright/creasewright/runtime/diag"
)

const reportText = `{"params": {"width": 60.25, "title": "a \"b\"\n, c", "round": true, "evil": "=1+1"},
 "pieces": [{"name": "lid", "blank": {"width": 10, "height": 20.5, "area": 200.125, "mass_g": null, "lengths": {"score": 5, "cut": 61}}},
            {"name": "-base", "blank": {"width": 1, "height": 2, "area": 2, "mass_g": 0.5, "lengths": {"drawn": 7}}}]}`

// Written tables are RFC 4180: a strict reader gives the cells back, lines end with
// CR LF, and no cell is a formula.
func TestWrite(t *testing.T) {
	report, err := ReadReport([]byte(reportText))
	if err != nil {
		t.Fatal(err)
	}
	text := string(Write([]Made{
		{Row: Row{Name: "bad"}, Params: map[string]string{"width": "-1", "size": "@x"}, Errors: 1, Worst: "error: no"},
		{Row: Row{Name: "good"}, Report: report, Warnings: 2, Worst: "warning join-gap: a, b"},
	}))
	if strings.Count(text, "\n") != strings.Count(text, "\r\n") || !strings.HasSuffix(text, "\r\n") {
		t.Errorf("%q", text)
	}
	got, err := csv.NewReader(strings.NewReader(text)).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	want := [][]string{
		{"name", "width", "title", "round", "evil", "size", "piece", "blank_width_mm", "blank_height_mm", "area_mm2", "mass_g",
			"cut_mm", "score_mm", "drawn_mm", "errors", "warnings", "worst"},
		{"bad", "-1", "", "", "", "'@x", "", "", "", "", "", "", "", "", "1", "0", "error: no"},
		{"good", "60.25", "a \"b\"\n, c", "true", "'=1+1", "", "lid", "10", "20.5", "200.125", "", "61", "5", "", "0", "2", "warning join-gap: a, b"},
		{"good", "60.25", "a \"b\"\n, c", "true", "'=1+1", "", "'-base", "1", "2", "2", "0.5", "", "", "7", "0", "2", "warning join-gap: a, b"},
	}
	for i := range want {
		if !reflect.DeepEqual(got[i], want[i]) {
			t.Errorf("line %d is %q\nwant %q", i+1, got[i], want[i])
		}
	}
}

func TestBadReports(t *testing.T) {
	for _, text := range []string{"", "{", `{"params": {"a": }}`, `{"pieces": [{"blank": {"width": "x"}}]}`} {
		if _, err := ReadReport([]byte(text)); err == nil {
			t.Errorf("%q is read", text)
		}
	}
}

func TestWorst(t *testing.T) {
	note := &diag.Finding{Rule: "a-note", Message: "n"}
	first := &diag.Finding{Rule: "join-gap", Severity: diag.Error, Message: "first"}
	for want, found := range map[string][]*diag.Finding{
		"":                      nil,
		"note a-note: n":        {note},
		"error join-gap: first": {note, first, diag.Scriptf(nil, "second")},
		"error: second":         {diag.Scriptf(nil, "second"), first},
	} {
		if got := Worst(found); got != want {
			t.Errorf("%q, want %q", got, want)
		}
	}
}
