package contact

import "testing"

// The example designs close cleanly: nothing crosses in any pose, every join
// holds, glue finds its board, the products fit, and what is pressed flat is
// flat and as thick as its wraps say.
func TestExamples(t *testing.T) {
	for _, c := range []struct {
		name   string
		flat   string // a pose pressed flat
		boards int    // how thick it is there
	}{
		{"soap-sleeve.star", "shipped", 3},
		{"tea-carton.star", "shipped", 3},
		{"mug-carton.star", "shipped", 3},
		{"seed-envelope.star", "closed", 4},
		{"candle-box.star", "", 0},
	} {
		f := fromExample(t, c.name)
		for _, pose := range f.design.Poses {
			p := f.poses[pose.Name]
			for _, x := range p.Penetrations {
				t.Errorf("%s, pose %s: %s and %s cross by %g", c.name, pose.Name, p.Piece.Panels[x.A].Name, p.Piece.Panels[x.B].Name, x.Depth)
			}
			for _, g := range must(p.Gaps(bg, f.closed())) {
				near(t, c.name+", pose "+pose.Name+": gap of "+g.Join.A.Panel.Name, g.Size, 0, 1e-3)
			}
		}
		for _, cover := range must(f.closed().Covers(bg)) {
			if cover.Share > 0.1 {
				t.Errorf("%s: %g of %s finds no board", c.name, cover.Share, cover.Join.A.Panel.Name)
			}
		}
		for _, product := range f.design.Contents {
			if fit, ok, _ := f.closed().Fit(bg, product); !ok || len(fit.Misfits) > 0 {
				t.Errorf("%s: %s does not fit: %+v", c.name, product.Name, fit.Misfits)
			}
		}
		if c.flat == "" {
			continue
		}
		if p := f.poses[c.flat]; !p.Flat() || p.Thickness() != c.boards {
			t.Errorf("%s, pose %s: flat %v, %d boards", c.name, c.flat, p.Flat(), p.Thickness())
		}
	}
}
