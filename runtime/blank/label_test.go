package blank_test

import (
	"context"
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/model"
	mt "github.com/creasewright/creasewright/runtime/model/modeltest"
)

// stack is n equal squares, each a step up and to the right of the last, with
// no hinges that would have to run along their edges.
func stack(n int, step float64) *model.Piece {
	cells := []mt.Cell{{Name: "p0", Outline: mt.Rect(0, 0, 40, 40)}}
	for i := 1; i < n; i++ {
		d := float64(i) * step
		cells = append(cells, mt.Cell{
			Name: fmt.Sprint("p", i), Outline: mt.Rect(d, d, 40, 40), Parent: i - 1, On: "top", By: "top", Fold: mt.Right,
		})
	}
	p := mt.Assemble(cells, nil).Pieces[0]
	p.Hinges = nil
	return p
}

// A panel that lies on more others than any blank can have is left out and
// told once; what is left is laid out all the same.
func TestDeepStacksAreThinned(t *testing.T) {
	for _, c := range []struct {
		panels int
		step   float64
		sheets int // with board
		last   string
	}{
		{13, 0.5, 13, "68 more pairs of panels overlap in the flat"},
		{14, 0.5, 13, `panel "p13" lies on more than 12 others in the flat; it is left out of the picture`},
		{14, 0, 13, `panel "p13" lies on more than 12 others in the flat; it is left out of the picture`},
		{400, 0, 13, `panel "p13" and 386 more lie on more than 12 others each in the flat; they are left out of the picture`},
		{30, 41, 30, ""},
	} {
		b, found, _ := blank.Lay(context.Background(), stack(c.panels, c.step), nil)
		n, last := 0, ""
		for _, s := range b.Regions {
			if s.Area > 0 {
				n++
			}
		}
		for _, f := range found {
			if last = f.Message; f.Rule != blank.RuleOverlap {
				t.Errorf("%d panels: also found %v", c.panels, f)
			}
		}
		if n != c.sheets || last != c.last || len(b.Regions) != c.panels {
			t.Errorf("%d panels: %d sheets with board of %d, last told %q", c.panels, n, len(b.Regions), last)
		}
	}
}

// Many boxes over one another are no crowd as long as the panels are apart:
// slanting strips side by side.
func TestBoxesAreNoCrowd(t *testing.T) {
	cells := []mt.Cell{{Name: "p0", Outline: mt.Outline(geom.Pt(0, 0), geom.Pt(2, 0), geom.Pt(102, 100), geom.Pt(100, 100))}}
	for i := 1; i < 40; i++ {
		cells = append(cells, mt.Cell{
			Name: fmt.Sprint("p", i), Outline: cells[0].Outline.Transform(geom.Translation(2*float64(i), 0)), Parent: i - 1, On: "right", By: "left", Fold: mt.Right,
		})
	}
	b := layClean(t, mt.Assemble(cells, nil).Pieces[0])
	if math.Abs(b.Area-40*200) > 1e-6 {
		t.Errorf("area %g, want 8000", b.Area)
	}
}

// Windows that overlap by the dozen take the board under all of them, and each
// counts as having found some, even where another alone would have done.
func TestManyWindowsOnOneSpot(t *testing.T) {
	swept := func(a *model.Panel) {
		for i := range 60 {
			open(a, mt.Rect(10+0.5*float64(i), 10, 8, 12))
		}
	}
	for _, c := range []struct {
		name  string
		cut   func(a *model.Panel)
		taken float64
	}{
		{"swept along", swept, (59*0.5 + 8) * 12},
		{"in a larger one", func(a *model.Panel) { swept(a); open(a, mt.Rect(5, 5, 50, 30)) }, 50 * 30},
		{"the same over and over", func(a *model.Panel) {
			for range 60 {
				open(a, mt.Disc(30, 20, 9))
			}
		}, 81 * math.Pi},
	} {
		p, a, _ := pair()
		c.cut(a)
		b := layClean(t, p)
		if math.Abs(b.Area-(4800-c.taken)) > 1e-6 {
			t.Errorf("%s: %g mm² taken, want %g", c.name, 4800-b.Area, c.taken)
		}
	}
	// All board gone: windows beyond its rim are not told as idle.
	p, a, _ := pair()
	open(a, mt.Rect(-5, -5, 90, 110))
	open(a, mt.Rect(-9, -9, 99, 120))
	for _, f := range found(p) {
		if !strings.Contains(f.Message, "takes all board of panels") {
			t.Errorf("found %v", f)
		}
	}
}

// BenchmarkLayStack lays squares on one another, as a script does that goes
// round in a loop.
func BenchmarkLayStack(b *testing.B) {
	for _, step := range []float64{0, 0.01} {
		for _, n := range []int{100, 1000, 10000} {
			p := stack(n, step)
			b.Run(fmt.Sprintf("step %g/%d", step, n), func(b *testing.B) {
				for b.Loop() {
					blank.Lay(context.Background(), p, nil)
				}
			})
		}
	}
}
