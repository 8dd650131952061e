package model

import (
	"fmt"
	"strings"
	"testing"

	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/limit"
)

func bounded(panels, edges int64) *Builder {
	s := limit.Defaults()
	s[limit.Panels], s[limit.Edges] = panels, edges
	b := NewBuilder(nil)
	if err := b.Limit(s); err != nil {
		panic(err)
	}
	return b
}

// Law: as many panels as are allowed can be made, and no more, and a refused
// one leaves the design as it was.
func TestPanelsAreBounded(t *testing.T) {
	b := bounded(5, 1000)
	root := must(b.Panel(nil, PanelSpec{Name: "0", Outline: rect(10, 10)}))
	last := root
	for i := 1; i < 5; i++ {
		last = hung(b, fmt.Sprint(i), rect(10, 10), edge(b, last, "right"))
	}
	top := edge(b, root, "top")
	_, err := b.Panel(nil, PanelSpec{Name: "5", Outline: rect(10, 10), On: &top})
	if err == nil || !strings.Contains(err.Error(), `panel "5": the design has more than 5 panels`) {
		t.Errorf("a sixth panel: %v", err)
	}
	if len(b.design.Panels) != 5 || len(b.design.Hinges) != 4 || b.panels["5"] != nil {
		t.Errorf("%d panels, %d hinges", len(b.design.Panels), len(b.design.Hinges))
	}
}

// Edges count wherever they are: in panels, windows, slits and scores.
func TestEdgesAreBounded(t *testing.T) {
	b := bounded(100, 10)
	p := must(b.Panel(nil, PanelSpec{Name: "p", Outline: rect(50, 50)}))
	must(b.Cut(nil, p, rect(5, 5)))
	slit := line(geom.Pt(10, 10), geom.Pt(20, 10))
	must(b.Cut(nil, p, slit))
	must(b.Work(nil, WorkSpec{Kind: Drawn, Panel: p, Path: slit}))
	for name, err := range map[string]error{
		"score":  second(b.Work(nil, WorkSpec{Kind: ScoreLine, Panel: p, Path: slit})),
		"window": second(b.Cut(nil, p, rect(5, 5))),
		"panel":  second(b.Panel(nil, PanelSpec{Name: "q", Outline: rect(5, 5)})),
	} {
		if err == nil || !strings.Contains(err.Error(), "have more than 10 edges") {
			t.Errorf("%s: %v", name, err)
		}
	}
	if len(p.Works) != 2 || len(p.Windows) != 1 {
		t.Errorf("%d works, %d windows", len(p.Works), len(p.Windows))
	}
}

func second[T any](_ T, err error) error { return err }
