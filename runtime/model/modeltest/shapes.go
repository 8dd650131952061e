package modeltest

import "github.com/creasewright/creasewright/runtime/geom"

// sideNames are the edges of a four-sided cell, counter-clockwise.
var sideNames = [...]string{"bottom", "right", "top", "left"}

// opposite is the edge across a four-sided cell.
var opposite = map[string]string{"bottom": "top", "top": "bottom", "left": "right", "right": "left"}

// Rect is an upright rectangle with its lower-left corner at (x, y) and edges
// bottom, right, top, left.
func Rect(x, y, width, height float64) geom.Path {
	return Outline(geom.Pt(x, y), geom.Pt(x+width, y), geom.Pt(x+width, y+height), geom.Pt(x, y+height))
}

// Outline is a closed polygon, counter-clockwise as given; four corners give
// edges bottom, right, top, left, any other number e0, e1 and so on.
func Outline(corners ...geom.Point) geom.Path {
	curves := make([]geom.Curve, len(corners))
	for i, p := range corners {
		curves[i] = geom.LineFrom(p, corners[(i+1)%len(corners)])
	}
	return Closed(curves...)
}

// Closed is a closed path of curves end to end, named as Outline names them.
func Closed(curves ...geom.Curve) geom.Path {
	p := Open(curves...)
	p.Closed = true
	if len(curves) == len(sideNames) {
		for i := range p.Edges {
			p.Edges[i].Name = sideNames[i]
		}
	}
	return p
}

// Open is an open path of curves end to end, edges e0, e1 and so on.
func Open(curves ...geom.Curve) geom.Path {
	p := geom.Path{}
	for i, c := range curves {
		p.Edges = append(p.Edges, geom.Edge{Name: "e" + string(rune('0'+i%10)), Curve: c})
	}
	return p
}

// Polyline is an open path of straight lines.
func Polyline(points ...geom.Point) geom.Path {
	var curves []geom.Curve
	for i := 1; i < len(points); i++ {
		curves = append(curves, geom.LineFrom(points[i-1], points[i]))
	}
	return Open(curves...)
}

// Disc is a circle of four quarter arcs, counter-clockwise from its right.
func Disc(x, y, r float64) geom.Path {
	centre := geom.Pt(x, y)
	var curves []geom.Curve
	for _, d := range [...]geom.Point{{X: 1}, {Y: 1}, {X: -1}, {Y: -1}} {
		p, q := centre.Add(d.Mul(r)), centre.Add(d.Left().Mul(r))
		curves = append(curves, geom.ArcBetween(p, q, centre, geom.Degrees(90)))
	}
	p := Open(curves...)
	p.Closed = true
	return p
}
