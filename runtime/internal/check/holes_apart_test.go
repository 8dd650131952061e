package check

import (
	"fmt"
	"math/rand"
	"regexp"
	"strings"
	"testing"

	"github.com/creasewright/creasewright/runtime/diag"
)

// Law: whatever the holes and however the layers hang on one another, the shift
// that a hint of holes-apart gives, put into the script at the finding's line,
// leaves no such finding and no warning or error that was not there.
func TestHolesApartShiftCures(t *testing.T) {
	rng := rand.New(rand.NewSource(61))
	moved := regexp.MustCompile(`by (shift\(\S+, \S+\)),`)
	tried, told := 0, 0
	for range 60 {
		shape := [...]string{"slot(24, 8)", "circle(14)", "polygon([(-9, -5), (11, -7), (3, 8)])", "rect(20, 9, round = 2).shift(-10, -4)"}[rng.Intn(4)]
		edge, fold, side := [...]string{"top", "right", "left"}[rng.Intn(3)], 180, "inside"
		if rng.Intn(2) == 0 {
			fold, side = -180, "outside"
		}
		text := fmt.Sprintf(`card = board("card", caliper = 0.5)
base = panel("base", rect(90, 90))
over = panel("over", rect(88, 88), on = base.%s, fold = %d)
glue(over, base, side = %q)
base.cut(%s.turn(%d).shift(45, 45))
over.cut(%s.turn(%d).shift(%g, %g))
piece("leaf", base, board = card)
`, edge, fold, side, shape, rng.Intn(360), shape, rng.Intn(360), 44+16*(rng.Float64()-0.5), 44+16*(rng.Float64()-0.5))
		before, _ := examineText(t, text)
		for _, f := range before {
			m := moved.FindStringSubmatch(f.Hint)
			if f.Rule != holesApart.ID {
				continue
			}
			if told++; m == nil {
				continue
			}
			tried++
			lines := strings.Split(text, "\n")
			at := f.Site.First().Line - 1
			lines[at] = strings.TrimSuffix(lines[at], ")") + "." + m[1] + ")"
			after, _ := examineText(t, strings.Join(lines, "\n"))
			for _, g := range after {
				if g.Severity > diag.Note {
					t.Errorf("after %s there is %s, in\n%s", m[1], g, text)
				}
			}
		}
	}
	if told < 40 || tried < 12 {
		t.Errorf("%d told, %d tried", told, tried)
	}
}
