package check

import (
	"fmt"
	"slices"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/board"
	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/linework"
	"github.com/creasewright/creasewright/runtime/model"
)

// jointNarrow warns of parts that hang on the rest by too little.
var jointNarrow = Rule{
	ID: "joint-narrow", Severity: diag.Warning, Title: "parts of the blank hang together by too little board",
	find: func(f *facts) []Found {
		return f.eachSound(func(i int, piece *model.Piece) []Found {
			least := f.limit(board.Joint, piece)
			var out []Found
			for _, line := range f.narrow(i, least) {
				out = append(out, jointFound(line, holding(line), least))
			}
			return out
		})
	},
}

// narrow lists the hinges that alone hold what lies beyond them, by less than
// a limit.
func (f *facts) narrow(i int, least held) []blank.HingeLine {
	var bridges []bool
	var out []blank.HingeLine
	for k, line := range f.Blanks[i].Hinges {
		if len(line.Curves) == 0 || !least.short(holding(line)) {
			continue
		}
		if bridges == nil {
			bridges = f.Lines[i].Bridges()
		}
		if bridges[k] {
			out = append(out, line)
		}
	}
	return out
}

// near reports whether lines face across a narrow joint or close to one, which
// is told as such.
func near(joints []blank.HingeLine, c *linework.Facing, reach float64) bool {
	mid := c.P.Lerp(c.Q, 0.5)
	return slices.ContainsFunc(joints, func(line blank.HingeLine) bool {
		return slices.ContainsFunc(line.Curves, func(curve geom.Curve) bool {
			_, far := curve.Nearest(mid)
			return far <= reach
		})
	})
}

// holding is how much board a hinge holds by: of a perforated one the ties, a
// quarter of its length.
func holding(line blank.HingeLine) float64 {
	if line.Kind == blank.PerforatedLine {
		return line.Length / 4
	}
	return line.Length
}

func jointFound(line blank.HingeLine, holds float64, least held) Found {
	h := line.Hinge
	why, wanted := "", least.value
	switch whole := h.Curve.Length(); {
	case line.Kind == blank.PerforatedLine:
		why, wanted = fmt.Sprintf(", the ties of a perforation %s long", mm(line.Length)), 4*wanted
	case whole-line.Length > geom.SnapTolerance:
		why = fmt.Sprintf(", what cuts left of %s", mm(whole))
	}
	at := line.Curves[0].At(0.5)
	f := foundf(siteOf(h), []*model.Panel{h.Child, h.Parent}, "panel %q hangs on %s by %s of board%s; the least is %s",
		h.Child.Name, h.On, mm(holds), why, least).
		relate(h.Parent.Site, "the panel it hangs on").
		hint("%s more hinge would hold it", mm(wanted-line.Length))
	f.At = &at
	return f
}
