package contact

import (
	"cmp"
	"context"
	"math"
	"slices"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/model"
)

// Directions names the directions of Fit.Free: along the axes of the panel the
// contents stand on, z inward.
var Directions = [5]string{"x-", "x+", "y-", "y+", "z"}

// Fit is how a product sits in a piece's closed pose. Lengths are mm.
//
// Free is along the axes of the panel, not of the product, which may be turned on it.
type Fit struct {
	Contents *model.Contents
	At       geom.Point          // the point of the panel under its centre, in the panel's frame
	Rest     float64             // from the panel's mid-surface to its base
	Frame    geom.RigidTransform // its own frame in the world: base centred on the origin, the product on z ≤ 0
	Afloat   bool                // there is no board under it, level with the panel it is to stand on

	// Misfits are the panels it does not clear, the worst first.
	Misfits []Misfit
	// Free is the room to the next board's surface in each of Directions, +Inf
	// where the way is open; below 0 where the product is through it.
	Free [5]float64
}

// Misfit is one panel that the contents do not clear.
type Misfit struct {
	Panel   *model.Panel
	Missing float64 // by how much, mm
	Clear   float64 // what there is between the surfaces; below 0, how deep the product reaches in
	At      geom.Point3
	AtBlank geom.Point
}

// Fit stands contents in the piece; p must be its pose "closed". ok is false
// when their panel has no place there or no board. The product rests on the
// panel and on what lies on its inside under the footprint, and must clear every
// other board's surface: half a caliper from the mid-surface, and in each cell a
// caliper more for each panel that it lies on, counted toward the product.
//
// In the closed pose boards have no thickness; what their thickness takes of the room
// is added to each surface by pileUp. Of surfaces of one panel the one that lacks
// most is told; Misfits are sorted to Resolution, so that the order is the same on
// every processor. f.Free is measured at the same place as Misfits.
func (p *Posed) Fit(ctx context.Context, c *model.Contents) (f Fit, ok bool, err error) {
	on, ok := p.index[c.Panel]
	if !ok || !p.plates[on].ok {
		return Fit{}, false, ended(ctx)
	}
	r := p.newRoom(ctx, c, on)
	f = Fit{Contents: c, At: r.place()}
	f.Rest, f.Afloat = r.rest(f.At), r.afloat(f.At)
	g := newProduct(c, p.plates[on].frame, f.At, f.Rest)
	f.Frame = g.frame
	// By panel, as one may have several surfaces.
	worst := map[int]Misfit{}
	r.surfaces(g, func(s *surface) bool {
		clear, at := s.clearance(g)
		missing := c.Clearance - clear
		if was, is := worst[s.owner]; Exceeds(missing, 0) && (!is || Exceeds(missing, was.Missing)) {
			worst[s.owner] = Misfit{p.Piece.Panels[s.owner], missing, clear, at, p.onBlank(s.owner, at)}
		}
		return ctx.Err() == nil
	})
	for _, m := range worst {
		f.Misfits = append(f.Misfits, m)
	}
	slices.SortFunc(f.Misfits, func(a, b Misfit) int {
		return cmp.Or(
			cmp.Compare(math.Round(b.Missing/Resolution), math.Round(a.Missing/Resolution)),
			cmp.Compare(a.Panel.Index, b.Panel.Index),
		)
	})
	for d := range f.Free {
		f.Free[d] = r.free(g, d)
	}
	return f, true, ended(ctx)
}

// room is what surrounds contents: the surfaces that boards turn to the product.
// What it gives is of no use once the context has ended.
// on is −1 where nothing stands anywhere, as for sizes. stacked is by stack of the
// pose, then by side (inward, outward).
type room struct {
	*Posed
	ctx      context.Context
	contents *model.Contents
	on       int
	floor    []surface // what the product may stand on, of on and its stack
	single   []surface // panels that no other lies on, but on
	stacked  [][2][]surface
}

// Sides of a stack: which way the product lies from it.
const (
	inward = iota
	outward
)

// surface is board with a surface turned to the product: a panel, or what can
// be seen of one in a cell.
// The plate is what is compared with the product: of the owner, or of one trapezoid
// of a cell in the owner's frame. off is at least half a caliper.
type surface struct {
	*plate
	owner int
	whole *plate  // of the owner
	off   float64 // from the mid-surface's place in the pose to the surface, mm
}

// newRoom gathers the surfaces round contents that stand on panel on.
func (p *Posed) newRoom(ctx context.Context, c *model.Contents, on int) *room {
	r := &room{Posed: p, ctx: ctx, contents: c, on: on}
	r.gather()
	return r
}

// gather finds the surfaces: on −1 nothing is a floor.
func (r *room) gather() {
	p := r.Posed
	for i := range p.plates {
		if s := (surface{&p.plates[i], i, &p.plates[i], p.caliper / 2}); s.ok && p.Levels[i].Stack < 0 {
			if i == r.on {
				r.floor = append(r.floor, s)
			} else {
				r.single = append(r.single, s)
			}
		}
	}
	r.stacked = p.faces()
	if r.on >= 0 && p.Levels[r.on].Stack >= 0 {
		r.stacked = slices.Clone(r.stacked)
		r.stacked[p.Levels[r.on].Stack] = [2][]surface{}
		r.standOn(&p.Stacks[p.Levels[r.on].Stack])
	}
}

// stackFaces are the surfaces of every stack, by the side they are turned to.
func (p *Posed) stackFaces() [][2][]surface {
	out := make([][2][]surface, len(p.Stacks))
	for n := range out {
		for side := range out[n] {
			out[n][side] = p.facesOf(&p.Stacks[n], side, -1)
		}
	}
	return out
}

// facesOf are the surfaces that a stack turns to a side, base as in pileUp. A
// panel that is foremost wherever it lies, and equally far out, is one surface;
// of others there is one for each trapezoid of a cell.
// Two places out count as equal within geom.Tiny, far below any clearance. The order
// is that of the cells.
func (p *Posed) facesOf(s *Stack, side, base int) []surface {
	type front struct {
		top int
		off float64
	}
	// The foremost panel of each cell, and how far out its surface lies.
	fronts := make([]front, len(s.Cells))
	first := map[int]front{} // of each panel that is foremost somewhere
	parted := map[int]bool{} // panels that are not one surface
	for k := range s.Cells {
		top, off := p.pileUp(s, &s.Cells[k], side, base)
		fronts[k] = front{top, off}
		for _, i := range s.Cells[k].Panels {
			if i != top {
				parted[i] = true
			}
		}
		if f, met := first[top]; !met {
			first[top] = fronts[k]
		} else if math.Abs(f.off-off) > geom.Tiny {
			parted[top] = true
		}
	}
	var out []surface
	whole := map[int]bool{} // panels whose one surface is in out
	for k := range s.Cells {
		f := fronts[k]
		switch plate := &p.plates[f.top]; {
		case parted[f.top]:
			out = append(out, p.pieces(s, &s.Cells[k], f.top, f.off)...)
		case !whole[f.top]:
			out = append(out, surface{plate, f.top, plate, f.off})
			whole[f.top] = true
		}
	}
	return out
}

// standOn makes the stack of the panel that the product stands on its floor.
func (r *room) standOn(s *Stack) {
	side := inward
	if s.Out.Dot(r.plates[r.on].normal) < 0 {
		side = outward
	}
	r.floor = append(r.floor, r.facesOf(s, side, r.on)...)
}

// pileUp lets the boards of a cell make room for one another: it gives the one
// that lies foremost toward a side of the stack, and how far, in mm, its surface
// is from its mid-surface's place in the pose.
//
// In the pose boards have no thickness, and those of a flat stack share one plane.
// Here they are walked through toward the side. With z the place of a board's
// mid-surface in the pose and f the front that the boards before it need, it lies
// at max(z, f), and makes the front a caliper further. A board that lies at its own
// place and hangs on one further on, or is joined to it, makes none: it gives way
// itself, to the far side. Where base lies in the cell it stays in place: what is
// behind it does not push.
//
// base is −1 where no board is held. top and off are of the last board walked to. z
// is taken at the cell's spot alone: planes that lie on one another are parallel to
// 1° (parallel).
func (p *Posed) pileUp(s *Stack, cell *Cell, side, base int) (top int, off float64) {
	panels := cell.Panels
	if side == outward {
		panels = slices.Clone(panels)
		slices.Reverse(panels)
	}
	front, from := math.Inf(-1), max(0, slices.Index(panels, base))
	rank := make(map[int]int, len(panels))
	for k, i := range panels {
		rank[i] = k
	}
	for k := from; k < len(panels); k++ {
		i := panels[k]
		place := p.depthAt(s, i, cell.Spot)
		if side == outward {
			place = -place
		}
		// Where the pose puts it, or where those before it leave room.
		at := max(place, front)
		if pushed := at > place+geom.SnapTolerance; pushed || !p.givesWay(i, k, rank) {
			front = at + p.caliper
		}
		top, off = i, at-place+p.caliper/2
	}
	return top, off
}

// depthAt is how far inside the plane of a stack, in mm, panel i lies over a spot:
// its plane (x − t)·n = 0, in the frame of the stack's, solved for −z.
func (p *Posed) depthAt(s *Stack, i int, spot geom.Point) float64 {
	to := p.plates[i].onto(&p.plates[s.plane])
	n := to.Normal()
	return -to.T.Sub(spot.Space()).Dot(n) / n.Z
}

// givesWay reports whether panel i, at a place in a cell, hangs on a panel of
// the cell that comes later, or is joined to one.
// rank is the place of each panel in the walk. It climbs the tree of hinges from i
// only as long as panels stay in the stack.
func (p *Posed) givesWay(i, at int, rank map[int]int) bool {
	for _, j := range p.joinedTo[i] {
		if k, on := rank[j]; on && k > at {
			return true
		}
	}
	// A closing hinge folded right over lays it on its neighbour as well.
	for _, h := range p.Piece.Hinges {
		if c, d := p.index[h.Parent], p.index[h.Child]; h.Closing && (c == i || d == i) {
			if k, on := rank[c+d-i]; on && k > at {
				return true
			}
		}
	}
	for h := p.Piece.Panels[i].Hang; h != nil; {
		j := p.index[h.Parent]
		if p.Levels[j].Stack != p.Levels[i].Stack {
			break
		}
		if k, on := rank[j]; on && k > at {
			return true
		}
		h = h.Parent.Hang
	}
	return false
}

// pieces are the parts of a cell as board of panel top.
func (p *Posed) pieces(s *Stack, cell *Cell, top int, off float64) []surface {
	whole := &p.plates[top]
	m := p.plates[s.plane].onto(whole)
	var out []surface
	for _, t := range cell.parts {
		loop := laid(t[:], m)
		body := &Body{Panel: whole.body.Panel, Loops: [][]geom.Point{loop}, Hull: loop, Convex: true}
		piece := newPlate(body, p.Pose.Place[top])
		out = append(out, surface{&piece, top, whole, off})
	}
	return out
}

// surfaces looks at every surface that the product must clear, until look says
// that it is enough.
func (r *room) surfaces(g *product, look func(*surface) bool) { r.surfacesFrom(g.middle(), look) }

// surfacesFrom looks at the surfaces that boards turn to a place.
func (r *room) surfacesFrom(at geom.Point3, look func(*surface) bool) {
	for i := range r.single {
		if !look(&r.single[i]) {
			return
		}
	}
	for n := range r.stacked {
		s := &r.Stacks[n]
		// A stack turns one face to the product: inward when the product lies inside the stack's
		// plane.
		side := inward
		if at.Sub(r.plates[s.plane].frame.T).Dot(s.Out) > 0 {
			side = outward
		}
		for i := range r.stacked[n][side] {
			if !look(&r.stacked[n][side][i]) {
				return
			}
		}
	}
}

// rest is the height of the first board under the product's footprint over the
// mid-surface of its panel.
// at is in the panel's frame, and heights are inward, toward the product. The result
// is half a caliper at least: the panel's own surface.
func (r *room) rest(at geom.Point) float64 {
	under := r.under(at)
	top := r.caliper / 2
	for i := range r.floor {
		if r.ctx.Err() != nil {
			break
		}
		s := &r.floor[i]
		if high := r.over(s); high > top && ground(&under, s.plate).area > 0 {
			top = high
		}
	}
	return r.above(&under, top)
}

// over is how high a surface of the floor lies over the mid-surface of the panel
// that the product stands on.
// Heights over a plane are positive outward, so the sign is turned. It is taken at
// the middle of the surface's box.
func (r *room) over(s *surface) float64 {
	return s.off - r.plates[r.on].height(s.box.mid())
}

// above lifts the product from a height over other boards that lie level under
// its footprint and that it would reach into, onto the first on which it does
// not; there it stays where it was when there is none.
// The footprint is given by under; the product is tried at the top of each board, in
// rising order, and needs Contents.Size[2] of height.
func (r *room) above(under *plate, rest float64) float64 {
	on := &r.plates[r.on]
	type shelf struct{ low, top float64 }
	var shelves []shelf
	g := newProduct(r.contents, on.frame, geom.Point{}, rest)
	r.surfaces(g, func(s *surface) bool {
		if s.normal.Cross(on.normal).Len() < parallel {
			// Heights are inward, the way the product stands.
			mid := -on.height(s.box.mid())
			if mid > rest-r.caliper/2 && ground(under, s.plate).area > 0 {
				shelves = append(shelves, shelf{mid - s.off, mid + s.off})
			}
		}
		return r.ctx.Err() == nil
	})
	slices.SortFunc(shelves, func(a, b shelf) int { return cmp.Compare(a.top, b.top) })
	// free reports whether the product clears all shelves when it stands at from.
	free := func(from float64) bool {
		to := from + r.contents.Size[2]
		return !slices.ContainsFunc(shelves, func(s shelf) bool {
			return Exceeds(s.top, from) && Exceeds(to, s.low)
		})
	}
	if free(rest) {
		return rest
	}
	for _, s := range shelves {
		// What has no board over it is a lid, in however many cells.
		roofed := slices.ContainsFunc(shelves, func(t shelf) bool { return !Exceeds(s.top, t.low) })
		if roofed && free(s.top) {
			return s.top
		}
	}
	return rest
}

// under is the product's footprint as board in the plane of its panel.
// Only the body differs from that of the panel's plate: hull, sides and box of the
// result are the panel's, and ground does not use them.
func (r *room) under(at geom.Point) plate {
	g := newProduct(r.contents, geom.Identity3(), at, 0)
	rings := laidRings([]blank.Ring{g.footprint()}, g.frame.InPlane(geom.Point{}))
	loop, _ := flatten(rings[0])
	out := r.plates[r.on]
	out.body = &Body{Rings: rings, Loops: [][]geom.Point{loop}, Hull: loop, Convex: true}
	return out
}

// afloat reports whether neither the stack that the product should stand on nor
// board level with it, as of a floor in two halves, lies under its footprint.
// Level is within FlatLimit over the whole hull; any common ground wider than
// geom.SnapTolerance will do.
func (r *room) afloat(at geom.Point) bool {
	under := r.under(at)
	for i := range r.plates {
		s := &r.plates[i]
		if r.ctx.Err() != nil {
			break
		}
		if !s.ok {
			continue
		}
		lo, hi := r.plates[r.on].heights(s.hull)
		// Board level with the panel counts even where no hinge leads to it.
		floor := i == r.on || r.Levels[i].Stack >= 0 && r.Levels[i].Stack == r.Levels[r.on].Stack
		if (floor || lo > -FlatLimit && hi < FlatLimit) && ground(&under, s).area > 0 {
			return false
		}
	}
	return true
}

// clearance is the room between the product and the surface, and where; below 0,
// how far the product reaches in.
// The place is one of the board's mid-surface, in the world. How far the product
// reaches in is an upper bound, as product.depth is.
func (s *surface) clearance(g *product) (float64, geom.Point3) {
	dist, at := g.clearOf(s.plate, s.whole)
	return dist - s.off, at
}
