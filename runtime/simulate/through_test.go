package simulate_test

import (
	"context"
	"fmt"
	"math"
	"math/rand"
	"slices"
	"testing"

	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/model"
	"github.com/creasewright/creasewright/runtime/model/modeltest"
	"github.com/creasewright/creasewright/runtime/simulate"
)

// stackOf makes panels that fold flat on one another every which way, by creases
// and by grooves, and cuts a hole and a slit through all of them, drawn in one.
func stackOf(rng *rand.Rand) (*model.Design, error) {
	b := model.NewBuilder(nil)
	var all []*model.Panel
	for i := range 2 + rng.Intn(6) {
		turn := geom.Rotation(geom.Degrees(rng.Intn(360)).Angle(), geom.Pt(rng.Float64()*50, 9))
		spec := model.PanelSpec{
			Name:    fmt.Sprint("p", i),
			Outline: modeltest.Rect(0, 0, 60+20*rng.Float64(), 50+20*rng.Float64()).Transform(turn),
		}
		if i > 0 {
			on, err := b.Edge(nil, all[i-1], [...]string{"left", "top", "right"}[rng.Intn(3)])
			if err != nil {
				return nil, err
			}
			spec.On, spec.By, spec.Overhang = &on, "bottom", true
			spec.Fold = model.Degrees([...]geom.Degrees{-180, 0, 180}[rng.Intn(3)])
			spec.Line = [...]model.LineKind{model.Score, model.Groove}[rng.Intn(2)]
			spec.Slide = 6 * (rng.Float64() - 0.5)
		}
		p, err := b.Panel(nil, spec)
		if err != nil {
			return nil, err
		}
		all = append(all, p)
	}
	of := all[rng.Intn(len(all))]
	others := slices.DeleteFunc(slices.Clone(all), func(p *model.Panel) bool { return p == of })
	to := geom.Rotation(geom.Radians(7*rng.Float64()), geom.Point{}).Then(geom.Translation(of.Outline.Bounds().Mid().X, of.Outline.Bounds().Mid().Y))
	hole := modeltest.Closed(
		geom.LineFrom(geom.Pt(-10, -5), geom.Pt(8, -5)), geom.ArcFrom(geom.Pt(8, -5), geom.Pt(8, 0), geom.Degrees(180).Angle()),
		geom.CubicFrom(geom.Pt(8, 5), geom.Pt(2, 12), geom.Pt(-4, 4), geom.Pt(-10, 5)), geom.LineFrom(geom.Pt(-10, 5), geom.Pt(-10, -5)),
	)
	slit := modeltest.Open(geom.LineFrom(geom.Pt(-14, -12), geom.Pt(0, -12)), geom.ArcFrom(geom.Pt(0, -12), geom.Pt(0, -18), geom.Degrees(-70).Angle()))
	if _, err := b.Cut(nil, of, hole.Transform(to), others...); err != nil {
		return nil, err
	}
	if _, err := b.Slit(nil, of, slit.Transform(to), others...); err != nil {
		return nil, err
	}
	card, err := b.Board(nil, model.BoardSpec{Name: "card", Caliper: 0.3})
	if err != nil {
		return nil, err
	}
	if _, err := b.Piece(nil, model.PieceSpec{Name: "stack", Root: all[0], Board: card, Copies: 1}); err != nil {
		return nil, err
	}
	if err := b.CloseBy(context.Background(), simulate.Closed); err != nil {
		return nil, err
	}
	return b.Finish()
}

// coincide compares the copies of a design's cuts with the cuts themselves, laid
// on their panels along the normals in the closed pose. It counts the copies and
// those that are seen from the back.
func coincide(t *testing.T, d *model.Design) (copies, turned int) {
	t.Helper()
	for _, c := range d.Throughs {
		places, err := simulate.Closed(context.Background(), c.Panel.Piece)
		if err != nil {
			t.Fatal(err)
		}
		at := func(p *model.Panel) simulate.Placement { return places[slices.Index(p.Piece.Panels, p)] }
		for _, l := range c.Layers {
			got := geom.Path{}
			switch {
			case l.Window != nil:
				got = l.Window.Outline
			case l.Slit != nil:
				got = l.Slit.Path
			default:
				continue
			}
			copies++
			onto := at(l.Panel).Then(at(c.Panel).Inverse())
			if onto.Normal().Z < 0 {
				turned++
			}
			want := c.Path()
			if got.Closed != want.Closed || len(got.Edges) != len(want.Edges) || got.Closed && got.Area() < 0 {
				t.Fatalf("copy %v of %v", got, want)
			}
			for _, e := range got.Edges {
				o := want.Edges[want.Index(e.Name)]
				if e.Kind != o.Kind || math.Abs(e.Length()-o.Length()) > 1e-6 {
					t.Errorf("edge %v is a copy of %v", e, o)
				}
				for k := range 9 {
					q := onto.Apply(e.At(float64(k) / 8).Space()).Plane()
					if _, off := o.Nearest(q); off > 1e-6 {
						t.Fatalf("in %q the cut of %q lies %g mm off", l.Panel.Name, c.Panel.Name, off)
					}
				}
			}
		}
	}
	return copies, turned
}

// Law: laid back by the closed pose, every copy of a cut through several panels
// lies on the cut it is a copy of to 1e-6 mm, curve on curve of the same kind; and
// where there is none, the panel's board does not lie over the cut.
func TestThroughCoincides(t *testing.T) {
	rng := rand.New(rand.NewSource(41))
	copies, turned, missed := 0, 0, 0
	for range 150 {
		d, err := stackOf(rng)
		if err != nil {
			t.Fatal(err)
		}
		c, back := coincide(t, d)
		copies, turned = copies+c, turned+back
		for _, c := range d.Throughs {
			places, _ := simulate.Closed(context.Background(), c.Panel.Piece)
			at := func(p *model.Panel) simulate.Placement { return places[slices.Index(p.Piece.Panels, p)] }
			for _, l := range c.Layers {
				if l.Miss == nil {
					continue
				}
				missed++
				if l.Miss.Kind != model.Beside {
					t.Errorf("%q misses as %+v", l.Panel.Name, *l.Miss)
				}
				over := at(c.Panel).Then(at(l.Panel).Inverse())
				for _, q := range c.Path().Flatten(0.1) {
					if q = over.Apply(q.Space()).Plane(); l.Panel.Outline.Contains(q) {
						if l.Panel.Outline.Distance(modeltest.Polyline(q, q.Add(geom.Pt(1e-9, 0)))) > 0.01 {
							t.Errorf("%q lies over %v of the cut", l.Panel.Name, q)
						}
					}
				}
			}
		}
	}
	if copies < 400 || turned < 150 || missed < 100 {
		t.Errorf("%d copies, %d turned over, %d missed", copies, turned, missed)
	}
}

// A tab whose fold has to be found is cut where it comes to lie.
func TestThroughFollowsFreeFolds(t *testing.T) {
	rng := rand.New(rand.NewSource(42))
	for range 20 {
		w, h, x := 40+30*rng.Float64(), 20+20*rng.Float64(), 4+4*rng.Float64()
		b := model.NewBuilder(nil)
		hang := func(name string, width float64, on *model.Panel) *model.Panel {
			spec := model.PanelSpec{Name: name, Outline: modeltest.Rect(0, 0, width, 80)}
			if on != nil {
				e := modeltest.Edge(on, "right")
				spec.On = &e
			}
			p, err := b.Panel(nil, spec)
			if err != nil {
				t.Fatal(err)
			}
			return p
		}
		front := hang("front", w, nil)
		left := hang("left", h, hang("back", w, hang("right", h, front)))
		seam, err := b.Tab(nil, model.TabSpec{FlapSpec: model.FlapSpec{Name: "seam", On: modeltest.Edge(front, "left"), Depth: 12}, To: model.ToEdge(modeltest.Edge(left, "right"))})
		if err != nil {
			t.Fatal(err)
		}
		if _, err := b.Cut(nil, left, modeltest.Disc(h-x, 33, 2), seam); err != nil {
			t.Fatal(err)
		}
		card, _ := b.Board(nil, model.BoardSpec{Name: "card", Caliper: 0.3})
		if _, err := b.Piece(nil, model.PieceSpec{Name: "sleeve", Root: front, Board: card, Copies: 1}); err != nil {
			t.Fatal(err)
		}
		_ = b.CloseBy(context.Background(), simulate.Closed)
		d, err := b.Finish()
		if err != nil {
			t.Fatal(err)
		}
		if copies, _ := coincide(t, d); copies != 1 {
			t.Errorf("%d copies, %+v", copies, d.Throughs[0].Layers[0].Miss)
		}
		// The tab hangs on front's left edge: looking out over it, its x runs down
		// from the top of the edge, and its y is the distance from the seam.
		if c := seam.Windows[0].Outline.Bounds().Mid(); math.Abs(c.Y-x) > 1e-6 || math.Min(math.Abs(c.X-33), math.Abs(c.X-47)) > 1e-6 {
			t.Errorf("the hole lies at %v, want it %g from the seam", c, x)
		}
	}
}
