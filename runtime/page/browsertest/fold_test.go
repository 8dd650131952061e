package browsertest_test

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"math"
	"slices"
	"testing"

	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/page/browsertest"
	"github.com/creasewright/creasewright/runtime/simulate"
)

// shown is what the page's store says of the piece in space: the frame of each panel,
// by rows, and the angle of each hinge in degrees, nil where there is none.
type shown struct {
	At     float64
	Panels [][]float64
	Folds  []*float64
}

func stateShown(b *browsertest.Tab) shown {
	return browsertest.Eval[shown](b, `(s => ({At: s.at, Panels: s.panels.map(m => m && [...m]), Folds: s.folds}))(`+browsertest.State+`.state)`)
}

// rows is a frame as the page writes it.
func rows(m geom.RigidTransform) []float64 {
	return []float64{
		m.R[0], m.R[1], m.R[2], m.T.X,
		m.R[3], m.R[4], m.R[5], m.T.Y,
		m.R[6], m.R[7], m.R[8], m.T.Z,
	}
}

// differs is the largest difference between what is shown and a state, in mm or degrees.
func differs(got shown, want *simulate.State) (worst float64, err error) {
	if len(got.Panels) != len(want.Placements) || len(got.Folds) != len(want.Folds) {
		return 0, fmt.Errorf("%d panels and %d hinges, want %d and %d",
			len(got.Panels), len(got.Folds), len(want.Placements), len(want.Folds))
	}
	for i, p := range want.Placements {
		if (got.Panels[i] != nil) != p.OK {
			return 0, fmt.Errorf("panel %d has a place: %v, want %v", i, got.Panels[i] != nil, p.OK)
		}
		for k, v := range got.Panels[i] {
			worst = max(worst, math.Abs(v-rows(p.RigidTransform)[k]))
		}
	}
	for i, a := range want.Folds {
		if (got.Folds[i] != nil) != a.OK {
			return 0, fmt.Errorf("hinge %d has an angle: %v, want %v", i, got.Folds[i] != nil, a.OK)
		}
		if a.OK {
			worst = max(worst, math.Abs(*got.Folds[i]-float64(a.Degrees)))
		}
	}
	return worst, nil
}

// exact is how far a number of the page may be from the same number in Go.
const exact = 1e-9

// foldingScripts are the designs whose folding is compared: first a tube with tucks, one whose
// free folds loops decide, one with curves, one in two pieces, which are looked at closely.
var foldingScripts = []string{
	"tea-carton.star", "paper-lantern.star", "mug-carton.star", "candle-box.star",
	"honey-tray.star", "seed-envelope.star", "seed-packet.star", "soap-sleeve.star",
}

// Wherever the slider stands on the way to a pose, the page shows what the solver finds
// there: the frame of every panel, and so its corners, and the angle of every hinge.
func TestSliderShowsSolvedStates(t *testing.T) {
	t.Parallel()
	s := newStudio(t, examples(t, foldingScripts...))
	b := s.open()
	for script, name := range s.scripts {
		if script > 0 {
			b.Click(fmt.Sprintf(`#scripts [data-script="%d"]`, script))
			b.Wait(fmt.Sprintf("%s.script === %d && %s", browsertest.State, script, browsertest.Drawn))
		}
		_, pieces, err := s.folded(t.Context(), name, nil)
		if err != nil {
			t.Fatal(err)
		}
		for k, piece := range pieces {
			if k > 0 {
				browsertest.Eval[bool](b, fmt.Sprintf("(creasewright.store.set({piece: %d}), true)", k))
			}
			for _, pose := range piece.States {
				if pose.Pose.Name == "flat" {
					continue
				}
				b.Pose(pose.Pose.Name)
				stops := []int{29}
				if slices.Contains(foldingScripts[:4], name) {
					stops = []int{47, 29, 11, 1}
				}
				for _, stop := range stops {
					b.Slide(stop)
					want, err := pose.At(context.Background(), float64(stop)/48)
					if err != nil {
						t.Fatal(err)
					}
					worst, err := differs(stateShown(b), want)
					if err != nil || worst > exact {
						t.Errorf("%s, %s, pose %s at %d/48: off by %g: %v", name, piece.Piece.Name, pose.Pose.Name, stop, worst, err)
					}
				}
			}
		}
	}
}

// reported is the part of report.json that says where panels stand.
type reported struct {
	Pieces []struct {
		Panels []struct {
			Name  string
			Poses map[string][]float64
		}
	}
}

// In each pose the panels stand where report.json says, to the digits that are written there.
func TestPosesAreThoseOfTheReport(t *testing.T) {
	t.Parallel()
	s := newStudio(t, examples(t, "tea-carton.star"))
	var report reported
	if err := json.NewDecoder(bytes.NewReader(s.files["tea-carton.star"]["report.json"])).Decode(&report); err != nil {
		t.Fatal(err)
	}
	b := s.open()
	for _, pose := range []string{"closed", "shipped", "flat"} {
		b.Pose(pose)
		got := stateShown(b)
		for i, panel := range report.Pieces[0].Panels {
			for k, want := range panel.Poses[pose] {
				if math.Abs(got.Panels[i][k]-want) > 1e-6 {
					t.Errorf("%s, panel %s: element %d is %v, want %v", pose, panel.Name, k, got.Panels[i][k], want)
				}
			}
		}
	}
}

// The folded view is drawn, and drawn anew as the piece folds: its pixels are not of one
// colour, and differ between the ends and the middle.
func TestFoldedViewMoves(t *testing.T) {
	t.Parallel()
	s := newStudio(t, examples(t, "tea-carton.star"))
	b := s.open()
	seen := map[string]int{}
	for _, stop := range []int{0, 24, 48} {
		b.Slide(stop)
		b.Wait(fmt.Sprintf("Math.round(document.getElementById('folded').dataset.drawn * 48) === %d", stop))
		picture := b.Part("#folded")
		if colours := coloursOf(t, picture); colours < 4 {
			t.Errorf("at %d/48 the view has %d colours", stop, colours)
		}
		if before, ok := seen[string(picture)]; ok {
			t.Errorf("the view is the same at %d/48 as at %d/48", stop, before)
		}
		seen[string(picture)] = stop
	}
}
