package preview

import (
	"context"
	"fmt"
	"strings"
	"testing"

	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/geom"
)

// Which way the sheet is turned: the way that lets the piece be larger.
func TestSheetIsTurnedToFit(t *testing.T) {
	for _, c := range []struct {
		w, h     float64
		upright  bool
		columns  int
		textDown bool
	}{
		{190, 90, false, 1, false}, // beside the text at full size
		{160, 160, true, 3, true},  // too high for a lying sheet, text below
		{250, 80, false, 4, true},  // too wide beside the text
		{12, 900, true, 3, true},
	} {
		p := choosePage(context.Background(), block("piece", c.w, c.h))
		if upright := p.size.Y > p.size.X; upright != c.upright || p.columns != c.columns || p.below != c.textDown {
			t.Errorf("%g × %g mm: sheet %v, %d columns, below %t", c.w, c.h, p.size, p.columns, p.below)
		}
	}
}

// Law: no larger scale would have fitted the chosen sheet in any of its frames.
func TestScaleIsTheLargest(t *testing.T) {
	for name, in := range designs() {
		p := choosePage(context.Background(), in)
		if len(in.Blanks) != 1 || name == "400 panels" {
			continue
		}
		n := 4
		for short, long := isoA(n); short*long < p.size.X*p.size.Y; short, long = isoA(n) {
			n--
		}
		for step := leastStep; step <= mostWanted(in); step++ {
			if scaleStep(step) <= p.cells[0].scale {
				continue
			}
			c := newSearch(context.Background(), in)
			c.notes = notesOf(p.cells)
			for _, f := range frames(n) {
				if q := c.setText(f); q != nil && c.setPictures(q, step, c.sizesAt(step-viewSteps+1)) {
					t.Errorf("%s: %s fits, %s was chosen", name, scaleText(scaleStep(step)), scaleText(p.cells[0].scale))
				}
			}
		}
	}
}

// Law: the notes that stand in the text are those of the drawings beside it.
func TestNotesAgreeWithDrawings(t *testing.T) {
	for name, in := range designs() {
		p := choosePage(context.Background(), in)
		w := &writer{}
		w.open("svg", "viewBox", "0 0 1 1")
		for _, r := range p.rows {
			r.draw(w, geom.Point{})
		}
		w.close("svg")
		s := readBack(t, w.bytes())
		for _, n := range notesOf(p.cells) {
			if n.letter != "" && name != "400 panels" && !s.says(n.letter) {
				t.Errorf("%s: letter %s is not explained", name, n.letter)
			}
		}
		if notes := len(notesOf(p.cells)) > 0; notes != (s.says("Panels too small to name") || s.says("Fold angles not shown")) {
			t.Errorf("%s: notes %t", name, notes)
		}
	}
}

// Long lists take a larger sheet, not smaller type.
func TestLongListsGrowTheSheet(t *testing.T) {
	size := 0.0
	for _, n := range []int{0, 20, 99} {
		p := choosePage(context.Background(), troubled(n))
		if area := p.size.X * p.size.Y; area < size {
			t.Errorf("%d findings: the sheet shrank to %v", n, p.size)
		} else {
			size = area
		}
	}
	if size <= 210*297 {
		t.Errorf("99 findings stand on %g mm²", size)
	}
}

// However long one message, hint or caution is, there is a sheet for it.
func TestAnyTextFindsASheet(t *testing.T) {
	in := sleeve()
	in.Cautions = []string{strings.Repeat("mind the blade ", 2000)}
	in.Findings = []*diag.Finding{{Rule: "r", Message: strings.Repeat("x", 10000), Hint: strings.Repeat("y z ", 5000)}}
	in.Design.Title = strings.Repeat("W", 5000)
	for i := range 200 {
		in.Design.Params = append(in.Design.Params, in.Design.Params[i%3])
	}
	s := readBack(t, svg(in))
	for _, x := range s.texts {
		if b := x.tile.bounds(); b.Max.X > s.width || b.Max.Y > s.height || b.Min.X < 0 || b.Min.Y < 0 {
			t.Fatalf("%.30q leaves the page", x.text)
		}
	}
}

// Many pieces find a sheet as well.
func TestManyPieces(t *testing.T) {
	d := newDesk("Forty labels")
	card := d.card(ptr(250.0), ptr(geom.Degrees(0.0)))
	for i := range 40 {
		name := fmt.Sprintf("label %d", i+1)
		d.piece(name, d.root(name, rect(50, 30)), card, 1)
	}
	s := readBack(t, svg(d.done("labels.star")))
	if s.groups["cell"] != 40 {
		t.Errorf("%d cells", s.groups["cell"])
	}
}

// Law: no folded picture could be drawn a step larger on its page, the others staying as
// they are, or it is as much larger than the blanks as it may be. The blanks are as large
// as without the enlargement.
func TestViewsAreTheLargest(t *testing.T) {
	for name, in := range designs() {
		if len(in.Views) == 0 {
			continue
		}
		p := choosePage(context.Background(), in)
		c := newSearch(context.Background(), in)
		c.notes = notesOf(p.cells)
		if first := c.search(); first.step != p.step || first.size.X*first.size.Y != p.size.X*p.size.Y {
			t.Errorf("%s: blanks at step %d on %v, %d on %v without views", name, p.step, p.size, first.step, first.size)
		}
		for j, v := range p.views {
			if v.step > p.step+aboveBlank {
				t.Errorf("%s: view %d is at step %d, the blanks at %d", name, j, v.step, p.step)
			}
			if v.step < min(p.step+aboveBlank, mostWanted(in)) && c.enlarge(p, j) {
				t.Errorf("%s: view %d could have been larger than step %d", name, j, v.step)
			}
		}
	}
}

// Captions of any length keep to the width of their cell, in lines.
func TestCaptionsWrap(t *testing.T) {
	in := carton()
	v := boxView("tea carton", 70, 120, 45, nil)
	v.Title = strings.Repeat("closed for the journey to the shop ", 3)
	v.Aspects[1].Title = "from behind, below, and as the shopkeeper sees it"
	in.Views = []View{v}
	p := choosePage(context.Background(), in)
	for _, c := range p.cells {
		for _, text := range c.caption.title {
			if w := captionFont.width(text); w > c.size.X {
				t.Errorf("%q is %.1f mm wide in a cell of %.1f", text, w, c.size.X)
			}
		}
		if fd, ok := c.body.(*folded); ok {
			if len(c.caption.title) < 2 || len(fd.parts[1].caption) < 2 {
				t.Errorf("%q and %q do not wrap", c.caption.title, fd.parts[1].caption)
			}
			for k := range fd.parts[1].caption {
				if b := fd.parts[1].tile(k).bounds(); !fd.extent.Contains(b.Min) || !fd.extent.Contains(b.Max) {
					t.Errorf("line %d of the caption at %v leaves %v", k, b, fd.extent)
				}
			}
		}
	}
}
