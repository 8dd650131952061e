package check

import (
	"math"
	"slices"

	"github.com/creasewright/creasewright/runtime/board"
	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/model"
)

// cornerSharp notes inside corners that carry load and have no radius: board
// tears from there. Slots may have square ends, and in corrugated all may.
var cornerSharp = Rule{
	ID: "corner-sharp", Severity: diag.Note, Title: "an inside corner that carries load has no radius",
	find: func(f *facts) []Found {
		return f.eachSound(func(i int, piece *model.Piece) []Found {
			above := f.limit(board.SharpAbove, piece)
			if piece.Board.Kind == board.Corrugated || piece.Board.Caliper <= above.value {
				return nil
			}
			var out []Found
			for _, c := range carriers(piece) {
				if n, at := f.sharp(i, c); n > 0 {
					g := foundf(c.site, []*model.Panel{c.panel}, "%s has %s in board of %s; above %s they want a radius",
						c.what, counted(n, "sharp inside corner"), mm(piece.Board.Caliper), above).
						hint("a radius of %s mm, as in .round(%[1]s), would spread the load", short(math.Max(1, 2*piece.Board.Caliper)))
					g.At = &at
					out = append(out, g)
				}
			}
			return out
		})
	},
}

// sharpTurn is the turn from which a corner without a radius tears, degrees:
// board runs round a blunter one. Common practice, no source.
const sharpTurn = 30

// sharp counts the sharp inside corners of a carrier that lie on board, and
// gives the first.
func (f *facts) sharp(i int, c carrier) (n int, first geom.Point) {
	for k, turn := range c.turns() {
		at := c.outline.Edges[k].P
		if turn <= sharpTurn || slices.ContainsFunc(c.creases, func(h *model.Hinge) bool { return endsAt(h, at) }) {
			continue
		}
		if at = c.panel.Flat.Apply(at); !c.window || f.boardRound(i, at) {
			if n++; n == 1 {
				first = at
			}
		}
	}
	return n, first
}

// turns gives the turn at the start of each edge in degrees, positive for
// inside corners; 0 at the bottom of a slot in a hook.
func (c carrier) turns() []float64 {
	edges := c.outline.Edges
	out := make([]float64, len(edges))
	for k, e := range edges {
		into, on := edges[(k+len(edges)-1)%len(edges)].Tangent(1), e.Tangent(0)
		out[k] = geom.AngleBetween(into, on).Degrees()
		if !c.window {
			out[k] = -out[k]
		}
	}
	for k, e := range edges {
		next := (k + 1) % len(edges)
		if !c.window && out[k] > sharpTurn && out[next] > sharpTurn && e.Length() <= slotWidth(c.panel.Piece.Board) {
			out[k], out[next] = 0, 0
		}
	}
	return out
}

// endsAt reports whether a hinge ends at a point of its parent.
func endsAt(h *model.Hinge, at geom.Point) bool {
	return h.Curve.P.Dist(at) <= 2*geom.SnapTolerance || h.Curve.Q.Dist(at) <= 2*geom.SnapTolerance
}

// boardRound reports whether there is board near a corner of a window, which
// may reach past the board's rim.
func (f *facts) boardRound(i int, at geom.Point) bool {
	const off = 8 * geom.SnapTolerance
	return slices.ContainsFunc([]geom.Point{{X: off, Y: off}, {X: -off, Y: off}, {X: -off, Y: -off}, {X: off, Y: -off}}, func(d geom.Point) bool {
		return f.Lines[i].PanelAt(at.Add(d)) != nil
	})
}
