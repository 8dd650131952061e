package engine

import (
	"strings"
	"testing"

	"github.com/creasewright/creasewright/runtime/emit"
)

// sheetOf is the preview that a script comes to.
func sheetOf(t *testing.T, text string) string {
	t.Helper()
	res := mustRun(Request{Script: "box.star", Read: func(string) ([]byte, error) { return []byte(text), nil }})
	for _, f := range res.Files {
		if f.Kind == emit.KindPreview {
			return string(f.Bytes)
		}
	}
	t.Fatal("no preview")
	return ""
}

// drawn counts the folded pictures of a sheet: two for each pose.
func drawn(sheet string) int { return strings.Count(sheet, `class="folded"`) }

const corner = `
a = panel("a", rect(60, 80))
b = panel("b", rect(40, 80), on = a.right)
piece("corner", a, board = board("card", caliper = 0.4))
`

// The sheet shows every pose that folds the piece, from two sides, with its
// name; a piece that never folds and a pose that lays it flat add nothing.
func TestEveryPoseIsPictured(t *testing.T) {
	for _, c := range []struct {
		name, more string
		want       int
	}{
		{"closed alone", "", 2},
		{"a named pose", `pose("half way", {"b": 45})`, 4},
		{"a pose that is flat", `pose("laid", {"b": 0})`, 2},
		{"a second piece that folds not", `piece("label", panel("label", rect(30, 20)), board = board("paper", caliper = 0.1))`, 2},
	} {
		sheet := sheetOf(t, corner+c.more)
		if got := drawn(sheet); got != c.want {
			t.Errorf("%s: %d pictures, want %d", c.name, got, c.want)
		}
		if !strings.Contains(sheet, ">closed<") || strings.Contains(sheet, ">half way<") != (c.name == "a named pose") {
			t.Errorf("%s: the pictures are not named as their poses", c.name)
		}
	}
}

// Panels that collide show the line where they cross, and the finding's number
// stands at the blank and at the picture.
func TestCollisionIsPictured(t *testing.T) {
	const crossing = `stroke="#D55E00" stroke-width="0.5"`
	sheet := sheetOf(t, `
a = panel("a", rect(40, 80))
b = panel("b", rect(60, 80), on = a.right, fold = 120)
c = panel("c", rect(60, 60), on = a.left, fold = 120)
piece("clash", a, board = board("card", caliper = 0.4))
`)
	if !strings.Contains(sheet, crossing) {
		t.Error("no line where the panels cross")
	}
	if n := strings.Count(sheet, `class="spot"`); n < 2 {
		t.Errorf("%d spots, want one at the blank and one at the picture", n)
	}
	if strings.Contains(sheetOf(t, corner), crossing) {
		t.Error("a clean piece shows a crossing")
	}
}
