package check

import (
	"cmp"
	"fmt"
	"slices"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/board"
	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/linework"
	"github.com/creasewright/creasewright/runtime/model"
)

// webThin warns of too little board between two cuts.
var webThin = Rule{
	ID: "web-thin", Severity: diag.Warning, Title: "too little board is left between two cuts",
	find: func(f *facts) []Found {
		return f.cutsFacing(board.Web, true, func(a, b linework.Feature, c *linework.Facing, least held) Found {
			return cutsFound(a, b, c, "only %s of board is left between %s; the least is %s", mm(c.Gap), bothOf(a, b), least).
				hint("%s more between them would clear it", mm(least.value-c.Gap))
		})
	},
}

// nib is how many times the limit a cut must lead round a stretch of board for
// that to be a web: less is a step or a corner.
const nib = 4

// cutsFacing finds cuts that face each other closer than a limit, once for each
// two things they belong to, with board or with nothing between them.
func (f *facts) cutsFacing(l board.Limit, onBoard bool, tell func(a, b linework.Feature, c *linework.Facing, least held) Found) []Found {
	return f.eachSound(func(i int, piece *model.Piece) []Found {
		least := f.limit(l, piece)
		var joints []blank.HingeLine
		if onBoard {
			joints = f.narrow(i, f.limit(board.Joint, piece))
		}
		var out []Found
		// A facing is two lines with a shortest distance between them. It counts for cuts alone,
		// with board between or none as asked for, under the limit, not beside a narrow joint, which
		// is told itself, and where the cut does not lead round far more than the limit: that is a
		// part of its own, not a web.
		for _, c := range closest(f.Close[i], func(c *linework.Facing) ([2]linework.Feature, bool) {
			if !c.A.IsCut() || !c.B.IsCut() || c.Board != onBoard || !least.short(c.Gap) || exceeds(nib*least.value, c.ArcLength) || near(joints, c, 2*least.value) {
				return [2]linework.Feature{}, false
			}
			a, b := f.Lines[i].FeatureAt(c.P), f.Lines[i].FeatureAt(c.Q)
			a.Edge, b.Edge = "", "" // a panel's edges count as one
			return [2]linework.Feature{a, b}, true
		}) {
			a, b := f.Lines[i].FeatureAt(c.P), f.Lines[i].FeatureAt(c.Q)
			if a.Panel == nil || b.Panel == nil {
				continue // on no line that the script drew
			}
			// Told at what was worked on a panel rather than at a panel's edge.
			if before(b, a) {
				a, b = b, a
			}
			out = append(out, tell(a, b, c, least))
		}
		return out
	})
}

// before orders what was cut into a panel before the edges of panels, and then
// what was made last before the rest.
func before(a, b linework.Feature) bool {
	if isWork(a) != isWork(b) {
		return isWork(a)
	}
	if a.Panel == b.Panel && !isWork(a) {
		return a.Panel.Outline.Index(a.Edge) < b.Panel.Outline.Index(b.Edge)
	}
	p, q := a.Site().First(), b.Site().First()
	return cmp.Or(cmp.Compare(p.Line, q.Line), cmp.Compare(p.Column, q.Column), cmp.Compare(a.Panel.Index, b.Panel.Index)) > 0
}

// isWork reports whether a spot is on a window or on what is worked on a panel.
func isWork(s linework.Feature) bool { return s.Window != nil || s.Work != nil }

// bothOf names two spots for a message.
func bothOf(a, b linework.Feature) string {
	switch {
	case isWork(a) && a == b:
		return "two sides of " + a.String()
	case a.Panel == b.Panel && a.Window != nil && b.Window != nil:
		return fmt.Sprintf("two windows in %q", a.Panel.Name)
	case a.Panel == b.Panel && a.Work != nil && b.Work != nil:
		return fmt.Sprintf("two slits in %q", a.Panel.Name)
	}
	return a.String() + " and " + b.String()
}

// cutsFound is a finding about two cuts, told at the first.
func cutsFound(a, b linework.Feature, c *linework.Facing, format string, args ...any) Found {
	f := foundf(a.Site(), laterFirst([]*model.Panel{a.Panel, b.Panel}), format, args...).across(c)
	if isWork(a) && a != b || a.Panel != b.Panel {
		f = f.relate(b.Site(), "%s", b)
	}
	f.Ties = []*model.Panel{a.Panel}
	return f
}

// detailTooSmall warns of openings that no tool makes so fine.
var detailTooSmall = Rule{
	ID: "detail-too-small", Severity: diag.Warning, Title: "an opening or a cut is finer than the tool",
	find: func(f *facts) []Found {
		gaps := f.cutsFacing(board.Detail, false, func(a, b linework.Feature, c *linework.Facing, least held) Found {
			what := "the gap between " + bothOf(a, b)
			if isWork(a) && a == b {
				what = a.String()
			}
			return cutsFound(a, b, c, "%s is %s wide; the finest is %s", what, mm(c.Gap), least).
				hint("%s wider would clear it", mm(least.value-c.Gap))
		})
		return append(gaps, f.eachSound(f.smallStrokes)...)
	},
}

// smallStrokes are windows smaller than the tool whichever way, and slits
// shorter.
func (f *facts) smallStrokes(i int, piece *model.Piece) []Found {
	least := f.limit(board.Detail, piece)
	var out []Found
	for _, layer := range f.Blanks[i].Layers {
		if layer.Kind != blank.CutLine {
			continue
		}
		for _, s := range layer.Strokes {
			// By its bounding box: a window narrower one way is a gap between cuts, told as such.
			size, word := smallest(s)
			if !least.short(size) {
				continue
			}
			at := s.Curves[0].At(0.5)
			if spot := f.Lines[i].FeatureAt(at); spot.Panel != nil {
				g := foundf(spot.Site(), []*model.Panel{spot.Panel}, "%s is %s %s; the finest is %s", spot, mm(size), word, least)
				g.At = &at
				out = append(out, g.hint("%s more would clear it", mm(least.value-size)))
			}
		}
	}
	return out
}

// smallest is how wide a closed stroke is over all, the larger of its extents,
// or how long an open one.
func smallest(s blank.Stroke) (size float64, word string) {
	if !s.Closed {
		return s.Length(), "long"
	}
	b := geom.EmptyBox()
	for _, c := range s.Curves {
		b = b.Union(c.Bounds())
	}
	return max(b.Width(), b.Height()), "across"
}

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
		// A bridge of the graph of panels and hinges: without it the piece falls in two. Found once,
		// and only where some hinge is short at all.
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

// holding is how much board a hinge holds by, in mm: of a perforated one the ties of
// each part that windows leave.
func holding(line blank.HingeLine) float64 {
	if line.Kind != blank.PerforatedLine {
		return line.Length
	}
	ties := 0.0
	for _, c := range line.Curves {
		ties += blank.HingePerforation().Ties(c.Length(), false)
	}
	return ties
}

// jointFound tells by how much board a part hangs, and what of the hinge was lost to cuts or is
// perforated. The hint is the length of hinge that is missing.
func jointFound(line blank.HingeLine, holds float64, least held) Found {
	h := line.Hinge
	why, wanted := "", least.value
	switch whole := h.Curve.Length(); {
	case line.Kind == blank.PerforatedLine:
		why, wanted = fmt.Sprintf(", the ties of a perforation %s long", mm(line.Length)), blank.HingePerforation().LengthFor(wanted)
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
