package stdlib_test

import (
	"context"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/engine"
	"github.com/creasewright/creasewright/runtime/source"
	"github.com/creasewright/creasewright/stdlib"
)

// Every module has a file of tests beside it that loads it, and all of them pass.
func TestModules(t *testing.T) {
	for _, label := range stdlib.Labels() {
		name := strings.TrimSuffix(strings.TrimPrefix(label, "//"), ".star") + engine.TestSuffix
		res, err := engine.Run(context.Background(), engine.Request{Script: name, Read: beside, Tests: true})
		if err != nil {
			t.Fatal(err)
		}
		for _, f := range res.Findings {
			t.Errorf("%v %s", f, f.Hint)
		}
		if res.Exit != engine.Clean || len(res.Tests) == 0 {
			t.Errorf("%s: exit %d, %d tests", name, res.Exit, len(res.Tests))
		}
		if !slices.ContainsFunc(res.Reads, func(r source.Read) bool { return r.Label == label && !r.Absent }) {
			t.Errorf("%s does not load %s", name, label)
		}
	}
}

// beside gives the files of tests.
func beside(label string) ([]byte, error) {
	text, err := os.ReadFile(filepath.Base(label))
	if os.IsNotExist(err) {
		return nil, source.ErrAbsent
	}
	return text, err
}

// What Functions says where to find can be loaded from there, and nothing private is
// among it.
func TestFunctions(t *testing.T) {
	if label := stdlib.Functions()["tuck_end"]; label != "//closures.star" {
		t.Errorf("tuck_end is in %q", label)
	}
	for name, label := range stdlib.Functions() {
		script := "load(\"" + label + "\", \"" + name + "\")\n"
		read := func(string) ([]byte, error) { return []byte(script), nil }
		res, err := engine.Run(context.Background(), engine.Request{Script: "box.star", Read: read})
		if err != nil || !res.Module() {
			t.Errorf("%s of %s: %v %v", name, label, res.Findings, err)
		}
	}
}

func TestText(t *testing.T) {
	for _, label := range []string{"closures.star", "//none.star", "//../go.mod", "//", "//closures_test.star", "@shelf//closures.star"} {
		if _, ok := stdlib.Text(label); ok {
			t.Errorf("%s is there", label)
		}
	}
}

// The blanks of slotted cases where the board takes nothing: 2L + 2B + joint across,
// and along the flutes the height and the flaps. 0201 from the German corrugated
// industry's page on case types (wellpappe-wissen.de); the other three follow from the
// names of the styles in the FEFCO/ESBO code: which flaps meet, and which overlap.
func TestSlottedCaseFormulas(t *testing.T) {
	for style, high := range map[string]float64{"0200": 400, "0201": 550, "0203": 850, "0204": 650} {
		res := run(t, `load("//cases.star", "slotted_case")
card = board("no thickness", caliper = 0.001)
case = slotted_case(400, 300, 250, card, style = "`+style+`")
limits(detail = 0.001)
piece("case", case.root, board = card)
`, nil)
		for _, f := range res.Findings {
			if f.Severity > diag.Warning {
				t.Errorf("%s: %s", style, f.Message)
			}
		}
		blank := reportOf(t, res).Pieces[0].Blank
		// Ten calipers bound all that the board adds.
		if math.Abs(blank.Width-1435) > 0.01 || math.Abs(blank.Height-high) > 0.01 {
			t.Errorf("%s: %v × %v, want 1435 × %v", style, blank.Width, blank.Height, high)
		}
	}
}
