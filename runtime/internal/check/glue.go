package check

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"github.com/creasewright/creasewright/runtime/board"
	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/geom"
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
				if c = f.lessHoles(p, c); exceeds(c.Share, uncoveredLeast) {
					out = append(out, coverFound(p, c))
				}
			}
			return out
		})
	},
}

// lessHoles is a cover without what holes leave bare that holes-apart tells of,
// unless it is so much that the glue fails.
func (f *facts) lessHoles(p state, c contact.Cover) contact.Cover {
	if exceeds(c.Share, uncoveredLimit) {
		return c
	}
	for _, m := range p.HolesApart {
		if m.Join == c.Join && areApart(m) && f.waivers.of(holesApart.ID, m.Join.A.Panel, m.Join.B.Panel) == nil {
			bare := min(m.Bare, c.Holes)
			c.Holes -= bare
			c.Share = math.Max(0, c.Share-bare/c.Area)
		}
	}
	return c
}

// coverFound says which share of a glue area finds no board and where it lies, in mm². Up to the
// contract's tenth it is a note.
func coverFound(p state, c contact.Cover) Found {
	j := c.Join
	var parts []string
	part := func(area float64, where string) {
		if !exceeds(0.5, area) {
			parts = append(parts, fmt.Sprintf("%.0f mm² %s", area, where))
		}
	}
	// Shares under half a square millimetre are not worth a word.
	part(c.Off, "beyond its outline")
	part(c.Holes, "over what windows took from it")
	part(c.Lines, "over cuts and perforations")
	f := foundf(j.Site, []*model.Panel{j.A.Panel, j.B.Panel}, "%.0f %% of glued panel %q finds no board on %q: %s",
		100*c.Share, j.A.Panel.Name, j.B.Panel.Name, strings.Join(parts, ", ")).
		in(p.Pose, fmt.Sprint(slices.Index(p.Piece.Joins, j))).
		relate(j.B.Panel.Site, "panel %q", j.B.Panel.Name).
		atPanel(j.A.Panel)
	f.Mild = !exceeds(c.Share, uncoveredLimit)
	return f.hint("make the glued panel smaller, or move it or the cuts under it")
}

// glueTabNarrow warns of tabs that leave glue little room.
var glueTabNarrow = Rule{
	ID: "glue-tab-narrow", Severity: diag.Warning, Title: "a glue tab is narrower than practice for its board",
	find: func(f *facts) []Found {
		var out []Found
		for i, piece := range f.Design.Pieces {
			size := f.Blanks[i].Bounds
			for _, j := range piece.Joins {
				p := j.A.Panel
				if j.Kind != model.TabJoin && j.Kind != model.GlueJoin || p.Role == model.Plain {
					continue
				}
				out = append(out, f.judgeTab(piece, p, math.Max(size.Width(), size.Height()))...)
			}
		}
		return out
	},
}

// judgeTab compares a tab's depth with the least, both in mm. The hint rounds up to half a
// millimetre.
func (f *facts) judgeTab(piece *model.Piece, p *model.Panel, longest float64) []Found {
	least, asked := f.leastTab(piece.Board, p, longest)
	if p.Depth >= least-geom.SnapTolerance {
		return nil
	}
	about := []*model.Panel{p}
	if asked {
		return []Found{foundf(p.Site, about, "glue tab %q is %s deep, less than the %s asked for", p.Name, mm(p.Depth), mm(least)).
			atPanel(p).hint("depth = %s would put it right", short(least))}
	}
	return []Found{foundf(p.Site, about, "glue tab %q is %s deep, less than the %s usual for a piece of this size in %s",
		p.Name, mm(p.Depth), mm(least), piece.Board.Kind).
		atPanel(p).hint("depth = %s would put it right, or limits(glue_tab = %s) if your glue holds on that", short(math.Ceil(2*least)/2), short(p.Depth))}
}

// A small piece makes do with smaller tabs: a twentieth of its longer side, but
// 8 mm at least. Common practice, no source.
const (
	tabShare = 20
	smallTab = 8
)

// leastTab is the least depth of a tab: the limit, less on small pieces, and
// never more than half the length of its fold.
func (f *facts) leastTab(b *board.Board, tab *model.Panel, longest float64) (least float64, asked bool) {
	least, set, _ := f.Design.Limit(board.GlueTab, b)
	if set != nil {
		return least, true
	}
	if b.Kind != board.Corrugated {
		least = math.Min(least, math.Max(longest/tabShare, smallTab))
	}
	return math.Min(least, tab.Hang.On.Length()/2), false
}
