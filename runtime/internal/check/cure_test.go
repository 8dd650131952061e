package check

import (
	"testing"

	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/model"
	"github.com/creasewright/creasewright/runtime/source"
)

func TestCureInTheWordsOfTheScript(t *testing.T) {
	outline := func(names ...string) geom.Path {
		p := geom.Path{Closed: true}
		corners := []geom.Point{{}, {X: 60}, {X: 60, Y: 40}, {Y: 40}}
		for i, n := range names {
			p.Edges = append(p.Edges, geom.Edge{Name: n, Curve: geom.LineFrom(corners[i], corners[(i+1)%4])})
		}
		return p
	}
	wall := &model.Panel{Name: "wall", Outline: outline("bottom", "right", "top", "left")}
	lid := &model.Panel{Name: "lid", Outline: outline("base", "right", "tip", "left"), Role: model.FlapRole}
	odd := &model.Panel{Name: "odd", Outline: outline("e0", "e1", "e2", "e3")}
	for want, c := range map[string]Cure{
		`width = 56.5 for "wall" instead of 60`:          {wall, "right", "left", -3.5},
		`height = 41 for "wall" instead of 40`:           {wall, "bottom", "top", 1},
		`depth = 38 for "lid" instead of 40`:             {lid, "tip", "base", -2},
		`"lid" smaller by 2.00 mm at its edge "right"`:   {lid, "right", "left", -2},
		`"odd" larger by 0.26 mm at its edge "e2"`:       {odd, "e2", "e0", 0.2599},
		`"wall" smaller by 2.00 mm at its edge "right"`:  {wall, "right", "bottom", -2},
		`"wall" smaller by 70.00 mm at its edge "right"`: {wall, "right", "left", -70},
		`"wall" larger by 2.00 mm at its edge "nowhere"`: {wall, "nowhere", "left", 2},
	} {
		if got := c.String(); got != want {
			t.Errorf("got %s, want %s", got, want)
		}
	}
}

func TestNamesAndNumbers(t *testing.T) {
	var panels []*model.Panel
	for _, n := range "abcdefgh" {
		panels = append(panels, &model.Panel{Name: string(n)})
	}
	if got := quoted(panels); got != `"a", "b", "c", "d", "e", "f" and 2 more` {
		t.Errorf("got %s", got)
	}
	if got := counted(1, "fold") + ", " + counted(2, "fold"); got != "1 fold, 2 folds" {
		t.Errorf("got %s", got)
	}
	for _, c := range []struct {
		v, limit float64
		want     string
	}{{0.5, 0.05, "0.50 mm"}, {0.0503, 0.05, "0.0503 mm"}, {0.5000001, 0.5, "0.5000001 mm"}, {0.0031, 0, "0.003 mm"}, {0.506, 0.5, "0.51 mm"}} {
		if got := mmBeyond(c.v, c.limit); got != c.want {
			t.Errorf("%g beyond %g is %s, want %s", c.v, c.limit, got, c.want)
		}
	}
	if got := mm(0.005) + " " + degrees(54.73561) + " " + degrees(180) + " " + short(12.3456); got != "0.01 mm 54.736 180 12.35" {
		t.Errorf("got %s", got)
	}
}

// One line of the script that makes two lids is one size to change; panels of
// other lines are not, nor is the other way round.
func TestCuresOfOneLine(t *testing.T) {
	panel := func(name string, line int) *model.Panel {
		return &model.Panel{Name: name, Site: source.Site{{File: "box.star", Line: line, Column: 5}}}
	}
	top := Cure{panel("lid top", 7), "tip", "base", 4}
	for _, c := range []struct {
		cure Cure
		want bool
	}{
		{Cure{panel("lid bottom", 7), "tip", "base", 4}, true},
		{Cure{panel("lid bottom", 7), "base", "tip", 2}, true},
		{Cure{panel("lid bottom", 7), "tip", "base", -4}, false},
		{Cure{panel("lid bottom", 7), "left", "right", 4}, false},
		{Cure{panel("floor", 9), "tip", "base", 4}, false},
		{Cure{&model.Panel{Name: "made in Go"}, "tip", "base", 4}, false},
	} {
		if got := top.alike(c.cure); got != c.want {
			t.Errorf("%v is like %v: %v", c.cure, top, got)
		}
	}
	bare := Cure{&model.Panel{Name: "made in Go"}, "tip", "base", 4}
	if bare.alike(Cure{&model.Panel{Name: "another"}, "tip", "base", 4}) {
		t.Error("panels without a line in a script count as made by one")
	}
}
