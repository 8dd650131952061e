package engine

import (
	"encoding/json"
	"math"
	"testing"

	"github.com/creasewright/creasewright/runtime/emit"
)

// foldedReport is what the report says of pieces in their poses.
type foldedReport struct {
	Pieces []struct {
		Panels []struct {
			Name  string
			Poses map[string][12]float64
		}
		Hinges []struct {
			Name  string
			Folds map[string]*float64
		}
		Joins []struct {
			A, B string
			Gaps map[string]float64
		}
		Poses []struct {
			Name  string
			Flat  bool
			Stack int
		}
		Contents []struct {
			Name string
			Free map[string]*float64
		}
	}
	Findings []struct{ Rule, Pose string }
}

func reportOf(t *testing.T, res Result) foldedReport {
	t.Helper()
	var out foldedReport
	for _, f := range res.Files {
		if f.Kind == emit.KindReport {
			if err := json.Unmarshal(f.Bytes, &out); err != nil {
				t.Fatal(err)
			}
		}
	}
	return out
}

// Every pose in every example's report is rigid to 1e-12: rows of unit length,
// square to one another, right-handed.
func TestPosesAreRigid(t *testing.T) {
	for name := range examples {
		for _, p := range reportOf(t, makeExample(name, nil)).Pieces {
			for _, panel := range p.Panels {
				for pose, m := range panel.Poses {
					if e := skew(m); e > 1e-12 {
						t.Errorf("%s: panel %q in %q is off a rigid motion by %g", name, panel.Name, pose, e)
					}
				}
			}
		}
	}
}

// skew is how far the turn of a 3×4 matrix is from a rotation.
func skew(m [12]float64) float64 {
	row := func(i int) [3]float64 { return [3]float64{m[4*i], m[4*i+1], m[4*i+2]} }
	dot := func(a, b [3]float64) float64 { return a[0]*b[0] + a[1]*b[1] + a[2]*b[2] }
	a, b, c := row(0), row(1), row(2)
	cross := [3]float64{a[1]*b[2] - a[2]*b[1], a[2]*b[0] - a[0]*b[2], a[0]*b[1] - a[1]*b[0]}
	worst := 0.0
	for _, v := range []float64{dot(a, a) - 1, dot(b, b) - 1, dot(c, c) - 1, dot(a, b), dot(b, c), dot(c, a), dot(cross, c) - 1} {
		worst = math.Max(worst, math.Abs(v))
	}
	return worst
}

// A wall folded square stands below the blank, and the report says so: the
// square box closes into z < 0.
func TestReportOfASquareFold(t *testing.T) {
	r := reportOf(t, runs(tray+`pose("leaning", {"wall": 30})`)).Pieces[0]
	wall := r.Panels[1].Poses
	// The wall's top edge, y = 20 in its frame, x anywhere.
	for pose, want := range map[string][2]float64{
		"flat":    {60, 0},
		"closed":  {40, -20},
		"leaning": {40 + 20*math.Cos(math.Pi/6), -20 * math.Sin(math.Pi/6)},
	} {
		m, ok := wall[pose]
		if y, z := 20*m[5]+m[7], 20*m[9]+m[11]; !ok || math.Abs(y-want[0]) > 1e-9 || math.Abs(z-want[1]) > 1e-9 {
			t.Errorf("%s: the rim lies at y %g, z %g, want %v", pose, y, z, want)
		}
	}
	if f := r.Hinges[0].Folds; *f["flat"] != 0 || *f["closed"] != 90 || *f["leaning"] != 30 {
		t.Errorf("folds %v", f)
	}
}

// A fold that was not found is null, and what hangs beyond it has no entry for
// that pose.
func TestReportOfAFoldNotFound(t *testing.T) {
	res := runs(tray[:len(tray)-len("piece(\"tray\", base, board = card)\n")] + `
lid = flap("lid", on = wall.top, depth = 10, fold = free("in"))
lip = flap("lip", on = lid.tip, depth = 5)
pose("shut", {"lid": 90})
piece("tray", base, board = card)
`)
	r := reportOf(t, res)
	if res.Exit != Faulty || len(r.Findings) != 1 || r.Findings[0].Rule != "loop-loose" || r.Findings[0].Pose != "closed" {
		t.Fatalf("exit %d, findings %v", res.Exit, r.Findings)
	}
	p := r.Pieces[0]
	if f := p.Hinges[1].Folds; f["closed"] != nil || *f["shut"] != 90 || *f["flat"] != 0 {
		t.Errorf("folds of the lid %v", f)
	}
	for i, want := range []bool{true, true, false, false} {
		if _, ok := p.Panels[i].Poses["closed"]; ok != want {
			t.Errorf("panel %q in closed: %v", p.Panels[i].Name, ok)
		}
		if _, ok := p.Panels[i].Poses["shut"]; !ok {
			t.Errorf("panel %q is missing from shut", p.Panels[i].Name)
		}
	}
}

// The soap sleeve by hand: its seam holds in both glued poses, pressed flat it
// is three boards thick where the seam lies, and the bar, 60 by 28 with 1 mm of
// play in walls 61.7112 and 29.3556 apart, has half of what
// the seam's board leaves to either side, 1 mm above, and the ends open.
func TestReportOfTheSoapSleeve(t *testing.T) {
	p := reportOf(t, makeExample("soap-sleeve.star", nil)).Pieces[0]
	if g := p.Joins[0].Gaps; len(g) != 2 || g["closed"] > 1e-6 || g["shipped"] > 1e-6 {
		t.Errorf("gaps of the seam %v", g)
	}
	type pose struct {
		flat  bool
		stack int
	}
	for i, want := range []pose{{true, 1}, {false, 0}, {true, 3}} {
		if got := p.Poses[i]; got.Flat != want.flat || got.Stack != want.stack {
			t.Errorf("pose %q: flat %v, stack %d", got.Name, got.Flat, got.Stack)
		}
	}
	free := p.Contents[0].Free
	const caliper = 0.3556
	side := (61 + 2*caliper - 60 - 2*caliper/2 - caliper) / 2 // walls, half a board each, the seam's board
	for key, want := range map[string]float64{"x-": side, "x+": side, "z": 1} {
		if free[key] == nil || math.Abs(*free[key]-want) > 1e-6 {
			t.Errorf("free %s is %v, want %g", key, free[key], want)
		}
	}
	for _, key := range []string{"y-", "y+"} {
		if v, ok := free[key]; !ok || v != nil {
			t.Errorf("free %s is %v, and the sleeve is open there", key, v)
		}
	}
}

// allow() of a rule that is none is a fault of the script, with the nearest
// rule in the hint.
func TestWaiverOfAnUnknownRule(t *testing.T) {
	res := runs(tray + `allow("join-gab", wall, "a slip")`)
	if res.Exit != Broken || len(res.Findings) != 1 || res.Findings[0].Rule != "script" || res.Findings[0].Hint != `did you mean "join-gap"?` {
		t.Errorf("exit %d, findings %v", res.Exit, res.Findings)
	}
	if len(res.Files) != 1 || res.Files[0].Kind != emit.KindPreview {
		t.Errorf("files %v", names(res.Files))
	}
}
