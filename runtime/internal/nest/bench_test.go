package nest

import (
	"context"
	"testing"
	"time"
)

// BenchmarkPublished packs the published instances for so long that two cores take
// about a minute, and reports the density reached, and the share of the record, in per cent.
func BenchmarkPublished(b *testing.B) {
	for _, name := range []string{"shapes0", "albano", "shirts", "dighe1", "gardeyn4"} {
		b.Run(name, func(b *testing.B) {
			in, parts := readInstance(b, name)
			for b.Loop() {
				ctx, cancel := context.WithTimeout(b.Context(), time.Minute)
				l, err := Strip(ctx, parts, in.Height, 1, 1<<40)
				cancel()
				if err != nil {
					b.Fatal(err)
				}
				d := density(parts, l)
				b.ReportMetric(d, "density%")
				b.ReportMetric(100*d/in.Best, "ofbest%")
			}
		})
	}
}
