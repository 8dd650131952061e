package engine

import (
	"encoding/json"
	"fmt"
	"maps"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/internal/script/scripttest"
)

// Every error case of tests gives the findings marked in it, each at its line, and
// no other.
func TestErrorsOfTests(t *testing.T) {
	scripttest.Check(t, filepath.Join("..", "..", "testdata", "errors", "tests", "*.star"), func(c *scripttest.Case) []*diag.Finding {
		return mustRun(Request{Script: scripttest.Main, Read: from(c.Files), Tests: true}).Findings
	})
}

// toldReport is what a report tells that tests can ask for.
type toldReport struct {
	Pieces []struct {
		Blank struct {
			Width, Height, Area float64
			Mass                *float64 `json:"mass_g"`
			Lengths             map[string]float64
		}
		Panels []struct {
			Name  string
			Area  float64
			Poses map[string][]float64 // rows of the rotation, each with its part of the shift behind it
		}
		Hinges []struct {
			Child   string
			Closing bool
			Folds   map[string]float64
		}
		Joins []struct {
			A, B string
			Gaps map[string]float64
		}
		Poses []struct {
			Name    string
			Outside []float64
		}
	}
	Findings []struct{ Rule string }
}

// questions asks for everything in a report, a line for each; all hold where off is 0.
func questions(r toldReport, off float64) (lines []string) {
	ask := func(form string, want float64, args ...any) {
		lines = append(lines, fmt.Sprintf("near(facts."+form+", %.9f, within = 1e-6)", append(args, want+off)...))
	}
	p := r.Pieces[0]
	ask("blank().width", p.Blank.Width)
	ask("blank().height", p.Blank.Height)
	ask("blank().area", p.Blank.Area)
	if p.Blank.Mass != nil {
		ask("blank().mass", *p.Blank.Mass)
	}
	for _, kind := range slices.Sorted(maps.Keys(p.Blank.Lengths)) {
		ask("blank().lengths[%q]", p.Blank.Lengths[kind], kind)
	}
	for _, panel := range p.Panels {
		ask("area(%q)", panel.Area, panel.Name)
		for _, pose := range slices.Sorted(maps.Keys(panel.Poses)) {
			for k, m := range slices.Collect(slices.Chunk(panel.Poses[pose], 4)) {
				ask("place(%q, %q, at = (3, 5))[%d]", 3*m[0]+5*m[1]+m[3], panel.Name, pose, k)
			}
		}
	}
	for _, h := range p.Hinges {
		for _, pose := range slices.Sorted(maps.Keys(h.Folds)) {
			if !h.Closing {
				ask("fold(%q, %q)", h.Folds[pose], h.Child, pose)
			}
		}
	}
	for _, j := range p.Joins {
		a, _, _ := strings.Cut(j.A, ".")
		b, _, _ := strings.Cut(j.B, ".")
		for _, pose := range slices.Sorted(maps.Keys(j.Gaps)) {
			ask("gap(%q, %q, %q)", j.Gaps[pose], a, b, pose)
		}
	}
	for _, s := range p.Poses {
		for k, size := range s.Outside {
			ask("size()[%d]", size, k)
		}
	}
	return append(lines, fmt.Sprintf("near(len(facts.findings()), %.9f)", float64(len(r.Findings))+off))
}

// Law: the facts of a test are those of the report, and a test that asks for anything
// else fails at every line that does.
func TestFactsAreThoseOfTheReport(t *testing.T) {
	for _, name := range []string{"soap-sleeve.star", "tea-carton.star", "candle-box.star"} {
		text, err := scriptsFolder(name)
		if err != nil {
			t.Fatal(err)
		}
		var report toldReport
		if err := json.Unmarshal(fileNamed(makeExample(name, nil), "report.json"), &report); err != nil {
			t.Fatal(err)
		}
		for _, off := range []float64{0, 0.01} {
			asked := questions(report, off)
			asks := string(text) + "\ndef test_facts():\n    facts = built()\n    " + strings.Join(asked, "\n    ") + "\n"
			res := mustRun(Request{Script: name, Read: from(map[string]string{name: asks}), Tests: true})
			failed := 0
			for _, f := range res.Findings {
				if failed++; off == 0 || f.Rule == diag.RuleScript {
					t.Errorf("%s: %v", name, f)
				}
			}
			if off != 0 && failed != min(len(asked), diag.MostFindings) && failed != len(asked) {
				t.Errorf("%s: %d of %d wrong questions fail", name, failed, len(asked))
			}
			if len(asked) < 30 || len(res.Tests) != 1 || res.Tests[0].Failed != (off != 0) {
				t.Errorf("%s: %d questions, ran %v", name, len(asked), res.Tests)
			}
		}
	}
}

// Tests know nothing of one another, and nothing is made of them.
func TestTestsStartAfresh(t *testing.T) {
	text := `card = board("card", caliper = 0.4)
shared = []

def base():
    return panel("base", rect(60, 90))

def test_one():
    piece("tray", base(), board = card)

def test_two():
    piece("tray", base(), board = card)
    shared.append(1)

def test_three():
    base()
    for n in (1, 2):
        piece("tray", panel("lid", rect(60, 90)), board = card)
        near(built(clean = n == 2).blank().width, 60)
`
	res := mustRun(Request{Script: "a_test.star", Read: from(map[string]string{"a_test.star": text}), Tests: true})
	want := []Test{{"test_one", false}, {"test_two", true}, {"test_three", false}}
	if res.Exit != Faulty || !slices.Equal(res.Tests, want) || len(res.Files)+len(res.Pieces) > 0 {
		t.Errorf("exit %d, ran %v, made %v", res.Exit, res.Tests, res.Files)
	}
	one := mustRun(Request{Script: "a_test.star", Read: from(map[string]string{"a_test.star": text}), Tests: true, Only: "test_three"})
	none := mustRun(Request{Script: "a_test.star", Read: from(map[string]string{"a_test.star": text}), Tests: true, Only: NoTest})
	if !slices.Equal(one.Tests, want[2:]) || one.Exit != Clean || len(none.Tests) != 3 || none.Exit != Clean {
		t.Errorf("alone: exit %d, ran %v; none: exit %d, %v", one.Exit, one.Tests, none.Exit, none.Tests)
	}
	if len(res.Findings) != 1 || res.Findings[0].Site.First().Line != 12 {
		t.Errorf("%v", res.Findings)
	}
}

// The words of tests are for tests: neither a script has them nor a module that a
// test loads.
func TestWordsOfTestsStayInTests(t *testing.T) {
	texts := map[string]string{
		"box.star":       "def size():\n    return built()\n",
		"box_test.star":  "load(\"box.star\", \"size\")\ndef test_a():\n    size()\n",
		"more_test.star": "def lid():\n    same(1, 1)\n",
		"two_test.star":  "load(\"more_test.star\", \"lid\")\ndef test_a():\n    lid()\n",
	}
	for script, tests := range map[string]bool{"box.star": false, "box_test.star": true, "more_test.star": false} {
		res := mustRun(Request{Script: script, Read: from(texts), Tests: tests})
		if res.Exit != Broken || !strings.Contains(res.Findings[0].Hint, "is a word of tests") {
			t.Errorf("%s: %v", script, res.Findings)
		}
	}
	if res := mustRun(Request{Script: "two_test.star", Read: from(texts), Tests: true}); res.Exit != Clean {
		t.Errorf("a file of tests that another loads: %v", res.Findings)
	}
}
