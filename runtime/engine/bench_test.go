package engine

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/creasewright/creasewright/runtime/emit"
)

// BenchmarkTeaCarton is a whole run of an ordinary design, from the script's
// text to the bytes of its files.
func BenchmarkTeaCarton(b *testing.B) {
	text, err := os.ReadFile(filepath.Join("..", "..", "scripts", "tea-carton.star"))
	if err != nil {
		b.Fatal(err)
	}
	req := Request{Script: "tea-carton.star", Read: from(map[string]string{"tea-carton.star": string(text)})}
	b.ReportAllocs()
	for b.Loop() {
		if res := mustRun(req); res.Exit != Clean {
			b.Fatal(res.Findings)
		}
	}
}

// BenchmarkShown is the same run with what a screen shows of it, and the states of a
// motion of it that a slider has.
func BenchmarkShown(b *testing.B) {
	slider := make([]float64, 49)
	for k := range slider {
		slider[k] = float64(k) / 48
	}
	text, err := os.ReadFile(filepath.Join("..", "..", "scripts", "tea-carton.star"))
	if err != nil {
		b.Fatal(err)
	}
	for name, script := range map[string]string{"carton": string(text), "1000": concertina(1000)} {
		for _, c := range []struct {
			what string
			req  Request
		}{
			{"not", Request{}},
			{"display", Request{Also: []emit.Kind{emit.KindDisplay}}},
			{"motion", Request{Motion: &MotionRequest{Pose: "closed", Shares: slider}}},
		} {
			b.Run(name+"/"+c.what, func(b *testing.B) {
				c.req.Script, c.req.Read = "s.star", from(map[string]string{"s.star": script})
				b.ReportAllocs()
				for b.Loop() {
					if res := mustRun(c.req); res.Exit != Clean {
						b.Fatal(res.Findings)
					}
				}
			})
		}
	}
}

// concertina is a script of n panels: rows of folded strips, each with a
// window, hung side by side along one long spine.
func concertina(n int) string {
	const row = 20
	var s strings.Builder
	fmt.Fprintf(&s, "\"\"\"Concertina\"\"\"\npaper = board(\"paper\", caliper = 0.1)\nspine = panel(\"spine\", rect(%d, 10))\n", 12*(n/row+1))
	fmt.Fprintf(&s, "made = 1\nfor i in range(%d):\n    on = spine.top.part(12 * i, 12 * i + 10)\n", n/row+1)
	fmt.Fprintf(&s, "    for j in range(%d):\n        if made < %d:\n", row, n)
	s.WriteString(`            p = panel("p%d" % made, rect(10, 8), on = on, fold = 90 if j % 2 else -90)
            p.cut(circle(4).shift(5, 4))
            on = p.top
            made += 1
`)
	s.WriteString("piece(\"concertina\", spine, board = paper)\n")
	return s.String()
}

// BenchmarkPanels is a whole run of 10 to 10,000 panels.
func BenchmarkPanels(b *testing.B) {
	for n := 10; n <= 10000; n *= 10 {
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			req := Request{Script: "c.star", Read: from(map[string]string{"c.star": concertina(n)})}
			for b.Loop() {
				if res := mustRun(req); res.Exit != Clean {
					b.Fatal(res.Findings)
				}
			}
		})
	}
}

// The benchmark's script makes as many panels as it says.
func TestConcertinaHasItsPanels(t *testing.T) {
	for _, n := range []int{10, 100} {
		res := mustRun(Request{Script: "c.star", Read: from(map[string]string{"c.star": concertina(n)})})
		if res.Exit != Clean {
			t.Fatal(res.Findings)
		}
		for _, f := range res.Files {
			if f.Kind == emit.KindReport {
				if got := strings.Count(string(f.Bytes), `"flat": [1, 0, 0, 1,`); got != n {
					t.Errorf("%d panels, want %d", got, n)
				}
			}
		}
	}
}
