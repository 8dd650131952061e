package browsertest

import (
	"strconv"
	"testing"
)

// State is the live page's store, as a JavaScript expression.
const State = "creasewright.store.get()"

// Drawn is a JavaScript expression: both views show the model that the store holds, and
// the folded one knows where each panel stands.
const Drawn = `(() => {
	const s = ` + State + `, drawn = id => document.getElementById(id).dataset.ready;
	return s.digest !== "" && drawn("flat") === s.digest && drawn("folded") === s.digest && s.state !== null;
})()`

// OpenLive opens a live page and waits until both its views are drawn.
func OpenLive(t testing.TB, url string) *Tab {
	t.Helper()
	b := New(t)
	b.Allow("/motion/") // states of a script that has just been saved anew are not there any more
	b.Go(url)
	b.Wait(Drawn)
	return b
}

// WaitDigest waits until both views are drawn from another model than the one named,
// and gives the digest of that.
func (b *Tab) WaitDigest(before string) string {
	b.t.Helper()
	b.Wait(State + ".digest !== " + Quote(before) + " && !" + State + ".stale && " + Drawn)
	return b.Digest()
}

// Digest names the model that is shown.
func (b *Tab) Digest() string {
	b.t.Helper()
	return Eval[string](b, State+".digest")
}

// Inside is a place in the window where an element is on top: where a click reaches
// it. Of the points of a grid it is one with as much of the element round it as can be had,
// near the middle.
func (b *Tab) Inside(selector string) Point {
	b.t.Helper()
	const find = `(selector => {
		const el = document.querySelector(selector);
		if (!el) return null;
		el.scrollIntoView({block: "nearest", inline: "nearest"});
		const r = el.getBoundingClientRect(), n = 24, hits = new Set(), found = [];
		const hit = (i, j) => hits.has(i * n + j);
		for (let i = 1; i < n; i++) for (let j = 1; j < n; j++) {
			if (el.contains(document.elementFromPoint(r.x + r.width * i / n, r.y + r.height * j / n))) hits.add(i * n + j);
		}
		for (const k of hits) {
			const i = Math.floor(k / n), j = k % n;
			let room = 0;
			for (let di = -3; di <= 3; di++) for (let dj = -3; dj <= 3; dj++) room += hit(i + di, j + dj);
			found.push({X: r.x + r.width * i / n, Y: r.y + r.height * j / n, room, d: Math.hypot(i - n / 2, j - n / 2)});
		}
		return found.sort((a, b) => b.room - a.room || a.d - b.d)[0] ?? null;
	})`
	b.Wait(find + "(" + Quote(selector) + ")")
	return Eval[Point](b, find+"("+Quote(selector)+")")
}

// Slide sets the fold slider to one of its stops, 0 to 48, as a user's hand does, and
// waits until the piece stands there.
func (b *Tab) Slide(stop int) {
	b.t.Helper()
	Eval[bool](b, `(stop => {
		const slider = document.getElementById("fold-slider");
		slider.value = stop;
		slider.dispatchEvent(new Event("input", {bubbles: true}));
		slider.dispatchEvent(new Event("change", {bubbles: true}));
		return true;
	})(`+Quote(strconv.Itoa(stop))+`)`)
	b.WaitStop(stop)
}

// WaitStop waits until the piece shown stands at a stop of the slider.
func (b *Tab) WaitStop(stop int) {
	b.t.Helper()
	b.Wait(Drawn + " && " + State + ".state.digest === " + State + ".digest && " +
		"Math.round(" + State + ".state.at * 48) === " + strconv.Itoa(stop) + " && Math.round(" + State + ".share * 48) === " + strconv.Itoa(stop))
}

// Pose chooses a pose by its button and waits until the piece shown stands in it.
func (b *Tab) Pose(name string) {
	b.t.Helper()
	b.Click("#poses button[data-pose=" + Quote(name) + "]")
	if name == "flat" {
		b.WaitStop(0)
		return
	}
	b.Wait(State + ".state?.pose === " + Quote(name))
	b.WaitStop(48)
}
