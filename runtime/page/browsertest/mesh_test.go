package browsertest_test

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"github.com/creasewright/creasewright/runtime/page/browsertest"
)

// The triangles that the folded view draws a panel with have the area of its board: all of it,
// without holes, and nothing twice.
func TestTrianglesCoverTheBoard(t *testing.T) {
	texts := examples(t, foldingScripts...)
	s := newStudio(t, texts)
	b := s.open()
	type panel struct {
		Name            string
		Area, Triangles float64
		Length          float64 // of all rings, mm
	}
	const tolerance = 1. / 256
	panels := 0
	for script := range len(texts) {
		digest := browsertest.Eval[string](b, fmt.Sprintf("%s.scripts[%d].digest", browsertest.State, script))
		for _, p := range browsertest.Eval[[]panel](b, fmt.Sprintf(`(async () => {
			const [mesh, geometry] = await Promise.all([import("./a/mesh.js"), import("./a/geometry.js")]);
			const model = await (await fetch("data/%s")).json();
			return model.pieces.flatMap(piece => piece.panels.map(panel => {
				const {points: p, triangles: t} = mesh.triangulate(panel.rings.map(ring => mesh.flattenRing(ring, %v)));
				let area = 0;
				for (let k = 0; k < t.length; k += 3) {
					const [a, b, c] = [2 * t[k], 2 * t[k + 1], 2 * t[k + 2]];
					area += Math.abs((p[b] - p[a]) * (p[c + 1] - p[a + 1]) - (p[c] - p[a]) * (p[b + 1] - p[a + 1])) / 2;
				}
				return {Name: panel.name, Area: panel.area, Triangles: area, Length: geometry.lengthOfAll(panel.rings.flat())};
			}));
		})()`, digest, tolerance)) {
			panels++
			// A chord leaves at most two thirds of its sagitta along its length.
			if math.Abs(p.Triangles-p.Area) > tolerance*p.Length+1e-9*p.Area {
				t.Errorf("%s: panel %q: triangles of %v mm², the board has %v", s.scripts[script], p.Name, p.Triangles, p.Area)
			}
		}
	}
	if panels < 20 {
		t.Errorf("only %d panels", panels)
	}
}

// fan is a strip of panels folded to and fro.
func fan(panels int) string {
	return fmt.Sprintf(`card = board("card", caliper = 0.4)
first = panel("p0", rect(60, 8))
last = first
for i in range(1, %d):
    last = panel("p" + str(i), rect(60, 8), on = last.top, fold = 150 if i %% 2 else -150)
piece("fan", first, board = card)
`, panels)
}

// How long a frame takes while a piece of a thousand panels turns. The frames are those of
// the program that draws them, which is named: without a graphics card it is the processor.
func BenchmarkTurningAThousandPanels(b *testing.B) {
	s := newStudio(b, map[string]string{"fan.star": fan(1000)})
	tab := s.open()
	b.Log("drawn by " + browsertest.Eval[string](tab, `(gl => gl.getParameter((gl.getExtension("WEBGL_debug_renderer_info") ?? {}).UNMASKED_RENDERER_WEBGL ?? gl.RENDERER))
		(document.createElement("canvas").getContext("webgl2"))`))
	middle := tab.Middle("#folded canvas")
	tab.ClickAt(browsertest.Point{X: middle.X, Y: middle.Y})
	var gaps []float64
	for b.Loop() {
		// The mouse is dragged across the view while the page notes when frames are drawn.
		browsertest.Eval[bool](tab, `(() => {
			window.frames_ = [];
			const tick = now => { frames_.push(now); if (window.frames_.length < 10000 && !window.ended) requestAnimationFrame(tick); };
			window.ended = false;
			requestAnimationFrame(tick);
			return true;
		})()`)
		tab.Drag(browsertest.Point{X: middle.X - 100, Y: middle.Y}, browsertest.Point{X: middle.X + 100, Y: middle.Y + 40}, 120)
		times := browsertest.Eval[[]float64](tab, "(window.ended = true, frames_)")
		for i := 1; i < len(times); i++ {
			gaps = append(gaps, times[i]-times[i-1])
		}
	}
	slices.Sort(gaps)
	b.ReportMetric(gaps[len(gaps)/2], "ms/frame-median")
	b.ReportMetric(gaps[len(gaps)*95/100], "ms/frame-95%")
	b.ReportMetric(0, "ns/op")
}

// How long a page takes from its address to the first picture of both views.
func BenchmarkOpening(b *testing.B) {
	s := newStudio(b, examples(b, "tea-carton.star"))
	tab := browsertest.New(b)
	var times []float64
	for b.Loop() {
		tab.Go(s.URL())
		tab.Wait(browsertest.Drawn)
		times = append(times, browsertest.Eval[float64](tab, "performance.getEntriesByName('first-picture').at(0)?.startTime ?? performance.now()"))
	}
	slices.Sort(times)
	b.ReportMetric(times[len(times)/2], "ms/open")
	b.ReportMetric(0, "ns/op")
}
