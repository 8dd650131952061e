// Package board describes the stock a piece is cut from and the allowances
// that its thickness asks for. It is for Go users, and stable; a board does not
// change once New has made it.
package board

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"github.com/creasewright/creasewright/runtime/geom"
)

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
func Kinds() []Kind { return []Kind{Paper, Card, Coated, Greyboard, Corrugated} }

// KindNames lists every kind as text, in the same order.
func KindNames() []string {
	var names []string
	for _, k := range Kinds() {
		names = append(names, string(k))
	}
	return names
}

// ErrKind is what New's error wraps when the kind is none of Kinds, so that a
// caller can suggest the nearest.
var ErrKind = errors.New("not one of " + strings.Join(KindNames(), ", "))

// Board is one stock. Optional figures are nil where the script gave none.
type Board struct {
	Name         string
	Kind         Kind
	Caliper      float64       // thickness, mm
	GSM          *float64      // grammage, g/m²
	GrainDegrees *geom.Degrees // direction of the grain in the blank, degrees, 0 along x
}

// New checks b's figures and gives a board of its own; an empty kind is card.
// The caliper lies between geom.MinSize and geom.MaxSize, the grammage is
// positive, the grain any angle.
func New(b Board) (*Board, error) {
	if b.Kind == "" {
		b.Kind = Card
	}
	switch {
	case strings.TrimSpace(b.Name) == "":
		return nil, errors.New("a board needs a name")
	case !slices.Contains(Kinds(), b.Kind):
		return nil, fmt.Errorf("kind %q is %w", b.Kind, ErrKind)
	case !(b.Caliper >= geom.MinSize && b.Caliper <= geom.MaxSize):
		return nil, fmt.Errorf("caliper = %.10g mm is not between %g and %s mm", b.Caliper, geom.MinSize, geom.Num(geom.MaxSize))
	case b.GSM != nil && !(*b.GSM > 0 && *b.GSM <= math.MaxFloat64):
		return nil, fmt.Errorf("gsm = %.10g is not a positive number", *b.GSM)
	case b.GrainDegrees != nil && !(math.Abs(float64(*b.GrainDegrees)) <= math.MaxFloat64):
		return nil, fmt.Errorf("grain = %.10g is not an angle", *b.GrainDegrees)
	}
	b.GSM, b.GrainDegrees = own(b.GSM), own(b.GrainDegrees)
	return &b, nil
}

// own copies an optional figure, so that the caller's may change.
func own[T any](v *T) *T {
	if v == nil {
		return nil
	}
	c := *v
	return &c
}

// Turn is what of the board a fold turns about.
type Turn int

// What folds turn about: a crease about the middle of the board, a groove about
// the skin on the outside of the fold.
const (
	AboutMiddle Turn = iota
	AboutOutside
)

// lost is how much of the span between two square folds the board takes up, on
// the inside.
func (t Turn) lost(caliper float64) float64 {
	if t == AboutOutside {
		return 2 * caliper
	}
	return caliper
}

// SpanInside is the fold-to-fold size of a panel between two square folds that
// leaves clear room of inside mm. Where the folds turn about mid-thickness half a
// caliper is lost at each end, where they turn about the outside skin a whole
// one.
func (b *Board) SpanInside(inside float64, t Turn) (float64, error) {
	lost := t.lost(b.Caliper)
	if !(inside > 0 && inside+lost <= geom.MaxSize) {
		return 0, fmt.Errorf("inside = %.10g mm is not a size up to %s mm", inside, geom.Num(geom.MaxSize-lost))
	}
	return inside + lost, nil
}

// SpanOutside is the fold-to-fold size of a panel between two square folds that
// measures outside mm over all.
func (b *Board) SpanOutside(outside float64, t Turn) (float64, error) {
	switch span := outside - 2*b.Caliper + t.lost(b.Caliper); {
	case !(outside <= geom.MaxSize):
		return 0, fmt.Errorf("outside = %.10g mm is not a size up to %s mm", outside, geom.Num(geom.MaxSize))
	case span < geom.MinSize:
		return 0, fmt.Errorf("outside = %.10g mm leaves nothing between two folds of board %q, caliper %s mm", outside, b.Name, geom.Num(b.Caliper))
	default:
		return span, nil
	}
}

// Mass is the mass in grams of area mm² of the board; ok is false when the
// grammage is not known.
func (b *Board) Mass(area float64) (grams float64, ok bool) {
	if b.GSM == nil {
		return 0, false
	}
	return *b.GSM * area * 1e-6, true
}
