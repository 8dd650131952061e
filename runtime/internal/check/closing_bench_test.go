package check

import (
	"context"
	"fmt"
	"os"
	"strings"
	"testing"

	"github.com/creasewright/creasewright/runtime/internal/linework"
	"github.com/creasewright/creasewright/runtime/internal/script"
	"github.com/creasewright/creasewright/runtime/model"
	"github.com/creasewright/creasewright/runtime/source"
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

// flatRules are the rules that look at the flat blank and the script.
var flatRules = []*Rule{
	&pieceTooLarge, &panelCutInTwo, &partFallsOut, &jointNarrow, &panelOverhangs, &edgeBare, &creasesClose, &creaseNearCut,
	&webThin, &detailTooSmall, &strokeDoublesBack, &perforationWeak, &foldThick, &plainFoldAcrossGrain, &cornerSharp, &creasesAcrossGrain,
}

// pleats is a script of n panels in rows of twenty, each with a window.
func pleats(n int) string {
	rows := n / 20
	return fmt.Sprintf(`paper = board("paper", kind = "paper", caliper = 0.1)
spine = panel("spine", rect(%d, 10))
for i in range(%d):
    on = spine.top.part(12 * i, 12 * i + 10)
    for j in range(20):
        p = panel("p %%d %%d" %% (i, j), rect(10, 8), on = on, fold = 90 if j %% 2 else -90)
        p.cut(circle(4).shift(5, 4))
        on = p.top
piece("pleats", spine, board = paper)
`, 12*rows, rows)
}

// BenchmarkFlatRules lists the lines of a blank, finds those that run close and
// asks the rules that look at them.
func BenchmarkFlatRules(b *testing.B) {
	tea, err := os.ReadFile("../../../scripts/tea-carton.star")
	if err != nil {
		b.Fatal(err)
	}
	texts := map[string]string{"tea carton": string(tea)}
	for n := 100; n <= 10000; n *= 10 {
		texts[fmt.Sprint(n, " panels")] = pleats(n)
	}
	for _, name := range []string{"tea carton", "100 panels", "1000 panels", "10000 panels"} {
		b.Run(strings.ReplaceAll(name, " ", "-"), func(b *testing.B) { benchmarkFlat(b, texts[name]) })
	}
}

func benchmarkFlat(b *testing.B, text string) {
	store := source.NewStore(func(string) ([]byte, error) { return []byte(text), nil })
	design, faults := script.Run(context.Background(), store, "case.star", withClosed)
	if design == nil {
		b.Fatal(faults)
	}
	f := gather(design, nil)
	for b.Loop() {
		lines, err := linework.New(context.Background(), f.Blanks[0])
		if err != nil {
			b.Fatal(err)
		}
		f.Lines = []*linework.Lines{lines}
		f.Close = [][]linework.Facing{facings(context.Background(), design, f.Lines[0])}
		for _, r := range flatRules {
			if found := r.find(f); len(found) > 0 {
				b.Fatal(found[0].Message)
			}
		}
	}
}
