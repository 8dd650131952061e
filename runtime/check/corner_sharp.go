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
	find: func(f *Facts) []Found {
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

// carrier is an outline that carries load at its inside corners: a window's
// own corners, which are inside corners of the board round it, or those of a
// panel, where its outline turns in.
type carrier struct {
	panel   *model.Panel
	outline geom.Path
	window  bool
	what    string
	site    source.Site
}

// carriers lists the windows that panels hang in or are hooked into, hand
// holes, and the panels that hook.
func carriers(piece *model.Piece) []carrier {
	var out []carrier
	hung := map[*model.Window]string{}
	for _, h := range piece.Hinges {
		if w := h.On.Window; w != nil && hung[w] == "" {
			hung[w] = fmt.Sprintf("that carries panel %q", h.Child.Name)
		}
	}
	for _, j := range piece.Joins {
		if w := j.B.Window; w != nil {
			hung[w] = fmt.Sprintf("that holds panel %q", j.A.Panel.Name)
			out = append(out, carrier{j.A.Panel, j.A.Panel.Outline, false, fmt.Sprintf("hook %q", j.A.Panel.Name), j.A.Panel.Site})
		}
	}
	for _, p := range piece.Panels {
		for _, w := range p.Windows {
			why := hung[w]
			if why == "" && isHandHole(w.Outline.Bounds()) {
				why = "that a hand goes through"
			}
			if why != "" && !isSlot(w.Outline.Bounds(), piece.Board) {
				out = append(out, carrier{p, w.Outline, true, fmt.Sprintf("the window in %q %s", p.Name, why), w.Site})
			}
		}
	}
	return out
}

// A hand hole is 60 to 130 mm long and 18 to 45 mm wide. Common practice, no
// source.
func isHandHole(b geom.Box) bool {
	long, wide := math.Max(b.Width(), b.Height()), math.Min(b.Width(), b.Height())
	return long >= 60 && long <= 130 && wide >= 18 && wide <= 45
}

// isSlot reports whether an opening only lets board through.
func isSlot(b geom.Box, stock *board.Board) bool {
	return math.Min(b.Width(), b.Height()) <= slotWidth(stock)
}

// slotWidth is how wide a slot may be: a few boards. Common practice, no source.
func slotWidth(b *board.Board) float64 { return math.Max(3, 4*b.Caliper) }

// sharpTurn is the turn from which a corner without a radius tears, degrees:
// board runs round a blunter one. Common practice, no source.
const sharpTurn = 30

// sharp counts the sharp inside corners of a carrier that lie on board, and
// gives the first.
func (f *Facts) sharp(i int, c carrier) (n int, first geom.Point) {
	edges := c.outline.Edges
	turns := make([]float64, len(edges)) // at the start of each edge, positive for inside corners
	for k := range edges {
		into := edges[(k+len(edges)-1)%len(edges)].Tangent(1)
		turns[k] = geom.ToDegrees(math.Atan2(into.Cross(edges[k].Tangent(0)), into.Dot(edges[k].Tangent(0))))
		if !c.window {
			turns[k] = -turns[k]
		}
	}
	for k := range edges {
		next := (k + 1) % len(edges)
		if !c.window && turns[k] > sharpTurn && turns[next] > sharpTurn && edges[k].Length() <= slotWidth(c.panel.Piece.Board) {
			turns[k], turns[next] = 0, 0 // the bottom of a slot
		}
	}
	for k, turn := range turns {
		if turn <= sharpTurn {
			continue
		}
		at := c.panel.Flat.Apply(edges[k].P)
		if !c.window || f.boardRound(i, at) {
			if n++; n == 1 {
				first = at
			}
		}
	}
	return n, first
}

// boardRound reports whether there is board near a corner of a window, which
// may reach past the board's rim.
func (f *Facts) boardRound(i int, at geom.Point) bool {
	const off = 8 * geom.Weld
	return slices.ContainsFunc([]geom.Point{{X: off, Y: off}, {X: -off, Y: off}, {X: -off, Y: -off}, {X: off, Y: -off}}, func(d geom.Point) bool {
		return f.Lines[i].PanelAt(at.Add(d)) != nil
	})
}
