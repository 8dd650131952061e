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
	if got := Cautions(plain()); !slices.Equal(got, []string{MachineCaution}) {
		t.Errorf("got %q", got)
	}
	if got := Cautions(&model.Design{Title: "Tea"}); got != nil {
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
				if got := Cautions(d); !slices.Equal(got, []string{MachineCaution, c.text}) {
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
	if got := Cautions(d); len(got) != 1 {
		t.Errorf("got %q", got)
	}
}

func TestWeightBringsTheStrengthCaution(t *testing.T) {
	d, mass := plain(), 250.0
	d.Contents = []*model.Contents{{Name: "soap", Mass: &mass}}
	if got := Cautions(d); !slices.Equal(got, []string{MachineCaution, StrengthCaution}) {
		t.Errorf("got %q", got)
	}
}

// The wording rule: a caution defers, it promises nothing.
func TestNoCautionPromises(t *testing.T) {
	texts := []string{MachineCaution, StrengthCaution}
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
