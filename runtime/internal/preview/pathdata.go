package preview

import (
	"math"

	"github.com/creasewright/creasewright/runtime/geom"
)

// pathData writes curves already on the paper as SVG path data. A curve that
// does not start where the one before ended starts a new subpath.
func pathData(cs []geom.Curve, closed bool) string { return string(appendCurves(nil, cs, closed)) }

func appendCurves(dst []byte, cs []geom.Curve, closed bool) []byte {
	for i, c := range cs {
		if i == 0 || c.P.Dist(cs[i-1].Q) > geom.SnapTolerance {
			dst = appendPoint(append(dst, 'M'), c.P)
		}
		switch c.Kind {
		case geom.Arc:
			dst = appendArc(dst, c)
		case geom.Cubic:
			dst = appendPoint(append(dst, 'C'), c.C)
			dst = appendPoint(append(dst, ' '), c.D)
			dst = appendPoint(append(dst, ' '), c.Q)
		default:
			dst = appendPoint(append(dst, 'L'), c.Q)
		}
	}
	if closed && len(cs) > 0 {
		dst = append(dst, 'Z')
	}
	return dst
}

// appendArc splits an arc into parts of at most 120°: SVG's end-point form is
// ill-conditioned near a half circle.
func appendArc(dst []byte, c geom.Curve) []byte {
	n := max(1, math.Ceil(c.Sweep.Abs().Radians()/(2*math.Pi/3)-1e-9))
	flags := " 0 0 0 "
	if c.Sweep.Radians() > 0 { // y runs down, so a positive turn is SVG's positive turn
		flags = " 0 0 1 "
	}
	for i := 1.0; i <= n; i++ {
		dst = appendNum(append(dst, 'A'), c.R)
		dst = appendNum(append(dst, ' '), c.R)
		dst = appendPoint(append(dst, flags...), c.At(i/n))
	}
	return dst
}

// appendPoints writes points of the design joined by lines.
func appendPoints(dst []byte, m placing, pts []geom.Point, closed bool) []byte {
	for i, p := range pts {
		dst = appendPoint(append(dst, "ML"[min(i, 1)]), m.point(p))
	}
	if closed && len(pts) > 0 {
		dst = append(dst, 'Z')
	}
	return dst
}

func appendPoint(dst []byte, p geom.Point) []byte {
	return appendNum(append(appendNum(dst, p.X), ' '), p.Y)
}

func pair(p geom.Point) string { return string(appendPoint(nil, p)) }
