// Package board describes the stock a piece is cut from and the allowances
// that its thickness asks for.
package board

import "fmt"

// Kind is the sort of stock.
type Kind string

// The kinds of stock a script may name.
const (
	Paper      Kind = "paper"
	Card       Kind = "card"
	Coated     Kind = "coated"
	Greyboard  Kind = "greyboard"
	Corrugated Kind = "corrugated"
)

// Kinds lists every kind, in the order shown to people.
var Kinds = []Kind{Paper, Card, Coated, Greyboard, Corrugated}

// Board is one stock. Optional figures are nil where the script gave none.
type Board struct {
	Name    string
	Kind    Kind
	Caliper float64  // thickness, mm
	GSM     *float64 // grammage, g/m²
	Grain   *float64 // direction of the grain in the blank, degrees, 0 along x
}

// SpanInside is the score-to-score size of a panel between two square folds
// that leaves clear room of inside mm: a fold turns about mid-thickness, so
// half a caliper is lost at each end.
func (b *Board) SpanInside(inside float64) float64 { return inside + b.Caliper }

// SpanOutside is the score-to-score size of a panel between two square folds
// that measures outside mm over all.
func (b *Board) SpanOutside(outside float64) (float64, error) {
	if outside <= b.Caliper {
		return 0, fmt.Errorf("outside = %g mm is not more than the board's caliper of %g mm", outside, b.Caliper)
	}
	return outside - b.Caliper, nil
}

// Mass is the mass in grams of area mm² of the board; ok is false when the
// grammage is not known.
func (b *Board) Mass(area float64) (grams float64, ok bool) {
	if b.GSM == nil {
		return 0, false
	}
	return *b.GSM * area * 1e-6, true
}
