package live

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/creasewright/creasewright/runtime/engine"
	"github.com/creasewright/creasewright/runtime/limit"
	"github.com/creasewright/creasewright/runtime/worker"
)

// BenchmarkSave measures what a designer waits for: from the last write of a
// save of the tea carton to the last file renamed into its place, every run in a
// process of its own. It gives the time in the middle and that of the slowest
// run in twenty, and of what they are made up: the run, which begins while it is
// seen whether more is to come, and the writing, which begins after ten
// milliseconds without events at the earliest.
func BenchmarkSave(b *testing.B) {
	text, err := os.ReadFile(filepath.Join("..", "..", "scripts", "tea-carton.star"))
	if err != nil {
		b.Fatal(err)
	}
	dir := b.TempDir()
	script := filepath.Join(dir, "tea-carton.star")
	write := func(width int) time.Time {
		edited := strings.Replace(string(text), `"width", 70`, fmt.Sprintf(`"width", %d`, width), 1)
		if err := os.WriteFile(script, []byte(edited), 0o644); err != nil {
			b.Fatal(err)
		}
		return time.Now()
	}
	write(70)
	pool := worker.New(limit.Defaults(), worker.Waiting)
	defer pool.Close()
	job := Job{Script: script, Dir: filepath.Join(dir, "out"), Build: pool.Run}
	ctx, cancel := context.WithCancel(context.Background())
	defer cancel()
	told := make(chan Outcome)
	ended := make(chan error)
	go func() { ended <- job.Watch(ctx, func(o Outcome) { told <- o }) }()
	<-told
	var all, built, published []time.Duration
	for i := range b.N {
		time.Sleep(60 * time.Millisecond) // nobody saves faster by hand
		saved := write(71 + i%20)
		o := <-told
		all = append(all, time.Since(saved))
		if o.Exit != engine.Clean || len(o.Written) != 4 {
			b.Fatalf("exit %d, wrote %q, %v", o.Exit, o.Written, o.Findings)
		}
		built, published = append(built, o.Built), append(published, o.Published)
	}
	cancel()
	if err := <-ended; err != nil {
		b.Fatal(err)
	}
	b.ReportMetric(0, "ns/op")
	b.ReportMetric(at(all, 0.5), "ms-middle")
	b.ReportMetric(at(all, 0.95), "ms-p95")
	b.ReportMetric(at(built, 0.5), "ms-run")
	b.ReportMetric(at(built, 0.95), "ms-run-p95")
	b.ReportMetric(at(published, 0.5), "ms-write")
	b.ReportMetric(at(published, 0.95), "ms-write-p95")
}

// at is the duration below which a part of them lies, in milliseconds.
func at(all []time.Duration, part float64) float64 {
	sorted := slices.Sorted(slices.Values(all))
	i := min(int(part*float64(len(sorted))), len(sorted)-1)
	return float64(sorted[i].Microseconds()) / 1000
}
