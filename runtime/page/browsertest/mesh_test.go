package browsertest_test

import (
	"fmt"
	"math"
	"net/http"
	"net/http/httptest"
	"slices"
	"testing"

	"github.com/creasewright/creasewright/runtime/page/browsertest"
)

// The triangles that the folded view draws a panel with have the area of its board: all of it,
// without holes, and nothing twice.
func TestTrianglesCoverTheBoard(t *testing.T) {
	t.Parallel()
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

// What is left out of lines while a large piece moves is the second line of a hinge, then what
// is short: of a strip of panels joined edge to edge, of whose lines each hinge has two and each
// panel two at its sides, those are left that are as long as asked for, each hinge's once.
func TestLinesOfMovingPieces(t *testing.T) {
	t.Parallel()
	const panels = 9
	s := newStudio(t, map[string]string{"fan.star": fan(panels)})
	b := s.open()
	type counts struct{ All, Every, Side, Hinge, None, Walls int }
	got := browsertest.Eval[counts](b, `(async () => {
		const { createScene } = await import("./a/scene.js");
		const scene = createScene(`+browsertest.State+`.model, 0, 0.1);
		const rims = scene.rims(false, {cut: [0, 0, 0, 255], plain: [0, 0, 0, 255]}, {});
		const solid = scene.solid(false);
		return {All: rims.count, Every: rims.longer(0), Side: rims.longer(7.9), Hinge: rims.longer(59), None: rims.longer(77),
			Walls: (solid.indices.length - solid.faces) / 6};
	})()`)
	const hinges = panels - 1
	// Both faces of the board have each line. The rim of the first and the last panel is a run
	// of three sides, 76 mm; of the others two runs of one, 8 mm.
	want := counts{
		All: 2 * (2*hinges + 6 + 2*(panels-2)), Every: 2 * (hinges + 6 + 2*(panels-2)), Side: 2 * (hinges + 6 + 2*(panels-2)),
		Hinge: 2 * (hinges + 6), None: 0, Walls: 4 * panels,
	}
	if got != want {
		t.Errorf("%+v, want %+v", got, want)
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

// How long a frame takes while a piece of a thousand panels is turned by dragging, and how long of
// that the page's own scripts: the rest is spent by the program that draws, which is named, for without a
// graphics card it is the processor.
func BenchmarkTurningAThousandPanels(b *testing.B) {
	s := newStudio(b, map[string]string{"fan.star": fan(1000)})
	tab := s.open()
	b.Log("drawn by " + browsertest.Eval[string](tab, `(gl => gl.getParameter((gl.getExtension("WEBGL_debug_renderer_info") ?? {}).UNMASKED_RENDERER_WEBGL ?? gl.RENDERER))
		(document.createElement("canvas").getContext("webgl2"))`))
	type times struct{ Frames, Scripts []float64 } // ms
	var all times
	for b.Loop() {
		got := browsertest.Eval[times](tab, `new Promise(done => {
			const canvas = document.querySelector("#folded canvas"), r = canvas.getBoundingClientRect(), out = {Frames: [], Scripts: []};
			const send = (type, dx) => canvas.dispatchEvent(new PointerEvent(type, {bubbles: true, cancelable: true, pointerId: 1, isPrimary: true,
				button: 0, buttons: 1, clientX: r.x + r.width / 2 + dx, clientY: r.y + r.height / 2 + dx / 3}));
			let last = 0;
			send("pointerdown", 0);
			// What the page does in this frame comes before the message that is posted here.
			const tick = now => {
				if (last) out.Frames.push(now - last);
				last = now;
				const begun = performance.now(), channel = new MessageChannel();
				channel.port1.onmessage = () => out.Scripts.push(performance.now() - begun);
				send("pointermove", 3 * out.Frames.length + 5);
				channel.port2.postMessage(0);
				if (out.Frames.length < 30) requestAnimationFrame(tick); else { send("pointerup", 95); done(out); }
			};
			requestAnimationFrame(tick);
		})`)
		all.Frames, all.Scripts = append(all.Frames, got.Frames...), append(all.Scripts, got.Scripts...)
	}
	slices.Sort(all.Frames)
	slices.Sort(all.Scripts)
	b.ReportMetric(all.Frames[len(all.Frames)/2], "ms/frame")
	b.ReportMetric(all.Frames[len(all.Frames)*95/100], "ms/frame-95%")
	b.ReportMetric(all.Scripts[len(all.Scripts)/2], "ms/script")
	b.ReportMetric(0, "ns/op")
}

// How long a page takes from its address to its first picture, which has the flat blank in it, to
// the live flat blank and to both views, by its own clock. A page of one line shows what of that
// is the browser's own.
func BenchmarkOpening(b *testing.B) {
	s := newStudio(b, examples(b, "tea-carton.star"))
	line := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, _ *http.Request) {
		w.Header().Set("Content-Type", "text/html")
		_, _ = w.Write([]byte(`<!doctype html><link rel=icon href="data:,"><p>One line.`))
	}))
	defer line.Close()
	tab := browsertest.New(b)
	const painted = `new Promise(done => new PerformanceObserver((list, self) => list.getEntriesByName("first-contentful-paint").forEach(e => (self.disconnect(), done(e.startTime))))
		.observe({type: "paint", buffered: true}))`
	var plain, picture, flat, both []float64
	for b.Loop() {
		tab.Go(line.URL)
		plain = append(plain, browsertest.Eval[float64](tab, painted))
		tab.Go(s.URL())
		browsertest.Eval[bool](tab, `new Promise(done => {
			const look = () => {
				let drawn = false;
				if (document.querySelector("#flat[data-ready]")) window.flatAt ??= performance.now();
				try { drawn = `+browsertest.Drawn+`; } catch { /* not there yet */ }
				if (!drawn) return requestAnimationFrame(look);
				window.drawnAt = performance.now();
				done(true);
			};
			look();
		})`)
		picture = append(picture, browsertest.Eval[float64](tab, painted))
		flat, both = append(flat, browsertest.Eval[float64](tab, "flatAt")), append(both, browsertest.Eval[float64](tab, "drawnAt"))
	}
	for unit, times := range map[string][]float64{"ms/one-line": plain, "ms/picture": picture, "ms/flat": flat, "ms/both": both} {
		slices.Sort(times)
		b.ReportMetric(times[len(times)/2], unit)
	}
	b.ReportMetric(0, "ns/op")
}
