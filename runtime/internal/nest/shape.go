package nest

import (
	"errors"
	"math"
	"slices"

	"github.com/creasewright/creasewright/runtime/geom"
)

// Tolerances of shapes.
const (
	// flattenTolerance is how far, in mm, a shape's polygon may stand off the true
	// curve outside it, to begin with: a fifth of what hand-fed sheets vary by.
	flattenTolerance = 0.02

	// coarsest is the most that it may grow to, as a share of the shape's size, where
	// curves would make too many parts: 0.6 mm on 300.
	coarsest = 0.002

	// mostParts and mostCorners are how many convex parts and corners a shape has at
	// most, as far as coarsest allows. Every pair of shapes takes the product of both.
	mostParts   = 24
	mostCorners = 96

	// discSides is how many sides the polygon has that stands for a disc by which
	// shapes grow. It is circumscribed: 2 % too far at its corners, nothing along
	// its sides, four of which face along the axes.
	discSides = 16
)

// Shape is an area to be laid: convex parts on the grid that cover it, grown by
// half the gap that it keeps. It is never changed; copies share it.
type Shape struct {
	parts  [][]vec
	hull   []vec
	bounds bounds  // of the parts
	box    bounds  // of the true curves, grown by half the gap: what has to lie on the sheet
	area   float64 // mm², of the true curves
}

// Area is the area inside the true curves in mm².
func (s *Shape) Area() float64 { return s.area }

// Size is the width and height in mm of the shape with half its gap all round.
func (s *Shape) Size() (width, height float64) {
	d := s.box.hi.sub(s.box.lo).point()
	return d.X, d.Y
}

// Boxed is the shape's bounding box as a shape of its own, of the same area as this
// one: for comparing layouts.
func (s *Shape) Boxed() *Shape {
	b := s.box
	loop := []vec{b.lo, {b.hi.x, b.lo.y}, b.hi, {b.lo.x, b.hi.y}}
	return &Shape{parts: [][]vec{loop}, hull: loop, bounds: b, box: b, area: s.area}
}

// errNoShape is what curves that enclose nothing give.
var errNoShape = errors.New("the outline encloses nothing")

// NewShape makes a shape of rings, board on their left: outer ones run counter-
// clockwise, holes clockwise. gap is the distance in mm that two shapes keep; each is
// grown by half of it. Where the rings make no polygon their hull stands for them.
func NewShape(rings [][]geom.Curve, gap float64) (*Shape, error) {
	s := &Shape{bounds: nothing()}
	for _, r := range rings {
		for _, c := range r {
			if b := c.Bounds(); max(math.Abs(b.Min.X), math.Abs(b.Min.Y), math.Abs(b.Max.X), math.Abs(b.Max.Y))*perMM > maxReach {
				return nil, errors.New("the outline lies too far off")
			}
			s.area += c.Area()
		}
	}
	box := geom.EmptyBox()
	loops := make([][]vec, len(rings))
	for i, r := range rings {
		loops[i] = tidy(outward(r, flattenTolerance))
		for _, c := range r {
			box = box.Union(c.Bounds())
		}
	}
	most := coarsest * max(box.Width(), box.Height())
	// Each round works on the loops of the one before, so that all errors together
	// are below twice the last.
	for tol := flattenTolerance / 2; ; tol *= 2 {
		corners := 0
		for i, l := range loops {
			loops[i] = simplified(l, tol*perMM)
			corners += len(loops[i])
		}
		last := tol > most/4
		if corners > mostCorners && !last {
			continue
		}
		if s.parts = partsOf(loops); len(s.parts) <= mostParts || last {
			break
		}
	}
	if len(s.parts) == 0 {
		return nil, errNoShape
	}
	s.grow(gap / 2)
	s.box = bounds{grid(box.Grow(gap / 2).Min), grid(box.Grow(gap / 2).Max)}
	for _, p := range s.parts {
		s.bounds = s.bounds.with(boundsOf(p).lo).with(boundsOf(p).hi)
	}
	s.hull = hull(slices.Concat(s.parts...))
	return s, nil
}

// partsOf decomposes loops: each outer one with the holes in it.
func partsOf(loops [][]vec) [][]vec {
	var outers, holes, out [][]vec
	for _, l := range loops {
		if len(l) < 3 {
			continue
		}
		if area2(l) > 0 {
			outers = append(outers, l)
		} else {
			holes = append(holes, l)
		}
	}
	for _, o := range outers {
		var in [][]vec
		for _, h := range holes {
			if windingOdd(o, h[0]) || slices.Contains(o, h[0]) && windingOdd(o, h[1]) {
				in = append(in, h)
			}
		}
		parts, ok := decompose(o, in)
		if !ok {
			if parts, ok = decompose(o, nil); !ok {
				parts = [][]vec{hull(o)}
			}
		}
		out = append(out, parts...)
	}
	return out
}

// windingOdd reports whether a ray from p along +x crosses a loop an odd number of times.
func windingOdd(loop []vec, p vec) bool {
	in := false
	prev := loop[len(loop)-1]
	for _, q := range loop {
		if (prev.y > p.y) != (q.y > p.y) && (orient(prev, q, p) > 0) == (q.y > prev.y) {
			in = !in
		}
		prev = q
	}
	return in
}

// grow adds a disc of so many mm to every part.
func (s *Shape) grow(by float64) {
	if by <= 0 {
		return
	}
	d := disc(by)
	for i, p := range s.parts {
		s.parts[i] = tidy(sum(p, d))
	}
}

// disc is a convex loop that holds the disc round the origin.
func disc(radius float64) []vec {
	step := geom.Radians(math.Pi / discSides)
	_, cos := step.SinCos()
	pts := make([]vec, discSides)
	for i := range pts {
		sin, c := step.Mul(float64(2*i + 1)).SinCos()
		// Away from the origin, so that rounding takes nothing off.
		pts[i] = vec{awayFromZero(radius * perMM / cos * c), awayFromZero(radius * perMM / cos * sin)}
	}
	return hull(pts)
}

func awayFromZero(v float64) int64 {
	if v < 0 {
		return -awayFromZero(-v)
	}
	return int64(math.Ceil(v - 1e-6))
}

// outward flattens a ring, board on its left, so that the polygon holds the board
// and strays from it by tol mm at the most: arcs that bulge out are circumscribed,
// by tangents at even steps; arcs that bulge in are cut by chords.
func outward(ring []geom.Curve, tol float64) []vec {
	var out []vec
	for _, c := range ring {
		switch c.Kind {
		case geom.Line:
			out = append(out, grid(c.P))
		case geom.Arc:
			out = outwardArc(out, c, tol)
		case geom.Cubic:
			out = outwardCubic(out, c, tol, 0)
		}
	}
	return out
}

// outwardArc flattens an arc of radius r in n steps of angle a: tangents' corners
// stand r(1/cos(a/2) − 1) off it, chords r(1 − cos(a/2)), which is less.
func outwardArc(out []vec, c geom.Curve, tol float64) []vec {
	half := geom.Acos(c.R / (c.R + tol)).Radians()
	n := max(1, int(math.Ceil(c.Sweep.Abs().Radians()/(2*half))))
	out = append(out, grid(c.P))
	if c.Sweep.Radians() > 0 {
		_, cos := c.Sweep.Mul(0.5 / float64(n)).SinCos()
		for i := range n {
			on := c.At((float64(i) + 0.5) / float64(n))
			out = append(out, grid(c.C.Add(on.Sub(c.C).Mul(1/cos))))
		}
		return out
	}
	for i := 1; i < n; i++ {
		out = append(out, grid(c.At(float64(i)/float64(n))))
	}
	return out
}

// mostHalvings bounds how often a cubic is halved: 2¹² pieces.
const mostHalvings = 12

// outwardCubic halves a cubic until its control points lie within tol of the
// chord and in order along it. It lies in the hull of all four, so the corners to
// the right of the chord are kept, in that order, and the others left out.
func outwardCubic(out []vec, c geom.Curve, tol float64, depth int) []vec {
	along := c.Q.Sub(c.P)
	long := along.Len()
	c1, c2 := c.C.Sub(c.P), c.D.Sub(c.P)
	if depth < mostHalvings && long > tol/16 {
		off := max(math.Abs(along.Cross(c1)), math.Abs(along.Cross(c2))) / long
		s, t := along.Dot(c1)/long, along.Dot(c2)/long
		if off > tol || s < 0 || t < s || t > long {
			a, b := c.Split(0.5)
			return outwardCubic(outwardCubic(out, a, tol, depth+1), b, tol, depth+1)
		}
	}
	out = append(out, grid(c.P))
	right1, right2 := along.Cross(c1) < 0, along.Cross(c2) < 0
	if right1 && right2 { // the hull may leave one of them out
		right1 = c1.Cross(c2) >= 0
		right2 = c.D.Sub(c.C).Cross(c.Q.Sub(c.C)) >= 0 || !right1
	}
	if right1 {
		out = append(out, grid(c.C))
	}
	if right2 {
		out = append(out, grid(c.D))
	}
	return out
}

// simplified takes corners out of a loop so that it grows by no more than tol
// steps: a reflex corner goes by itself, two corners that turn left give way to
// the one in which their neighbours' sides meet. The cheapest go first; a corner
// goes only while what is added holds no other corner.
func simplified(loop []vec, tol float64) []vec {
	loop = slices.Clone(loop)
	box := boundsOf(loop) // no corner is put outside, so that rows of boxes stay as close
	for len(loop) > 4 {
		best, cost := -1, tol
		var to vec
		for i := range loop {
			if c, at, ok := removal(loop, i, cost); ok && at.within(box) {
				best, cost, to = i, c, at
			}
		}
		if best < 0 {
			break
		}
		n := len(loop)
		if orient(loop[(best+n-1)%n], loop[best], loop[(best+1)%n]) > 0 {
			loop[(best+1)%n] = to
		}
		loop = tidy(slices.Delete(loop, best, best+1))
	}
	return loop
}

// removal says how far, in steps, the loop moves out when corner i goes: by itself
// where it turns right; else together with the next, both replaced by a corner at at.
// Only what costs at most so much is looked at closely.
func removal(loop []vec, i int, most float64) (cost float64, at vec, ok bool) {
	n := len(loop)
	a, b, c := loop[(i+n-1)%n], loop[i], loop[(i+1)%n]
	d := loop[(i+2)%n]
	if orient(a, b, c) < 0 {
		long := c.sub(a).length()
		cost = -float64(orient(a, b, c)) / long
		return cost, b, cost <= most && freeOf(loop, a, c, b)
	}
	if orient(b, c, d) <= 0 {
		return 0, at, false
	}
	u, v := b.sub(a), c.sub(d)
	den := float64(u.cross(v))
	// The sides a–b and d–c, drawn out, meet beyond b and c.
	if turn := den / (u.length() * v.length()); turn > -leastTurn {
		return 0, at, false
	}
	side := c.sub(b)
	long := side.length()
	s := float64(side.cross(v)) / den
	if s <= 0 {
		return 0, at, false
	}
	// A step further out than computed, so that rounding leaves b and c inside.
	out := 1 / long
	x, y := float64(b.x)+float64(s*float64(u.x))+float64(out*float64(side.y)), float64(b.y)+float64(s*float64(u.y))-float64(out*float64(side.x))
	at = vec{int64(math.Round(x)), int64(math.Round(y))}
	cost = (float64(float64(side.y)*(x-float64(b.x))) - float64(float64(side.x)*(y-float64(b.y)))) / long
	return cost, at, cost >= 0 && cost <= most && orient(a, at, b) >= 0 && orient(c, at, d) >= 0 && freeOf(loop, b, at, c)
}

// leastTurn is the sine of the turn over two corners below which sides are not
// drawn out: they would meet too far off to round well.
const leastTurn = 1e-4

// freeOf reports whether no other corner of the loop lies in a triangle, either
// way round, and no side leads into it.
func freeOf(loop []vec, a, b, c vec) bool {
	if orient(a, b, c) < 0 {
		b, c = c, b
	}
	box := boundsOf([]vec{a, b, c})
	prev := loop[len(loop)-1]
	for _, p := range loop {
		own := p == a || p == b || p == c
		if !own && p.within(box) && orient(a, b, p) >= 0 && orient(b, c, p) >= 0 && orient(c, a, p) >= 0 {
			return false
		}
		if before := prev == a || prev == b || prev == c; !own && !before &&
			(meet(prev, p, a, b) || meet(prev, p, b, c) || meet(prev, p, c, a)) {
			return false
		}
		prev = p
	}
	return true
}
