package browsertest_test

import (
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/creasewright/creasewright/runtime/page"
	"github.com/creasewright/creasewright/runtime/page/browsertest"
)

// hostileTexts would run, break out of an attribute, turn the reading direction, or take
// up all the room, where a page put them in as anything but text.
var hostileTexts = []string{
	`<script>window.hit = 1</script>`,
	`"><img src=x onerror="window.hit = 1">`,
	`'-alert(1)-'${window.hit = 1}`,
	`</textarea></style></title><svg onload="window.hit = 1">`,
	`javascript:window.hit=1`,
	"&lt;b&gt;&#x202e;&amp;",
	"a\u202ecod\u2066.exe\u2069\u200b",
	"nul\u0000 bell\u0007 line\nbreak \U0001F4E6 \ufffe",
	strings.Repeat("long ", 2000),
	"__proto__", "constructor", "#flat", "[data-panel]", `\"]}`,
}

// chosenByScripts are the fields of a display whose values a script, or who names its file, chooses.
var chosenByScripts = []string{
	"title", "file", "text", "doc", "name", "message", "hint", "reason", "cautions", "prints", "on", "edge", "pose", "choices",
}

// poison gives every text of a display that a script chooses a hostile one in turn. Poses and
// parameters go by their names, so that "flat" and "closed" stay and names stay apart.
func poison(v any, field string, n *int) any {
	switch v := v.(type) {
	case map[string]any:
		for _, k := range slices.Sorted(keysOf(v)) {
			v[k] = poison(v[k], k, n)
		}
	case []any:
		for i := range v {
			v[i] = poison(v[i], field, n)
		}
	case string:
		if slices.Contains(chosenByScripts, field) && v != "flat" && v != "closed" && v != "" {
			*n++
			return hostileTexts[*n%len(hostileTexts)] + strings.Repeat(" ", *n/len(hostileTexts)) + v
		}
	}
	return v
}

func keysOf(m map[string]any) func(func(string) bool) {
	return func(yield func(string) bool) {
		for k := range m {
			if !yield(k) {
				return
			}
		}
	}
}

// Whatever names and texts hold, they stand on the page as text: nothing of them runs,
// asks for anything or becomes an element, and the page works.
func TestHostileTextsAreText(t *testing.T) {
	t.Parallel()
	script := strings.Replace(faulty, "piece(", `print("said")
pose("half", {"wall": 45})
piece(`, 1)
	s := newStudio(t, map[string]string{"tray.star": tray})
	run := s.try(script)
	var display map[string]any
	err := json.Unmarshal(run.Display, &display)
	if err != nil {
		t.Fatal(err, run.Fault)
	}
	n := 0
	poison(display, "", &n)
	if n < len(hostileTexts) {
		t.Fatalf("only %d texts in the display", n)
	}
	if run.Display, err = json.Marshal(display); err != nil {
		t.Fatal(err)
	}
	for i, text := range hostileTexts {
		if !strings.ContainsAny(text, "\n\x00/\\") {
			run.Files = append(run.Files, page.File{Name: fmt.Sprint(i, " ", text), Kind: text, Size: 7})
		}
	}
	b := s.open()
	before := b.Digest()
	s.Add(page.Script{Name: hostileTexts[0], Path: hostileTexts[1], Folder: hostileTexts[2], Command: "make " + hostileTexts[1]})
	s.Show(0, run)
	b.WaitDigest(before)
	b.Slide(48)
	for _, target := range []string{"panel", "hinge"} {
		b.ClickAt(b.Inside(fmt.Sprintf(`#flat [data-%s="0"]`, target)))
		b.Wait(fmt.Sprintf("%s.selection?.kind === %q", browsertest.State, target))
	}
	run.Fault, run.Exit, run.Display = strings.Join(hostileTexts, "\n"), 2, nil
	s.Show(0, run)
	b.Wait(`document.getElementById("fault").textContent.includes("<script>window.hit")`)
	b.Frames(3)
	if made := browsertest.Eval[int](b, `document.querySelectorAll("body script, img[onerror], svg[onload], [onclick], a[href^=javascript]").length`); made > 0 {
		t.Errorf("%d elements come from texts", made)
	}
	if browsertest.Eval[bool](b, `"hit" in window`) {
		t.Error("a text has run")
	}
	shown := browsertest.Eval[string](b, "document.body.textContent")
	for _, want := range []string{hostileTexts[0], hostileTexts[1], "&lt;b&gt;"} {
		if !strings.Contains(shown, want) {
			t.Errorf("%q is not on the page", want)
		}
	}
	if strings.ContainsAny(shown, "\u202e\u2066\u200b") {
		t.Error("characters that turn or hide text stand on the page as they are")
	}
	if wide := browsertest.Eval[int](b, "document.documentElement.scrollWidth - innerWidth"); wide > 0 {
		t.Errorf("the page is %d px wider than the window", wide)
	}
}
