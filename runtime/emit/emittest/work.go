package emittest

import (
	"errors"
	"fmt"
	"math"

	"github.com/creasewright/creasewright/runtime/board"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/toolpath"
)

// Work is what a machine does that follows a file, on its bed: mm, y up, the origin in
// the lower left corner.
type Work struct {
	Cuts     []Cut    // in order
	Box      geom.Box // of all ways with a tool down
	Low      float64  // the lowest Z; 0 where the file names none
	Travel   float64  // mm with the tool up
	Comments []string
}

// Cut is one way with the tool down.
type Cut struct {
	Tool   int     // the one last called for; 0 for none
	Feed   float64 // mm/s; 0 for the machine's own
	Power  float64 // of a beam, in thousandths of the full power
	Curves []geom.Curve
	Z      []float64 // of each curve; nil for machines that know no height
}

// Limits are what the machine of a file is held to.
type Limits struct {
	Bed [2]float64
	// Depth is how far below the board's face each tool that has a height may go, by its
	// number; 0 is the tool of a file that calls for none.
	Depth map[int]float64
}

// LimitsOf are the limits of a program: tools that have no depth stay at the face.
func LimitsOf(p *toolpath.Program) Limits {
	l := Limits{Bed: p.Machine.Bed, Depth: map[int]float64{}}
	beam := false
	for _, pass := range p.Passes {
		n, depth := pass.Tool.Number, 0.0
		if pass.Tool.Depth != nil {
			depth = *pass.Tool.Depth
		}
		if beam = beam || pass.Tool.Kind == board.Beam; pass.Tool.Kind != board.Beam {
			l.Depth[n] = math.Max(l.Depth[n], depth)
		}
	}
	if len(l.Depth) == 1 && !beam {
		for _, depth := range l.Depth {
			l.Depth[0] = depth
		}
	}
	return l
}

// within reports a place off the bed by more than slack mm.
func (l Limits) within(b geom.Box, slack float64) error {
	if b.Empty() || geom.BoxOf(geom.Pt(0, 0), geom.Pt(l.Bed[0], l.Bed[1])).Grow(slack).Contains(b.Min) &&
		geom.BoxOf(geom.Pt(0, 0), geom.Pt(l.Bed[0], l.Bed[1])).Grow(slack).Contains(b.Max) {
		return nil
	}
	return fmt.Errorf("%v is off the bed of %v", b, l.Bed)
}

// add lengthens the cut that is being made.
func (w *Work) add(c geom.Curve) {
	last := &w.Cuts[len(w.Cuts)-1]
	last.Curves = append(last.Curves, c)
	w.Box = w.Box.Union(c.Bounds())
}

// begin begins a cut, dropping one before it that has no curves.
func (w *Work) begin(c Cut) {
	if n := len(w.Cuts); n > 0 && len(w.Cuts[n-1].Curves) == 0 {
		w.Cuts = w.Cuts[:n-1]
	}
	w.Cuts = append(w.Cuts, c)
}

// Follows reports where cuts differ from a program: in their number and order, in
// tool, or in any way, by more than tol mm either from the other. Strokes without length on the
// file's lattice, shorter than tol, may be missing. Each stroke is expected as often as the
// tool runs, and open ones to and fro.
func (w Work) Follows(p *toolpath.Program, tol float64) error {
	cuts := w.Cuts
	for _, pass := range p.Passes {
		for i, s := range pass.Strokes {
			for run := range pass.Runs(s) {
				curves := make([]geom.Curve, len(run.Moves))
				for k, m := range run.Moves {
					curves[k] = m.Curve
				}
				if len(cuts) > 0 && SamePath(curves, cuts[0].Curves, tol) == nil {
					if err := cuts[0].isOf(pass.Tool); err != nil {
						return fmt.Errorf("%s stroke %d: %w", pass.Kind, i, err)
					}
					cuts = cuts[1:]
					continue
				}
				if s.Length() < tol {
					continue
				}
				if len(cuts) == 0 {
					return fmt.Errorf("%s stroke %d is not made", pass.Kind, i)
				}
				return fmt.Errorf("%s stroke %d: %w", pass.Kind, i, SamePath(curves, cuts[0].Curves, tol))
			}
		}
	}
	if len(cuts) > 0 {
		return fmt.Errorf("%d cuts more than strokes", len(cuts))
	}
	return nil
}

// isOf compares the figures of a cut with those of the tool that is to make it.
func (c Cut) isOf(t board.Tool) error {
	if c.Tool != 0 && c.Tool != t.Number && t.Kind != board.Beam {
		return fmt.Errorf("made with tool %d instead of %d", c.Tool, t.Number)
	}
	if t.Feed != nil && math.Abs(c.Feed-*t.Feed) > 0.05+*t.Feed/1000 && *t.Feed < 1270 || t.Feed == nil && c.Feed != 0 {
		return fmt.Errorf("made at %v mm/s", c.Feed)
	}
	if c.Z == nil {
		return nil
	}
	low, depth := 0.0, 0.0
	for _, z := range c.Z {
		low = math.Min(low, z)
	}
	if t.Kind != board.Beam && t.Depth != nil {
		depth = *t.Depth
	}
	if low < -depth || low > -depth+1e-4 {
		return fmt.Errorf("made %v mm below the face instead of %v", -low, depth)
	}
	if t.Kind == board.Beam && math.Abs(c.Power-1000*t.Power) > 0.05 {
		return fmt.Errorf("made with %v thousandths of the power", c.Power)
	}
	return nil
}

// SamePath reports whether two chains of curves are one way: places along each lie,
// in their order, within tol mm of the other.
func SamePath(a, b []geom.Curve, tol float64) error {
	if len(a) == 0 || len(b) == 0 {
		return errors.New("a way without curves")
	}
	if err := runsAlong(a, b, tol); err != nil {
		return err
	}
	return runsAlong(b, a, tol)
}

// runsAlong walks along a and follows it on b, never back.
func runsAlong(a, b []geom.Curve, tol float64) error {
	if a[0].P.Dist(b[0].P) > tol || a[len(a)-1].Q.Dist(b[len(b)-1].Q) > tol {
		return fmt.Errorf("from %v to %v against from %v to %v", a[0].P, a[len(a)-1].Q, b[0].P, b[len(b)-1].Q)
	}
	k := 0
	for i, c := range a {
		n := 4 + int(math.Min(c.Length()/tol/40, 60))
		for s := range n + 1 {
			p := c.At(float64(s) / float64(n))
			for {
				_, d := b[k].Nearest(p)
				if d <= tol {
					break
				}
				if k++; k == len(b) {
					return fmt.Errorf("curve %d, %s at %v of its length: %v is %v mm off", i, c.Kind, float64(s)/float64(n), p, d)
				}
			}
		}
	}
	return nil
}

// SameLines reports where a cut file and a machine's file hold other lines, by more than
// tol mm, whatever their order: the drawing lies with its corner at the margin, turned by a
// quarter to the left or not.
func SameLines(d Drawing, w Work, margin float64, turned bool, tol float64) error {
	place := geom.Translation(margin, margin)
	if turned {
		place = geom.Rotation(geom.Degrees(90).Angle(), geom.Pt(0, 0)).Then(geom.Translation(d.Height+margin, margin))
	}
	var drawn, made []geom.Curve
	for _, l := range d.Layers {
		for _, c := range Curves(l) {
			drawn = append(drawn, c.Transform(place))
		}
	}
	for _, c := range w.Cuts {
		made = append(made, c.Curves...)
	}
	if err := covered(drawn, made, tol); err != nil {
		return fmt.Errorf("not made: %w", err)
	}
	if err := covered(made, drawn, tol); err != nil {
		return fmt.Errorf("not drawn: %w", err)
	}
	return nil
}

// covered looks for a place along the curves of a that no curve of b is near.
func covered(a, b []geom.Curve, tol float64) error {
	boxes := make([]geom.Box, len(b))
	for i, c := range b {
		boxes[i] = c.Bounds().Grow(tol)
	}
	tree := geom.NewBoxTree(boxes)
	var found []int
	for _, c := range a {
		places := [...]float64{0, 0.37, 0.5, 0.21, 0.68, 0.84, 1}
		for _, t := range places[:min(2+int(c.Length()), len(places))] {
			p, best := c.At(t), math.Inf(1)
			found = tree.Intersecting(geom.BoxOf(p), found[:0])
			for _, i := range found {
				_, d := b[i].Nearest(p)
				best = math.Min(best, d)
			}
			if best > tol {
				return fmt.Errorf("%s at %v of it: %v is %v mm off", c.Kind, t, p, best)
			}
		}
	}
	return nil
}

// SVG draws the work on its bed, for people: a line to a cut, thin where a blade is
// half lifted, grey where the tool is up, a colour for each tool.
func (w Work) SVG(bed [2]float64) []byte {
	out := fmt.Appendf(nil, "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"%gmm\" height=\"%gmm\" viewBox=\"0 0 %g %g\">\n"+
		"<rect width=\"%g\" height=\"%g\" fill=\"#fff\"/>\n<g fill=\"none\" transform=\"translate(0 %g) scale(1 -1)\">\n",
		bed[0], bed[1], bed[0], bed[1], bed[0], bed[1], bed[1])
	colours := []string{"#000", "#06c", "#c30", "#290", "#909", "#b80"}
	at := geom.Pt(0, 0)
	for _, c := range w.Cuts {
		out = fmt.Appendf(out, "<path stroke=\"#aaa\" stroke-width=\"0.1\" d=\"M %.4f %.4f L %.4f %.4f\"/>\n", at.X, at.Y, c.Curves[0].P.X, c.Curves[0].P.Y)
		deepest := 0.0
		for _, z := range c.Z {
			deepest = math.Min(deepest, z)
		}
		for i, curve := range c.Curves {
			width := 0.3
			if c.Z != nil && c.Z[i] > deepest {
				width = 0.15
			}
			out = fmt.Appendf(out, "<path stroke=\"%s\" stroke-width=\"%g\" d=\"M %.4f %.4f ", colours[c.Tool%len(colours)], width, curve.P.X, curve.P.Y)
			if curve.Kind == geom.Arc {
				turn, large := 0, 0
				if curve.Sweep.Radians() > 0 {
					turn = 1
				}
				if curve.Sweep.Abs().Radians() > math.Pi {
					large = 1
				}
				out = fmt.Appendf(out, "A %.4f %.4f 0 %d %d ", curve.R, curve.R, large, turn)
			}
			out = fmt.Appendf(out, "%s%.4f %.4f\"/>\n", map[bool]string{true: "L "}[curve.Kind == geom.Line], curve.Q.X, curve.Q.Y)
			at = curve.Q
		}
	}
	return append(out, "</g>\n</svg>\n"...)
}
