package fold

import (
	"math"
	"math/rand"
	"testing"

	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/model"
)

// randomNet is an unfolding of a solid with random given folds.
func randomNet(rng *rand.Rand) *model.Piece {
	all := solids()
	s := all[rng.Intn(len(all))]
	faces, _, parent := s.unfold(rng)
	return net(faces, parent, func(a, b int) model.Fold { return given(360*rng.Float64() - 180) })
}

// rigid is how far a motion's turn is from a rotation: R·Rᵀ against the
// identity, and the determinant against 1.
func rigid(m geom.RigidTransform) float64 {
	r := m.R
	worst := 0.0
	for i := range 3 {
		for j := range 3 {
			sum := 0.0
			for k := range 3 {
				sum += r[3*i+k] * r[3*j+k]
			}
			if i == j {
				sum--
			}
			worst = math.Max(worst, math.Abs(sum))
		}
	}
	det := r[0]*(r[4]*r[8]-r[5]*r[7]) - r[1]*(r[3]*r[8]-r[5]*r[6]) + r[2]*(r[3]*r[7]-r[4]*r[6])
	return math.Max(worst, math.Abs(det-1))
}

// Laws of given folds on random trees: places are rigid to 1e-12, hinges hold
// together, and the flat pose is where the blank lies.
func TestRandomTrees(t *testing.T) {
	rng := rand.New(rand.NewSource(21))
	for range 200 {
		p := randomNet(rng)
		f := foldAll(t, p, &model.Pose{Name: "flat"}, closedPose())
		flat, closed := f.Poses[0], f.Poses[1]
		for i, panel := range p.Panels {
			if e := rigid(closed.Place[i].RigidTransform); e > 1e-12 {
				t.Fatalf("a place is off a rotation by %g", e)
			}
			for _, q := range corners(panel, flat.Place[i]) {
				if q.Z != 0 || panel.Flat.Inverse().Apply(q.Plane()).Dist(q.Plane()) > 1e-9 {
					t.Fatalf("flat, a corner lies at %v", q)
				}
			}
		}
		if gap := widestHinge(p, closed); gap > 1e-9 {
			t.Fatalf("a hinge gapes by %g", gap)
		}
	}
}

// Folding then unfolding is the identity: a pose with every fold 0 is the flat
// blank, whatever the design's folds.
func TestUnfolding(t *testing.T) {
	rng := rand.New(rand.NewSource(22))
	for range 50 {
		p := randomNet(rng)
		undone := &model.Pose{Name: "undone", At: 1, Glued: true, FoldDegrees: map[*model.Hinge]geom.Degrees{}}
		for _, h := range p.Hinges {
			undone.FoldDegrees[h] = 0
		}
		f := foldAll(t, p, closedPose(), undone)
		for i, panel := range p.Panels {
			at, home := f.Poses[1].Place[i].RigidTransform, panel.Flat.Space()
			for k := range at.R {
				if math.Abs(at.R[k]-home.R[k]) > 1e-12 {
					t.Fatalf("unfolded, panel %d lies at %v", i, at)
				}
			}
			if at.T.Dist(home.T) > 1e-9 {
				t.Fatalf("unfolded, panel %d lies %g off", i, at.T.Dist(home.T))
			}
		}
	}
}

// A pose and its mirror image: all folds turned to the other side mirror the
// piece in the plane of the blank.
func TestMirror(t *testing.T) {
	rng := rand.New(rand.NewSource(23))
	for range 50 {
		p := randomNet(rng)
		turned := &model.Pose{Name: "turned", At: 1, Glued: true, FoldDegrees: map[*model.Hinge]geom.Degrees{}}
		for _, h := range p.Hinges {
			turned.FoldDegrees[h] = -h.Fold.Degrees
		}
		f := foldAll(t, p, closedPose(), turned)
		for i, panel := range p.Panels {
			a, b := corners(panel, f.Poses[0].Place[i]), corners(panel, f.Poses[1].Place[i])
			for k := range a {
				a[k].Z = -a[k].Z
				if a[k].Dist(b[k]) > 1e-9 {
					t.Fatalf("panel %d: %v and %v", i, a[k], b[k])
				}
			}
		}
	}
}

// Hanging the same tree from another root turns everything and changes nothing:
// each panel stands to every other as before.
func TestAnotherRoot(t *testing.T) {
	rng := rand.New(rand.NewSource(24))
	for range 50 {
		faces, _, parent := solids()[rng.Intn(5)].unfold(rng)
		angle := map[[2]int]float64{}
		for j, i := range parent {
			angle[pair(i, j)] = 360*rng.Float64() - 180
		}
		fold := func(a, b int) model.Fold { return given(angle[pair(a, b)]) }
		p, q := net(faces, parent, fold), net(faces, rerooted(parent, rng.Intn(len(faces))), fold)
		q.Root = rootOf(q)
		a, b := foldClosed(t, p), foldClosed(t, q)
		for i, panel := range p.Panels {
			// Seen from panel 0 in both.
			pts := corners(panel, a.Place[i])
			qts := corners(panel, b.Place[i])
			home, back := a.Place[0].Inverse(), b.Place[0].Inverse()
			for k := range pts {
				if d := home.Apply(pts[k]).Dist(back.Apply(qts[k])); d > 1e-9 {
					t.Fatalf("panel %d stands %g off", i, d)
				}
			}
		}
	}
}

// rerooted turns the parents on the way from a new root to the old one round.
func rerooted(parent []int, root int) []int {
	out := append([]int(nil), parent...)
	for child, p := root, parent[root]; p >= 0; child, p = p, parent[p] {
		out[p] = child
	}
	out[root] = -1
	return out
}

func rootOf(p *model.Piece) *model.Panel {
	for _, panel := range p.Panels {
		if panel.Hang == nil {
			return panel
		}
	}
	return nil
}

// Shrinking at to 0 gives the flat blank, in proportion to at, free folds with
// the given ones.
func TestShrinkingAt(t *testing.T) {
	f := foldScript(t, `
root = panel("root", rect(60, 60))
front = panel("front", rect(60, 20), on = root.bottom, fold = 70)
side = panel("side", rect(20, 60), on = root.right, fold = 80)
near = panel("near", polygon([(0, 0), (20, -20), (20, 0)]), on = side.bottom, by = "e2", fold = free("out"))
far = panel("far", polygon([(0, 0), (0, -20), (20, -20)]), on = front.right, by = "e0", fold = free("out"))
hinge(near.e0, far.e2, name = "web")
tab("tab", on = front.left, depth = 10, to = root)
for k in [1, 2, 3, 4]:
    pose("at %d" % k, at = [0.1, 0.01, 0.001, 0.0001][k - 1])
pose("at 0", at = 0)
`)
	for k := 1; k <= 4; k++ {
		pose := "at " + string(rune('0'+k))
		f.sound(pose)
		f.closes(pose)
		limit := 100 * math.Pow(0.1, float64(k)) * 2
		for _, panel := range []string{"front", "side", "near", "far"} {
			if z := math.Abs(f.at(pose, panel, 10, -10).Z); z > limit {
				t.Errorf("%s: %q stands %g mm high", pose, panel, z)
			}
		}
	}
	for i, p := range f.piece.Panels {
		if f.poses["at 0"].Place[i].RigidTransform != p.Flat.Space() && f.poses["at 0"].Place[i].T.Dist(p.Flat.Space().T) > 1e-9 {
			t.Errorf("at 0 panel %q is not flat", p.Name)
		}
	}
}

// The same piece folds to the same bits, however often.
func TestDeterminism(t *testing.T) {
	p := sheet(miura(4, 10, 12, 65), miuraFolds(4, 80))
	first := foldClosed(t, p)
	for range 3 {
		again := foldClosed(t, p)
		for i := range first.Angles {
			if first.Angles[i] != again.Angles[i] {
				t.Fatalf("hinge %d folds %v, then %v", i, first.Angles[i], again.Angles[i])
			}
		}
	}
}
