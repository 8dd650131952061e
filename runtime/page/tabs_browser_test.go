package page

import (
	"fmt"
	"testing"

	"github.com/creasewright/creasewright/runtime/page/browsertest"
)

// A page that is hidden follows no stream, and follows again when it is shown: the state that
// came meanwhile is there at once.
func TestHiddenPagesFollowNothing(t *testing.T) {
	s := serve(t, &source{})
	s.Add(Script{Name: "tea.star", Path: "/x/tea.star"})
	b := browsertest.Open(t, s.URL())
	b.Wait(`creasewright.store.get().status?.name === "tea.star"`)
	waitFor(func() bool { return following(s) == 1 })
	hide(b, "true")
	waitFor(func() bool { return following(s) == 0 })
	s.Show(0, Run{Exit: 2, Fault: "broken meanwhile"})
	hide(b, "false")
	b.Wait(`creasewright.store.get().status?.fault === "broken meanwhile"`)
	if n := following(s); n != 1 {
		t.Errorf("it follows %d times", n)
	}
}

// hide tells a page that it is hidden, or is not.
func hide(b *browsertest.Tab, hidden string) {
	browsertest.Eval[bool](b, `(() => {
		Object.defineProperty(document, "hidden", { configurable: true, value: `+hidden+` });
		return document.dispatchEvent(new Event("visibilitychange"));
	})()`)
}

// More pages of one user than a browser has connections to a server share one stream, and all of
// them are told of every run: while the one that has the stream lives, when it is hidden, when it
// hangs, and when it has been closed.
func TestPagesShareOneStream(t *testing.T) {
	const pages = 8
	s := serve(t, &source{})
	s.Add(Script{Name: "tea.star", Path: "/x/tea.star"})
	tabs := []*browsertest.Tab{browsertest.New(t)}
	for len(tabs) < pages {
		tabs = append(tabs, tabs[0].Beside())
	}
	for _, b := range tabs {
		b.BeforeScripts(`window.EventSource = class extends EventSource {
			constructor(...args) { super(...args); window.stream = this; }
		}`)
		b.Go(s.URL())
	}
	// leader takes the page that has the stream out of the list.
	leader := func() (lead *browsertest.Tab, others []*browsertest.Tab) {
		t.Helper()
		// One that has just taken the lead may still be opening its stream.
		waitFor(func() bool {
			lead, others = nil, nil
			for _, b := range tabs {
				if browsertest.Eval[bool](b, "window.stream?.readyState === EventSource.OPEN") {
					lead = b
				} else {
					others = append(others, b)
				}
			}
			return lead != nil && len(others) == len(tabs)-1
		})
		return lead, others
	}
	runs := 0
	told := func(tabs []*browsertest.Tab) {
		t.Helper()
		runs++
		fault := fmt.Sprint("fault ", runs)
		s.Show(0, Run{Exit: 2, Fault: fault})
		for _, b := range tabs {
			b.Wait(`creasewright.store.get().status?.fault === ` + browsertest.Quote(fault))
		}
	}
	told(tabs)
	first, others := leader()
	hide(first, "true")
	told(others)
	hide(first, "false")
	told(tabs)
	// The page that leads hangs for longer than the others have patience.
	lead, others := leader()
	browsertest.Eval[bool](lead, `(setTimeout(() => { for (const end = performance.now() + 8000; performance.now() < end;); }), true)`)
	told(others)
	lead.Wait(`creasewright.store.get().status?.fault === ` + browsertest.Quote(fmt.Sprint("fault ", runs)))
	waitFor(func() bool { return following(s) == 1 })
	next, others := leader()
	if next == lead {
		t.Error("no other page has taken the lead")
	}
	lead, tabs = next, others
	lead.Go("about:blank")
	told(tabs)
	waitFor(func() bool { return following(s) == 1 })
}
