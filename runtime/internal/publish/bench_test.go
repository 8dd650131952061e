package publish

import (
	"testing"
	"time"
)

// BenchmarkFiles publishes six files of 20 KB, all of them changed or none.
func BenchmarkFiles(b *testing.B) {
	for _, c := range []struct {
		name     string
		editions int
	}{{"changed", 2}, {"same", 1}} {
		b.Run(c.name, func(b *testing.B) {
			o := New(Folder{Path: b.TempDir()})
			for i := 0; b.Loop(); i++ {
				o.Begin()
				if _, err := o.Files(b.Context(), edition(1+3*(i%c.editions)), true); err != nil {
					b.Fatal(err)
				}
				b.StopTimer() // nobody waits for the disk
				if err := o.syncs.waitFor(time.Minute); err != nil {
					b.Fatal(err)
				}
				b.StartTimer()
			}
		})
	}
}
