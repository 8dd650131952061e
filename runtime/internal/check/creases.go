package check

import (
	"math"
	"slices"

	"github.com/creasewright/creasewright/runtime/board"
	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/geom"
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
	return least.short(c.Gap) && !exceeds(c.Gap, c.Beside(least.value)) && f.onBoard(i, c)
}

// doubled reports whether two near creases fold the same way, and so make one
// double crease.
func doubled(c *linework.Facing) bool { return c.A.FoldSide() != 0 && c.A.FoldSide() == c.B.FoldSide() }

// creasesFound tells of two creases at the one whose panel was made later. Where both run along
// edges of one panel its size is the cure.
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
	// A panel on which both run along edges has the distance of the two for its size.
	for _, p := range creasePanels(a) {
		if from, to := edgeOn(a, p), edgeOn(b, p); from != "" && to != "" {
			f.Cures = append(f.Cures, Cure{Panel: p, Edge: to, Across: from, By: least.value - c.Gap})
		}
	}
	return f
}

// creaseNearCut warns of creases with too little board beside them.
var creaseNearCut = Rule{
	ID: "crease-near-cut", Severity: diag.Warning, Title: "a crease runs too close to a cut edge",
	find: func(f *facts) []Found {
		return f.eachSound(func(i int, piece *model.Piece) []Found {
			least := f.limit(board.EdgeGap, piece)
			ledges := f.ledges(i)
			var out []Found
			for _, c := range closest(f.Close[i], func(c *linework.Facing) ([2]any, bool) {
				cut, crease := c.A, c.B // cuts come first among the lines
				if !cut.IsCut() || crease.IsCut() || crease.FoldSide() == 0 || !least.short(c.Gap) || !squareTo(crease, c) || !f.onBoard(i, c) {
					return [2]any{}, false
				}
				on, spot := f.Lines[i].PanelAt(c.P.Lerp(c.Q, 0.5)), f.Lines[i].FeatureAt(c.P)
				if slices.ContainsFunc(ledges, func(l ledge) bool { return l.spares(c, on) }) ||
					standsRolled(piece, spot.Window, crease.Hinge, ledges) || locksAtCrease(piece, spot.Work, crease.Hinge, c.Gap) {
					return [2]any{}, false
				}
				spot.Edge = ""
				return [2]any{maker(crease), spot}, true
			}) {
				out = append(out, nearCutFound(c, f.Lines[i].FeatureAt(c.P), least))
			}
			return out
		})
	},
}

// beside is the cosine up to which a cut counts as lying square beside a crease:
// six degrees, as for all lines that face.
const beside = 0.1

// squareTo reports whether a cut lies beside the crease, not ahead of its end.
func squareTo(crease *linework.Line, c *linework.Facing) bool {
	t, _ := crease.Nearest(c.Q)
	return !exceeds(math.Abs(crease.Tangent(t).Dot(c.P.Sub(c.Q))), beside*c.Gap)
}

// ledge is the strip of a panel between the two creases of a double crease.
type ledge struct {
	panel *model.Panel
	a, b  *linework.Line
}

// ledges lists the ledges of a piece: pairs of parallel creases of one panel
// that fold the same way and run side by side.
func (f *facts) ledges(i int) []ledge {
	var out []ledge
	for k := range f.Close[i] {
		c := &f.Close[i][k]
		if c.A.IsCut() || c.B.IsCut() || !doubled(c) || c.A.Curve.Kind != geom.Line || c.B.Curve.Kind != geom.Line ||
			math.Abs(c.A.Tangent(0).Cross(c.B.Tangent(0))) > geom.SmoothSine || !exceeds(c.Beside(c.Gap+geom.SnapTolerance), c.Gap) {
			continue
		}
		for _, p := range creasePanels(c.A) {
			if slices.Contains(creasePanels(c.B), p) {
				out = append(out, ledge{p, c.A, c.B})
			}
		}
	}
	return out
}

// spares reports whether a cut beside a crease lies on the ledge: within the
// strip between its two creases, where it may come as near to either as the
// other does.
func (l ledge) spares(c *linework.Facing, on *model.Panel) bool {
	if on != l.panel || !l.along(c.B) {
		return false
	}
	across := l.a.Tangent(0).Left()
	wide, at := l.b.P.Sub(l.a.P).Dot(across), c.P.Sub(l.a.P).Dot(across)
	return min(0, wide)-geom.SnapTolerance <= at && at <= max(0, wide)+geom.SnapTolerance
}

// along reports whether a crease is one of the ledge's: a window may leave the
// crease of a hinge in parts.
func (l ledge) along(crease *linework.Line) bool {
	return maker(crease) == maker(l.a) || maker(crease) == maker(l.b)
}

// standsRolled reports whether a window has to lie beside a crease because the
// foot of a wall that is rolled over at the crease, by way of a ledge, is tucked
// into it.
func standsRolled(piece *model.Piece, w *model.Window, crease *model.Hinge, ledges []ledge) bool {
	return w != nil && crease != nil && slices.ContainsFunc(piece.Joins, func(j *model.Join) bool {
		if j.Kind != model.TuckJoin || j.B.Window != w {
			return false
		}
		walk := walkBetween(j.A.Panel, j.B.Panel)
		on := func(p *model.Panel) bool { return slices.Contains(walk, p) }
		return on(crease.Parent) && on(crease.Child) && slices.ContainsFunc(ledges, func(l ledge) bool { return on(l.panel) && l.panel != w.Panel })
	})
}

// atCrease is how far from a crease, in calipers, a slit counts as cut at the
// crease: what lies along the board beyond it then passes on its inside.
const atCrease = 2

// locksAtCrease reports whether a slit has to lie beside a crease because a panel
// that lies along the board beyond the crease catches in it: a slit lock.
func locksAtCrease(piece *model.Piece, slit *model.Work, crease *model.Hinge, gap float64) bool {
	return slit != nil && crease != nil && !exceeds(gap, atCrease*piece.Board.Caliper) &&
		(slit.Panel == crease.Parent || slit.Panel == crease.Child) &&
		slices.ContainsFunc(piece.Joins, func(j *model.Join) bool { return j.Kind == model.TuckJoin && j.B.Slit == slit })
}

// nearCutFound tells at the window or slit where there is one, else at the crease.
func nearCutFound(c *linework.Facing, spot linework.Feature, least held) Found {
	crease := c.B
	panels := creasePanels(crease)
	site, other, what := creaseSite(crease), spot.Site(), "the cut"
	if spot.Window != nil || spot.Work != nil {
		site, other, what = other, site, "the crease"
	}
	if spot.Panel != nil && !slices.Contains(panels, spot.Panel) {
		panels = append(panels, spot.Panel)
	}
	f := foundf(site, panels, "%s runs %s from %s; the least is %s", creaseName(crease), mm(c.Gap), spot, least).
		relate(other, "%s", what).
		across(c).
		hint("%s more between them would clear it", mm(least.value-c.Gap))
	if from := edgeOn(crease, spot.Panel); spot.Edge != "" && from != "" {
		f.Cures = []Cure{{Panel: spot.Panel, Edge: spot.Edge, Across: from, By: least.value - c.Gap}}
	}
	return f
}

// across puts a finding between the two lines.
func (f Found) across(c *linework.Facing) Found {
	at := c.P.Lerp(c.Q, 0.5)
	f.At, f.Weight = &at, -c.Gap
	return f
}

// onBoard reports whether the creases of a facing have board where they face:
// a score drawn by hand may reach past it.
func (f *facts) onBoard(i int, c *linework.Facing) bool {
	for _, end := range []struct {
		line *linework.Line
		at   geom.Point
	}{{c.A, c.P}, {c.B, c.Q}} {
		if end.line.Score != nil && f.Lines[i].PanelAt(end.at) == nil {
			return false
		}
	}
	return true
}
