package engine

import (
	"context"
	"fmt"
	"strings"
	"testing"

	"github.com/creasewright/creasewright/runtime/internal/script"
	"github.com/creasewright/creasewright/runtime/source"
)

// The measurement that judges mutants finds what closed forms say, whether the
// checks do or not, and finds nothing in a box that is right.
func TestMeasurementFindsWhatIsWrong(t *testing.T) {
	const box = `card = board("card", caliper = 0.5)
base = panel("base", rect(60, 40))
front = flap("front", on = base.bottom, depth = 30)
back = flap("back", on = base.top, depth = 30)
left = flap("left", on = base.left, depth = %[1]g)
right = flap("right", on = base.right, depth = 30)
tab("corner", on = front.left, depth = 12, to = right.right)
lid = flap("lid", on = back.tip, depth = %[2]g, inset = -1)
tongue = flap("tongue", on = lid.tip, depth = 12, inset = 1.75)
tuck(tongue, into = front)
contents("soap", (50, %[3]g, 29), on = base)
piece("box", base, board = card)
`
	for _, c := range []struct {
		left, lid, soap float64
		want            string
	}{
		{30, 39.5, 30, ""},
		{32, 39.5, 30, `"lid" and "left" cross by more than 0.56 mm`},
		{30, 43, 30, `tuck of "tongue" and "front" is open by 3.00 mm`},
		{30, 37, 30, `tuck of "tongue" and "front" is open by 2.00 mm`},
		{30, 39.5, 40, `"soap" lacks`},
	} {
		text := fmt.Sprintf(box, c.left, c.lid, c.soap)
		read := func(string) ([]byte, error) { return []byte(text), nil }
		res := mustRun(Request{Script: "box.star", Read: read})
		if res.Exit == Broken {
			t.Fatal(res.Findings)
		}
		design, _ := script.Run(context.Background(), source.NewStore(read), "box.star", withClosed)
		got := unsound(t, design, res.Files[len(res.Files)-1].Bytes)
		if c.want == "" && got != "" || !strings.Contains(got, c.want) {
			t.Errorf("left %g, lid %g, soap %g: measured %q, want %q", c.left, c.lid, c.soap, got, c.want)
		}
	}
}
