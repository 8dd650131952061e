package display_test

import (
	"bytes"
	"testing"

	"github.com/creasewright/creasewright/runtime/emit"
	"github.com/creasewright/creasewright/runtime/engine"
	"github.com/creasewright/creasewright/runtime/internal/golden"
	"github.com/creasewright/creasewright/runtime/internal/jsontext"
)

// stand is a design with one of everything that is shown: parameters of each kind, line
// kinds, a window, a groove, a hinge folded by hand, joins with and without a gap, layers,
// poses, contents, findings, a waiver and something printed.
const stand = `"""A stand"""
wide = param("wide", 40, min = 30, max = 60.5, doc = "the front")
name = param("name", "a", choices = ["a", "b"])
card = board("card", caliper = 1, gsm = 600, grain = 90)
front = panel("front", rect(wide, 30))
front.cut(circle(6).shift(20, 15))
floor = flap("floor", on = front.bottom, depth = 20)
back = flap("back", on = front.top, depth = 30, fold = 180)
lip = flap("lip", on = floor.tip, depth = 10, fold = 90, line = "groove")
rim = flap("rim", on = lip.tip, depth = 4, fold = 90, line = "plain")
side = tab("side", on = front.left, depth = 8, to = floor.left)
glue(back, front, area = rect(10, 10).shift(5, 5))
meet(back.left, floor.right)
contents("pot", (10, 12, 8), on = floor, mass = 20)
pose("open", {"floor": 45}, stands_on = back)
allow("join-gap", on = floor, reason = "known")
print("made", name)
piece("stand", front, board = card, copies = 2)
`

// The display and a motion of a small design, laid out to be looked at.
func TestGolden(t *testing.T) {
	read := func(string) ([]byte, error) { return []byte(stand), nil }
	dir := golden.In(t, "testdata", ".json")
	for name, req := range map[string]engine.Request{
		"display.json": {Also: []emit.Kind{emit.KindDisplay}, Formats: emit.Formats().Only([]emit.Kind{emit.KindDisplay})},
		"motion.json":  {Motion: &engine.MotionRequest{Pose: "open", Shares: []float64{0, 1. / 3, 1}}},
	} {
		req.Script, req.Read = "stand.star", read
		for _, text := range files(t, req) {
			dir.Check(name, jsontext.Indent(bytes.TrimSpace(text)))
		}
	}
}
