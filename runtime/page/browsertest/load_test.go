package browsertest_test

import (
	"bufio"
	"context"
	"fmt"
	"net"
	"net/http"
	"net/url"
	"runtime"
	"strings"
	"testing"

	"github.com/creasewright/creasewright/runtime/page/browsertest"
)

// serverHeap is the memory in use by this process after a collection, in bytes.
func serverHeap() float64 {
	var m runtime.MemStats
	for range 2 {
		runtime.GC()
	}
	runtime.ReadMemStats(&m)
	return float64(m.HeapAlloc)
}

// Page and server hold no more after many saves than after a few: what is kept of old runs
// is bounded.
func TestMemoryStaysFlat(t *testing.T) {
	const saves, seen = 1000, 25 // the page is waited for at every twenty-fifth, and shows more
	const weight = 50_000        // bytes of a save, besides the design
	s := newStudio(t, map[string]string{"tray.star": tray})
	base := s.try(tray)
	b := s.open()
	b.Window(480, 320, 1) // little to draw
	b.Allow("/data/")     // of a save that others have come after
	save := func(n int) {
		before := b.Digest()
		run := base
		// Each save is another design, and weighs enough to be missed.
		run.Display = []byte(strings.Replace(string(base.Display), `"version":1`, fmt.Sprintf(`"version":1,"weight":"%d%s"`, n, strings.Repeat("#", weight)), 1))
		s.Show(0, run)
		if n%seen == 0 {
			b.WaitDigest(before)
		}
	}
	browsertest.Eval[bool](b, `(window.shown = 0, creasewright.store.on("digest", () => window.shown++), true)`)
	const warm = saves / 4
	for n := range warm {
		save(n)
	}
	pageBefore, serverBefore, shownBefore := b.Heap(), serverHeap(), browsertest.Eval[float64](b, "shown")
	for n := warm; n < saves; n++ {
		save(n)
	}
	pageGrown, serverGrown := b.Heap()-pageBefore, serverHeap()-serverBefore
	shown := browsertest.Eval[float64](b, "shown") - shownBefore
	t.Logf("%d saves: page %.2f MB and %+.0f bytes since the %dth, of %v that it has shown; server %+.0f bytes",
		saves, pageBefore/1e6, pageGrown, warm, shown, serverGrown)
	if most := 0.2 * weight * shown; shown < 20 || pageGrown > most {
		t.Errorf("the page has grown by %.0f bytes, more than %.0f", pageGrown, most)
	}
	if most := 0.02 * weight * (saves - warm); serverGrown > most {
		t.Errorf("the server has grown by %.0f bytes, more than %.0f", serverGrown, most)
	}
}

// follow reads the events of a page as a browser does, and says for each how many
// bytes it had.
func follow(ctx context.Context, address string, seen chan<- int) error {
	req, err := http.NewRequestWithContext(ctx, http.MethodGet, address+"events", nil)
	if err != nil {
		return err
	}
	res, err := http.DefaultClient.Do(req)
	if err != nil {
		return err
	}
	defer res.Body.Close()
	lines := bufio.NewScanner(res.Body)
	lines.Buffer(nil, 1<<20)
	for lines.Scan() {
		if data, ok := strings.CutPrefix(lines.Text(), "data:"); ok {
			seen <- len(data)
		}
	}
	return lines.Err()
}

// frozen opens the events and never reads them. The receive buffer is small, so that
// the server soon has nowhere to write to.
func frozen(t *testing.T, address string) {
	u, err := url.Parse(address)
	if err != nil {
		t.Fatal(err)
	}
	c, err := net.Dial("tcp", u.Host)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = c.Close() })
	_ = c.(*net.TCPConn).SetReadBuffer(1024)
	if _, err := fmt.Fprintf(c, "GET %sevents HTTP/1.1\r\nHost: %s\r\n\r\n", u.Path, u.Host); err != nil {
		t.Fatal(err)
	}
}

// With fifty pages open and one frozen, a browser's page and all others come to see the
// last run; handing runs over never waits for a page.
func TestManyPagesAndAFrozenOne(t *testing.T) {
	s := newStudio(t, map[string]string{"tray.star": tray})
	b := s.open()
	ctx, end := context.WithCancel(t.Context())
	defer end()
	const pages = 50
	seen := make([]chan int, pages)
	for i := range seen {
		seen[i] = make(chan int, 10000)
		go func() { _ = follow(ctx, s.URL(), seen[i]) }()
	}
	for _, c := range seen {
		<-c // it follows
	}
	frozen(t, s.URL())
	// What is shown is more than the buffers of a connection hold.
	run := s.try(tray)
	run.Fault, run.Exit = strings.Repeat("x", 60000), 2
	for range 300 {
		s.Show(0, run)
	}
	before := b.Digest()
	s.save("tray.star", wider)
	b.WaitDigest(before)
	for _, c := range seen {
		for n := <-c; n > 60000; n = <-c { // until it is told of the last run
		}
	}
	if w := browsertest.Eval[float64](b, browsertest.State+".model.params[0].value"); w != 70 {
		t.Errorf("the width is %v", w)
	}
}
