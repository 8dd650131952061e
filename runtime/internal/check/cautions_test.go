package check

import (
	"slices"
	"strings"
	"testing"

	"github.com/creasewright/creasewright/runtime/board"
	"github.com/creasewright/creasewright/runtime/model"
)

// plain is a design with one piece and nothing to be careful about but blades.
func plain() *model.Design {
	return &model.Design{
		Title:  "Sleeve for a bar of soap",
		Pieces: []*model.Piece{{Name: "sleeve", Board: &board.Board{Name: "uncoated card"}}},
	}
}

func TestOnlyTheMachineForAnOrdinaryDesign(t *testing.T) {
	if got, _ := Cautions(plain()); !slices.Equal(got, []string{MachineCaution}) {
		t.Errorf("got %q", got)
	}
	if got, _ := Cautions(&model.Design{Title: "Tea"}); got != nil {
		t.Errorf("without pieces: %q", got)
	}
}

// Every trigger word, wherever it tells what the design is for, brings its
// caution exactly once; taken away again, it brings none.
func TestEveryWordInEveryPlace(t *testing.T) {
	places := map[string]func(d *model.Design, text string){
		"title":      func(d *model.Design, text string) { d.Title += ", for " + text },
		"piece":      func(d *model.Design, text string) { d.Pieces[0].Name = "box-" + text },
		"board":      func(d *model.Design, text string) { d.Pieces[0].Board.Name = text + " card" },
		"contents":   func(d *model.Design, text string) { d.Contents = []*model.Contents{{Name: text}} },
		"param":      func(d *model.Design, text string) { d.Params = []model.Param{{Name: text + "_width"}} },
		"param doc":  func(d *model.Design, text string) { d.Params = []model.Param{{Name: "w", Doc: "width of the " + text}} },
		"capitals":   func(d *model.Design, text string) { d.Title = strings.ToUpper(text) + "!" },
		"said twice": func(d *model.Design, text string) { d.Title = text + " and " + text + "s" },
	}
	for _, c := range cautions {
		for _, word := range c.words {
			for place, put := range places {
				d := plain()
				put(d, word)
				if got, _ := Cautions(d); !slices.Equal(got, []string{MachineCaution, c.text}) {
					t.Errorf("%q in %s: %q", word, place, got)
				}
			}
		}
	}
}

func TestWordsWithinWordsAreNotMeant(t *testing.T) {
	d := plain()
	d.Title = "Steady steam boxes for teak toys' neighbours, foodless, with handsome candlestick holders"
	d.Title = strings.ReplaceAll(d.Title, "toys", "toyshop")
	if got, _ := Cautions(d); len(got) != 1 {
		t.Errorf("got %q", got)
	}
}

func TestWeightBringsTheStrengthCaution(t *testing.T) {
	d, mass := plain(), 250.0
	d.Contents = []*model.Contents{{Name: "soap", Mass: &mass}}
	if got, _ := Cautions(d); !slices.Equal(got, []string{MachineCaution, StrengthCaution}) {
		t.Errorf("got %q", got)
	}
}

// The wording rule: a caution defers, it promises nothing.
func TestNoCautionPromises(t *testing.T) {
	texts := []string{MachineCaution}
	for _, c := range cautions {
		texts = append(texts, c.text)
		if !strings.Contains(c.text, "not assessed") {
			t.Errorf("does not say that it is not assessed: %q", c.text)
		}
	}
	for _, text := range texts {
		for _, bad := range []string{"safe", "compliant", "certified", "approved", "UN 4G"} {
			if strings.Contains(strings.ToLower(text), strings.ToLower(bad)) {
				t.Errorf("%q says %q", text, bad)
			}
		}
		if len(text) > 200 {
			t.Errorf("too long to be read: %q", text)
		}
	}
}

// The table has the kinds that scripts can ask for, in their order, and every kind
// asked for is told once, whatever else names it.
func TestCautionsAskedFor(t *testing.T) {
	var kinds []string
	for _, c := range cautions {
		kinds = append(kinds, c.kind)
		for name, ask := range map[string]func(d *model.Design){
			"piece":    func(d *model.Design) { d.Pieces[0].Cautions = []string{c.kind} },
			"contents": func(d *model.Design) { d.Contents = []*model.Contents{{Name: "x", Cautions: []string{c.kind}}} },
			"both and guessed": func(d *model.Design) {
				d.Title, d.Pieces[0].Cautions = c.words[0], []string{c.kind}
				d.Contents = []*model.Contents{{Name: c.words[0], Cautions: []string{c.kind}}}
			},
			"waived though asked for": func(d *model.Design) {
				d.Pieces[0].Cautions = []string{c.kind}
				d.Waivers = []*model.Waiver{{Rule: cautionRule + c.kind, Reason: "r"}}
			},
		} {
			d := plain()
			ask(d)
			if got, waived := Cautions(d); !slices.Equal(got, []string{MachineCaution, c.text}) || len(waived) != 0 {
				t.Errorf("%s, %s: %q, %d waived", c.kind, name, got, len(waived))
			}
		}
	}
	if !slices.Equal(kinds, model.CautionKinds()) {
		t.Errorf("the table has %q, scripts can name %q", kinds, model.CautionKinds())
	}
}

// A guess that is waived is not told, and is kept with its reason; others stay.
func TestGuessedCautionsAreWaived(t *testing.T) {
	for _, c := range cautions {
		d := plain()
		d.Title = c.words[0]
		d.Waivers = []*model.Waiver{{Rule: cautionRule + c.kind, Reason: "a name alone"}, {Rule: "web-thin", Reason: "other"}}
		got, waived := Cautions(d)
		if !slices.Equal(got, []string{MachineCaution}) || len(waived) != 1 || waived[0].Reason != "a name alone" || waived[0].Finding.Message != c.text {
			t.Errorf("%s: %q, %v", c.kind, got, waived)
		}
		if faults := Waivers(d); faults != nil {
			t.Errorf("%s: %v", c.kind, faults[0].Message)
		}
	}
}

// A pack that is carried by its handle has its load told, though no mass is given.
func TestHandlesBringTheStrengthCaution(t *testing.T) {
	for _, name := range []string{"handle", "front handle", "Henkel", "poignée"} {
		d := plain()
		d.Panels = []*model.Panel{{Name: name}}
		if got, _ := Cautions(d); !slices.Equal(got, []string{MachineCaution, StrengthCaution}) {
			t.Errorf("%q: %q", name, got)
		}
	}
}
