package check

import (
	"fmt"
	"regexp"
	"strings"
	"testing"

	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/script/scripttest"
	"github.com/creasewright/creasewright/runtime/model"
	"github.com/creasewright/creasewright/runtime/source"
	"github.com/creasewright/creasewright/stdlib"
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

// curedRules are rules whose hints give numbers for the script.
var curedRules = []*Rule{&creasesClose, &creaseNearCut, &panelOverhangs, &perforationWeak}

// What a hint says would clear a finding does clear it: with the number put
// into the script the finding is gone.
func TestHintsCure(t *testing.T) {
	tried := 0
	for _, r := range curedRules {
		cases, err := scripttest.Read(fmt.Sprintf("%s/%s.star", faultsFolder, r.ID))
		if err != nil {
			t.Fatal(err)
		}
		for _, c := range cases {
			found, _ := examine(c.Store(stdlib.Text), scripttest.Main)
			for _, f := range found {
				if text, ok := cured(c.Files[scripttest.Main], f); ok && f.Rule == r.ID {
					tried++
					left, _ := examineText(t, text)
					for _, g := range left {
						if g.Rule == r.ID && g.Site.First().Line == f.Site.First().Line {
							t.Errorf("%s: after %q still %s", c.Name, f.Hint, g)
						}
					}
				}
			}
		}
	}
	if tried < 10 {
		t.Errorf("only %d hints tried", tried)
	}
}

var (
	sizeHint  = regexp.MustCompile(`^(depth|height|width) = ([\d.]+) for "(\w+)" instead of ([\d.]+)`)
	valueHint = regexp.MustCompile(`^(tie|cut|slide) = ([\d.-]+)`)
)

// cured is the script with a hint's number in it; ok is false when the hint
// gives none.
func cured(text string, f *diag.Finding) (out string, ok bool) {
	lines := strings.Split(text, "\n")
	if m := sizeHint.FindStringSubmatch(f.Hint); m != nil {
		for i, line := range lines {
			if !strings.Contains(line, fmt.Sprintf("(%q,", m[3])) {
				continue
			}
			old := map[string]string{"depth": "depth = " + m[4], "width": "rect(" + m[4], "height": ", " + m[4] + ")"}[m[1]]
			lines[i] = strings.Replace(line, old, strings.Replace(old, m[4], m[2], 1), 1)
			ok = ok || lines[i] != line
		}
	}
	if m := valueHint.FindStringSubmatch(f.Hint); m != nil {
		i := f.Site.First().Line - 1
		lines[i] = regexp.MustCompile(m[1]+` = [\d.-]+`).ReplaceAllString(lines[i], m[1]+" = "+m[2])
		ok = true
	}
	return strings.Join(lines, "\n"), ok
}
