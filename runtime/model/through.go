package model

import (
	"context"
	"math"
	"slices"

	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/region"
	"github.com/creasewright/creasewright/runtime/source"
)

// Through is a cut that goes through several panels: it is made in Panel and,
// where they lie over it in the closed pose, in each of Layers.
type Through struct {
	Panel  *Panel
	Window *Window // what was cut in Panel: a window,
	Slit   *Work   // or a slit
	Layers []*ThroughLayer
	Site   source.Site
}

// ThroughLayer is another panel that a cut goes through.
type ThroughLayer struct {
	Panel  *Panel
	Window *Window // the copy of the cut in Panel's frame, a window
	Slit   *Work   // or a slit; both are nil where Miss is not
	// Miss is why the panel was not cut. It is nil, like the copies, where no
	// piece claims the panel.
	Miss *Miss
}

// MissKind says what kept a cut from going through a panel.
type MissKind uint8

// Ways for a cut to miss a panel.
const (
	Unplaced MissKind = iota // it, or the panel that was cut, has no place in the closed pose
	Tilted                   // it stands at AngleDegrees to the panel that was cut
	Distant                  // it lies Distance mm over or under it
	Beside                   // its board is Distance mm beside the cut
)

// Miss is why a cut does not go through a panel.
type Miss struct {
	Kind         MissKind
	AngleDegrees geom.Degrees // above 0, at most 90
	Distance     float64      // mm
}

// Placement is where a panel stands in a pose: its frame in the world. OK is
// false for a panel without a place.
type Placement struct {
	geom.RigidTransform
	OK bool
}

// ClosedPose gives the placements of a piece's panels in the pose "closed", by
// their places in its Panels. Its error is the cause of the context's end.
type ClosedPose func(context.Context, *Piece) ([]Placement, error)

// CloseBy hands the builder what folds a piece, such as simulate.Closed: Finish
// asks it about every piece with cuts through several panels. Finish gives the
// cause of the context's end when that ends it.
func (b *Builder) CloseBy(ctx context.Context, closed ClosedPose) error {
	c := b.call(nil, "close by")
	if c.ok() {
		b.closed = func(p *Piece) ([]Placement, error) { return closed(ctx, p) }
		b.ended = func() error { return context.Cause(ctx) }
	}
	return c.err()
}

const (
	// mostTilt is the sine of the most angle, 1 degree, between panels that a cut
	// goes through: over a cut of 100 mm the copy is then within 0.02 mm.
	mostTilt = geom.DegreeSine

	// Panels that a cut goes through lie in one stack: their middles at most
	// stackCalipers, and the play of folded board, apart. Common practice, no
	// source.
	stackCalipers = 6
	stackPlay     = 1.0
)

// layersOf asks for panels that a cut in p may go through too; it gives nil for
// none.
func (c *call) layersOf(b *Builder, p *Panel, through []*Panel) *Through {
	if !c.ok() {
		return nil
	}
	if len(through) == 0 {
		return nil
	}
	t := &Through{Panel: p, Site: c.site}
	seen := map[*Panel]bool{}
	for _, q := range through {
		c.owns(b, "a panel of through", q)
		c.sameTree(b, p, q)
		switch {
		case !c.ok():
			return nil
		case q == p:
			c.failf("through names the panel itself").WithHint("the panel is cut in any case; name the others")
		case seen[q]:
			c.failf("through names panel %q twice", q.Name).WithHint("name it once")
		}
		seen[q] = true
		t.Layers = append(t.Layers, &ThroughLayer{Panel: q})
	}
	return t
}

// cutThrough makes the copies of all cuts that go through several panels. The
// pieces have their panels already. Folds do not depend on windows and slits, so
// the pose is that of the finished piece too.
func (b *Builder) cutThrough() error {
	places := map[*Panel]Placement{}
	placed := map[*Piece]bool{}
	insides := map[*Panel]*geom.WindingIndex{}
	for _, t := range b.design.Throughs {
		piece := t.Panel.Piece
		if piece == nil {
			continue
		}
		if b.closed == nil {
			c := &call{site: t.Site, who: quoted("cut on panel", t.Panel.Name)}
			c.failf("nothing folds the piece, so there is no saying where panel %q lies over it", t.Layers[0].Panel.Name).
				WithHint("hand the builder a ClosedPose with CloseBy before Finish")
			return c.err()
		}
		if !placed[piece] {
			all, err := b.closed(piece)
			if err != nil {
				return err
			}
			for i, at := range all {
				places[piece.Panels[i]] = at
			}
			placed[piece] = true
		}
		for _, l := range t.Layers {
			if err := b.ended(); err != nil {
				return err
			}
			if insides[l.Panel] == nil {
				insides[l.Panel] = geom.NewWindingIndex(l.Panel.Outline.Curves())
			}
			l.cut(t, places[t.Panel], places[l.Panel], piece.Board.Caliper, insides[l.Panel])
		}
	}
	return nil
}

// cut makes the copy of a cut in one more panel, or says why there is none. Inside
// tells what lies in the panel's outline.
func (l *ThroughLayer) cut(t *Through, from, to Placement, caliper float64, inside *geom.WindingIndex) {
	if !from.OK || !to.OK {
		l.Miss = &Miss{Kind: Unplaced}
		return
	}
	path := t.Path()
	onto := from.Then(to.Inverse())
	n := onto.Normal()
	if tilt := math.Hypot(n.X, n.Y); tilt > mostTilt {
		l.Miss = &Miss{Kind: Tilted, AngleDegrees: geom.Asin(min(tilt, 1)).Degrees()}
		return
	}
	mid := path.Bounds().Mid()
	at := onto.Apply(mid.Space())
	if d := math.Abs(at.Z); d > stackCalipers*caliper+stackPlay {
		l.Miss = &Miss{Kind: Distant, Distance: d}
		return
	}
	path = path.Transform(onto.InPlane(mid))
	if !overBoard(path, l.Panel.Outline, inside) {
		l.Miss = &Miss{Kind: Beside, Distance: path.Distance(l.Panel.Outline)}
		return
	}
	if t.Window != nil {
		l.Window = &Window{Panel: l.Panel, Outline: path, Through: t, Site: t.Site}
		l.Panel.Windows = append(l.Panel.Windows, l.Window)
	} else {
		l.Slit = &Work{Kind: Slit, Panel: l.Panel, Path: path, Through: t, Site: t.Site}
		l.Panel.Works = append(l.Panel.Works, l.Slit)
	}
}

// Path is the cut in the frame of Panel.
func (t *Through) Path() geom.Path {
	if t.Window != nil {
		return t.Window.Outline
	}
	return t.Slit.Path
}

// overBoard reports whether a path, open or closed, runs over an outline by more
// than the snap tolerance. It looks at where the path begins first, which decides
// for most.
func overBoard(path, outline geom.Path, inside *geom.WindingIndex) bool {
	at := path.Edges[0].P
	if inside.About(at) != 0 && !slices.ContainsFunc(outline.Edges, func(e geom.Edge) bool {
		_, d := e.Nearest(at)
		return d <= geom.SnapTolerance
	}) {
		return true
	}
	if path.Closed {
		return region.Overlaps([][]geom.Curve{path.Curves()}, [][]geom.Curve{outline.Curves()})
	}
	// Where it meets the outline the path falls into parts that lie wholly on one
	// side of it or run along it.
	all := append(path.Curves(), outline.Curves()...)
	return slices.ContainsFunc(region.Arrange(all).Edges, func(e region.Edge) bool {
		onlySlit := !slices.ContainsFunc(e.Origins, func(o region.Origin) bool { return o.Curve >= len(path.Edges) })
		return onlySlit && inside.About(e.At(0.5)) != 0
	})
}
