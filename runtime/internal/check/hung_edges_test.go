package check

import (
	"math"
	"math/rand"
	"testing"

	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/model"
)

// Law: an overhang is how far the child's edge, as it lies in the blank,
// reaches past the ends of the edge it hangs on.
func TestOverhangIsWhatTheBlankHas(t *testing.T) {
	rng := rand.New(rand.NewSource(71))
	for range 200 {
		b := model.NewBuilder(nil)
		outline := func(w float64) geom.Path {
			p, err := geom.Rect(w, 20, 0)
			if err != nil {
				t.Fatal(err)
			}
			return p
		}
		root, err := b.Panel(nil, model.PanelSpec{Name: "root", Outline: outline(20 + rng.Float64()*40)})
		if err != nil {
			t.Fatal(err)
		}
		top := root.Outline.Edges[2]
		on := model.EdgeRef{Panel: root, Name: "top", Index: 2, To: top.Length()}
		child, err := b.Panel(nil, model.PanelSpec{Name: "child", Outline: outline(20 + rng.Float64()*40), On: &on, Slide: rng.Float64()*20 - 10})
		if err != nil {
			t.Fatal(err)
		}
		by := child.Outline.Edges[child.Hang.By.Index].Curve.Transform(child.Flat)
		// Seen looking out over the top, left is toward −x.
		left := top.Q.X - math.Min(by.P.X, by.Q.X)
		right := math.Max(by.P.X, by.Q.X) - top.P.X
		got := overhang(child.Hang)
		if math.Abs(got[0].over-left) > 1e-9 || math.Abs(got[1].over-right) > 1e-9 {
			t.Fatalf("overhang %+v, want %g and %g", got, left, right)
		}
		if s := kept(child.Hang); child.Hang.By.To <= on.To {
			moved := *child.Hang
			moved.Slide = s
			if o := overhang(&moved); o[0].over > 1e-9 || o[1].over > 1e-9 {
				t.Fatalf("slide %g keeps %+v", s, o)
			}
		}
	}
}
