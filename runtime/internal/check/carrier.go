package check

import (
	"fmt"
	"math"

	"github.com/creasewright/creasewright/runtime/board"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/model"
	"github.com/creasewright/creasewright/runtime/source"
)

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

// hooks lists the panels that go through windows, and notes these.
func hooks(piece *model.Piece, why map[*model.Window]string) []carrier {
	var out []carrier
	for _, j := range piece.Joins {
		if w, hook := j.B.Window, j.A.Panel; w != nil {
			why[w] = fmt.Sprintf("that holds panel %q", hook.Name)
			out = append(out, carrier{panel: hook, outline: hook.Outline, what: fmt.Sprintf("hook %q", hook.Name), site: hook.Site})
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
