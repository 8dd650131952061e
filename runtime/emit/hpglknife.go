package emit

import (
	"math"

	"github.com/creasewright/creasewright/runtime/board"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/toolpath"
)

// A unit of HP-GL is a tenth of a usual blade's offset, so that rounding each place for itself
// turns the blade by some degrees, and the tip off the line by a unit and more once turns and
// starts add up. So the writer drags a blade along what it has written, beside the one that the
// program means, and puts the axis where the tip comes right:
//
//   - a stroke begins where the blade, as it points, has its tip on the start;
//   - a swing is chords to spots of the lattice about the corner, each of those that leaves the
//     tip nearest to the corner.
//
// The tip moves along the blade alone, so a chord of a swing moves it by what the axis is off the
// circle, and not by what it is off along the circle. On the lines between, the tip
// comes to where the axis runs, half a unit off each way at the most: 0.018 mm. A tip that is dragged along
// what readers understand of the files stays within 0.02 mm of the design (package toolpath's TestTipFollowsFiles).

// What the file of a blade that is led is held to.
const (
	// knifeChord is chordTolerance for such a blade: the lattice's own error is enough.
	knifeChord = 0.005
	// knifeStray is hpglStray for it.
	knifeStray = 0.75
	// swingChord is the turn of a chord of a swing: with an offset of d it runs up to
	// d·(1 − cos 7.5°) = 0.009 d within the circle.
	swingChord = 15 * math.Pi / 180
	// swingAhead is how much it counts how far the axis is from where the program has it, against how
	// far the tip is: the axis need only be near, but the blade has to point along the next line.
	swingAhead = 0.1
	// dragTurn is the turn, in radians, of a chord that stands for an arc under a dragged blade: it
	// leaves the heading off by a quarter of a degree, and a tip of 0.25 mm by 0.001 mm.
	dragTurn = 0.5 * math.Pi / 180
	// dragFlat is how far, in mm, chords may be off a cubic under it.
	dragFlat = 0.0005
)

// blade is a blade that trails its axis by d, in mm, pointing along theta, in radians.
type blade struct {
	d, theta float64
	axis     geom.Point
}

// tip is where the blade cuts.
func (b *blade) tip() geom.Point { return b.behind(b.axis) }

func (b *blade) behind(axis geom.Point) geom.Point { return axis.Sub(b.ahead()) }

// ahead is the way from the tip to the axis.
func (b *blade) ahead() geom.Point {
	sin, cos := math.Sincos(b.theta)
	return geom.Pt(cos, sin).Mul(b.d)
}

// to drags the axis straight to a place, s away in the direction φ. The angle e = θ − φ falls by
// tan(e/2) = tan(e₀/2)·exp(−s/d) (package toolpath).
func (b *blade) to(p geom.Point) {
	way := p.Sub(b.axis)
	s := way.Len()
	if s == 0 {
		return
	}
	phi := math.Atan2(way.Y, way.X)
	e := math.Remainder(b.theta-phi, 2*math.Pi)
	b.theta, b.axis = phi+2*math.Atan(math.Tan(e/2)*math.Exp(-s/b.d)), p
}

// along drags the axis along a curve, by chords.
func (b *blade) along(c geom.Curve) {
	switch c.Kind {
	case geom.Arc:
		n := math.Ceil(c.Sweep.Abs().Radians() / dragTurn)
		for k := 1.0; k <= n; k++ {
			b.to(c.At(k / n))
		}
	case geom.Cubic:
		for _, p := range c.Flatten(nil, dragFlat) {
			b.to(p)
		}
	default:
		b.to(c.Q)
	}
}

// trail is a led blade as the program means it and as the file drags it along.
type trail struct{ meant, written blade }

// trailOf is the trail of a tool, nil for one that is not a led blade. Nothing is known of where a blade points
// before its first stroke: it is taken to point along that, which the program has made in waste.
func trailOf(p *toolpath.Pass) *trail {
	if t := p.Tool; t.Kind == board.Knife && t.Compensate && t.Offset > 0 && len(p.Strokes) > 0 {
		b := blade{d: t.Offset, theta: p.Strokes[0].Moves[0].Tangent(0).Angle().Radians()}
		return &trail{b, b}
	}
	return nil
}

// start is where a stroke begins that is meant to begin with the axis at a place.
func (t *trail) start(w *hpglWriter, at geom.Point) spot {
	t.meant.axis = at
	s := w.round(t.meant.tip().Add(t.written.ahead()))
	t.written.axis = w.point(s)
	return s
}

// swing turns the blade about a corner, the centre of an arc of the axis.
func (w *hpglWriter) swing(c geom.Curve) {
	b := &w.trail.written
	n := math.Ceil(c.Sweep.Abs().Radians() / swingChord)
	for k := 1.0; k <= n; k++ {
		meant := c.At(k / n)
		mid := w.round(b.tip().Add(meant.Sub(c.C)))
		to, low := w.at, math.Inf(1)
		for dx := int64(-1); dx <= 1; dx++ {
			for dy := int64(-1); dy <= 1; dy++ {
				s := spot{min(max(mid.x+dx, 0), w.most[0]), min(max(mid.y+dy, 0), w.most[1])}
				at, moved := w.point(s), *b
				moved.to(at)
				tip, axis := moved.tip().Dist(c.C), at.Dist(meant)
				cost := tip + float64(swingAhead*axis)
				if k == n { // from where the axis runs along the next line, and the tip with it
					cost = max(tip, axis) + float64(swingAhead*min(tip, axis))
				}
				if cost < low {
					to, low = s, cost
				}
			}
		}
		w.lineTo(to)
	}
}
