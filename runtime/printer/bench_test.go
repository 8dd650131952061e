package printer

import (
	"context"
	"fmt"
	"strings"
	"testing"

	"github.com/creasewright/creasewright/runtime/engine"
)

// BenchmarkTemplates times both prints of the largest example and of a strip of 1,000 panels.
func BenchmarkTemplates(b *testing.B) {
	strip := strings.Builder{}
	strip.WriteString("\"\"\"Strip.\"\"\"\np = [panel(\"p0\", rect(20, 30))]\nfor i in range(1, 1000):\n    p.append(panel(\"p%d\" % i, rect(20, 30), on = p[i - 1].right, fold = 0))\n" +
		"piece(\"strip\", p[0], board = board(\"card\", caliper = 0.2))\n")
	for name, text := range map[string]string{"lantern": example(b, "paper-lantern.star"), "strip": strip.String()} {
		m := given(b, "paper-lantern.star", text)[0]
		for i, make := range []engine.Maker{Print, Tiles} {
			b.Run(fmt.Sprint(name, [...]string{"/print", "/tiles"}[i]), func(b *testing.B) {
				b.ReportAllocs()
				for b.Loop() {
					if _, err := make(context.Background(), m); err != nil {
						b.Fatal(err)
					}
				}
			})
		}
	}
}
