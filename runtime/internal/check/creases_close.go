package check

import (
	"github.com/creasewright/creasewright/runtime/board"
	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/internal/linework"
	"github.com/creasewright/creasewright/runtime/model"
)

// creasesClose warns of creases whose channels run into one another. Two near
// creases that fold the same way are one double crease and right.
var creasesClose = Rule{
	ID: "creases-close", Severity: diag.Warning, Title: "parallel creases run closer together than the board allows",
	find: func(f *facts) []Found {
		return f.eachSound(func(i int, piece *model.Piece) []Found {
			gap, finest := f.limit(board.CreaseGap, piece), f.limit(board.Detail, piece)
			var out []Found
			for _, c := range closest(f.Close[i], func(c *linework.Facing) ([2]any, bool) {
				key := [2]any{maker(c.A), maker(c.B)}
				return key, isScore(c.A) && isScore(c.B) && f.crowded(i, c, gap, finest)
			}) {
				out = append(out, creasesFound(c, gap, finest))
			}
			return out
		})
	},
}

// crowded reports whether two creases run side by side closer than the limits
// allow. Stepped creases, which meet end to end, do not.
func (f *facts) crowded(i int, c *linework.Facing, gap, finest held) bool {
	least := gap
	if doubled(c) {
		least = finest
	}
	return least.short(c.Gap) && c.Beside(least.value) >= c.Gap && f.onBoard(i, c)
}

// doubled reports whether two near creases fold the same way, and so make one
// double crease.
func doubled(c *linework.Facing) bool { return c.A.Lean() != 0 && c.A.Lean() == c.B.Lean() }

func creasesFound(c *linework.Facing, gap, finest held) Found {
	a, b := c.A, c.B
	if creasePanels(b)[0].Index > creasePanels(a)[0].Index {
		a, b = b, a
	}
	how, least := " and folds the other way", gap
	if doubled(c) {
		how, least = ", too close even for a double crease", finest
	}
	f := foundf(creaseSite(a), append(creasePanels(a), creasePanels(b)...), "%s runs %s from %s%s; the least is %s",
		creaseName(a), mm(c.Gap), creaseName(b), how, least).
		relate(creaseSite(b), "the other crease").
		across(c).
		hint("%s more between them would clear it", mm(least.value-c.Gap))
	for _, p := range creasePanels(a) {
		if from, to := edgeOn(a, p), edgeOn(b, p); from != "" && to != "" {
			f.Cures = append(f.Cures, Cure{Panel: p, Edge: to, Across: from, By: least.value - c.Gap})
		}
	}
	return f
}
