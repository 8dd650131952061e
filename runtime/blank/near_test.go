package blank_test

import (
	"context"
	"fmt"
	"math/rand"
	"strings"
	"testing"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/geom"
	mt "github.com/creasewright/creasewright/runtime/model/modeltest"
)

// slide moves every panel that hangs on a straight edge along it by up to far
// mm, and with it all that hangs on the panel, so that neighbours with no
// hinge between them part or overlap by about as much.
func slide(rng *rand.Rand, k *mt.Known, far float64) {
	for i, h := range k.Piece.Hinges {
		lay, p := h.Lay, h.Child
		if c := h.On.Curve(); c.Kind == geom.Line {
			by := c.Tangent(0).Mul(far * (2*rng.Float64() - 1))
			lay = lay.Then(geom.Translation(by.X, by.Y))
		}
		p.Flat, p.Hang = lay.Then(h.Parent.Flat), nil
		k.Piece.Hinges[i] = mt.Join(h.Parent, p, mt.Cell{Name: h.Name, On: h.On.Name, By: h.By.Name, Fold: h.Fold})
	}
}

// Laws: however far panels miss each other, from far less than a weld to
// several, every boundary closes, strokes hang together, hinges keep their
// length but for their ends, and the area is that of the panels but for a
// weld's width along their rims; far below a weld nothing is found amiss at all.
func TestNearMisses(t *testing.T) {
	for _, far := range []float64{1e-9, 1e-6, 1e-4, 4e-4, 7e-4, 1e-3, 1.5e-3, 3e-3, 1e-2} {
		t.Run(fmt.Sprint(far), func(t *testing.T) {
			for seed := range int64(60) {
				rng := rand.New(rand.NewSource(seed))
				k := mt.Tree(rng, 2+rng.Intn(30), geom.Rotation(geom.Radians(rng.Float64()*7), geom.Point{}))
				slide(rng, k, far)
				b, found, _ := blank.Lay(context.Background(), k.Piece, nil)
				for _, m := range messages(found) {
					if far < geom.SnapTolerance/50 || strings.Contains(m, "does not close") {
						t.Errorf("seed %d: %s", seed, m)
					}
				}
				for _, l := range b.Layers {
					for _, s := range l.Strokes {
						checkStroke(t, l.Kind, s)
					}
				}
				for _, h := range b.Hinges {
					if h.Length < h.Hinge.Curve.Length()-16*geom.SnapTolerance {
						t.Errorf("seed %d: hinge %s has %g of %g mm", seed, h.Hinge.Name, h.Length, h.Hinge.Curve.Length())
					}
				}
				if slack := (k.Cut + k.Hinged) * geom.SnapTolerance; b.Area > k.Area+slack || b.Area < k.Area-slack {
					t.Errorf("seed %d: area %g, want %g", seed, b.Area, k.Area)
				}
			}
		})
	}
}

// Sizes with three decimals leave gaps and overlaps of exactly 0.001 mm, the
// contract's own bound: lines that far apart are one, though rounding may make
// them a hair more.
func TestAMicrometreIsOneLine(t *testing.T) {
	for i := range 200 {
		x := 33.333 + float64(i)*0.618
		cells := []mt.Cell{
			{Name: "base", Outline: mt.Rect(0, 0, 400, 60)},
			{Name: "a", Outline: mt.Rect(0, 60, x, 30), On: "top", By: "bottom", Fold: mt.Right},
			{Name: "b", Outline: mt.Rect(x-0.001, 60, 50, 30), On: "top", By: "bottom", Fold: mt.Right},
			{Name: "c", Outline: mt.Rect(x+49.999+0.001, 60, 50, 30), On: "top", By: "bottom", Fold: mt.Right},
		}
		b := layClean(t, mt.Assemble(cells, nil).Pieces[0])
		if cut := layer(b, blank.CutLine); len(cut.Strokes) != 3 || !near(cut.Length(), 2*(400+60)+60+2*30, 1e-4) {
			t.Errorf("joint at %g: %d cut strokes of %g mm in all", x, len(cut.Strokes), cut.Length())
		}
	}
}
