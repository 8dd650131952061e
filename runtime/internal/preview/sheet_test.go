package preview

import (
	"bytes"
	"context"
	"fmt"
	"math/rand"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/look"
	"github.com/creasewright/creasewright/runtime/model"
	"github.com/creasewright/creasewright/runtime/model/modeltest"
)

// designs are the sheets that every law below is tried on.
func designs() map[string]Input {
	withViews := troubled(2)
	withViews.Views = []View{boxView("tea carton", 70, 120, 45, withViews.Findings[0]), boxView("tea carton", 70, 120, 45, nil)}
	manyParams := carton()
	for i := range 30 {
		manyParams.Design.Params = append(manyParams.Design.Params, manyParams.Design.Params[i%6])
	}
	all := map[string]Input{
		"sleeve": sleeve(), "carton": carton(), "kinds": kinds(), "envelope": envelope(),
		"tiny": block("tiny", 20, 12), "huge": block("huge", 3000, 1400),
		"lying strip": block("strip", 900, 12), "standing strip": block("strip", 12, 900),
		"12 panels": pleats(12, 40, 90), "60 panels": rows(10, 6, 60, 40), "400 panels": rows(20, 20, 30, 20),
		"set": set(), "odd": odd(), "3 findings": troubled(3), "40 findings": troubled(40),
		"views": withViews, "folded carton": inPoses(carton()), "folded sleeve": inPoses(sleeve()), "parameters": manyParams, "nothing": {Script: "empty.star"},
	}
	r := rand.New(rand.NewSource(13))
	for i := range 12 {
		all[fmt.Sprint("tree ", i)] = tree(r, 2+r.Intn(60))
	}
	return all
}

// tree is a random hinge tree of n panels with arcs and curves, turned.
func tree(r *rand.Rand, n int) Input {
	d := modeltest.Tree(r, n, geom.Rotation(geom.Radians(r.Float64()*7), geom.Point{})).Design
	b, found, _ := blank.Lay(context.Background(), d.Pieces[0], d.Poses)
	return Input{Script: "tree.star", Design: d, Blanks: []*blank.Blank{b}, Findings: found}
}

// eachDesign runs a law on every design's sheet.
func eachDesign(t *testing.T, law func(t *testing.T, in Input, s *sheetRead)) {
	for name, in := range designs() {
		t.Run(name, func(t *testing.T) { law(t, in, readBack(t, svg(in))) })
	}
}

// Law: no two texts overlap. Read back from the file, so that a fault in the
// placing cannot hide itself.
func TestTextsKeepApart(t *testing.T) {
	eachDesign(t, func(t *testing.T, _ Input, s *sheetRead) {
		for i, a := range s.texts {
			for _, b := range s.texts[:i] {
				if a.tile.meets(b.tile) {
					t.Errorf("%q at %v overlaps %q at %v", a.text, a.tile.mid, b.text, b.tile.mid)
				}
			}
		}
	})
}

// Law: no line runs through a text. A finding's number stands on its own disc,
// which covers what is below, so numbers are tried against nothing; lines of
// board and hatching are no lines.
func TestLinesKeepOffText(t *testing.T) {
	eachDesign(t, func(t *testing.T, _ Input, s *sheetRead) {
		for _, x := range s.texts {
			if in(x.class, "mark", "finding") {
				continue
			}
			for _, p := range s.strokes {
				if in(p.class, "board", "glue", "spot") || p.kv["fill"] == glueTint {
					continue
				}
				for _, seg := range p.segs {
					if x.tile.crosses(seg.a, seg.b) {
						t.Errorf("%q at %v is crossed by %s %v", x.text, x.tile.mid, p.class, seg)
					}
				}
			}
		}
	})
}

// Law: the discs of findings cover neither text nor one another.
func TestDiscsCoverNothing(t *testing.T) {
	eachDesign(t, func(t *testing.T, _ Input, s *sheetRead) {
		for i, d := range s.discs {
			for _, e := range s.discs[:i] {
				if d.mid.Dist(e.mid) < 2*discRadius {
					t.Errorf("discs at %v and %v overlap", d.mid, e.mid)
				}
			}
			for _, x := range s.texts {
				if !in(x.class, "mark") && x.tile.meets(d) {
					t.Errorf("the disc at %v covers %q", d.mid, x.text)
				}
			}
		}
	})
}

// Law: everything lies on the page, within a margin.
func TestAllOnThePage(t *testing.T) {
	eachDesign(t, func(t *testing.T, _ Input, s *sheetRead) {
		page := geom.Box{Max: geom.Pt(s.width, s.height)}.Grow(0.5 - margin)
		for _, x := range s.texts {
			if b := x.tile.bounds(); !page.Contains(b.Min) || !page.Contains(b.Max) {
				t.Errorf("%q at %v runs into the margin", x.text, x.tile.mid)
			}
		}
		for _, p := range s.strokes {
			for _, seg := range p.segs {
				if !page.Contains(seg.a) || !page.Contains(seg.b) {
					t.Fatalf("%v %v runs into the margin", p.class, seg)
				}
			}
		}
	})
}

// Law: the page is an ISO 216 A sheet, one user unit a millimetre.
func TestPageIsASheet(t *testing.T) {
	eachDesign(t, func(t *testing.T, _ Input, s *sheetRead) {
		if s.attrs["width"] != num(s.width)+"mm" || s.attrs["height"] != num(s.height)+"mm" {
			t.Errorf("%s × %s with viewBox %s", s.attrs["width"], s.attrs["height"], s.attrs["viewBox"])
		}
		sides := []float64{s.width, s.height}
		slices.Sort(sides)
		if !slices.ContainsFunc([]int{4, 3, 2}, func(n int) bool {
			short, long := isoA(n)
			return sides[0] == short && sides[1] == long
		}) {
			t.Errorf("%v is not A4, A3 or A2", sides)
		}
	})
}

// Law: the key shows each kind of line that occurs, and no other, in the very
// pen of the drawing.
func TestKeyShowsWhatOccurs(t *testing.T) {
	eachDesign(t, func(t *testing.T, in Input, s *sheetRead) {
		want := map[blank.Kind]bool{}
		for _, b := range in.Blanks {
			for _, l := range b.Layers {
				want[l.Kind] = true
			}
			for _, h := range b.Hinges {
				if look.FoldedByHand(h) {
					want[look.HandFold] = true
				}
			}
		}
		for _, l := range looks {
			name := string(l.kind)
			if drawn, keyed := s.groups[name] > 0, s.groups["sample-"+name] == 1; drawn != want[l.kind] || keyed != want[l.kind] {
				t.Errorf("%s: occurs %t, drawn %t, in the key %t", name, want[l.kind], drawn, keyed)
			}
			if want[l.kind] && !s.says(name) {
				t.Errorf("the key lacks the word %s", name)
			}
		}
		if glued := slices.ContainsFunc(in.Blanks, func(b *blank.Blank) bool { return len(gluedBoard(b.Piece)) > 0 }); glued != s.says("glue") {
			t.Errorf("glue occurs: %t", glued)
		}
	})
}

// says reports whether some text is exactly this.
func (s *sheetRead) says(text string) bool {
	return slices.ContainsFunc(s.texts, func(x textRead) bool { return x.text == text })
}

// Law: every finding's number stands once in the list and at least once at the
// drawings: with a view, as often as it has spots.
func TestFindingsAreNumberedInBothPlaces(t *testing.T) {
	eachDesign(t, func(t *testing.T, in_ Input, s *sheetRead) {
		listed, marked := map[string]int{}, map[string]int{}
		for _, x := range s.texts {
			if _, err := strconv.Atoi(x.text); err != nil {
				continue
			}
			if in(x.class, "mark") {
				marked[x.text]++
			} else if in(x.class, "finding") {
				listed[x.text]++
			}
		}
		spots := 1
		for _, v := range in_.Views {
			for _, a := range v.Aspects {
				spots += len(a.Spots)
			}
		}
		for i := range in_.Findings {
			n := strconv.Itoa(i + 1)
			if listed[n] != 1 || marked[n] < 1 || marked[n] > spots {
				t.Errorf("finding %s stands %d times in the list and %d times at the drawing", n, listed[n], marked[n])
			}
		}
		if len(listed) != len(in_.Findings) || len(marked) != len(in_.Findings) {
			t.Errorf("%d findings, %d listed, %d marked", len(in_.Findings), len(listed), len(marked))
		}
	})
}

// Law: every panel is named once on the drawing, or by the list beside it.
func TestEveryPanelIsNamed(t *testing.T) {
	for name, in := range designs() {
		if name == "400 panels" {
			continue // its list is cut short on purpose
		}
		t.Run(name, func(t *testing.T) {
			said := ""
			for _, x := range readBack(t, svg(in)).texts {
				said += " " + x.text
			}
			for _, b := range in.Blanks {
				for _, sh := range b.Regions {
					for _, word := range strings.Fields(panelName(sh.Panel)) {
						if !strings.Contains(said, word) {
							t.Errorf("nothing says %q of panel %q", word, sh.Panel.Name)
						}
					}
				}
			}
		})
	}
}

// Law: the same input gives the same bytes.
func TestSameInputSameBytes(t *testing.T) {
	first, second := designs(), designs()
	for name := range first {
		if !bytes.Equal(svg(first[name]), svg(second[name])) {
			t.Errorf("%s came out differently the second time", name)
		}
	}
}

// A name's markup is text, and marks that reorder text are shown, not obeyed.
func TestNamesAreOnlyText(t *testing.T) {
	svg := svg(odd())
	for _, bad := range []string{"<script", "<b>", "\u202e", "\u202c", "\u0007", "\x00"} {
		if bytes.Contains(svg, []byte(bad)) {
			t.Errorf("the file holds %q", bad)
		}
	}
	s := readBack(t, svg)
	for _, want := range []string{`<script>alert("x")</script>`, `\u{202e}evil\u{202c}`, "תווית", "ラベル", "odd & <co>.star"} {
		if !s.says(want) {
			t.Errorf("nothing says %s", want)
		}
	}
}

// Without grammage there is no mass, and the sheet says why.
func TestNoMassWithoutGrammage(t *testing.T) {
	s := readBack(t, svg(kinds()))
	if s.says("mass") || !s.says("not given: mass unknown") {
		t.Error("a mass is told though the board has no grammage")
	}
	if s := readBack(t, svg(sleeve())); !s.says("4.107 g") {
		t.Error("the sleeve's mass is not told")
	}
}

// More findings than a sheet can show are counted.
func TestTooManyFindingsAreCounted(t *testing.T) {
	s := readBack(t, svg(troubled(mostFindings+7)))
	if !s.says("and 7 more, in the report") {
		t.Error("the rest is not counted")
	}
}

// Figures worked out by hand: the sleeve is 28 + 60 + 28 + 60 + 12 by 90 mm.
func TestSleeveSays(t *testing.T) {
	s := readBack(t, svg(sleeve()))
	for _, want := range []string{
		"Sleeve for a bar of", "sleeve.star", "188 × 90 mm", "188", "90", "28", "60", "12", "90° where no angle stands", "free, in", "grain", "0.3556 mm", "250 g/m²",
		"flat, seen from the outside, 1:1, sizes in mm", "top", "base", "seam", "length", "20 mm",
	} {
		if !s.says(want) {
			t.Errorf("nothing says %q", want)
		}
	}
}

// The title block names what the script gives of the job, in its order, and nothing of
// what it does not.
func TestTitleBlock(t *testing.T) {
	in := sleeve()
	in.Design.Sheet = &model.Sheet{Customer: "Hill & Son", Revision: "B", DrawnBy: "R. Moss"}
	s := readBack(t, svg(in))
	at := func(text string) int {
		return slices.IndexFunc(s.texts, func(x textRead) bool { return x.text == text })
	}
	last := at("sleeve.star")
	for _, text := range []string{"customer", "Hill & Son", "revision", "B", "drawn by", "R. Moss"} {
		i := at(text)
		if i < last || i < 0 {
			t.Errorf("%q is text %d, after %d", text, i, last)
		}
		last = i
	}
	if at("date") >= 0 || at("job") >= 0 {
		t.Error("a fact that was not given is there")
	}
}
