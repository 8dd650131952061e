package fold

import (
	"context"
	"fmt"
	"math"
	"math/rand"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"sync"
	"testing"

	"github.com/creasewright/creasewright/runtime/internal/canceltest"
	"github.com/creasewright/creasewright/runtime/model"
)

// motions are closed poses found in every way there is: by the closed form, by
// continuation from flat, to a singular end, by joins, and given.
func motions(t testing.TB) map[string]*Pose {
	text := func(script string) *Pose { return foldScript(t, script).poses["closed"] }
	return map[string]*Pose{
		"closed form":  foldAll(t, sheet(miura(3, 10, 12, 65), miuraFolds(3, 80)), closedPose()).Poses[0],
		"folded flat":  foldAll(t, sheet(miura(2, 10, 12, 65), miuraFolds(2, 180)), closedPose()).Poses[0],
		"continuation": text(fmt.Sprintf(webbedTray, 60.0)),
		"singular end": text(fmt.Sprintf(corner, "90", "90", out, out, in)),
		"joins": text(`
root = panel("root", rect(60, 90))
right = panel("right", rect(35, 90), on = root.right, fold = 70)
back = panel("back", rect(60, 90), on = right.right, fold = free("in"))
left = panel("left", rect(35, 90), on = back.right, fold = free("in"))
tab("seam", on = root.left, depth = 12, to = left.right)
`),
		"given": text(`
root = panel("root", rect(60, 90))
lid = panel("lid", rect(60, 35), on = root.top, fold = 100)
tab("tab", on = lid.left, depth = 12, to = root)
`),
	}
}

// at asks a motion for a moment.
func at(t testing.TB, p *Pose, share float64) *Pose {
	t.Helper()
	got, err := p.Motion().At(context.Background(), share)
	if err != nil {
		t.Fatal(err)
	}
	return got
}

// Law: a motion gives the same at t whatever was asked before, and from many
// goroutines at once; it ends at the pose to the last bit.
func TestMotionIsAFunction(t *testing.T) {
	for name, pose := range motions(t) {
		if !reflect.DeepEqual(at(t, pose, 1), pose) {
			t.Errorf("%s: the motion does not end at the pose", name)
		}
		rng := rand.New(rand.NewSource(41))
		shares := []float64{0, 1e-6, 0.01, 0.5, 0.999999}
		for range 10 {
			shares = append(shares, rng.Float64())
		}
		want := make([]*Pose, len(shares))
		for i, share := range shares {
			want[i] = at(t, pose, share)
		}
		var all sync.WaitGroup
		for range 4 {
			order := rng.Perm(len(shares))
			all.Go(func() {
				for _, i := range order {
					got, err := pose.Motion().At(context.Background(), shares[i])
					if err != nil || !reflect.DeepEqual(got.Angles, want[i].Angles) || !reflect.DeepEqual(got.Place, want[i].Place) {
						t.Errorf("%s: at %g it is not what it was (%v)", name, shares[i], err)
					}
				}
			})
		}
		all.Wait()
	}
}

// Law: on the way loops are closed and every fold stays on its side, given folds
// in proportion; small steps make small changes; it begins flat.
func TestMotionIsContinuous(t *testing.T) {
	const steps = 100
	for name, pose := range motions(t) {
		last := at(t, pose, 0)
		for i, a := range last.Angles {
			if !a.OK || a.Degrees != 0 {
				t.Errorf("%s: hinge %d begins at %v", name, i, a)
			}
		}
		for k := 1; k <= steps; k++ {
			now := at(t, pose, float64(k)/steps)
			if len(now.Faults) > 0 {
				t.Fatalf("%s at %d%%: %+v", name, k, now.Faults[0])
			}
			for i, a := range now.Angles {
				end := pose.Angles[i].Degrees
				if !a.OK || a.Degrees*end < 0 || float64((a.Degrees-last.Angles[i].Degrees).Abs()) > 10 {
					t.Errorf("%s: hinge %d folds %v at %d%%, %v before, %v at the end", name, i, a, k, last.Angles[i], end)
				}
				if h := pose.motion.end.joints[i].hinge; h.Fold.Free == nil && math.Abs(float64(a.Degrees)-float64(end)*float64(k)/steps) > 1e-12 {
					t.Errorf("%s: given hinge %d folds %v at %d%%", name, i, a, k)
				}
			}
			if gap := widestHinge(pose.motion.end.piece, now); name != "joins" && gap > 1e-9 {
				t.Errorf("%s: a hinge gapes by %g at %d%%", name, gap, k)
			}
			last = now
		}
	}
}

// Law: where loops alone decide, the motion at t is the pose whose folds are t
// times as large, to 1e-9 degrees.
func TestMotionIsThePosesOnTheWay(t *testing.T) {
	for name, text := range map[string]string{
		"tray": fmt.Sprintf(webbedTray, 60.0),
		"web":  fmt.Sprintf(corner, "70", "80", out, out, in),
	} {
		for k := 1; k <= 9; k++ {
			text += fmt.Sprintf("\npose(\"at %d\", at = %g)", k, float64(k)/10)
		}
		f := foldScript(t, text)
		for k := 1; k <= 9; k++ {
			want := f.poses[fmt.Sprint("at ", k)]
			got := at(t, f.poses["closed"], float64(k)/10)
			for i, a := range got.Angles {
				if !a.OK || float64((a.Degrees-want.Angles[i].Degrees).Abs()) > 1e-9 {
					t.Errorf("%s, hinge %d at 0.%d: %v, folded alone %v", name, i, k, a, want.Angles[i])
				}
			}
		}
	}
}

// quarterCard is a sheet folded in half and in half again.
const quarterCard = `
root = panel("root", rect(100, 80))
b = panel("b", rect(100, 80), on = root.right, fold = 180)
c = panel("c", rect(100, 80), on = b.top, fold = -180)
d = panel("d", rect(100, 80), on = root.top, fold = 180)
hinge(c.left, d.right, fold = free("in"), name = "last")
`

// Law: the path that a motion follows leads to its pose. A pose that was found
// elsewhere than where the path leads keeps none.
func TestPathsLeadToTheirPoses(t *testing.T) {
	poses := motions(t)
	poses["elsewhere"] = foldScript(t, quarterCard).poses["closed"]
	for name, pose := range poses {
		paths, end := 0, pose.motion.end
		for k, g := range end.systems {
			how := pose.motion.solutions[k]
			if how.path == nil {
				continue
			}
			paths++
			if last := how.path[len(how.path)-1]; how.fault != nil || last.progress != 1 || end.changed(g, last.values, 1e-3) {
				t.Errorf("%s: a path of %d checkpoints leads to %g, %v", name, len(how.path), last.progress, last.values)
			}
		}
		if want := map[string]int{"continuation": 1, "singular end": 1}[name]; paths != want {
			t.Errorf("%s: %d paths, want %d", name, paths, want)
		}
	}
}

// A sheet folded so passes through no closed states: its
// motion says so, and stands at its end all the same.
func TestMotionWithoutAWay(t *testing.T) {
	pose := foldScript(t, quarterCard).poses["closed"]
	half := at(t, pose, 0.5)
	if len(half.Faults) != 1 || half.Faults[0].Kind != LoopUnsolved || half.Angles[3].OK {
		t.Errorf("%+v %v", half.Faults, half.Angles)
	}
	if end := at(t, pose, 1); len(end.Faults) > 0 || end.Angles[3].Degrees != 180 {
		t.Errorf("%+v %v", end.Faults, end.Angles)
	}
}

// Law: where joins lay folds down at the end, away from where the loops lead, the motion
// follows the loops: closed all the way, and small steps make small changes but for the
// last.
func TestMotionToAnEndThatJoinsFind(t *testing.T) {
	const steps = 48
	for name, root := range map[string]string{"honey-tray.star": "base", "seed-packet.star": "walls[0]"} {
		text, err := os.ReadFile(filepath.Join("..", "..", "..", "scripts", name))
		if err != nil {
			t.Fatal(err)
		}
		pose := foldScript(t, strings.Replace(string(text), "\npiece(", "\nroot = "+root+"  # (", 1)).poses["closed"]
		last := at(t, pose, 1e-5)
		for k := 1; k < steps; k++ {
			now := at(t, pose, float64(k)/steps)
			if len(now.Faults) > 0 {
				t.Fatalf("%s at step %d: %+v", name, k, now.Faults[0])
			}
			for i, a := range now.Angles {
				if !a.OK || float64((a.Degrees-last.Angles[i].Degrees).Abs()) > 10 {
					t.Errorf("%s: hinge %d folds %v at step %d, %v before", name, i, a, k, last.Angles[i])
				}
			}
			if gap := widestHinge(pose.motion.end.piece, now); gap > 1e-6 {
				t.Errorf("%s: a hinge gapes by %g at step %d", name, gap, k)
			}
			last = now
		}
		if end := at(t, pose, 1); !reflect.DeepEqual(end, pose) || reflect.DeepEqual(last.Angles, end.Angles) {
			t.Errorf("%s: the motion does not end at the pose", name)
		}
		// What was given up half-way leaves nothing that later moments would follow.
		fresh := func() *Motion {
			return &Motion{pose: pose, end: pose.motion.end, solutions: pose.motion.solutions, detours: make([]detour, len(pose.motion.detours))}
		}
		looks := canceltest.Stops(t, func(ctx context.Context) error {
			_, err := fresh().At(ctx, 0.7)
			return err
		})
		want := at(t, pose, 0.7)
		for k := int64(1); k < looks; k += looks / 10 {
			m := fresh()
			if _, err := m.At(canceltest.EndsAt(k), 0.7); err == nil {
				t.Errorf("%s: the motion is not given up at look %d", name, k)
			}
			if got, err := m.At(context.Background(), 0.7); err != nil || !reflect.DeepEqual(got.Angles, want.Angles) {
				t.Errorf("%s: given up at look %d, it is %v afterwards", name, k, err)
			}
		}
	}
}

// Given folds that only go together at the end leave the loop open before.
func TestMotionOfGivenFolds(t *testing.T) {
	p := sheet(ring(60, 80, 120, 100), ringFolds(given(70), given(-27.335721), given(70), given(27.335721)))
	pose := foldClosed(t, p)
	if len(pose.Faults) > 0 {
		t.Fatalf("%+v", pose.Faults[0])
	}
	// Half of each is off the proportion of half-angle tangents, by 0.8 degrees.
	p = sheet(ring(60, 80, 120, 100), ringFolds(given(170), given(-158.2), given(170), given(158.2)))
	pose = foldClosed(t, p)
	if half := at(t, pose, 0.5); len(half.Faults) != 1 || half.Faults[0].Kind != LoopOpen || half.Faults[0].Cures != nil {
		t.Errorf("%+v", half.Faults)
	}
}

// Only shares of a motion are moments of it.
func TestMotionOutOfRange(t *testing.T) {
	pose := foldClosed(t, sheet(ring(60, 80, 120, 100), ringFolds(given(70), free(model.Out), free(model.In), free(model.In))))
	for _, share := range []float64{-1e-9, 1 + 1e-9, math.NaN(), math.Inf(1)} {
		if got, err := pose.Motion().At(context.Background(), share); err == nil {
			t.Errorf("at %g: %v", share, got.Angles)
		}
	}
}

func TestMotionStops(t *testing.T) {
	for name, pose := range motions(t) {
		t.Run(name, func(t *testing.T) {
			canceltest.Stops(t, func(ctx context.Context) error {
				_, err := pose.Motion().At(ctx, 0.7)
				return err
			})
		})
	}
}

func BenchmarkMotion(b *testing.B) {
	for name, pose := range motions(b) {
		b.Run(name, func(b *testing.B) {
			for k := 0; b.Loop(); k++ {
				at(b, pose, float64(k%100)/100)
			}
		})
	}
}
