package page

import (
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
	hide := func(hidden string) {
		browsertest.Eval[bool](b, `(() => {
			Object.defineProperty(document, "hidden", { configurable: true, value: `+hidden+` });
			return document.dispatchEvent(new Event("visibilitychange"));
		})()`)
	}
	waitFor(func() bool { return following(s) == 1 })
	hide("true")
	waitFor(func() bool { return following(s) == 0 })
	s.Show(0, Run{Exit: 2, Fault: "broken meanwhile"})
	hide("false")
	b.Wait(`creasewright.store.get().status?.fault === "broken meanwhile"`)
	if n := following(s); n != 1 {
		t.Errorf("it follows %d times", n)
	}
}
