package scene

import (
	"math"
	"math/rand"
	"reflect"
	"testing"

	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/polygon"
	"github.com/creasewright/creasewright/runtime/model"
)

// sighted is the depth at which a line of sight enters a product: the product's own
// frame is cut by the slab of its height and by those of its sides, or by the quadric
// of its side, in closed form.
func sighted(pr Product, v View, p geom.Point) (depth float64, ok bool) {
	back := pr.Frame.Inverse()
	o := back.Apply(v.Right.Mul(p.X).Add(v.Up.Mul(p.Y)))
	d := back.ApplyDir(v.Toward)
	low, high := math.Inf(-1), math.Inf(1)
	slab := func(o, d, from, to float64) {
		if math.Abs(d) < 1e-12 {
			if o < from || o > to {
				low, high = 1, 0
			}
			return
		}
		a, b := (from-o)/d, (to-o)/d
		low, high = max(low, min(a, b)), min(high, max(a, b))
	}
	size := pr.Contents.Size
	slab(o.Z, d.Z, -size[2], 0)
	if !pr.Contents.Round {
		slab(o.X, d.X, -size[0]/2, size[0]/2)
		slab(o.Y, d.Y, -size[1]/2, size[1]/2)
		return high, high > low
	}
	a, b, c := d.X*d.X+d.Y*d.Y, o.X*d.X+o.Y*d.Y, o.X*o.X+o.Y*o.Y-size[0]*size[0]/4
	if a < 1e-12 {
		return high, high > low && c < 0
	}
	if b*b < a*c {
		return 0, false
	}
	root := math.Sqrt(b*b - a*c)
	low, high = max(low, (-b-root)/a), min(high, (-b+root)/a)
	return high, high > low
}

// frontBoard is the depth of the nearest board on a line of sight, −Inf where
// there is none.
func frontBoard(in Input, v View, p geom.Point) float64 {
	best := math.Inf(-1)
	for i, sh := range in.Blank.Regions {
		n, eye := in.Pose.Place[i].Normal(), v.Right.Mul(p.X).Add(v.Up.Mul(p.Y))
		if math.Abs(n.Dot(v.Toward)) < 1e-9 {
			continue
		}
		depth := in.Pose.Place[i].T.Sub(eye).Dot(n) / n.Dot(v.Toward)
		on := sh.Panel.Flat.Apply(in.Pose.Place[i].Inverse().Apply(eye.Add(v.Toward.Mul(depth))).Plane())
		turns := 0
		for _, r := range sh.Rings {
			turns += geom.Winding(r, on)
		}
		if turns > 0 {
			best = max(best, depth)
		}
	}
	return best
}

// productsDisagree is the share of covered pixels that show a product or a board where
// the reference has something else in front, and how many show a product.
func productsDisagree(in Input, v View) (share float64, shown int) {
	p := pictured(in, v)
	wrong, covered := 0, 0
	newRaster(p.Bounds).pixels(func(at geom.Point) {
		board, product := frontBoard(in, v, at), math.Inf(-1)
		for _, pr := range in.Products {
			if d, ok := sighted(pr, v, at); ok {
				product = max(product, d)
			}
		}
		boards, products := len(shownAt(p, at)), 0
		for _, f := range p.Products {
			if polygon.Holds(f.Rings, at) {
				products++
			}
		}
		if math.IsInf(max(board, product), -1) && boards+products == 0 {
			return
		}
		covered++
		if products > 0 {
			shown++
		}
		if boards+products != 1 || (products > 0) != (product > board) {
			wrong++
		}
	})
	return float64(wrong) / float64(max(covered, 1)), shown
}

// on stands a product on the middle of a panel.
func on(in Input, panel string, round bool, x, y, h float64) Product {
	for i, r := range in.Blank.Regions {
		if r.Panel.Name == panel {
			b := set(in).plates[i].box()
			frame := geom.RigidTransform{R: geom.Identity3().R, T: geom.Point3{X: b.Mid().X, Y: b.Mid().Y, Z: -0.2}}
			c := &model.Contents{Name: "thing", Panel: r.Panel, Size: [3]float64{x, y, h}, Round: round}
			return Product{c, frame.Then(in.Pose.Place[i].RigidTransform)}
		}
	}
	panic("no panel " + panel)
}

// withProducts is a pose with products.
func withProducts(in Input, p ...Product) Input {
	in.Products = p
	return in
}

// Law: a product shows where it is the first thing that a line of sight meets, and no
// board behind it does.
func TestProductsAgreeWithDepthBuffer(t *testing.T) {
	rng := rand.New(rand.NewSource(5))
	lined, half, carton := folded(t, tray, "closed"), folded(t, tray, "half open"), folded(t, window, "closed")
	for _, c := range []namedPose{
		{"a box in a tray", withProducts(lined, on(lined, "a", false, 60, 40, 15))},
		{"a box above the tray's rim", withProducts(lined, on(lined, "a", false, 60, 40, 45))},
		{"a box in a tray half open", withProducts(half, on(half, "a", false, 60, 40, 15))},
		{"a cylinder behind a window", withProducts(carton, on(carton, "bottom", true, 36, 36, 70))},
		{"a cylinder through a window", withProducts(carton, on(carton, "a", true, 30, 30, 55))},
	} {
		most := 0
		for _, v := range []View{Above(), Front(), Behind(), Look(360*rng.Float64(), 90*rng.Float64())} {
			d, shown := productsDisagree(c.in, v)
			most = max(most, shown)
			if d > 0.003 {
				t.Errorf("%s: %.2f %% of pixels differ", c.name, 100*d)
			}
		}
		if most < 50 {
			t.Errorf("%s: the product shows on %d pixels only", c.name, most)
		}
	}
}

// Law: so it does where boards pierce the products in every way, and products one
// another.
func TestProductsAgreeWithDepthBufferAtRandom(t *testing.T) {
	rng := rand.New(rand.NewSource(7))
	for n := 2; n < 16; n += 2 {
		in := tangle(rng, n)
		for k := range 2 {
			size := func() float64 { return 10 + 40*rng.Float64() }
			p := on(in, "p0", k == 1, size(), size(), size())
			p.Contents.Size[1] = []float64{p.Contents.Size[1], p.Contents.Size[0]}[k]
			axis := geom.Point3{X: rng.NormFloat64(), Y: rng.NormFloat64(), Z: rng.NormFloat64()}
			p.Frame = geom.RotationAbout(geom.Point3{}, axis.Unit(), geom.Degrees(360*rng.Float64()).Angle())
			p.Frame.T = geom.Point3{X: 40 * rng.NormFloat64(), Y: 40 * rng.NormFloat64(), Z: 40 * rng.NormFloat64()}
			in.Products = append(in.Products, p)
		}
		if d, _ := productsDisagree(in, Look(360*rng.Float64(), 180*rng.Float64()-90)); d > 0.006 {
			t.Errorf("%d panels: %.2f %% of pixels differ", n, 100*d)
		}
	}
}

// Law: a product that is enclosed all round changes nothing of a picture.
func TestEnclosedProductsDoNotShow(t *testing.T) {
	rng := rand.New(rand.NewSource(3))
	in := folded(t, cube(20, "b a right", "c b right", "d c right", "e a top", "f a bottom"), "closed")
	for _, round := range []bool{false, true} {
		full := withProducts(in, on(in, "a", round, 19, 19, 19))
		for range 20 {
			v := Look(360*rng.Float64(), 180*rng.Float64()-90)
			want, got := pictured(in, v), pictured(full, v)
			if len(got.Products) > 0 || got.Bounds != want.Bounds ||
				!reflect.DeepEqual(got.Faces, want.Faces) && len(got.Faces) != len(want.Faces) || !reflect.DeepEqual(got.Lines, want.Lines) {
				t.Fatalf("round %t: something shows", round)
			}
		}
	}
}

// Law: no line of the board runs across a product's visible part, nor an edge of a
// product across visible board; each may bound it.
func TestLinesAreHiddenByProducts(t *testing.T) {
	lined, carton := folded(t, tray, "closed"), folded(t, window, "closed")
	for _, in := range []Input{
		withProducts(lined, on(lined, "a", false, 60, 40, 15)), withProducts(lined, on(lined, "a", true, 40, 40, 45)),
		withProducts(carton, on(carton, "bottom", true, 36, 36, 70)),
	} {
		edges := 0
		for _, v := range []View{Behind(), Below(), Above(), Look(160, 50)} {
			p := pictured(in, v)
			for _, l := range p.Lines {
				for i, q := range l.Points[1:] {
					mid := q.Lerp(l.Points[i], 0.5)
					for _, f := range p.Products {
						if l.Kind != ProductEdge && polygon.Holds(f.Rings, mid) && !polygon.OnRim(f.Rings, mid, 0.01) {
							t.Errorf("a line of kind %d runs across a product at %v", l.Kind, mid)
						}
					}
					for _, f := range p.Faces {
						if l.Kind == ProductEdge && polygon.Holds(f.Rings, mid) && !polygon.OnRim(f.Rings, mid, 0.01) {
							t.Errorf("an edge of a product runs across %q at %v", f.Panel.Name, mid)
						}
					}
				}
				if l.Kind == ProductEdge {
					edges++
				}
			}
		}
		if edges == 0 {
			t.Error("no edge of the product shows")
		}
	}
}

// Law: but in the closed pose, products do not show that board passes through.
func TestPiercedProductsShowInClosedPoseOnly(t *testing.T) {
	for _, c := range []struct {
		width        float64
		closed, open bool
	}{{60, true, true}, {90, true, false}} {
		in := folded(t, tray, "closed")
		in = withProducts(in, on(in, "a", false, c.width, 30, 15))
		if got := len(pictured(in, Behind()).Products) > 0; got != c.closed {
			t.Errorf("a product %g wide shows in the closed pose: %t", c.width, got)
		}
		pose, model := *in.Pose, *in.Pose.Pose
		model.Name = "open"
		pose.Pose, in.Pose = &model, &pose
		if got := len(pictured(in, Behind()).Products) > 0; got != c.open {
			t.Errorf("a product %g wide shows in another pose: %t", c.width, got)
		}
	}
}
