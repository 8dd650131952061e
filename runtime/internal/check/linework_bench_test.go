package check

import (
	"context"
	"fmt"
	"os"
	"strings"
	"testing"

	"github.com/creasewright/creasewright/runtime/internal/linework"
	"github.com/creasewright/creasewright/runtime/internal/script"
	"github.com/creasewright/creasewright/runtime/source"
)

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
	design, faults := script.Run(context.Background(), store, "case.star", script.Options{})
	if design == nil {
		b.Fatal(faults)
	}
	f := gather(design, nil)
	for b.Loop() {
		f.Lines = []*linework.Lines{linework.New(f.Blanks[0])}
		f.Close = [][]linework.Facing{facings(design, f.Lines[0])}
		for _, r := range flatRules {
			if found := r.find(f); len(found) > 0 {
				b.Fatal(found[0].Message)
			}
		}
	}
}
