package check

import (
	"fmt"

	"github.com/creasewright/creasewright/runtime/board"
	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/model"
)

// Figures that hardly any stock has: well beyond what is on sale, so that only a
// slip in the unit passes them. Common practice, no source.
var (
	// thickest is the caliper in mm.
	thickest = map[board.Kind]float64{board.Paper: 1, board.Card: 3, board.Coated: 3, board.Greyboard: 10, board.Corrugated: 30}
	// bulk is the volume of a gram in cm³, from hard pressed to light; ISO 534
	// has the term. Papers and boards lie between 0.7 and 2.5, corrugated, of
	// which most is air, between 3 and 10.
	bulk           = [2]float64{0.4, 5}
	corrugatedBulk = [2]float64{1, 40}
)

// boardUnlikely warns of boards that are not on sale: the unit of a figure is
// another, as a rule.
var boardUnlikely = Rule{
	ID: "board-unlikely", Severity: diag.Warning, Title: "a board's figures are hardly meant",
	find: func(f *facts) []Found {
		var out []Found
		for _, piece := range f.Design.Pieces {
			said, hint := unlikely(piece.Board)
			if said != "" {
				out = append(out, foundf(piece.Site, []*model.Panel{piece.Root}, "board %q: %s", piece.Board.Name, said).hint("%s", hint))
			}
		}
		return out
	},
}

// unlikely says what is odd about a board's figures, "" for nothing, and what
// was meant, perhaps.
func unlikely(b *board.Board) (said, hint string) {
	if most := thickest[b.Kind]; b.Caliper > most {
		said = fmt.Sprintf("it is %s thick, and %s is hardly more than %s", mm(b.Caliper), stockWord(b), mm(most))
		if b.Caliper/1000 > most {
			return said, "caliper is in millimetres"
		}
		if b.Caliper >= leastMicrons {
			return said, fmt.Sprintf("%s microns are caliper = %s", geom.Num(b.Caliper), geom.Num(b.Caliper/1000))
		}
		if b.Caliper <= thickest[board.Corrugated] && b.Kind != board.Corrugated {
			return said, fmt.Sprintf(`corrugated is kind = "corrugated", and thousandths of an inch are caliper = thou(%s)`, geom.Num(b.Caliper))
		}
		return said, fmt.Sprintf("thousandths of an inch are caliper = thou(%s)", geom.Num(b.Caliper))
	}
	if b.GSM == nil {
		return "", ""
	}
	usual := bulk
	if b.Kind == board.Corrugated {
		usual = corrugatedBulk
	}
	if v := 1000 * b.Caliper / *b.GSM; v < usual[0] || v > usual[1] {
		return fmt.Sprintf("with %s mm and %s g/m² a gram of it fills %s cm³, and between %g and %g is usual", geom.Num(b.Caliper), geom.Num(*b.GSM), short(v), usual[0], usual[1]),
			"look at caliper, in mm, and gsm, in grams to the square metre"
	}
	return "", ""
}

// leastMicrons is from which figure on microns are meant: no board is thinner
// than that many, nor thicker than as many thousandths of an inch.
const leastMicrons = 60
