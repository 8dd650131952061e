package geom

import (
	"fmt"
	"math"
)

// Rect is a rectangle with its lower left corner at the origin and edges
// bottom, right, top and left. A round above 0 makes each corner an arc of its
// own, named by its neighbours: bottom-right, right-top, top-left, left-bottom.
// An edge that rounding uses up is left out.
func Rect(width, height, round float64) (Path, error) {
	if err := CheckSize("the width", width); err != nil {
		return Path{}, err
	}
	if err := CheckSize("the height", height); err != nil {
		return Path{}, err
	}
	if err := checkNumber("the rounding", round); err != nil {
		return Path{}, err
	}
	most := float64(math.Min(width, height) / 2)
	if round < 0 || round > most+Tiny {
		return Path{}, fmt.Errorf("a rounding of %s mm does not fit a rectangle of %s × %s mm: between 0 and %s mm does",
			exactly(round), Num(width), Num(height), Num(most))
	}
	if round < MinSize {
		round = 0
	} else if most-round <= SnapTolerance {
		round = most // what would be left of the edge is no edge
	}
	return rect(width, height, round), nil
}

// rect builds a w by h rectangle with corners of radius r, all checked. Side i runs
// in the direction dir, from r behind its first corner to r before its second; what
// rounding uses up has no edge.
func rect(w, h, r float64) Path {
	corners := [...]Point{{w, 0}, {w, h}, {0, h}, {0, 0}}
	names := [...]string{"bottom", "right", "top", "left"}
	p := Path{Closed: true}
	dir := Point{1, 0}
	from := Point{r, 0}
	for i, corner := range corners {
		next := dir.Left()
		to := corner.Sub(dir.Mul(r))
		if from.Dist(to) > Tiny {
			p.Edges = append(p.Edges, Edge{names[i], LineFrom(from, to)})
		}
		from = corner.Add(next.Mul(r))
		if r > 0 {
			arc := ArcBetween(to, from, to.Add(next.Mul(r)), Radians(math.Pi/2))
			arc.R = r
			p.Edges = append(p.Edges, Edge{names[i] + "-" + names[(i+1)%4], arc})
		}
		dir = next
	}
	return p.knit()
}

// knit makes each edge of an outline end exactly where the next begins, for
// outlines whose corners were computed twice and may differ by rounding.
func (p Path) knit() Path {
	for i := range p.Edges {
		p.Edges[i].Q = p.Edges[(i+1)%len(p.Edges)].P
	}
	return p
}

// Polygon joins the points by straight lines, the last to the first. Edges
// take the names given, one each, or e0, e1, … in the order of the points;
// either way round will do.
func Polygon(points []Point, names []string) (Path, error) {
	if len(points) < 3 {
		return Path{}, fmt.Errorf("a polygon needs at least 3 points, and there are %d", len(points))
	}
	if names != nil && len(names) != len(points) {
		return Path{}, fmt.Errorf("the polygon has %d edges and %d names", len(points), len(names))
	}
	p := Path{Closed: true, Edges: make([]Edge, len(points))}
	for i, from := range points {
		if err := CheckPlace(fmt.Sprintf("point %d", i), from); err != nil {
			return Path{}, err
		}
		name := fmt.Sprintf("e%d", i)
		if names != nil {
			name = names[i]
		}
		p.Edges[i] = Edge{name, LineFrom(from, points[(i+1)%len(points)])}
	}
	return p.Check()
}

// maxSides bounds Regular; more sides than this are a circle.
const maxSides = 1000

// Regular is a regular polygon with the given length of side in mm; its first
// edge, e0, runs from the origin along +x. With n sides the corners lie on a
// circle of radius side/(2·sin(π/n)) about (side/2, side/(2·tan(π/n))). The first
// two are given exactly.
func Regular(sides int, side float64) (Path, error) {
	if sides < 3 || sides > maxSides {
		return Path{}, fmt.Errorf("a regular polygon has 3 to %d sides, not %d", maxSides, sides)
	}
	if err := CheckSize("the side", side); err != nil {
		return Path{}, err
	}
	half := math.Pi / float64(sides)
	sin, cos := Radians(half).SinCos()
	radius := side / 2 / sin
	if err := CheckSize("the polygon's radius", radius); err != nil {
		return Path{}, err
	}
	centre := Point{float64(side / 2), side / 2 / (sin / cos)}
	points := make([]Point, sides)
	for i := range points {
		points[i] = centre.Add(Polar(radius, Radians(float64(half*float64(2*i-1))-math.Pi/2)))
	}
	points[0], points[1] = Point{}, Point{side, 0}
	return Polygon(points, nil)
}

// Circle is a circle of diameter d about the origin: four quarter arcs, e0 to
// e3, from +x round to the left.
func Circle(d float64) (Path, error) {
	if err := CheckSize("the diameter", d); err != nil {
		return Path{}, err
	}
	r := d / 2
	p := Path{Closed: true}
	from := Point{r, 0}
	for i := range 4 {
		arc := ArcBetween(from, from.Left(), Point{}, Radians(math.Pi/2))
		p.Edges = append(p.Edges, Edge{fmt.Sprintf("e%d", i), arc})
		from = from.Left()
	}
	return p.knit(), nil
}

// ovalPieces is how many cubics make an oval. With k = (4/3)·tan(θ/4) for the
// control points an arc of θ strays from its radius by some 4e-6 of it at 45°
// (the error falls with the sixth power of θ).
const ovalPieces = 8

// Oval is an ellipse of the given width and height about the origin, as eight
// cubics e0 to e7 within 4.3e-6 of the larger half axis of the true curve. One
// as wide as high is a Circle.
func Oval(width, height float64) (Path, error) {
	if err := CheckSize("the width", width); err != nil {
		return Path{}, err
	}
	if err := CheckSize("the height", height); err != nil {
		return Path{}, err
	}
	if width == height {
		return Circle(width)
	}
	const step = 2 * math.Pi / ovalPieces
	k := 4.0 / 3 * Radians(step/4).Tan()
	stretch := func(p Point) Point { return Point{p.X * width / 2, p.Y * height / 2} }
	p := Path{Closed: true}
	for i := range ovalPieces {
		from, to := Polar(1, Radians(float64(i)*step)), Polar(1, Radians(float64(i+1)*step))
		c, d := from.Add(from.Left().Mul(k)), to.Sub(to.Left().Mul(k))
		p.Edges = append(p.Edges, Edge{fmt.Sprintf("e%d", i), CubicFrom(stretch(from), stretch(c), stretch(d), stretch(to))})
	}
	return p.knit(), nil
}

// Slot is a slot of the given overall length along x, about the origin:
// a rectangle with edges named as in Rect and, where round is nil, fully
// rounded ends.
func Slot(length, width float64, round *float64) (Path, error) {
	if err := CheckSize("the length", length); err != nil {
		return Path{}, err
	}
	r := math.Min(length, width) / 2
	if round != nil {
		r = *round
	}
	p, err := Rect(length, width, r)
	if err != nil {
		return Path{}, err
	}
	return p.Transform(Translation(-length/2, -width/2)), nil
}
