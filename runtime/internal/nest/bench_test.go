package nest

import (
	"context"
	"testing"
	"time"
)

// BenchmarkPublished packs the published instances with as many looks as two cores make in
// about a minute, in which it ends at the latest, and reports the density reached, and the share of
// the record, in per cent.
func BenchmarkPublished(b *testing.B) {
	for _, c := range []struct {
		name  string
		looks int
	}{{"shapes0", 650e6}, {"albano", 750e6}, {"shirts", 520e6}, {"dighe1", 60e6}, {"gardeyn4", 300e6}} {
		b.Run(c.name, func(b *testing.B) {
			in, parts := readInstance(b, c.name)
			for b.Loop() {
				ctx, cancel := context.WithTimeout(b.Context(), time.Minute)
				l, err := Strip(ctx, parts, in.Height, 1, c.looks)
				cancel()
				if err != nil {
					b.Fatal(err)
				}
				if err := Check(in.rings(), l, 0); err != nil {
					b.Fatal(err)
				}
				d := density(parts, l)
				b.ReportMetric(d, "density%")
				b.ReportMetric(100*d/in.Best, "ofbest%")
			}
		})
	}
}
