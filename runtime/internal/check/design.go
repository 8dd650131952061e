package check

import (
	"fmt"
	"strings"

	"github.com/creasewright/creasewright/runtime/board"
	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/model"
	"github.com/creasewright/creasewright/runtime/simulate"
)

// requireRule tells of the designer's own rules that do not hold.
var requireRule = Rule{
	ID: "require", Severity: diag.Error, Title: "a rule of the script's own does not hold",
	find: func(f *facts) []Found {
		var out []Found
		for _, r := range f.Design.Failed {
			out = append(out, foundf(r.Site, nil, "%s", r.Message))
		}
		return out
	},
}

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
// another, as a rule. A board is told once, where it is made, with the pieces of it.
var boardUnlikely = Rule{
	ID: "board-unlikely", Severity: diag.Warning, Title: "a board's figures are hardly meant",
	find: func(f *facts) []Found {
		var out []Found
		told := map[*board.Board]int{} // place in out
		for _, piece := range f.Design.Pieces {
			said, hint := unlikely(piece.Board)
			if said == "" {
				continue
			}
			i, ok := told[piece.Board]
			if !ok {
				i = len(out)
				told[piece.Board] = i
				site := piece.BoardSite
				if len(site) == 0 {
					site = piece.Site
				}
				out = append(out, foundf(site, nil, "board %q: %s", piece.Board.Name, said).hint("%s", hint))
				out[i].Piece = piece
			}
			out[i].Panels = append(out[i].Panels, piece.Root)
			out[i] = out[i].relate(piece.Site, "piece %q is made of it", piece.Name)
		}
		return out
	},
}

// unlikely says what is odd about a board's figures, "" for nothing, and what
// was meant, perhaps.
func unlikely(b *board.Board) (said, hint string) {
	if most := thickest[b.Kind]; b.Caliper > most {
		said = fmt.Sprintf("it is %s thick, and %s is hardly more than %s", mm(b.Caliper), stockWord(b), mm(most))
		// A figure that is still too large as microns is a slip of the pen; one from leastMicrons on
		// is most likely microns, a smaller one thousandths of an inch, or the caliper of corrugated
		// that was not said to be.
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
	// Bulk, the volume of a gram: caliper in µm over g/m² is cm³/g.
	if v := 1000 * b.Caliper / *b.GSM; exceeds(usual[0], v) || exceeds(v, usual[1]) {
		return fmt.Sprintf("with %s mm and %s g/m² a gram of it fills %s cm³, and between %g and %g is usual", geom.Num(b.Caliper), geom.Num(*b.GSM), short(v), usual[0], usual[1]),
			"look at caliper, in mm, and gsm, in grams to the square metre"
	}
	return "", ""
}

// leastMicrons is from which figure on microns are meant: no board is thinner
// than that many, nor thicker than as many thousandths of an inch.
const leastMicrons = 60

// panelUnclaimed warns of panels that were drawn and will not be made, once a
// tree.
var panelUnclaimed = Rule{
	ID: "panel-unclaimed", Severity: diag.Warning, Title: "a panel belongs to no piece",
	find: func(f *facts) []Found {
		var out []Found
		for _, p := range f.Design.Unclaimed() {
			out = append(out, foundf(p.Site, []*model.Panel{p},
				"panel %q and what hangs on it belong to no piece and will not be made", p.Name).
				hint("add piece(…) with this panel as its root, or take the panel out"))
		}
		return out
	},
}

// pieceTooLarge warns of pieces that fit no bed or sheet, turned or not.
var pieceTooLarge = Rule{
	ID: "piece-too-large", Severity: diag.Warning, Title: "a piece is larger than the bed or the sheet",
	find: func(f *facts) []Found {
		return f.eachOnMachine(func(i int, piece *model.Piece, m *model.Machine) []Found {
			b := f.Blanks[i].Bounds
			x, y := m.Excess(b.Width(), b.Height())
			var g Found
			switch {
			case x > 0 || y > 0:
				roomX, roomY := m.Room()
				g = aboutMachine(piece, m, "piece %q is %s × %s, and machine %q has room for %s × %s",
					piece.Name, mm(b.Width()), mm(b.Height()), m.Name, mm(roomX), mm(roomY)).
					hint("%s would fit it on", excess(x, y))
			case f.asked(m) && !f.programmed(piece, m):
				g = aboutMachine(piece, m, "on machine %q the ways of its tools round piece %q leave the bed, by what they overcut and compensate", m.Name, piece.Name).
					hint("a margin would keep them on it")
			default:
				return nil
			}
			g.Fatal = f.asked(m) // its file cannot be made
			return []Found{g}
		})
	},
}

// excess says how much smaller along x and y a piece must be.
func excess(x, y float64) string {
	var parts []string
	for _, side := range []struct {
		axis string
		over float64
	}{{"x", x}, {"y", y}} {
		if side.over > 0 {
			parts = append(parts, fmt.Sprintf("%s less along %s", mm(side.over), side.axis))
		}
	}
	return strings.Join(parts, " and ")
}

// curvedHingeNotFolded notes, once a piece, that what lies beyond curved hinges
// is left out of the poses.
var curvedHingeNotFolded = Rule{
	ID: "curved-hinge-not-folded", Severity: diag.Note, Title: "a hinge along a curve is not folded in space",
	find: func(f *facts) []Found {
		return leftOut(f, func(l simulate.LeftOut) bool { return l.Hinge != nil }, func(first simulate.LeftOut, left []*model.Panel) Found {
			h := first.Hinge
			return foundf(siteOf(h), left, "hinge %q runs along a curve and is not folded in space; left out of the poses: %s",
				h.Name, quoted(left)).atHinge(h)
		})
	},
}

// bentPanelNotFolded notes, once a piece, that bent panels and what hangs on
// them are left out of the poses.
var bentPanelNotFolded = Rule{
	ID: "bent-panel-not-folded", Severity: diag.Note, Title: "a bent panel is not shown in space",
	find: func(f *facts) []Found {
		return leftOut(f, func(l simulate.LeftOut) bool { return l.Hinge == nil }, func(first simulate.LeftOut, left []*model.Panel) Found {
			p := first.Panel
			return foundf(p.Site, left, "panel %q is bent, not folded; left out of the poses: %s",
				p.Name, quoted(left)).atPanel(p)
		})
	},
}

// leftOut makes one finding a piece of the panels that were left out for one
// reason.
func leftOut(f *facts, why func(simulate.LeftOut) bool, tell func(simulate.LeftOut, []*model.Panel) Found) []Found {
	var out []Found
	for _, piece := range f.Pieces {
		// The first of them stands for all in the message.
		var first *simulate.LeftOut
		var left []*model.Panel
		for _, l := range piece.LeftOut {
			if why(l) {
				if first == nil {
					first = &l
				}
				left = append(left, l.Panel)
			}
		}
		if first != nil {
			out = append(out, tell(*first, left))
		}
	}
	return out
}
