package script

import (
	"context"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/model"
	"github.com/creasewright/creasewright/runtime/source"
)

// Every word of the vocabulary says how it is written, what its numbers mean
// and shows itself at work.
func TestWordsAreDocumented(t *testing.T) {
	seen := map[string]bool{}
	for _, w := range Words() {
		if w.Signature == "" || w.Units == "" || w.Doc == "" || w.Example == "" || w.Group == "" || w.Kind == "" {
			t.Errorf("%s: an entry is empty: %+v", w.Name, w)
		}
		if seen[w.Name] {
			t.Errorf("%s is there twice", w.Name)
		}
		seen[w.Name] = true
	}
}

// errorCases is the text of all error cases.
func errorCases(t *testing.T) string {
	t.Helper()
	paths, err := filepath.Glob("../../../testdata/errors/*.star")
	ofTests, err2 := filepath.Glob("../../../testdata/errors/tests/*.star")
	if err != nil || err2 != nil || len(paths) == 0 {
		t.Fatal("no error cases", err, err2)
	}
	paths = append(paths, ofTests...)
	var all strings.Builder
	for _, path := range paths {
		text, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		all.Write(text)
	}
	return all.String()
}

// Every word that can be called wrongly is, in some error case.
func TestErrorCasesCoverEveryWord(t *testing.T) {
	cases := errorCases(t)
	for _, w := range vocabulary().words {
		if w.run != nil && !regexp.MustCompile(`\b`+w.short()+`\(.*#!`).MatchString(cases) {
			t.Errorf("no error case calls %s", w.Name)
		}
	}
}

// Every rewording of Starlark's messages shows in some error case, but for
// those that only a limit brings up.
func TestErrorCasesCoverEveryRewording(t *testing.T) {
	cases := errorCases(t)
	group := regexp.MustCompile(`(\\\$\d)+`)
	for _, rules := range [][]rewording{syntaxRewordings, resolveRewordings, runRewordings} {
		for _, r := range rules {
			if strings.Contains(r.forms, "cancelled") {
				continue
			}
			message := strings.NewReplacer("‹", "", "›", "").Replace(r.message)
			shown := group.ReplaceAllString(regexp.QuoteMeta(message), `.*`)
			if !regexp.MustCompile(`#! ` + shown + `( #\?|\n)`).MatchString(cases) {
				t.Errorf("no error case says %q", r.message)
			}
		}
	}
}

// What a word's text sets apart is one of its own arguments, or another word.
func TestDocsNameArguments(t *testing.T) {
	set := regexp.MustCompile("`(\\w+)[^`]*`")
	for _, w := range vocabulary().words {
		args := regexp.MustCompile(`\w+`).FindAllString(w.Args, -1)
		for _, m := range set.FindAllStringSubmatch(w.Doc, -1) {
			if !slices.Contains(args, m[1]) && vocabulary().byName[m[1]] == nil {
				t.Errorf("%s: %s is neither its argument nor a word", w.Name, m[1])
			}
		}
	}
}

// fromDisk are the files beside a test script.
func fromDisk(t *testing.T, dir string) files {
	t.Helper()
	paths, err := filepath.Glob(filepath.Join(dir, "*.star"))
	if err != nil || len(paths) == 0 {
		t.Fatal("no scripts in", dir, err)
	}
	all := files{}
	for _, path := range paths {
		text, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		all[filepath.Base(path)] = string(text)
	}
	return all
}

// The words do what they say: scripts in the language itself require it.
func TestWordsInTheLanguage(t *testing.T) {
	all := fromDisk(t, "../../../testdata/words")
	for name := range all {
		if name == "assert.star" {
			continue
		}
		_, fs := Run(t.Context(), all.store(), name, Options{})
		for _, f := range fs {
			t.Errorf("%v %s", f, f.Hint)
		}
	}
}

// What the panel tests make arrives in the model as it was asked for.
func TestWordsInTheModel(t *testing.T) {
	all := fromDisk(t, "../../../testdata/words")
	d, fs := Run(t.Context(), all.store(), "panels.star", Options{})
	if d == nil {
		t.Fatal(messages(fs))
	}
	hinge := map[string]*model.Hinge{}
	for _, h := range d.Hinges {
		hinge[h.Name] = h
	}
	for name, want := range map[string]struct {
		on, by  string
		degrees geom.Degrees
		line    model.LineKind
	}{
		"side":    {"right", "left", 90, model.Score},
		"lid":     {"top", "bottom", 100, model.Perforated},
		"tip":     {"top", "e0", 90, model.Score},
		"tray":    {"bottom", "base", -90, model.Score},
		"dust":    {"top", "base", 90, model.Score},
		"soft":    {"top", "base", 0, model.Score},
		"stand":   {"top", "bottom", -20, model.Score},
		"strap 1": {"right", "left", 90, model.Score},
	} {
		h := hinge[name]
		if h == nil || h.On.Name != want.on || h.By.Name != want.by || h.Fold.Free != nil || h.Fold.Degrees != want.degrees || h.Line != want.line {
			t.Errorf("%s: %+v", name, h)
		}
	}
	if f := hinge["odd"].Fold.Free; f == nil || f.Side != model.In || *f.NearDegrees != 30 || hinge["odd"].By.Name != "top" {
		t.Errorf("odd: %+v", hinge["odd"])
	}
	if f := hinge["seam"].Fold.Free; f == nil || f.Side != model.In {
		t.Errorf("seam: %+v", hinge["seam"])
	}
	checkRest(t, d)
}

func checkRest(t *testing.T, d *model.Design) {
	t.Helper()
	kinds := map[model.JoinKind]int{}
	for _, j := range d.Joins {
		kinds[j.Kind]++
	}
	if kinds[model.TabJoin] != 2 || kinds[model.GlueJoin] != 1 || kinds[model.MeetJoin] != 1 || kinds[model.TuckJoin] != 2 {
		t.Errorf("joins %v", kinds)
	}
	base := d.Panels[0]
	works := map[model.WorkKind]int{}
	for _, w := range base.Works {
		works[w.Kind]++
	}
	if len(base.Windows) != 1 || works[model.Slit] != 1 || works[model.ScoreLine] != 2 || works[model.Perforation] != 1 || works[model.Drawn] != 1 {
		t.Errorf("%d windows, works %v", len(base.Windows), works)
	}
	if len(d.Poses) != 4 || d.Poses[2].At != 0.5 || !d.Poses[2].Glued || d.Poses[3].Glued || len(d.Poses[3].FoldDegrees) != 2 {
		t.Errorf("poses %+v", d.Poses)
	}
	soap, candle := d.Contents[0], d.Contents[1]
	if soap.Size != [3]float64{20, 30, 10} || soap.At.X != 30 || soap.TurnDegrees != 90 || soap.Clearance != 0.5 || *soap.Mass != 100 {
		t.Errorf("%+v", soap)
	}
	if !candle.Round || candle.Size != [3]float64{10, 10, 20} || candle.At != nil || candle.Mass != nil {
		t.Errorf("%+v", candle)
	}
	if p := d.Pieces[0]; p.Copies != 2 || !p.Inside || p.Board.Name != "card" {
		t.Errorf("%+v", p)
	}
	if w := d.Waivers[0]; w.Rule != "panel-unclaimed" || w.Panel != base || w.Reason != "on purpose" {
		t.Errorf("%+v", w)
	}
}

// Perforations cut 3 mm and leave 1 mm unless the script says otherwise, as words
// tells.
func TestPerforationsByDefault(t *testing.T) {
	const text = "card = board(\"card\", caliper = 0.4)\nbase = panel(\"base\", rect(60, 90))\nbase.perforate(path(0, 80).line(60, 80))\npiece(\"p\", base, board = card)\n"
	d, findings := Run(context.Background(), source.NewStore(func(string) ([]byte, error) { return []byte(text), nil }), "x.star", Options{})
	if d == nil {
		t.Fatal(findings[0])
	}
	if w := d.Panels[0].Works[0]; w.Cut != 3 || w.Tie != 1 {
		t.Errorf("cut %g mm, tie %g mm", w.Cut, w.Tie)
	}
}
