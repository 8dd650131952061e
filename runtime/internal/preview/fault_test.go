package preview

import (
	"bytes"
	"encoding/xml"
	"fmt"
	"io"
	"math/rand"
	"strings"
	"testing"

	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/source"
)

const lidLine = `lid = panel("lid", rect(width, depth), on = front.top)`

func lidFault() *diag.Finding {
	site := source.Site{
		{File: "tea_carton.star", Line: 12, Column: 20, EndLine: 12, EndColumn: 38},
		{File: "//closures.star", Line: 40, Column: 3, EndLine: 40, EndColumn: 9},
	}
	return diag.Scriptf(site, `panel "lid": edge "bottom" is 60.00 mm, the hinge edge front.top is 58.00 mm`).
		WithHint("make the lid 58 mm wide")
}

// The fault, its place, the library line behind it, the script line and the
// cure are all told, with or without a drawing below.
func TestFaultTells(t *testing.T) {
	for _, last := range [][]byte{nil, svg(carton())} {
		s := readBack(t, Fault(t.Context(), lidFault(), lidLine, last))
		var said []string
		for _, x := range s.texts {
			said = append(said, x.text)
		}
		for _, want := range []string{
			"tea_carton.star:12:20", "in //closures.star:40:3", "→ make the lid 58 mm wide",
			`panel "lid": edge "bottom" is 60.00 mm, the hinge edge front.top is 58.00 mm`, "12  " + lidLine,
		} {
			if !strings.Contains(strings.Join(said, " "), want) { // a headline may be broken
				t.Errorf("nothing says %q", want)
			}
		}
		if over := s.says("front"); over != (last != nil) {
			t.Errorf("a drawing below: %t", over)
		}
		if s.attrs[marker] != "fault" {
			t.Errorf("marked as %q", s.attrs[marker])
		}
	}
}

// The last drawing is there in full and in greys.
func TestFaultGreysTheDrawing(t *testing.T) {
	last := svg(carton())
	got := Fault(t.Context(), lidFault(), lidLine, last)
	for _, colour := range []string{blue, black, hatchColour, boardColour} {
		if bytes.Contains(got, []byte(colour)) {
			t.Errorf("%s is left in it", colour)
		}
	}
	before, after := readBack(t, last), readBack(t, got)
	if len(after.strokes) < len(before.strokes) || len(after.texts) < len(before.texts) {
		t.Errorf("%d strokes and %d texts, before %d and %d", len(after.strokes), len(after.texts), len(before.strokes), len(before.texts))
	}
	if before.width != after.width || before.height != after.height {
		t.Errorf("the page changed from %g × %g to %g × %g", before.width, before.height, after.width, after.height)
	}
}

// Law: one fault after another changes the box and leaves the drawing below as
// it was: a fault drawn over a fault is the fault drawn over the sheet.
func TestFaultAfterFault(t *testing.T) {
	for name, in := range designs() {
		sheet := svg(in)
		once := Fault(t.Context(), lidFault(), lidLine, sheet)
		other := Fault(t.Context(), diag.Scriptf(nil, "something else"), "", sheet)
		if twice := Fault(t.Context(), lidFault(), lidLine, other); !bytes.Equal(once, twice) {
			t.Errorf("%s: drawn over a fault it is another picture", name)
		}
		if !bytes.Contains(once, []byte(`id="drawing"`)) {
			t.Errorf("%s: the drawing was refused", name)
		}
	}
}

// A sheet after a fault without a drawing has none either, and says so.
func TestFaultAfterNothing(t *testing.T) {
	first := Fault(t.Context(), lidFault(), lidLine, nil)
	if again := Fault(t.Context(), lidFault(), lidLine, first); !bytes.Equal(first, again) {
		t.Error("the second fault is another picture")
	}
	if !readBack(t, first).says("There is no earlier drawing to show.") {
		t.Error("it does not say that there is no drawing")
	}
}

// Whatever is not a sheet of ours is left out, in whole.
func TestFaultRefusesStrangers(t *testing.T) {
	sheet := string(svg(sleeve()))
	change := func(old, new string) string {
		if !strings.Contains(sheet, old) {
			t.Fatalf("the sheet has no %s", old)
		}
		return strings.Replace(sheet, old, new, 1)
	}
	for name, last := range map[string]string{
		"text":             "hello",
		"other picture":    `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 210 297"><g id="drawing"/></svg>`,
		"other mark":       change(marker+`="sheet"`, marker+`="else"`),
		"script":           change("<defs>", "<script>alert(1)</script><defs>"),
		"handler":          change(`id="drawing"`, `id="drawing" onload="alert(1)"`),
		"link":             change("<defs>", `<a href="http://x.invalid/"></a><defs>`),
		"outside fill":     change("url(#hatch)", "url(http://x.invalid/#a)"),
		"style":            change(`class="cell"`, `class="cell" style="fill:red"`),
		"image":            change("<defs>", `<image href="file:///etc/passwd"/><defs>`),
		"no drawing":       change(`id="drawing"`, `id="other"`),
		"cut short":        sheet[:len(sheet)/2],
		"endless page":     change(`viewBox="0 0 297`, `viewBox="0 0 1e300`),
		"page of no size":  change(`viewBox="0 0 297`, `viewBox="0 0 0`),
		"page not a page":  change(`viewBox="0 0 297`, `viewBox="0 0 NaN`),
		"attribute twice":  change(`id="drawing"`, `id="drawing" id="drawing"`),
		"deep":             change("<defs>", strings.Repeat("<g>", 200)+strings.Repeat("</g>", 200)+"<defs>"),
		"entity":           strings.Replace(change("<defs>", "&boom;<defs>"), "<svg", `<!DOCTYPE svg [<!ENTITY boom "x">]><svg`, 1),
		"animated":         change("<defs>", `<animate attributeName="x"/><defs>`),
		"foreign document": change("<defs>", `<foreignObject></foreignObject><defs>`),
	} {
		got := Fault(t.Context(), lidFault(), lidLine, []byte(last))
		if !bytes.Equal(got, Fault(t.Context(), lidFault(), lidLine, nil)) {
			t.Errorf("%s was taken for a sheet", name)
		}
	}
}

// Law: a sheet damaged at random never gives anything but well-formed XML of
// known elements.
func TestFaultOverDamage(t *testing.T) {
	r := rand.New(rand.NewSource(16))
	sheet := svg(sleeve())
	f := lidFault()
	for range 400 {
		last := bytes.Clone(sheet)
		for range 1 + r.Intn(4) {
			last[r.Intn(len(last))] = byte(r.Intn(256))
		}
		got := Fault(t.Context(), f, lidLine, last)
		checkXML(t, got)
		if bytes.Contains(got, []byte("<script")) || bytes.Contains(got, []byte("href")) {
			t.Fatal("something foreign came through")
		}
	}
}

// checkXML asks for well-formed XML in which no attribute comes twice.
func checkXML(t *testing.T, file []byte) {
	t.Helper()
	d := xml.NewDecoder(bytes.NewReader(file))
	for {
		tok, err := d.Token()
		if err == io.EOF {
			return
		}
		if err != nil {
			t.Fatal(err)
		}
		e, _ := tok.(xml.StartElement)
		seen := map[string]bool{}
		for _, a := range e.Attr {
			if seen[a.Name.Local] {
				t.Fatalf("%s has %s twice", e.Name.Local, a.Name.Local)
			}
			seen[a.Name.Local] = true
		}
	}
}

// The excerpt keeps the spot in sight, whatever the line's length.
func TestCutLine(t *testing.T) {
	span := func(from, to int) source.Span {
		return source.Span{File: "a.star", Line: 1, Column: from, EndLine: 1, EndColumn: to}
	}
	long := strings.Repeat("x", 200) + "SPOT" + strings.Repeat("y", 200)
	for _, c := range []struct {
		line                  string
		at                    source.Span
		before, marked, after string
	}{
		{"  a = b(c)", span(7, 11), "a = ", "b(c)", ""},
		{"\tx", span(2, 3), "", "x", ""},
		{"short", span(9, 12), "short", "", ""},
		{"two lines (", source.Span{File: "a.star", Line: 1, Column: 11, EndLine: 3, EndColumn: 2}, "two lines ", "(", ""},
		{"a\u202eb", span(3, 4), `a\u{202e}`, "b", ""},
		{long, span(201, 205), "…" + strings.Repeat("x", 20), "SPOT", strings.Repeat("y", 34) + "…"},
	} {
		before, marked, after := cutLine(c.line, c.at, 60)
		if before != c.before || marked != c.marked || after != c.after {
			t.Errorf("%.20q: %q, %q, %q", c.line, before, marked, after)
		}
	}
}

// Law: a faded colour is a grey, lighter than the colour, and keeps the order of
// lightness.
func TestFaded(t *testing.T) {
	last := -1
	for _, c := range []string{black, inkColour, blue, hatchColour, paperColour} {
		var r, g, b int
		if _, err := fmt.Sscanf(faded(c), "#%02X%02X%02X", &r, &g, &b); err != nil || r != g || g != b || r < last {
			t.Errorf("%s fades to %s, after %d", c, faded(c), last)
		}
		last = r
	}
	for _, c := range []string{"none", "url(#hatch)"} {
		if faded(c) != c {
			t.Errorf("%s became %s", c, faded(c))
		}
	}
}
