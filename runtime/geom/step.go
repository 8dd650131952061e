package geom

import (
	"fmt"
	"strconv"
)

// StartPath begins an open path at (x, y). Each step adds an edge from where
// the path ends and gives a new path; the receiver stays as it was. A step
// with an empty name is called e0, e1, … by its place in the path. Steps fail
// on names used twice, on numbers that are no places, and on edges shorter
// than MinSize.
func StartPath(x, y float64) (Path, error) {
	p := Path{start: Pt(x, y)}
	return p, CheckPlace("the start of the path", p.start)
}

// Start is where the path begins.
func (p Path) Start() Point {
	if len(p.Edges) == 0 {
		return p.start
	}
	return p.Edges[0].P
}

// End is where the path ends so far.
func (p Path) End() Point {
	if len(p.Edges) == 0 {
		return p.start
	}
	return p.Edges[len(p.Edges)-1].Q
}

// Line adds a straight line to (x, y).
func (p Path) Line(x, y float64, name string) (Path, error) {
	return p.step(LineFrom(p.End(), Pt(x, y)), name)
}

// By adds a straight line that goes dx along x and dy along y.
func (p Path) By(dx, dy float64, name string) (Path, error) {
	return p.step(LineFrom(p.End(), p.End().Add(Pt(dx, dy))), name)
}

// ArcRadius adds an arc to (x, y) of at most a half circle with a signed
// radius, positive turning left.
func (p Path) ArcRadius(x, y, radius float64, name string) (Path, error) {
	return p.stepArc(Pt(x, y), name, func(from, to Point) (Curve, error) {
		if err := checkNumber("the radius", radius); err != nil {
			return Curve{}, err
		}
		return ArcRadius(from, to, radius)
	})
}

// ArcThrough adds an arc to (x, y) that passes through a point.
func (p Path) ArcThrough(x, y float64, through Point, name string) (Path, error) {
	return p.stepArc(Pt(x, y), name, func(from, to Point) (Curve, error) {
		if err := CheckPlace("the point to pass through", through); err != nil {
			return Curve{}, err
		}
		return ArcThrough(from, through, to)
	})
}

// ArcSweep adds an arc to (x, y) that turns by sweep, positive to the left.
func (p Path) ArcSweep(x, y float64, sweep Angle, name string) (Path, error) {
	return p.stepArc(Pt(x, y), name, func(from, to Point) (Curve, error) {
		if err := checkNumber("the sweep", sweep.Radians()); err != nil {
			return Curve{}, err
		}
		return ArcSweep(from, to, sweep)
	})
}

// Curve adds a cubic Bézier curve with control points c1 and c2 to end.
func (p Path) Curve(c1, c2, end Point, name string) (Path, error) {
	for i, c := range [...]Point{c1, c2} {
		if err := CheckPlace(fmt.Sprintf("control point %d of edge %q", i+1, p.nameOf(name)), c); err != nil {
			return Path{}, err
		}
	}
	return p.step(CubicFrom(p.End(), c1, c2, end), name)
}

// Close brings the path home by a straight line, unless it is within SnapTolerance of
// its start already, and gives the outline that Check gives: validated and
// counter-clockwise.
func (p Path) Close(name string) (Path, error) {
	switch {
	case p.Closed:
		return Path{}, fmt.Errorf("the path is closed already")
	case len(p.Edges) == 0:
		return Path{}, fmt.Errorf("the path has no edges to close")
	case p.End().Dist(p.Start()) > SnapTolerance:
		var err error
		if p, err = p.Line(p.Start().X, p.Start().Y, name); err != nil {
			return Path{}, err
		}
	case name != "":
		return Path{}, fmt.Errorf("the path is back at its start, so there is no closing line to name %q", name)
	default:
		last := len(p.Edges) - 1
		edges := append([]Edge(nil), p.Edges...)
		edges[last].Curve = edges[last].endingAt(p.Start())
		p.Edges = edges
	}
	p.Closed = true
	return p.Check()
}

// endingAt moves the curve's end by no more than SnapTolerance. A line follows, a
// cubic's second control point moves with its end, and an arc keeps its sweep
// and gets a new centre and radius. A move of up to Tiny changes the end alone.
func (c Curve) endingAt(q Point) Curve {
	far := c.Q.Dist(q) > Tiny // nearer, the end alone moves
	switch {
	case far && c.Kind == Arc:
		if moved, err := ArcSweep(c.P, q, c.Sweep); err == nil {
			return moved
		}
	case far && c.Kind == Cubic:
		c.D = c.D.Add(q.Sub(c.Q))
	}
	c.Q = q
	return c
}

// stepArc adds the arc that a constructor makes between the path's end and to.
func (p Path) stepArc(to Point, name string, arc func(from, to Point) (Curve, error)) (Path, error) {
	label := p.nameOf(name)
	if err := CheckPlace(fmt.Sprintf("the end of edge %q", label), to); err != nil {
		return Path{}, err
	}
	c, err := arc(p.End(), to)
	if err == nil {
		err = CheckSize("the radius", c.R)
	}
	if err != nil {
		return Path{}, fmt.Errorf("edge %q: %w", label, err)
	}
	return p.step(c, name)
}

// step adds a curve that begins where the path ends. The list of edges is copied
// when it grows, so that paths which share a beginning do not write to each other's.
func (p Path) step(c Curve, name string) (Path, error) {
	name = p.nameOf(name)
	if p.Closed {
		return Path{}, fmt.Errorf("the path is closed and takes no edge %q", name)
	}
	if err := CheckPlace(fmt.Sprintf("the end of edge %q", name), c.Q); err != nil {
		return Path{}, err
	}
	if p.Index(name) >= 0 {
		return Path{}, fmt.Errorf("two edges are named %q", name)
	}
	if l := c.Length(); l < MinSize {
		return Path{}, fmt.Errorf("edge %q is %s mm long, and sizes begin at %s mm", name, exactly(l), exactly(MinSize))
	}
	p.Edges = append(p.Edges[:len(p.Edges):len(p.Edges)], Edge{name, c})
	return p, nil
}

// nameOf is the name a new edge gets.
func (p Path) nameOf(name string) string {
	if name != "" {
		return name
	}
	return "e" + strconv.Itoa(len(p.Edges))
}
