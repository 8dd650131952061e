package script

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/creasewright/creasewright/runtime/model"
)

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
		degrees float64
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
	if f := hinge["odd"].Fold.Free; f == nil || f.Side != model.In || *f.Near != 30 || hinge["odd"].By.Name != "top" {
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
	if len(d.Poses) != 4 || d.Poses[2].At != 0.5 || !d.Poses[2].Glued || d.Poses[3].Glued || len(d.Poses[3].Folds) != 2 {
		t.Errorf("poses %+v", d.Poses)
	}
	soap, candle := d.Contents[0], d.Contents[1]
	if soap.Size != [3]float64{20, 30, 10} || soap.At.X != 30 || soap.Turn != 90 || soap.Clearance != 0.5 || *soap.Mass != 100 {
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
