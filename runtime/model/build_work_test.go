package model

import (
	"testing"

	"github.com/creasewright/creasewright/runtime/geom"
)

func TestCut(t *testing.T) {
	b, front := newFront()
	hole := rectAt(10, 10, 5, 5).Reverse()
	w := must(b.Cut(at(2), front, hole))
	if w.Panel != front || w.Outline.Area() != 25 || len(front.Windows) != 1 || w.Site.First().Line != 2 {
		t.Errorf("window %+v", w)
	}
	slit, err := b.Cut(at(3), front, line(geom.Pt(0, 5), geom.Pt(9, 5)))
	if slit != nil || err != nil || len(front.Works) != 1 || front.Works[0].Kind != Slit {
		t.Errorf("slit gives %v, %v and works %v", slit, err, front.Works)
	}
}

func TestWork(t *testing.T) {
	b, front := newFront()
	path := line(geom.Pt(0, 5), geom.Pt(9, 5))
	for _, s := range []WorkSpec{
		{Kind: ScoreLine}, {Kind: ScoreLine, Line: BackPartCut},
		{Kind: Perforation, Cut: 3, Tie: 1}, {Kind: Drawn},
		{Kind: ScoreLine, Path: rect(5, 5)},
	} {
		if s.Path.Edges == nil {
			s.Path = path
		}
		s.Panel = front
		w := must(b.Work(at(4), s))
		if w.Kind != s.Kind || w.Panel != front || w.Cut != s.Cut || w.Tie != s.Tie || w.Site.First().Line != 4 {
			t.Errorf("asked for %+v, got %+v", s, w)
		}
	}
	if len(front.Works) != 5 || front.Works[0].Line != Score || front.Works[1].Line != BackPartCut {
		t.Errorf("works %+v", front.Works)
	}
}

func TestWorkRefuses(t *testing.T) {
	b, front := newFront()
	path := line(geom.Pt(0, 5), geom.Pt(9, 5))
	work := func(s WorkSpec) error {
		s.Panel, s.Path = front, path
		return failed(b.Work(at(99), s))
	}
	refuse(t, []fault{
		{"cut nothing", failed(b.Cut(at(99), nil, path)), `cut: the panel is missing`, ""},
		{"score nothing", failed(b.Work(at(99), WorkSpec{Kind: ScoreLine, Path: path})), `score: the panel is missing`, ""},
		{"line", work(WorkSpec{Kind: ScoreLine, Line: "perforated"}),
			`score on panel "front": line = "perforated" is not one of score, part-cut, back-score, back-part-cut`, ""},
		{"cut 0", work(WorkSpec{Kind: Perforation, Tie: 1}), `perforate on panel "front": cut = 0 mm is not between 0.001 and 100000 mm`, ""},
		{"tie NaN", work(WorkSpec{Kind: Perforation, Cut: 3, Tie: nan}), `perforate on panel "front": tie = NaN mm is not between 0.001 and 100000 mm`, ""},
		{"slit", work(WorkSpec{Kind: Slit}), `cut on panel "front": this kind of work is for Cut`, ""},
	})
	for name, err := range map[string]error{
		"no edges": failed(b.Cut(nil, front, geom.Path{})),
		"NaN":      failed(b.Cut(nil, front, line(geom.Pt(0, nan), geom.Pt(9, 5)))),
	} {
		if err == nil {
			t.Errorf("a path with %s is accepted", name)
		}
	}
	if len(front.Works)+len(front.Windows) != 0 {
		t.Error("refused work stayed on the panel")
	}
}
