package check

import (
	"fmt"
	"math"
	"strings"

	"github.com/creasewright/creasewright/runtime/board"
	"github.com/creasewright/creasewright/runtime/internal/contact"
	"github.com/creasewright/creasewright/runtime/model"
)

// exceeds reports whether a value is greater than a limit, or than another of
// its kind, by more than rounding moves it.
func exceeds[T ~float64](v, limit T) bool { return contact.Exceeds(float64(v), float64(limit)) }

// held is a limit in force for a piece, and who says so.
type held struct {
	value float64
	by    string
}

// limit is the limit that a piece is held to.
func (f *facts) limit(l board.Limit, p *model.Piece) held {
	v, set, machine := f.Design.Limit(l, p.Board)
	switch {
	case set != nil:
		return held{v, "as the script sets it"}
	case machine != nil:
		return held{v, fmt.Sprintf("for machine %q", machine.Name)}
	}
	return held{v, "by common practice"}
}

// shown is what a message shows of a length, mm: two lengths that read alike
// count as alike.
const shown = 0.005

// short reports whether a length falls short of the limit.
func (h held) short(v float64) bool { return exceeds(h.value-shown, v) }

// String is the limit for a message: 3.00 mm by common practice.
func (h held) String() string { return mm(h.value) + " " + h.by }

// mostNamed is how many panels or hinges a message names one by one.
const mostNamed = 6

// quoted names panels for a message: "a", "b" and 3 more.
func quoted(panels []*model.Panel) string {
	names := make([]string, len(panels))
	for i, p := range panels {
		names[i] = p.Name
	}
	return quotedNames(names)
}

// quotedHinges names hinges for a message.
func quotedHinges(hinges []*model.Hinge) string {
	names := make([]string, len(hinges))
	for i, h := range hinges {
		names[i] = h.Name
	}
	return quotedNames(names)
}

// quotedNames quotes names and puts commas between them, at most mostNamed of them.
func quotedNames(names []string) string {
	var out []string
	for _, n := range names[:min(len(names), mostNamed)] {
		out = append(out, fmt.Sprintf("%q", n))
	}
	text := strings.Join(out, ", ")
	if more := len(names) - mostNamed; more > 0 {
		text += fmt.Sprintf(" and %d more", more)
	}
	return text
}

// mm prints a length for reading, to a hundredth.
func mm(v float64) string { return fmt.Sprintf("%.2f mm", v) }

// mmBeyond prints a length that exceeds a limit, to as many digits as it takes to
// read as more than the limit.
func mmBeyond(v, limit float64) string {
	const most = 9 // decimals: what the report has
	for digits := 2; digits < most; digits++ {
		scale := math.Pow(10, float64(digits))
		if math.Round(v*scale) > math.Round(limit*scale) && math.Round(v*scale) > 0 {
			return fmt.Sprintf("%.*f mm", digits, v)
		}
	}
	return fmt.Sprintf("%.*f mm", most, v)
}

// counted is a number with its noun: 1 fold, 2 folds.
func counted(n int, noun string) string {
	if n != 1 {
		noun += "s"
	}
	return fmt.Sprintf("%d %s", n, noun)
}
