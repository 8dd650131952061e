package check

import (
	"fmt"
	"os"
	"testing"

	"github.com/creasewright/creasewright/runtime/model"
)

// closures are the rules on closing and on use.
var closures = []*Rule{
	&flapTooDeep, &tuckTooWide, &lidTooLarge, &tuckPlay, &slotFit, &dustFlapsMeet, &glueTabNarrow,
	&seamNotRelieved, &edgesUnjoined, &openingUnclosed, &contentsHeavy,
}

// rowOfBoxes is a strip of n boxes in one piece, of six panels each: a floor
// with two walls, a lid with its tuck, and a strip to the next.
func rowOfBoxes(n int) string {
	return fmt.Sprintf(`card = board("card", caliper = 0.4)
last, root = None, None
for i in range(%d):
    n = str(i)
    floor = panel("floor" + n, rect(30, 20), on = last, fold = 0) if last else panel("floor" + n, rect(30, 20))
    root = root if last else floor
    front = flap("front" + n, on = floor.bottom, depth = 15)
    back = flap("back" + n, on = floor.top, depth = 15)
    lid = flap("lid" + n, on = back.tip, depth = 19.6)
    tongue = flap("tongue" + n, on = lid.tip, depth = 8, inset = 1)
    tuck(tongue, into = front)
    last = panel("strip" + n, rect(5, 20), on = floor.right, fold = 0).right
piece("row", root, board = card)
`, n)
}

func benchmarkClosures(b *testing.B, d *model.Design) {
	f := gather(d, nil)
	b.ResetTimer()
	for range b.N {
		f.closings = nil
		for _, r := range closures {
			r.find(f)
		}
	}
}

func BenchmarkClosuresOfTeaCarton(b *testing.B) {
	text, err := os.ReadFile("../../../scripts/tea-carton.star")
	if err != nil {
		b.Fatal(err)
	}
	benchmarkClosures(b, designOf(b, string(text)))
}

func BenchmarkClosuresByPanels(b *testing.B) {
	for _, n := range []int{100, 1000, 10000} {
		b.Run(fmt.Sprint(n), func(b *testing.B) { benchmarkClosures(b, designOf(b, rowOfBoxes(n/6))) })
	}
}
