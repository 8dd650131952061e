package blank_test

import (
	"math"
	"testing"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/model"
)

// The line of a hinge follows how it is made and which way it leans; what
// never folds has none, and then neither has it a cut.
func TestHingeKinds(t *testing.T) {
	given := func(d geom.Degrees) model.Fold { return model.Fold{Degrees: d} }
	free := func(s model.Side) model.Fold { return model.Fold{Free: &model.Free{Side: s}} }
	for _, c := range []struct {
		line model.LineKind
		fold model.Fold
		pose geom.Degrees // in a named pose; 0 for none
		want blank.Kind
	}{
		{model.Score, given(90), 0, blank.ScoreLine},
		{model.Score, given(-90), 0, blank.BackScoreLine},
		{model.Score, given(90), -90, blank.ScoreLine},
		{model.Score, free(model.In), 0, blank.ScoreLine},
		{model.Score, free(model.Out), 0, blank.BackScoreLine},
		{model.PartCut, given(180), 0, blank.PartCutLine},
		{model.PartCut, given(-1), 0, blank.BackPartCutLine},
		{model.PartCut, free(model.Out), 0, blank.BackPartCutLine},
		{model.Perforated, given(-90), 0, blank.PerforatedLine},
		{model.PlainFold, given(90), 0, ""},
		{model.Score, given(0), 0, ""},
		{model.Perforated, given(0), 0, ""},
		{model.Score, given(0), 120, blank.ScoreLine},
		{model.Score, given(0), -30, blank.BackScoreLine},
	} {
		p, _, _ := pair()
		h := p.Hinges[0]
		h.Line, h.Fold = c.line, c.fold
		poses := []*model.Pose{{Name: "flat"}, {Name: "closed"}}
		if c.pose != 0 {
			poses = append(poses, &model.Pose{Name: "open", FoldDegrees: map[*model.Hinge]geom.Degrees{h: c.pose}})
		}
		b := layClean(t, p, poses...)
		if got := b.Hinges[0]; got.Kind != c.want || math.Abs(got.Length-60) > 1e-9 {
			t.Errorf("%s folded %+v, posed %g: %q of %g mm, want %q of 60", c.line, c.fold, c.pose, got.Kind, got.Length, c.want)
		}
		kinds := 1
		if c.want != "" {
			kinds = 2
		}
		if len(b.Layers) != kinds || layer(b, blank.CutLine).Length() != 280 {
			t.Errorf("%s folded %+v: layers %v", c.line, c.fold, b.Layers)
		}
	}
}

// A hinge's curves run with the parent's board on their left, whichever panel
// was made first.
func TestHingeDirection(t *testing.T) {
	p, _, _ := pair()
	for range 2 {
		b := layClean(t, p)
		if c := b.Hinges[0].Curves[0]; c.P.X != 60 || c.Q.X != 0 {
			t.Errorf("hinge runs from %v to %v", c.P, c.Q)
		}
		p.Panels[0], p.Panels[1] = p.Panels[1], p.Panels[0]
	}
}
