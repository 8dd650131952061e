package linework

import (
	"fmt"
	"slices"

	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/model"
	"github.com/creasewright/creasewright/runtime/source"
)

// Spot says what a point of a line belongs to: a window, a slit or a score, or
// an edge of a panel. Spots can be compared.
type Spot struct {
	Panel  *model.Panel
	Edge   string        // of the panel
	Window *model.Window // instead
	Work   *model.Work   // instead
}

// onLine is how far a point of the blank may lie from the line it came from:
// each of the two may have been welded.
const onLine = 2 * geom.SnapTolerance

// Spot tells what a point of a line belongs to, what was cut or drawn before
// the edges of panels; Panel is nil when it is nothing.
func (l *Lines) Spot(at geom.Point) Spot {
	var found Spot
	for _, i := range l.reaching(at) {
		p := l.Blank.Piece.Panels[i]
		own := p.Flat.Inverse().Apply(at)
		for _, w := range p.Windows {
			if edgeAt(w.Outline, own) != "" {
				return Spot{Panel: p, Window: w}
			}
		}
		for _, w := range p.Works {
			if found.Work == nil && edgeAt(w.Path, own) != "" {
				found = Spot{Panel: p, Work: w}
			}
		}
		if found.Panel == nil {
			if name := edgeAt(p.Outline, own); name != "" {
				found = Spot{Panel: p, Edge: name}
			}
		}
	}
	return found
}

// reaching lists, in order, the panels that have a line or board near a point
// of the blank.
func (l *Lines) reaching(at geom.Point) []int {
	if l.panels == nil {
		boxes := make([]geom.Box, len(l.Blank.Piece.Panels))
		for i, p := range l.Blank.Piece.Panels {
			b := p.Outline.Bounds()
			for _, w := range p.Windows {
				b = b.Union(w.Outline.Bounds())
			}
			for _, w := range p.Works {
				b = b.Union(w.Path.Bounds())
			}
			boxes[i] = moved(b, p.Flat).Grow(onLine)
		}
		l.panels = geom.NewBoxTree(boxes)
	}
	found := l.panels.Intersecting(geom.BoxOf(at), nil)
	slices.Sort(found)
	return found
}

// moved is the upright box round a box that is placed elsewhere.
func moved(b geom.Box, m geom.Isometry) geom.Box {
	return geom.BoxOf(m.Apply(b.Min), m.Apply(b.Max), m.Apply(geom.Pt(b.Min.X, b.Max.Y)), m.Apply(geom.Pt(b.Max.X, b.Min.Y)))
}

// edgeAt is the name of the path's edge that passes through a point, "" for
// none.
func edgeAt(p geom.Path, at geom.Point) string {
	if !p.Bounds().Grow(onLine).Contains(at) {
		return ""
	}
	for _, e := range p.Edges {
		if _, far := e.Nearest(at); far <= onLine {
			return e.Name
		}
	}
	return ""
}

// PanelAt is the first panel that has board at a point of the blank, or nil.
func (l *Lines) PanelAt(at geom.Point) *model.Panel {
	for _, i := range l.reaching(at) {
		turns := 0
		for _, r := range l.Blank.Sheets[i].Rings {
			turns += geom.Winding(r, at)
		}
		if turns != 0 {
			return l.Blank.Sheets[i].Panel
		}
	}
	return nil
}

// String names the spot for a message: the window in "front", edge "tip"
// of "lid".
func (s Spot) String() string {
	switch {
	case s.Panel == nil:
		return "a cut"
	case s.Window != nil:
		return fmt.Sprintf("the window in %q", s.Panel.Name)
	case s.Work != nil:
		return fmt.Sprintf("the %s in %q", [...]string{"slit", "score", "perforation", "drawn line"}[s.Work.Kind], s.Panel.Name)
	}
	return fmt.Sprintf("edge %q of %q", s.Edge, s.Panel.Name)
}

// Site is the call that made the spot's line.
func (s Spot) Site() source.Site {
	switch {
	case s.Panel == nil:
		return nil
	case s.Window != nil:
		return s.Window.Site
	case s.Work != nil:
		return s.Work.Site
	}
	return s.Panel.Site
}
