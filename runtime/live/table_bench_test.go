package live

import (
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/creasewright/creasewright/runtime/engine"
	"github.com/creasewright/creasewright/runtime/limit"
	"github.com/creasewright/creasewright/runtime/worker"
)

// BenchmarkTable makes 1,000 rows of the tea carton, of seeded random sizes, from
// the table to the last file on disk. The processor time is of this process and its
// children; children count once they have ended.
func BenchmarkTable(b *testing.B) {
	const rows = 1000
	text, err := os.ReadFile(filepath.Join("..", "..", "scripts", "tea-carton.star"))
	if err != nil {
		b.Fatal(err)
	}
	dir := b.TempDir()
	save(b, string(text), dir, "tea.star")
	random := rand.New(rand.NewPCG(1, 2))
	var sizes strings.Builder
	sizes.WriteString("width,depth,height\n")
	for range rows {
		fmt.Fprintf(&sizes, "%d,%d,%d\n", 60+random.IntN(40), 40+random.IntN(20), 90+random.IntN(60))
	}
	save(b, sizes.String(), dir, "sizes.csv")
	parent, children := processorTime()
	for b.Loop() {
		pool := worker.New(limit.Defaults(), worker.Batch)
		job := Job{Script: filepath.Join(dir, "tea.star"), Dir: filepath.Join(b.TempDir(), "out"), Build: pool.Run}
		out, err := job.Table(b.Context(), Rows{Path: filepath.Join(dir, "sizes.csv"), Part: 1, Parts: 1})
		pool.Close()
		if err != nil || out.Exit() != engine.Clean || len(out.Rows) != rows {
			b.Fatalf("%d rows, %v, %v", len(out.Rows), out.Faults, err)
		}
	}
	parentNow, childrenNow := processorTime()
	perRow := func(name string, ms float64) { b.ReportMetric(ms/float64(b.N*rows), name) }
	perRow("ms/row", float64(b.Elapsed().Microseconds())/1000)
	perRow("parent-cpu-ms/row", parentNow-parent)
	perRow("child-cpu-ms/row", childrenNow-children)
}
