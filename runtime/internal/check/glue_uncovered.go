package check

import (
	"fmt"
	"slices"
	"strings"

	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/internal/contact"
	"github.com/creasewright/creasewright/runtime/model"
)

const (
	// uncoveredLimit is the contract's: glue fails when more than a tenth of its
	// area finds no board.
	uncoveredLimit = 0.1
	// uncoveredLeast is the share below which there is nothing to say: corners
	// cut by hand differ by more.
	uncoveredLeast = 0.005
)

// glueUncovered tells of glue areas that find no board.
var glueUncovered = Rule{
	ID: "glue-uncovered", Severity: diag.Error, Title: "part of a glue area finds no board",
	after: []string{"loop-open", "loop-loose", "loop-unsolved", "flap-too-deep", "tuck-too-wide", "join-gap"},
	find: func(f *facts) []Found {
		return f.each(func(p state) []Found {
			var out []Found
			for _, c := range p.Covers {
				if c.Share > uncoveredLeast {
					out = append(out, coverFound(p, c))
				}
			}
			return out
		})
	},
}

func coverFound(p state, c contact.Cover) Found {
	j := c.Join
	var parts []string
	part := func(area float64, where string) {
		if area >= 0.5 {
			parts = append(parts, fmt.Sprintf("%.0f mm² %s", area, where))
		}
	}
	part(c.Off, "beyond its outline")
	part(c.Holes, "over what windows took from it")
	part(c.Lines, "over cuts and perforations")
	f := foundf(j.Site, []*model.Panel{j.A.Panel, j.B.Panel}, "%.0f %% of glued panel %q finds no board on %q: %s",
		100*c.Share, j.A.Panel.Name, j.B.Panel.Name, strings.Join(parts, ", ")).
		in(p.Pose, fmt.Sprint(slices.Index(p.Piece.Joins, j))).
		relate(j.B.Panel.Site, "panel %q", j.B.Panel.Name).
		atPanel(j.A.Panel)
	f.Mild = c.Share <= uncoveredLimit
	return f.hint("make the glued panel smaller, or move it or the cuts under it")
}
