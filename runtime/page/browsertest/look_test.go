package browsertest_test

import (
	"bytes"
	"fmt"
	"image"
	_ "image/png" // the format of screenshots
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"

	"github.com/creasewright/creasewright/runtime/outsidetest"
	"github.com/creasewright/creasewright/runtime/page/browsertest"
)

// axe is axe-core, a program of Deque's that finds what keeps people who hear or do not see
// well from using a page, by the rules of WCAG. npm has it.
var axe = sync.OnceValues(func() (string, error) {
	root, err := exec.Command("npm", "root", "--global").Output()
	if err != nil {
		return "", fmt.Errorf("no npm, which has axe-core: %w", err)
	}
	text, err := os.ReadFile(filepath.Join(strings.TrimSpace(string(root)), "axe-core", "axe.min.js"))
	return string(text), err
})

// axeFault is what axe-core finds of one kind.
type axeFault struct {
	ID, Impact, Help string
	Nodes            []struct {
		HTML           string
		FailureSummary string
	}
}

// checkAxe has axe-core look at a page as it is shown, by some rules or all. What keeps people
// out is a fault; the rest is told.
func checkAxe(t *testing.T, b *browsertest.Tab, what string, rules ...string) {
	t.Helper()
	text, err := axe()
	if err != nil {
		outsidetest.Missing(t, err)
	}
	browsertest.Eval[bool](b, text+"; true")
	only := ""
	if len(rules) > 0 {
		only = `, runOnly: ["` + strings.Join(rules, `", "`) + `"]`
	}
	for _, f := range browsertest.Eval[[]axeFault](b, `axe.run(document, {resultTypes: ["violations"]`+only+`}).then(r => r.violations.map(v =>
		({ID: v.id, Impact: v.impact, Help: v.help, Nodes: v.nodes.map(n => ({HTML: n.html, FailureSummary: n.failureSummary}))})))`) {
		say := t.Logf
		if f.Impact == "serious" || f.Impact == "critical" {
			say = t.Errorf
		}
		n := f.Nodes[0]
		say("%s: %s, %s: %s, at %d places: %s\n%s", what, f.Impact, f.ID, f.Help, len(f.Nodes), n.HTML, n.FailureSummary)
	}
}

// faulty is a design with findings, an error and a warning.
var faulty = warned + "require(width < 50, \"the rack takes 50 mm\")\n"

// axe-core finds nothing serious in the page, light or dark, with findings and with a
// fault, nor in the page for printing.
func TestThePageIsAccessible(t *testing.T) {
	t.Parallel()
	s, b := show(t, tray)
	state := func(what string, change func()) {
		change()
		for colours, rules := range map[string][]string{"light": nil, "dark": {"color-contrast"}} {
			b.Prefer("prefers-color-scheme", colours)
			b.Frames(2)
			checkAxe(t, b, what+", "+colours, rules...)
			keepPicture(t, b, what+", "+colours)
		}
	}
	state("as opened", func() {})
	state("with a panel chosen", func() { b.ClickAt(b.Inside(`#flat path[data-panel="1"]`)) })
	state("with findings", func() {
		before := b.Digest()
		s.save("tray.star", faulty)
		b.WaitDigest(before)
		b.Click(`#findings li button`)
	})
	state("with a fault", func() {
		s.save("tray.star", broken)
		b.Wait(`!document.getElementById("fault").hidden`)
	})
	s.save("tray.star", tray)
	p := browsertest.Open(t, s.URL()+"print/0")
	p.Wait(`document.readyState === "complete" && document.querySelector("svg")`)
	checkAxe(t, p, "for printing")
}

// coloursOf counts the colours of a picture.
func coloursOf(t *testing.T, png []byte) int {
	t.Helper()
	picture, _, err := image.Decode(bytes.NewReader(png))
	if err != nil {
		t.Fatal(err)
	}
	seen := map[[4]uint32]bool{}
	box := picture.Bounds()
	for y := box.Min.Y; y < box.Max.Y; y++ {
		for x := box.Min.X; x < box.Max.X; x++ {
			r, g, b, a := picture.At(x, y).RGBA()
			seen[[4]uint32{r, g, b, a}] = true
		}
	}
	return len(seen)
}

// keepPicture writes what the window shows into the folder that CREASEWRIGHT_SCREENSHOTS names, to
// be looked at; without one it does nothing.
func keepPicture(t *testing.T, b *browsertest.Tab, name string) {
	t.Helper()
	folder := os.Getenv("CREASEWRIGHT_SCREENSHOTS")
	if folder == "" {
		return
	}
	if err := os.WriteFile(filepath.Join(folder, strings.ReplaceAll(name, ", ", "-")+".png"), b.Screenshot(), 0o644); err != nil {
		t.Fatal(err)
	}
}

// The page fits its window at each size and zoom, light and dark: nothing is wider than the
// window, every button and field can be hit, and both views have room.
func TestThePageFitsItsWindow(t *testing.T) {
	t.Parallel()
	s := newStudio(t, examples(t, "tea-carton.star", "mug-carton.star"))
	b := browsertest.New(t)
	for _, size := range []struct {
		width, height int64
		zoom          float64
	}{{1280, 720, 1}, {820, 1180, 1}, {1280, 720, 2}} {
		b.Window(size.width, size.height, size.zoom)
		for _, colours := range []string{"light", "dark"} {
			b.Prefer("prefers-color-scheme", colours)
			b.Go(s.URL())
			b.Wait(browsertest.Drawn)
			b.Slide(34)
			b.Frames(3)
			what := fmt.Sprintf("%dx%d-%g-%s", size.width, size.height, size.zoom*100, colours)
			keepPicture(t, b, what)
			if wide := browsertest.Eval[int](b, "document.documentElement.scrollWidth - innerWidth"); wide > 0 {
				t.Errorf("%s: %d px wider than the window", what, wide)
			}
			for _, fault := range browsertest.Eval[[]string](b, layoutFaults) {
				t.Errorf("%s: %s", what, fault)
			}
		}
	}
}

// layoutFaults lists what is too small to be hit (WCAG 2.2, 2.5.8: 24 px) and views
// without room.
const layoutFaults = `(() => {
	const faults = [];
	for (const el of document.querySelectorAll("button, select, input, a[href], [role=button], summary")) {
		const r = el.getBoundingClientRect(), s = getComputedStyle(el);
		if (!r.width || s.visibility === "hidden" || s.position === "absolute" && (r.bottom < 0 || r.width < 2)) continue;
		if (el.closest(".skips, .unseen, svg")) continue; // what is drawn to scale is as large as it is
		if (el.matches("#source .no")) continue; // the button above opens the same line
		if (el.matches("p a, li a") && s.display === "inline") continue; // links within a text
		const hit = el.matches("input") && el.closest("label") ? el.closest("label").getBoundingClientRect() : r;
		if (hit.height < 23.5 || hit.width < 23.5) faults.push("too small, " + Math.round(hit.width) + " by " + Math.round(hit.height) + ": " + el.outerHTML.slice(0, 120));
	}
	for (const id of ["flat", "folded"]) {
		const r = document.getElementById(id).getBoundingClientRect();
		if (r.width < 240 || r.height < 150) faults.push("#" + id + " is " + Math.round(r.width) + " by " + Math.round(r.height));
	}
	return faults;
})()`
