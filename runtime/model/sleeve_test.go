package model

import (
	"testing"

	"github.com/creasewright/creasewright/runtime/geom"
)

// A sleeve for a bar of soap, 90 × 60 × 28 mm: every panel's place in the flat
// worked out by hand. The tab looks out over base.right, so its x axis runs
// down and its y axis to the right, from the upper end of that edge.
func TestSleeve(t *testing.T) {
	const length, width, depth = 90, 60, 28
	b := NewBuilder(nil)
	_ = b.Title(nil, "Sleeve for a bar of soap, open at both ends.")
	card := must(b.Board(at(6), BoardSpec{Name: "uncoated card", Caliper: 0.3556, GSM: ptr(250.0), GrainDegrees: ptr(0.0)}))
	top := must(b.Panel(at(8), PanelSpec{Name: "top", Outline: rect(width, length)}))
	left := hung(b, "left", rect(depth, length), edge(b, top, "left"))
	right := hung(b, "right", rect(depth, length), edge(b, top, "right"))
	base := hung(b, "base", rect(width, length), edge(b, right, "right"))
	seam := must(b.Tab(at(12), TabSpec{
		FlapSpec: FlapSpec{Name: "seam", On: edge(b, base, "right"), Depth: 12, TaperDegrees: Both(TabTaper)},
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
