package geom

import "testing"

// An arc that touches a curve from beyond the centre of its curvature crosses
// it there, so a rounding that is wider than the curve's bend does not fit,
// though the equations have a solution.
func TestARoundingWiderThanTheBendDoesNotFit(t *testing.T) {
	for _, c := range []struct {
		a, b      Curve
		fits, not float64
	}{
		{
			CubicFrom(Pt(7.9, -3.222), Pt(-9.367, 0.581), Pt(-2.183, 6.372), Pt(-3.757, -9.618)),
			CubicFrom(Pt(-3.757, -9.618), Pt(5.313, -4.322), Pt(8.391, 5.459), Pt(-1.264, 1.726)),
			1, 5.901,
		},
		{
			CubicFrom(Pt(0.368, -0.1), Pt(1.903, 8.258), Pt(8.496, -4.286), Pt(-5.76, -6.992)),
			CubicFrom(Pt(-5.76, -6.992), Pt(9.051, 0.941), Pt(-5.201, -1.914), Pt(1.72, 1.781)),
			0.5, 7.26,
		},
	} {
		if _, ok := fillet(c.a, c.b, c.fits); !ok {
			t.Errorf("a radius of %v fits", c.fits)
		}
		if cut, ok := fillet(c.a, c.b, c.not); ok {
			t.Errorf("a radius of %v does not fit, but got %+v", c.not, cut)
		}
	}
}
