package display_test

import (
	"math"
	"math/rand"
	"slices"
	"testing"

	"github.com/creasewright/creasewright/runtime/emit"
	"github.com/creasewright/creasewright/runtime/geom"
)

// Tolerances of what holds on the way, mm: the panels of a hinge turn about one line but
// for rounding, and loops are closed by a solver that is held to this.
const (
	onHinge = 1e-6
	onLoop  = 1e-6
)

// Laws, for all example designs and poses: at share 1 a motion stands where the pose does
// to 1e-9, at 0 every fold is 0 and panels lie as in the blank, and at every share the
// two panels of a straight hinge keep it in common, over which loops are closed too.
func TestMotionsOfExamples(t *testing.T) {
	rng := rand.New(rand.NewSource(1))
	for _, name := range examples(t) {
		run := decode[shownRun](t, files(t, showing(name))[emit.KindDisplay])
		for k, p := range run.Pieces {
			for _, pose := range p.Poses {
				m := motion(t, name, k, pose.Name, 1, 0, rng.Float64(), rng.Float64(), 1./48, 47./48)
				if m.Piece != k || m.Pose != pose.Name || len(m.States) != 6 {
					t.Fatalf("%s: the motion is of %d, %s", name, m.Piece, m.Pose)
				}
				checkSame(t, name+" at 1", m.States[0].Panels, pose.Panels)
				for i := range pose.Folds {
					if a, b := m.States[0].Folds[i], pose.Folds[i]; (a == nil) != (b == nil) || a != nil && math.Abs(*a-*b) > 1e-9 {
						t.Errorf("%s: hinge %d ends at %v in pose %s", name, i, a, pose.Name)
					}
				}
				checkSame(t, name+" at 0", m.States[1].Panels, p.Poses[0].Panels)
				if i := slices.IndexFunc(m.States[1].Folds, func(v *float64) bool { return v == nil || *v != 0 }); i >= 0 {
					t.Errorf("%s: hinge %d is folded at 0 of pose %s", name, i, pose.Name)
				}
				for _, s := range m.States {
					if !s.Found {
						t.Errorf("%s: no state at %v of pose %s", name, s.At, pose.Name)
					}
					checkHinges(t, name, p, s.Panels)
				}
			}
		}
	}
}

// checkSame holds panels to stand alike, to 1e-9.
func checkSame(t *testing.T, what string, got, want []*[12]float64) {
	t.Helper()
	for i := range want {
		if (got[i] == nil) != (want[i] == nil) {
			t.Errorf("%s: panel %d has a place in one of the two", what, i)
		} else if want[i] != nil {
			for k, v := range want[i] {
				if math.Abs(got[i][k]-v) > 1e-9 {
					t.Errorf("%s: panel %d stands at %v, not %v", what, i, *got[i], *want[i])
					break
				}
			}
		}
	}
}

// checkHinges holds the ends of every straight hinge to be in one place on both panels.
func checkHinges(t *testing.T, name string, p shownPiece, panels []*[12]float64) {
	t.Helper()
	for _, h := range p.Hinges {
		if h.Axis == nil || panels[h.Parent] == nil || panels[h.Child] == nil {
			continue
		}
		most := onHinge
		if h.Closing {
			most = onLoop
		}
		toChild := isometry(p.Panels[h.Parent].Flat).Then(isometry(p.Panels[h.Child].Flat).Inverse())
		for _, end := range h.Axis {
			at := geom.Pt(end[0], end[1])
			onParent, onChild := at.Space(), toChild.Apply(at).Space()
			onParent.Z, onChild.Z = h.Height, h.Height
			a, b := transform(*panels[h.Parent]).Apply(onParent), transform(*panels[h.Child]).Apply(onChild)
			if a.Dist(b) > most {
				t.Errorf("%s: hinge %s is torn open by %v mm", name, h.Name, a.Dist(b))
			}
		}
	}
}
