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
// panel and on what is stacked on its inside under the footprint, and must clear
// every other panel's surface: half a caliper from the mid-surface, and a
// caliper more for each panel that it lies on, counted toward the product.
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
	for i := range p.plates {
		if ctx.Err() != nil {
			break
		}
		if r.skips(i) {
			continue
		}
		clear, at := r.clearance(g, i)
		if missing := c.Clearance - clear; Exceeds(missing, 0) {
			f.Misfits = append(f.Misfits, Misfit{p.Piece.Panels[i], missing, clear, at, p.onBlank(i, at)})
		}
	}
	slices.SortStableFunc(f.Misfits, func(a, b Misfit) int {
		return cmp.Compare(math.Round(b.Missing/Resolution), math.Round(a.Missing/Resolution))
	})
	for d := range f.Free {
		f.Free[d] = r.free(g, d)
	}
	return f, true, ended(ctx)
}

// room is what surrounds contents: the panels of the pose with the surfaces
// they turn to the product.
// What it gives is of no use once the context has ended.
type room struct {
	*Posed
	ctx      context.Context
	contents *model.Contents
	on       int
	floor    []bool    // panels of the stack it stands on
	height   []float64 // of those, how high the mid-surface lies over on's; −Inf for those not above it
	lift     [2][]float64
	levels   []Level
}

// skips reports whether the product need not clear panel i: there is none, or
// it stands on it.
func (r *room) skips(i int) bool { return !r.plates[i].ok || r.floor[i] }

// Sides of a stack: which way the product lies from it.
const (
	inward = iota
	outward
)

func (p *Posed) newRoom(ctx context.Context, c *model.Contents, on int) *room {
	r := &room{Posed: p, ctx: ctx, contents: c, on: on, levels: p.Levels}
	order := make([]int, len(p.plates))
	r.floor = make([]bool, len(p.plates))
	for i := range order {
		order[i] = i
		r.floor[i] = r.levels[i].Stack == r.levels[on].Stack
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(r.levels[a].Layer, r.levels[b].Layer) })
	r.lift[inward] = p.lifts(order)
	back := slices.Clone(order)
	slices.Reverse(back)
	r.lift[outward] = p.lifts(back)
	if r.levels[on].Out.Dot(p.plates[on].normal) < 0 {
		order = back
	}
	r.height = r.stackUp(order)
	return r
}

// lifts is how far each panel is lifted off its mid-surface by those it lies
// on, going through the panels in the order they lie on one another.
func (p *Posed) lifts(order []int) []float64 {
	lift := make([]float64, len(order))
	done := make([]bool, len(order))
	var near []int
	for _, i := range order {
		near = p.layers.near(near[:0], i, -1)
		for _, o := range near {
			if done[o] {
				k, _ := p.layers.ground(i, o)
				lift[i] = max(lift[i], lift[o]+p.caliper-math.Abs(p.layers.grounds[k].height))
			}
		}
		done[i] = true
	}
	return lift
}

// stackUp stacks the floor up from the panel that the product stands on.
func (r *room) stackUp(order []int) []float64 {
	h := make([]float64, len(order))
	for i := range h {
		h[i] = math.Inf(-1)
	}
	h[r.on] = 0
	on := &r.plates[r.on]
	var near []int
	for _, i := range order[slices.Index(order, r.on)+1:] {
		if !r.floor[i] {
			continue
		}
		near = r.layers.near(near[:0], i, -1)
		for _, o := range near {
			if up := h[o] + r.caliper; up > h[i] {
				h[i] = max(up, -on.height(r.plates[i].box.mid()))
			}
		}
	}
	return h
}

// rest is the height of the first board under the product's footprint over the
// mid-surface of its panel.
func (r *room) rest(at geom.Point) float64 {
	under := r.under(at)
	top := 0.0
	for i, h := range r.height {
		if r.ctx.Err() != nil {
			break
		}
		if h > top && ground(&under, &r.plates[i]).area > 0 {
			top = h
		}
	}
	return top + r.caliper/2
}

// under is the product's footprint as board in the plane of its panel.
func (r *room) under(at geom.Point) plate {
	g := newProduct(r.contents, geom.Identity3(), at, 0)
	rings := laidRings([]blank.Ring{g.footprint()}, level(g.frame))
	loop, _ := flatten(rings[0])
	out := r.plates[r.on]
	out.body = &Body{Rings: rings, Loops: [][]geom.Point{loop}, Hull: loop, Convex: true}
	return out
}

// afloat reports whether neither the stack that the product should stand on nor
// board level with it, as of a floor in two halves, lies under its footprint.
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
		if (r.floor[i] || lo > -FlatLimit && hi < FlatLimit) && ground(&under, s).area > 0 {
			return false
		}
	}
	return true
}

// clearance is the room between the product and a panel's surface, and where.
func (r *room) clearance(g *product, i int) (float64, geom.Point3) {
	dist, at := g.clear(&r.plates[i])
	return dist - r.surface(g, i), at
}

// surface is how far a panel's surface lies from its mid-surface on the
// product's side.
func (r *room) surface(g *product, i int) float64 {
	side := outward
	if r.plates[i].height(g.middle())*r.plates[i].normal.Dot(r.levels[i].Out) < 0 {
		side = inward
	}
	return r.caliper/2 + r.lift[side][i]
}
