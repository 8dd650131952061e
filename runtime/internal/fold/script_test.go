package fold

import (
	"context"
	"math"
	"testing"

	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/script"
	"github.com/creasewright/creasewright/runtime/model"
	"github.com/creasewright/creasewright/runtime/source"
)

// folded is a script's first piece in all its poses, by name.
type folded struct {
	t     testing.TB
	piece *model.Piece
	left  []LeftOut
	poses map[string]*Pose
}

const preamble = `card = board("card", caliper = 0.4)
`

// foldScript runs a script that ends in a root panel called root and folds it.
func foldScript(t testing.TB, text string) *folded {
	t.Helper()
	store := source.NewStore(func(string) ([]byte, error) {
		return []byte(preamble + text + "\npiece(\"piece\", root, board = card)\n"), nil
	})
	d, found := script.Run(context.Background(), store, "case.star", script.Options{})
	if d == nil {
		t.Fatal(found[0])
	}
	f := foldAll(t, d.Pieces[0], d.Poses...)
	out := &folded{t, f.Piece, f.LeftOut, map[string]*Pose{}}
	for _, p := range f.Poses {
		out.poses[p.Pose.Name] = p
	}
	return out
}

// angle is a hinge's fold in a pose, NaN when it was not found.
func (f *folded) angle(pose, hinge string) float64 {
	f.t.Helper()
	for i, h := range f.piece.Hinges {
		if h.Name == hinge {
			if a := f.poses[pose].Angles[i]; a.OK {
				return float64(a.Degrees)
			}
			return math.NaN()
		}
	}
	f.t.Fatalf("no hinge %q", hinge)
	return 0
}

// wants compares folds in a pose with what they should be, to a millionth of a
// degree; NaN asks for a fold that was not found.
func (f *folded) wants(pose string, folds map[string]float64) {
	f.t.Helper()
	for hinge, want := range folds {
		got := f.angle(pose, hinge)
		if math.IsNaN(want) != math.IsNaN(got) || math.Abs(got-want) > 1e-6 {
			f.t.Errorf("%s: hinge %q folds %.9f, want %.9f", pose, hinge, got, want)
		}
	}
}

// sound wants a pose without faults.
func (f *folded) sound(pose string) {
	f.t.Helper()
	for _, fault := range f.poses[pose].Faults {
		f.t.Errorf("%s: fault %d at %q, gap %g, missing %d", pose, fault.Kind, fault.Hinge.Name, fault.Gap, fault.Missing)
	}
}

// fault wants a pose with one fault of a kind.
func (f *folded) fault(pose string, kind FaultKind) Fault {
	f.t.Helper()
	if fs := f.poses[pose].Faults; len(fs) != 1 || fs[0].Kind != kind {
		f.t.Fatalf("%s: faults %+v, want one of kind %d", pose, fs, kind)
	}
	return f.poses[pose].Faults[0]
}

// at is where a point of a panel stands in a pose.
func (f *folded) at(pose, panel string, x, y float64) geom.Point3 {
	f.t.Helper()
	for i, p := range f.piece.Panels {
		if p.Name == panel {
			at := f.poses[pose].Place[i]
			if !at.OK {
				f.t.Fatalf("%s: panel %q has no place", pose, panel)
			}
			return at.Apply(geom.Pt(x, y).Space())
		}
	}
	f.t.Fatalf("no panel %q", panel)
	return geom.Point3{}
}

// closes wants every hinge whose two panels have a place to hold together to
// 1e-9 mm, loops included.
func (f *folded) closes(pose string) {
	f.t.Helper()
	if gap := widestHinge(f.piece, f.poses[pose]); gap > 1e-9 {
		f.t.Errorf("%s: a hinge gapes by %g mm", pose, gap)
	}
}

// widestHinge is how far the two panels of a hinge stand apart along it, over
// all hinges: measured in space, from the panels' places alone.
func widestHinge(piece *model.Piece, pose *Pose) float64 {
	place := map[*model.Panel]Placement{}
	for i, p := range piece.Panels {
		place[p] = pose.Place[i]
	}
	worst := 0.0
	for _, h := range piece.Hinges {
		a, b := place[h.Parent], place[h.Child]
		if !a.OK || !b.OK {
			continue
		}
		lay := h.ToParent
		if h.Closing {
			lay = h.Child.Flat.Then(h.Parent.Flat.Inverse())
		}
		home := lay.Inverse()
		for _, q := range []geom.Point{h.Curve.P, h.Curve.Q} {
			worst = math.Max(worst, a.Apply(q.Space()).Dist(b.Apply(home.Apply(q).Space())))
		}
	}
	return worst
}
