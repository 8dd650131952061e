package contact

import (
	"context"
	"math"
	"slices"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/polygon"
	"github.com/creasewright/creasewright/runtime/internal/region"
	"github.com/creasewright/creasewright/runtime/model"
)

// Hole is a part of a panel's outline without board: what one window took of it,
// or several that run into one another.
type Hole struct {
	Panel   int
	Windows []*model.Window // that it comes of, in order of making
	Area    float64         // mm²
	Centre  geom.Point      // of its area, in the panel's frame
	// Shift is the way, in the panel's frame, that takes Centre over that of the
	// hole it meets.
	Shift geom.Point
	// Whole says that it is all of one window of its own panel.
	Whole bool
}

// HolesApart is two holes of glued panels that overlap only in part: board of
// either panel shows in the hole of the other.
type HolesApart struct {
	Join *model.Join
	A, B Hole    // of the glued panel and of its target
	Meet float64 // mean width of what they share, mm
	// Depth is how far board of one panel reaches into the hole of the other, mm,
	// the lesser of the two; Aligned is what is left of it when one hole is moved by
	// its Shift.
	Depth, Aligned float64
	Bare           float64 // of the glued panel's board over the target's hole, mm²
}

// hole is a Hole with its rim in the frame of the target.
// ring has true arcs and loop its chords within Flatten; both run counter-clockwise.
type hole struct {
	Hole
	ring blank.Ring
	loop []geom.Point
}

// HolesApart looks at the panels that tabs and glue lay next to one another. Call
// it for the pose "closed".
// Pairs come by join, then by hole of the glued panel, then by hole of the target, in
// the order of holeRings. Boxes are compared first (geom.BoxTree).
func (p *Posed) HolesApart(ctx context.Context) ([]HolesApart, error) {
	var out []HolesApart
	all := p.windowsLaid()
	for _, j := range p.Piece.Joins {
		if err := ended(ctx); err != nil {
			return nil, err
		}
		a, b := p.index[j.A.Panel], p.index[j.B.Panel]
		if j.Kind != model.TabJoin && j.Kind != model.GlueJoin || !p.areNeighbours(a, b) {
			continue
		}
		onto := p.plates[a].onto(&p.plates[b]).InPlane(geom.Point{})
		over, err := p.holesOf(ctx, a, onto, all)
		if err != nil {
			return nil, err
		}
		under, err := p.holesOf(ctx, b, geom.Identity(), all)
		if err != nil {
			return nil, err
		}
		boxes := make([]geom.Box, len(under))
		for i, h := range under {
			boxes[i] = geom.BoxOf(h.loop...)
		}
		tree := geom.NewBoxTree(boxes)
		for _, g := range over {
			if err := ended(ctx); err != nil {
				return nil, err
			}
			near := tree.Intersecting(geom.BoxOf(g.loop...), nil)
			slices.Sort(near)
			for _, i := range near {
				h := under[i]
				// What one window takes of both is no two holes.
				if slices.ContainsFunc(g.Windows, func(w *model.Window) bool { return slices.Contains(h.Windows, w) }) {
					continue
				}
				if m, ok := p.partly(g, h, onto); ok {
					m.Join = j
					out = append(out, m)
				}
			}
		}
	}
	return out, nil
}

// areNeighbours reports whether two panels lie next to one another in some cell.
// It reads the order of every cell of the pose.
func (p *Posed) areNeighbours(a, b int) bool {
	for _, s := range p.Stacks {
		for _, c := range s.Cells {
			k := slices.Index(c.Panels, a)
			if k > 0 && c.Panels[k-1] == b || k >= 0 && k+1 < len(c.Panels) && c.Panels[k+1] == b {
				return true
			}
		}
	}
	return false
}

// windows are all windows of a piece, laid in the blank.
// of and laid are by number of the window, in the order of panels and their windows;
// tree holds their boxes in the blank.
type windows struct {
	of   []*model.Window
	laid []geom.Path
	tree *geom.BoxTree
}

// windowsLaid brings all windows of the piece into the blank.
func (p *Posed) windowsLaid() windows {
	var out windows
	var boxes []geom.Box
	for _, q := range p.Piece.Panels {
		for _, w := range q.Windows {
			out.of = append(out.of, w)
			out.laid = append(out.laid, w.Outline.Transform(q.Flat))
			boxes = append(boxes, out.laid[len(boxes)].Bounds())
		}
	}
	out.tree = geom.NewBoxTree(boxes)
	return out
}

// under lists the windows that share ground with a ring in the blank, by their
// places.
func (w *windows) under(ring blank.Ring) []int {
	box := geom.EmptyBox()
	for _, c := range ring {
		box = box.Union(c.Bounds())
	}
	found := slices.DeleteFunc(w.tree.Intersecting(box, nil), func(k int) bool {
		return !region.Overlaps([]blank.Ring{ring}, []blank.Ring{w.laid[k].Curves()})
	})
	slices.Sort(found)
	return found
}

// holesOf lists the holes of panel i, with rims moved by m: its outline without
// its board.
func (p *Posed) holesOf(ctx context.Context, i int, m geom.Isometry, all windows) ([]hole, error) {
	body := p.plates[i].body
	var out []hole
	for _, r := range holeRings(body) {
		if err := ended(ctx); err != nil {
			return nil, err
		}
		area := ringArea([]blank.Ring{r})
		loop, _ := flatten(r)
		h := hole{Hole: Hole{Panel: i, Area: area, Centre: polygon.Centroid(loop)}}
		taken := 0.0
		for _, k := range all.under(laidRings([]blank.Ring{r}, body.Panel.Flat)[0]) {
			h.Windows = append(h.Windows, all.of[k])
			taken = all.of[k].Outline.Area()
		}
		if len(h.Windows) == 0 {
			continue // under another panel of the blank, which is told there
		}
		h.Whole = len(h.Windows) == 1 && h.Windows[0].Panel == body.Panel && math.Abs(taken-area) <= geom.SnapTolerance*polygon.Length(loop)
		h.ring = laidRings([]blank.Ring{r}, m)[0]
		h.loop, _ = flatten(h.ring)
		out = append(out, h)
	}
	return out, nil
}

// holeRings lists the rims of a body's holes, counter-clockwise: those within its
// board, and what is missing at the rim of its outline. Islands in holes are none
// of the board that is glued.
// What is missing at the rim is looked for only where the area of the outline exceeds
// that of the outer rims by more than geom.SnapTolerance (mm² here).
func holeRings(b *Body) []blank.Ring {
	var out, whole []blank.Ring
	for _, r := range b.Rings {
		if ringArea([]blank.Ring{r}) < 0 {
			ring := slices.Clone(r)
			slices.Reverse(ring)
			for i, c := range ring {
				ring[i] = c.Reverse()
			}
			out = append(out, ring)
		} else {
			whole = append(whole, r)
		}
	}
	if len(whole) > 1 {
		whole = slices.DeleteFunc(whole, func(r blank.Ring) bool {
			return slices.ContainsFunc(out, func(o blank.Ring) bool { return geom.Winding(o, r[0].P) != 0 })
		})
	}
	outline := blank.Ring(b.Panel.Outline.Curves())
	missing := ringArea([]blank.Ring{outline}) - ringArea(whole)
	if missing <= geom.SnapTolerance {
		return out
	}
	rings, err := region.Difference([]blank.Ring{outline}, whole)
	if err != nil {
		return out // rings that do not close are a fault of the blank, told there
	}
	for _, r := range rings {
		if ringArea([]blank.Ring{r}) > 0 {
			out = append(out, r)
		}
	}
	return out
}

// partly looks at a hole of the glued panel and one of its target, whose frame
// both rims are in; ok is false where they do not meet or one holds the other.
func (p *Posed) partly(a, b hole, onto geom.Isometry) (m HolesApart, ok bool) {
	shared, err := region.Intersect([]blank.Ring{a.ring}, []blank.Ring{b.ring})
	if err != nil || len(shared) == 0 {
		return m, false
	}
	box := geom.EmptyBox()
	for _, r := range shared {
		for _, c := range r {
			box = box.Union(c.Bounds())
		}
	}
	// The mean width of what they share, by its area over the longer side of its box.
	m.Meet = ringArea(shared) / max(box.Width(), box.Height())
	m.Bare = region.OverlapArea([]blank.Ring{b.ring}, laidRings(p.plates[a.Panel].body.Rings, onto))
	m.Depth = min(beyond(a.loop, b.ring), beyond(b.loop, a.ring))
	if m.Depth <= geom.SnapTolerance {
		return m, false
	}
	// Moved centre on centre: either hole by the same way, in its own panel's frame. Aligned is
	// what then still differs.
	way := b.Centre.Sub(onto.Apply(a.Centre))
	a.Shift, b.Shift = onto.Inverse().ApplyDir(way), way.Mul(-1)
	moved := make([]geom.Point, len(a.loop))
	for i, q := range a.loop {
		moved[i] = q.Add(way)
	}
	m.Aligned = min(beyond(moved, b.ring), beyond(b.loop, laidRings([]blank.Ring{a.ring}, geom.Translation(way.X, way.Y))[0]))
	m.A, m.B = a.Hole, b.Hole
	return m, true
}

// beyond is how far a loop reaches out of a ring, mm: the largest distance of its
// corners and the middles of its sides.
// It is 0 for a loop within the ring. Distances are to the ring's true arcs; which side
// a corner lies on is by its winding number, where either answer on the rim gives 0.
func beyond(loop []geom.Point, ring blank.Ring) float64 {
	most := 0.0
	for i, p := range loop {
		for _, q := range [...]geom.Point{p, p.Lerp(loop[(i+1)%len(loop)], 0.5)} {
			if geom.Winding(ring, q) != 0 {
				continue
			}
			least := math.Inf(1)
			for _, c := range ring {
				_, d := c.Nearest(q)
				least = min(least, d)
			}
			most = max(most, least)
		}
	}
	return most
}
