package browsertest

import (
	"net/http"
	"net/http/httptest"
	"os"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
)

func TestMain(m *testing.M) {
	code := m.Run()
	Close()
	os.Exit(code)
}

// serve gives the address of a page that may run its own scripts alone.
func serve(t *testing.T, script string) string {
	s := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		w.Header().Set("Content-Security-Policy", "default-src 'none'; script-src 'self'; img-src data:")
		switch r.URL.Path {
		case "/":
			w.Header().Set("Content-Type", "text/html")
			_, _ = w.Write([]byte(`<!doctype html><title>x</title><link rel=icon href="data:,"><button id=b>press</button><script src=s.js></script>`))
		case "/s.js":
			w.Header().Set("Content-Type", "text/javascript")
			_, _ = w.Write([]byte(script))
		default:
			http.NotFound(w, r)
		}
	}))
	t.Cleanup(s.Close)
	return s.URL + "/"
}

// What goes wrong in a page is heard, each in its own words.
func TestFaultsOfAPageAreHeard(t *testing.T) {
	for name, c := range map[string]struct{ script, want string }{
		"error":     {`console.error("it is", 7)`, `it is`},
		"exception": {`null.x`, "TypeError"},
		"rejection": {`Promise.reject(new Error("late"))`, "late"},
		"missing":   {`fetch("gone.json").catch(() => 0)`, "violates"},
		"policy":    {`document.body.innerHTML += "<img src=/x onerror=alert(1)>"`, "Content Security Policy"},
	} {
		t.Run(name, func(t *testing.T) {
			b := New(t)
			b.Allow(c.want)
			b.Do(chromedp.Navigate(serve(t, c.script)))
			b.Wait("document.readyState === 'complete'")
			Eval[bool](b, "new Promise(done => setTimeout(() => done(true), 50))")
			if heard := strings.Join(b.Errors(), "\n"); !strings.Contains(heard, c.want) {
				t.Errorf("heard %q, want %q", heard, c.want)
			}
		})
	}
}

// Clicks, keys, pictures and the size of the window are the user's.
func TestTabsAreUsed(t *testing.T) {
	b := Open(t, serve(t, `window.n = 0; document.getElementById("b").onclick = e => { n += e.isTrusted ? 1 : 100; };`))
	b.Window(800, 600, 2)
	b.Wait("innerWidth === 400 && devicePixelRatio === 2")
	b.Click("#b")
	b.Press("\t\r")
	b.Wait("n > 0")
	b.Prefer("prefers-color-scheme", "dark")
	b.Wait("matchMedia('(prefers-color-scheme: dark)').matches")
	if png := b.Screenshot(); !strings.HasPrefix(string(png), "\x89PNG") {
		t.Errorf("a picture of %d bytes", len(png))
	}
	before := b.Heap()
	Eval[int](b, "(window.kept = new Float64Array(1 << 20)).length")
	// What the page itself held may have been given up meanwhile.
	if grown := b.Heap() - before; grown < 7<<20 || grown > 12<<20 {
		t.Errorf("8 MiB more take %.0f bytes", grown)
	}
}

// Two tabs share no storage, and both are drawn.
func TestTabsAreApart(t *testing.T) {
	url := serve(t, ``)
	one, two := Open(t, url), Open(t, url)
	Eval[bool](one, "(localStorage.x = 'one', true)")
	if got := Eval[bool](two, "localStorage.x === undefined"); !got {
		t.Error("the other tab sees what one stored")
	}
	for _, b := range []*Tab{one, two} {
		if !Eval[bool](b, "new Promise(done => requestAnimationFrame(() => done(true)))") {
			t.Error("no frame")
		}
	}
}
