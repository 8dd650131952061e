package blank

import (
	"context"
	"slices"

	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/region"
)

// CommonLines joins the cut strokes of blanks that lie against each other: stretches
// that coincide, within geom.SnapTolerance, are there once, and what shares any is
// covered by the fewest strokes. Other strokes stay as they are and come first. saved is the
// length in mm that is not cut twice. The error is the context's.
func CommonLines(ctx context.Context, strokes []Stroke) (out []Stroke, saved float64, err error) {
	var curves []geom.Curve
	var of []int // stroke of each curve
	for i, s := range strokes {
		for _, c := range s.Curves {
			curves, of = append(curves, c), append(of, i)
		}
	}
	arr, err := region.ArrangeUntil(ctx, curves)
	if err != nil {
		return nil, 0, err
	}
	shares := make([]bool, len(strokes))
	for i := range arr.Edges {
		e := &arr.Edges[i]
		if n := len(e.Origins); n > 1 {
			saved += e.Length() * float64(n-1)
			for _, o := range e.Origins {
				shares[of[o.Curve]] = true
			}
		}
	}
	for i, s := range strokes {
		if !shares[i] {
			out = append(out, s)
		}
	}
	var edges []int
	for i := range arr.Edges {
		if slices.ContainsFunc(arr.Edges[i].Origins, func(o region.Origin) bool { return shares[of[o.Curve]] }) {
			edges = append(edges, i)
		}
	}
	for _, t := range eulerTrails(&arr, edges) {
		if ctx.Err() != nil {
			return nil, 0, context.Cause(ctx)
		}
		out = append(out, Stroke{Curves: straightened(&arr, curves, t.halves), Closed: t.closed})
	}
	return out, saved, nil
}

// straightened is a chain of edges as curves: neighbours that are stretches of one
// curve become one stretch of it again, neighbours that are lines in one line one line.
func straightened(arr *region.Arrangement, curves []geom.Curve, halves []region.HalfEdge) []geom.Curve {
	var out []geom.Curve
	last := stretch{curve: -1}
	for _, h := range halves {
		c := arr.Curve(h)
		now := stretchOf(arr, h)
		n := len(out)
		switch {
		case n > 0 && c.Kind == geom.Line && out[n-1].Kind == geom.Line && inLine(out[n-1], c):
			out[n-1] = geom.LineFrom(out[n-1].P, c.Q)
		case n > 0 && c.Kind != geom.Line && now.follows(last):
			whole := curves[now.curve]
			now.from = last.from
			joined := whole.Part(min(now.from, now.to), max(now.from, now.to))
			if now.from > now.to {
				joined = joined.Reverse()
			}
			joined.P, joined.Q = out[n-1].P, c.Q
			out[n-1] = joined
		default:
			out = append(out, c)
		}
		last = now
	}
	return out
}

// stretch is the part of a given curve that an edge is, in the edge's direction.
type stretch struct {
	curve    int
	from, to float64
}

func stretchOf(arr *region.Arrangement, h region.HalfEdge) stretch {
	o := arr.Edges[h.Edge].Origins[0]
	if o.Reversed != h.Reversed {
		return stretch{o.Curve, o.T1, o.T0}
	}
	return stretch{o.Curve, o.T0, o.T1}
}

// follows reports whether s goes on where t ended, on the same curve.
func (s stretch) follows(t stretch) bool {
	return s.curve == t.curve && s.from == t.to && (s.from < s.to) == (t.from < t.to)
}

// inLine reports whether one line goes on in another: their joint is off the line
// over both by no more than rounding in cut files.
func inLine(a, b geom.Curve) bool {
	const off = 5e-5 // mm, half a step of cut files
	whole := b.Q.Sub(a.P)
	return whole.Dot(a.Q.Sub(a.P)) > 0 && whole.Dot(b.Q.Sub(b.P)) > 0 && max(whole.Cross(a.Q.Sub(a.P)), -whole.Cross(a.Q.Sub(a.P))) <= off*whole.Len()
}
