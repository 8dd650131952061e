package scene

import (
	"math"
	"math/rand"
	"testing"

	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/polygon"
)

// raster is a depth buffer of a pose, made the plain way: along the line of
// sight through each pixel's middle, every panel's plane is hit and the spot is
// looked up on its board as laid flat, curves and all. It shares nothing with
// the pictures but the view.
type raster struct {
	box  geom.Box
	step float64
	n, m int
}

const rasterWidth = 100 // pixels along the longer side

func newRaster(box geom.Box) raster {
	box = box.Grow(0.01 * math.Max(box.Width(), box.Height()))
	step := math.Max(box.Width(), box.Height()) / rasterWidth
	return raster{box, step, int(box.Width() / step), int(box.Height() / step)}
}

// pixels calls do with the middle of every pixel.
func (r raster) pixels(do func(p geom.Point)) {
	for j := range r.m {
		for i := range r.n {
			do(r.box.Min.Add(geom.Pt(float64(i)+0.5, float64(j)+0.5).Mul(r.step)))
		}
	}
}

// nearest lists the panels that a line of sight meets first: more than one
// where several lie within a hundredth of a millimetre.
func nearest(in Input, v View, p geom.Point) map[string]bool {
	type hit struct {
		name  string
		depth float64
	}
	var hits []hit
	best := math.Inf(-1)
	for i, sh := range in.Blank.Regions {
		place := in.Pose.Place[i]
		if !place.OK {
			continue
		}
		n, eye := place.Normal(), v.Right.Mul(p.X).Add(v.Up.Mul(p.Y))
		facing := n.Dot(v.Toward)
		if math.Abs(facing) < 1e-9 {
			continue
		}
		depth := place.T.Sub(eye).Dot(n) / facing
		on := sh.Panel.Flat.Apply(place.Inverse().Apply(eye.Add(v.Toward.Mul(depth))).Plane())
		turns := 0
		for _, r := range sh.Rings {
			turns += geom.Winding(r, on)
		}
		if turns > 0 {
			hits = append(hits, hit{sh.Panel.Name, depth})
			best = math.Max(best, depth)
		}
	}
	out := map[string]bool{}
	for _, h := range hits {
		if best-h.depth < 0.01 {
			out[h.name] = true
		}
	}
	return out
}

// shownAt is the panels whose visible faces hold a point of the picture.
func shownAt(p *Picture, at geom.Point) []string {
	var out []string
	for _, f := range p.Faces {
		if polygon.Holds(f.Rings, at) {
			out = append(out, f.Panel.Name)
		}
	}
	return out
}

// disagreement is the share of covered pixels at which the picture does not
// show just the panel that the depth buffer has nearest.
func disagreement(in Input, v View) float64 {
	p := pictured(in, v)
	wrong, covered := 0, 0
	newRaster(p.Bounds).pixels(func(at geom.Point) {
		want, got := nearest(in, v, at), shownAt(p, at)
		if len(want) == 0 && len(got) == 0 {
			return
		}
		covered++
		if len(got) != 1 || !want[got[0]] {
			wrong++
		}
	})
	return float64(wrong) / float64(max(covered, 1))
}

// Law: the visible faces are what a depth buffer of the same pose holds, on all
// but pixels that a rim runs through: far more than 99 in 100.
func TestFacesAgreeWithDepthBuffer(t *testing.T) {
	for _, c := range poses(t) {
		for _, v := range []View{Front(), Behind()} {
			if d := disagreement(c.in, v); d > 0.003 {
				t.Errorf("%s: %.2f %% of pixels differ", c.name, 100*d)
			}
		}
	}
}

// Law: so they are for panels lying anywhere through one another, and for views
// straight along the axes.
func TestFacesAgreeWithDepthBufferAtRandom(t *testing.T) {
	rng := rand.New(rand.NewSource(11))
	for n := 3; n < 40; n += 3 {
		in := tangle(rng, n)
		for _, v := range []View{Look(360*rng.Float64(), 180*rng.Float64()-90), Look(90*float64(n), 0)} {
			if d := disagreement(in, v); d > 0.003 {
				t.Errorf("%d panels: %.2f %% of pixels differ", n, 100*d)
			}
		}
	}
}
