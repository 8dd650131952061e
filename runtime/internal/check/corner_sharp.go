package check

import (
	"fmt"
	"math"
	"slices"

	"github.com/creasewright/creasewright/runtime/board"
	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/model"
	"github.com/creasewright/creasewright/runtime/source"
)

// cornerSharp notes inside corners that carry load and have no radius: board
// tears from there. Slots may have square ends, and in corrugated all may.
var cornerSharp = Rule{
	ID: "corner-sharp", Severity: diag.Note, Title: "an inside corner that carries load has no radius",
	find: func(f *facts) []Found {
		return f.eachSound(func(i int, piece *model.Piece) []Found {
			above := f.limit(board.SharpAbove, piece)
			if piece.Board.Kind == board.Corrugated || !exceeds(piece.Board.Caliper, above.value) {
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
		if !exceeds(turn, sharpTurn) || slices.ContainsFunc(c.creases, func(h *model.Hinge) bool { return endsAt(h, at) }) {
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
func (c carrier) turns() []geom.Degrees {
	edges := c.outline.Edges
	out := make([]geom.Degrees, len(edges))
	for k, e := range edges {
		// Outlines run counter-clockwise: a left turn is a corner of the outline, an inside corner
		// of a window's board, and an outside one of a panel's.
		into, on := edges[(k+len(edges)-1)%len(edges)].Tangent(1), e.Tangent(0)
		out[k] = geom.AngleBetween(into, on).Degrees()
		if !c.window {
			out[k] = -out[k]
		}
	}
	for k, e := range edges {
		next := (k + 1) % len(edges)
		// Two inside corners with a short edge between them are the bottom of a slot.
		if !c.window && exceeds(out[k], sharpTurn) && exceeds(out[next], sharpTurn) && !exceeds(e.Length(), slotWidth(c.panel.Piece.Board)) {
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

// carrier is an outline that carries load at its inside corners: a window's
// own corners, which are inside corners of the board round it, or those of a
// panel, where its outline turns in.
type carrier struct {
	panel   *model.Panel
	outline geom.Path
	window  bool
	creases []*model.Hinge // in the window; a corner at the end of one is not open
	what    string
	site    source.Site
}

// carriers lists the windows that panels hang in or are hooked into, hand
// holes, and the panels that hook.
func carriers(piece *model.Piece) []carrier {
	why := map[*model.Window]string{}
	creases := map[*model.Window][]*model.Hinge{}
	for _, h := range piece.Hinges {
		if w := h.On.Window; w != nil {
			why[w] = fmt.Sprintf("that carries panel %q", h.Child.Name)
			creases[w] = append(creases[w], h)
		}
	}
	out := hooks(piece, why)
	for _, p := range piece.Panels {
		for _, w := range p.Windows {
			if why[w] == "" && isHandHole(w.Outline.Bounds()) {
				why[w] = "that a hand goes through"
			}
			if why[w] != "" && !isSlot(w.Outline.Bounds(), piece.Board) {
				out = append(out, carrier{
					panel: p, outline: w.Outline, window: true, creases: creases[w],
					what: fmt.Sprintf("the window in %q %s", p.Name, why[w]), site: w.Site,
				})
			}
		}
	}
	return out
}

// hooks lists the panels that go through windows and slits, and notes the windows.
func hooks(piece *model.Piece, why map[*model.Window]string) []carrier {
	var out []carrier
	for _, j := range piece.Joins {
		if hook := j.A.Panel; j.B.IsThrough() {
			for _, end := range j.B.Layers() {
				if end.Window != nil {
					why[end.Window] = fmt.Sprintf("that holds panel %q", hook.Name)
				}
			}
			out = append(out, carrier{panel: hook, outline: hook.Outline, what: fmt.Sprintf("hook %q", hook.Name), site: hook.Site})
		}
	}
	return out
}

// A hand hole is 60 to 130 mm long and 18 to 45 mm wide. Common practice, no
// source.
func isHandHole(b geom.Box) bool {
	long, wide := math.Max(b.Width(), b.Height()), math.Min(b.Width(), b.Height())
	return !exceeds(60, long) && !exceeds(long, 130) && !exceeds(18, wide) && !exceeds(wide, 45)
}

// isSlot reports whether an opening only lets board through.
func isSlot(b geom.Box, stock *board.Board) bool {
	return !exceeds(math.Min(b.Width(), b.Height()), slotWidth(stock))
}

// slotWidth is how wide a slot may be: a few boards. Common practice, no source.
func slotWidth(b *board.Board) float64 { return math.Max(3, 4*b.Caliper) }
