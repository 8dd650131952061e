// Package emittest helps tests look at cut files from outside: it reads them
// back, strictly and with code that shares nothing with the writers; has
// programs that are not ours read and draw them; and makes random blanks to
// write. Only tests import it.
package emittest

import (
	"fmt"
	"math"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/geom"
)

// Drawing is a cut file read back, in mm, y up, lower-left corner at 0, 0.
// Readers that know no strokes give each entity as one.
type Drawing struct {
	Width, Height float64
	Layers        []blank.Layer
}

// Expected is the drawing a blank must come out as, worked out from its curves
// alone: shifted, mirrored for the inside view, and long arcs split.
func Expected(b *blank.Blank, inside bool) Drawing {
	m := geom.Translation(-b.Bounds.Min.X, -b.Bounds.Min.Y)
	if inside {
		m = m.Then(geom.FlipX()).Then(geom.Translation(b.Bounds.Width(), 0))
	}
	d := Drawing{Width: b.Bounds.Width(), Height: b.Bounds.Height()}
	for _, l := range b.Layers {
		layer := blank.Layer{Kind: l.Kind}
		for _, s := range l.Strokes {
			layer.Strokes = append(layer.Strokes, blank.Stroke{Curves: split(s.Curves, m), Closed: s.Closed})
		}
		d.Layers = append(d.Layers, layer)
	}
	return d
}

func split(curves []geom.Curve, m geom.Isometry) []geom.Curve {
	var out []geom.Curve
	for _, c := range curves {
		n := 1
		for c.Kind == geom.Arc && float64(c.Sweep.Abs().Degrees())/float64(n) > 90.000001 {
			n++
		}
		for i := range n {
			out = append(out, c.Part(float64(i)/float64(n), float64(i+1)/float64(n)).Transform(m))
		}
	}
	return out
}

// Same reports how two drawings differ by more than tol mm: in size, in the
// kinds of their layers, or in any curve, told apart by sort and compared at
// five places. Curves are compared in order, whatever strokes hold them.
func Same(a, b Drawing, tol float64) error {
	if math.Abs(a.Width-b.Width) > tol || math.Abs(a.Height-b.Height) > tol {
		return fmt.Errorf("size %v × %v against %v × %v", a.Width, a.Height, b.Width, b.Height)
	}
	if len(a.Layers) != len(b.Layers) {
		return fmt.Errorf("%d layers against %d", len(a.Layers), len(b.Layers))
	}
	for i, l := range a.Layers {
		if l.Kind != b.Layers[i].Kind {
			return fmt.Errorf("layer %d is %s against %s", i, l.Kind, b.Layers[i].Kind)
		}
		if err := sameCurves(Curves(l), Curves(b.Layers[i]), tol); err != nil {
			return fmt.Errorf("layer %s: %w", l.Kind, err)
		}
	}
	return nil
}

// Curves lists all curves of a layer in order.
func Curves(l blank.Layer) []geom.Curve {
	var out []geom.Curve
	for _, s := range l.Strokes {
		out = append(out, s.Curves...)
	}
	return out
}

func sameCurves(a, b []geom.Curve, tol float64) error {
	if len(a) != len(b) {
		return fmt.Errorf("%d curves against %d", len(a), len(b))
	}
	for i, c := range a {
		if err := sameCurve(c, b[i], tol); err != nil {
			return fmt.Errorf("curve %d: %w", i, err)
		}
	}
	return nil
}

func sameCurve(a, b geom.Curve, tol float64) error {
	if a.Kind != b.Kind {
		return fmt.Errorf("a %s against a %s", a.Kind, b.Kind)
	}
	for _, t := range [...]float64{0, 0.25, 0.5, 0.75, 1} {
		if p, q := a.At(t), b.At(t); p.Dist(q) > tol {
			return fmt.Errorf("%s at %v: %v against %v", a.Kind, t, p, q)
		}
	}
	// Nine decimals of a bulge, about a quarter of the angle turned, tell the
	// radius as well as this.
	if a.Kind == geom.Arc && math.Abs(a.R-b.R) > 4e-9/a.Sweep.Abs().Radians()*a.R+1e-7 {
		return fmt.Errorf("radius %v against %v", a.R, b.R)
	}
	return nil
}
