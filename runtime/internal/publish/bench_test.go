package publish

import "testing"

// BenchmarkFiles publishes six files of 20 KB, all of them changed or none.
func BenchmarkFiles(b *testing.B) {
	for _, c := range []struct {
		name     string
		editions int
	}{{"changed", 2}, {"same", 1}} {
		b.Run(c.name, func(b *testing.B) {
			dir := b.TempDir()
			for i := 0; b.Loop(); i++ {
				if _, err := Files(Folder{Path: dir}, edition(1+3*(i%c.editions)), true); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
