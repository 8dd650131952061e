package model

import (
	"fmt"
	"strings"
	"testing"

	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/limit"
)

func bounded(panels, edges int64) *Builder {
	s := limit.Defaults()
	s[limit.Panels], s[limit.Edges] = panels, edges
	b := NewBuilder(nil)
	if err := b.Limit(s); err != nil {
		panic(err)
	}
	return b
}

// Law: as many panels as are allowed can be made, and no more, and a refused
// one leaves the design as it was.
func TestPanelsAreBounded(t *testing.T) {
	b := bounded(5, 1000)
	root := must(b.Panel(nil, PanelSpec{Name: "0", Outline: rect(10, 10)}))
	last := root
	for i := 1; i < 5; i++ {
		last = hung(b, fmt.Sprint(i), rect(10, 10), edge(b, last, "right"))
	}
	top := edge(b, root, "top")
	_, err := b.Panel(nil, PanelSpec{Name: "5", Outline: rect(10, 10), On: &top})
	if err == nil || !strings.Contains(err.Error(), `panel "5": the design has more than 5 panels`) {
		t.Errorf("a sixth panel: %v", err)
	}
	if len(b.design.Panels) != 5 || len(b.design.Hinges) != 4 || b.panels["5"] != nil {
		t.Errorf("%d panels, %d hinges", len(b.design.Panels), len(b.design.Hinges))
	}
}

// Edges count wherever they are: in panels, windows, slits and scores.
func TestEdgesAreBounded(t *testing.T) {
	b := bounded(100, 10)
	p := must(b.Panel(nil, PanelSpec{Name: "p", Outline: rect(50, 50)}))
	must(b.Cut(nil, p, rect(5, 5)))
	slit := line(geom.Pt(10, 10), geom.Pt(20, 10))
	must(b.Cut(nil, p, slit))
	must(b.Work(nil, WorkSpec{Kind: Drawn, Panel: p, Path: slit}))
	for name, err := range map[string]error{
		"score":  second(b.Work(nil, WorkSpec{Kind: ScoreLine, Panel: p, Path: slit})),
		"window": second(b.Cut(nil, p, rect(5, 5))),
		"panel":  second(b.Panel(nil, PanelSpec{Name: "q", Outline: rect(5, 5)})),
	} {
		if err == nil || !strings.Contains(err.Error(), "have more than 10 edges") {
			t.Errorf("%s: %v", name, err)
		}
	}
	if len(p.Works) != 2 || len(p.Windows) != 1 {
		t.Errorf("%d works, %d windows", len(p.Works), len(p.Windows))
	}
}

func second[T any](_ T, err error) error { return err }

// A sleeve for a bar of soap, 90 × 60 × 28 mm: every panel's place in the flat
// worked out by hand. The tab looks out over base.right, so its x axis runs
// down and its y axis to the right, from the upper end of that edge.
func TestSleeve(t *testing.T) {
	const length, width, depth = 90, 60, 28
	b := NewBuilder(nil)
	_ = b.Title(nil, "Sleeve for a bar of soap, open at both ends.")
	card := must(b.Board(at(6), BoardSpec{Name: "uncoated card", Caliper: 0.3556, GSM: ptr(250.0), GrainDegrees: ptr(geom.Degrees(0))}))
	top := must(b.Panel(at(8), PanelSpec{Name: "top", Outline: rect(width, length)}))
	left := hung(b, "left", rect(depth, length), edge(b, top, "left"))
	right := hung(b, "right", rect(depth, length), edge(b, top, "right"))
	base := hung(b, "base", rect(width, length), edge(b, right, "right"))
	seam := must(b.Tab(at(12), TabSpec{
		FlapSpec: FlapSpec{Name: "seam", On: edge(b, base, "right"), Depth: 12, TaperDegrees: BothAngles(TabTaper)},
		To:       ToEdge(edge(b, left, "left")),
	}))
	must(b.Piece(at(15), PieceSpec{Name: "sleeve", Root: top, Board: card, Copies: 1}))
	d, err := b.Finish()
	if err != nil {
		t.Fatal(err)
	}

	for _, c := range []struct {
		panel *Panel
		flat  geom.Isometry
	}{
		{top, geom.Identity()},
		{left, geom.Translation(-28, 0)},
		{right, geom.Translation(60, 0)},
		{base, geom.Translation(88, 0)},
		{seam, geom.Isometry{A: 0, B: -1, C: 1, D: 0, E: 148, F: 90}},
	} {
		sameMotion(t, c.panel.Name, c.panel.Flat, c.flat, 1e-12)
	}
	bounds := geom.EmptyBox()
	for _, p := range d.Panels {
		bounds = bounds.Union(p.Outline.Transform(p.Flat).Bounds())
	}
	near(t, "size", geom.Pt(bounds.Width(), bounds.Height()), geom.Pt(188, 90), 1e-12)

	piece := d.Pieces[0]
	if len(piece.Panels) != 5 || len(piece.Hinges) != 4 || len(piece.Joins) != 1 {
		t.Errorf("piece has %d panels, %d hinges, %d joins", len(piece.Panels), len(piece.Hinges), len(piece.Joins))
	}
	if h := left.Hang; h.By.Name != "right" || h.Fold.Degrees != 90 || h.Line != Score || h.Curve.Length() != 90 {
		t.Errorf("left hangs by %s, fold %g, line %s, %g mm", h.By.Name, h.Fold.Degrees, h.Line, h.Curve.Length())
	}
	if f := seam.Hang.Fold.Free; f == nil || f.Side != In {
		t.Errorf("the seam's fold is %+v, want a free one toward the inside", seam.Hang.Fold)
	}
	if j := piece.Joins[0]; j.Kind != TabJoin || j.A.Panel != seam || j.B.Panel != left || j.B.Edge.Name != "left" {
		t.Errorf("join %+v", j)
	}
	if d.Title == "" || d.Poses[0].Name != "flat" || d.Poses[1].Name != "closed" || len(d.Unclaimed()) != 0 {
		t.Errorf("title %q, poses %v", d.Title, d.Poses)
	}
}
