package check

import (
	"fmt"
	"strings"

	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/model"
)

// pieceTooLarge warns of pieces that fit no bed or sheet, turned or not.
var pieceTooLarge = Rule{
	ID: "piece-too-large", Severity: diag.Warning, Title: "a piece is larger than the bed or the sheet",
	find: func(f *facts) []Found {
		return f.eachSound(func(i int, piece *model.Piece) []Found {
			b := f.Blanks[i].Bounds
			var out []Found
			for _, m := range f.Design.Machines {
				x, y := m.Excess(b.Width(), b.Height())
				if x <= 0 && y <= 0 {
					continue
				}
				roomX, roomY := m.Room()
				out = append(out, foundf(piece.Site, []*model.Panel{piece.Root}, "piece %q is %s × %s, and machine %q has room for %s × %s",
					piece.Name, mm(b.Width()), mm(b.Height()), m.Name, mm(roomX), mm(roomY)).
					relate(m.Site, "the machine").
					hint("%s would fit it on", excess(x, y)))
			}
			return out
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
