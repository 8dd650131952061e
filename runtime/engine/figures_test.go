package engine

import (
	"encoding/json"
	"math"
	"strings"
	"testing"
)

// blankReport is what a report says of the first piece's blank.
type blankReport struct {
	Pieces []struct {
		Blank struct {
			Width, Height, Area float64
			Lengths             map[string]float64
			Strokes             map[string]int
		}
		Panels []struct {
			Name string
			Flat [6]float64
		}
		Hinges []struct {
			Name   string
			Kind   *string
			Length float64
		}
	}
}

// blankFigures makes a script's piece; what checks of the folded piece may say is
// no matter here.
func blankFigures(t *testing.T, script string) blankReport {
	t.Helper()
	res := runs("card = board(\"card\", caliper = 0.4)\n" + script)
	var out blankReport
	if err := json.Unmarshal(fileNamed(res, "report.json"), &out); err != nil || len(out.Pieces) == 0 {
		t.Fatalf("%v; %v", err, res.Findings)
	}
	return out
}

// What a designer draws, from script to report, with figures worked out by
// hand: areas, lengths and strokes by line kind, lengths of hinges.
func TestFiguresByHand(t *testing.T) {
	const (
		tan5, cos5 = 0.08748866352592401, 0.9961946980917455
		pi         = math.Pi
	)
	wide := 50 * 2 * math.Asin(0.8) // an arc of radius 50 on a chord of 80
	type lengths map[string]float64
	type strokes map[string]int
	for _, c := range []struct {
		name, script string
		area         float64
		lengths      lengths
		strokes      strokes
		hinges       lengths
	}{
		{"a window across three hinges", `
a = panel("a", rect(40, 60))
b = panel("b", rect(40, 60), on = a.right)
c = panel("c", rect(40, 60), on = b.right)
d = panel("d", rect(40, 60), on = c.right)
a.cut(slot(100, 20).shift(80, 30))
piece("p", a, board = card)`,
			9600 - 1600 - 100*pi, lengths{"cut": 440 + 160 + 20*pi, "score": 120}, strokes{"cut": 2, "score": 6},
			lengths{"b": 40, "c": 40, "d": 40}},
		{"a notch at a corner and two windows that share an edge", `
a = panel("a", rect(40, 60))
a.cut(circle(20))
a.cut(rect(10, 10).shift(10, 30))
a.cut(rect(10, 10).shift(20, 30))
piece("p", a, board = card)`,
			2400 - 25*pi - 200, lengths{"cut": 200 - 20 + 5*pi + 60}, strokes{"cut": 2}, lengths{}},
		{"slits from the rim, along a hinge and across it", `
a = panel("a", rect(40, 60))
b = panel("b", rect(40, 60), on = a.right)
a.cut(path(20, 0).line(20, 30))
a.cut(path(40, 20).line(40, 40))
a.cut(path(30, 50).line(50, 50))
piece("p", a, board = card)`,
			4800, lengths{"cut": 280 + 70, "score": 40}, strokes{"cut": 4, "score": 2}, lengths{"b": 40}},
		{"a perforated hinge with a window in it", `
a = panel("a", rect(40, 60))
b = panel("b", rect(40, 60), on = a.right, line = "perforated")
a.cut(circle(20).shift(40, 30))
piece("p", a, board = card)`,
			4800 - 100*pi, lengths{"cut": 280 + 20*pi, "perforated": 2 * (20 - 4)}, strokes{"cut": 2, "perforated": 10},
			lengths{"b": 40}},
		{"flaps in a rounded opening, and a panel beside them", `
a = panel("a", rect(100, 80))
o = a.cut(rect(60, 40, round = 5).shift(20, 20))
flap("f", on = o.top, depth = 20, taper = 5)
flap("g", on = o.bottom, depth = 15)
panel("h", rect(4, 10), on = o.left, by = "left")
piece("p", a, board = card)`,
			8000 - 2400 + (4-pi)*25 + (50-20*tan5)*20 + 750 + 40,
			lengths{"cut": 360 + 160 + 10*pi - 110 + 50 - 40*tan5 + 40/cos5 + 80 + 18, "score": 110},
			strokes{"cut": 2, "score": 3}, lengths{"f": 50, "g": 50, "h": 10}},
		{"a disc that hangs in its own hole by a quarter", `
a = panel("a", rect(100, 80))
o = a.cut(circle(40).shift(50, 40))
panel("d", circle(40), on = o.e0, by = "e0")
piece("p", a, board = card)`,
			8000, lengths{"cut": 360 + 30*pi, "score": 10 * pi}, strokes{"cut": 2, "score": 1}, lengths{"d": 10 * pi}},
		{"a hinge on an arc, slid until it overhangs", `
a = panel("a", path(0, 0).line(80, 0).line(80, 40).arc(0, 40, radius = 50, name = "top").close())
panel("b", path(0, 0).arc(60, 0, radius = -50, name = "foot").line(60, 60).line(0, 60).close(), on = a.top, by = "foot", slide = 30, overhang = True)
piece("p", a, board = card)`,
			3200 + (50*50*math.Asin(0.8) - 40*30) + 3600 - (50*50*math.Asin(0.6) - 30*40),
			lengths{"cut": 160 + 180 + wide + 50*2*math.Asin(0.6) - 2*(wide/2-30+50*math.Asin(0.6)), "score": wide/2 - 30 + 50*math.Asin(0.6)},
			strokes{"cut": 1, "score": 1}, lengths{"b": wide/2 - 30 + 50*math.Asin(0.6)}},
		{"a slit along part of an arc hinge", `
a = panel("a", path(0, 0).line(80, 0).line(80, 40).arc(0, 40, radius = 50, name = "top").close())
panel("b", path(0, 0).arc(80, 0, radius = -50, name = "foot").line(80, 60).line(0, 60).close(), on = a.top, by = "foot")
a.cut(path(40 + 50 * cos(110), 10 + 50 * sin(110)).arc(40 + 50 * cos(80), 10 + 50 * sin(80), radius = -50))
piece("p", a, board = card)`,
			3200 + 4800, lengths{"cut": 160 + 200 + 25*pi/3, "score": wide - 25*pi/3}, strokes{"cut": 2, "score": 2},
			lengths{"b": wide - 25*pi/3}},
		{"four flaps on parts of an edge, one that overhangs on purpose", `
a = panel("a", rect(100, 50))
for i in range(4):
    flap("f%d" % i, on = a.top.part(25 * i + 2, 25 * i + 20), depth = 10)
flap("b", on = a.bottom, depth = 12, inset = -5)
flap("c", on = a.left, depth = 8, inset = (3, 7), fold = -45)
piece("p", a, board = card)`,
			5000 + 720 + 1320 + 320,
			lengths{"cut": 300 - 72 - 100 - 40 + 4*38 + 10 + 24 + 110 + 16 + 40, "score": 172, "back-score": 40},
			strokes{"cut": 1, "score": 5, "back-score": 1},
			lengths{"f0": 18, "f1": 18, "f2": 18, "f3": 18, "b": 100, "c": 40}},
		{"a closed perforation has as many ties as cuts, and a score gives way to cuts", `
a = panel("a", rect(80, 60))
a.perforate(rect(20, 10).shift(10, 10), cut = 4, tie = 1)
a.cut(circle(20).shift(60, 30))
a.score(path(-10, 30).line(90, 30), line = "back-score")
a.draw(path(20, 50).line(200, 50))
piece("p", a, board = card)`,
			4800 - 100*pi, lengths{"cut": 280 + 20*pi, "perforated": 60 - 12, "back-score": 60, "drawn": 60},
			strokes{"cut": 2, "perforated": 12, "back-score": 2, "drawn": 1}, lengths{}},
		{"hinges that never fold have no line, and poses count", `
a = panel("a", rect(40, 60))
panel("b", rect(40, 60), on = a.right, fold = 0)
panel("c", rect(40, 60), on = a.left, fold = 0)
panel("d", rect(40, 10), on = a.top, fold = 20, line = "plain")
panel("e", rect(40, 10), on = a.bottom, fold = -20, line = "part-cut")
pose("ajar", {"c": -45}, glued = False)
piece("p", a, board = card)`,
			7200 + 800, lengths{"cut": 2*(120+60) + 4*10, "back-score": 60, "back-part-cut": 40},
			strokes{"cut": 1, "back-score": 1, "back-part-cut": 1}, lengths{"b": 60, "c": 60, "d": 40, "e": 40}},
	} {
		t.Run(c.name, func(t *testing.T) {
			p := blankFigures(t, c.script).Pieces[0]
			if math.Abs(p.Blank.Area-c.area) > 1e-5 {
				t.Errorf("area %.6f, want %.6f", p.Blank.Area, c.area)
			}
			sameLengths(t, "line", p.Blank.Lengths, c.lengths)
			for kind, n := range c.strokes {
				if p.Blank.Strokes[kind] != n {
					t.Errorf("%d strokes of %s, want %d", p.Blank.Strokes[kind], kind, n)
				}
			}
			hinges := map[string]float64{}
			for _, h := range p.Hinges {
				hinges[h.Name] = h.Length
			}
			sameLengths(t, "hinge", hinges, c.hinges)
		})
	}
}

func sameLengths(t *testing.T, what string, got, want map[string]float64) {
	t.Helper()
	for name, length := range want {
		if math.Abs(got[name]-length) > 1e-6 {
			t.Errorf("%s %s: %.6f mm, want %.6f", what, name, got[name], length)
		}
	}
	if len(got) != len(want) {
		t.Errorf("%ss %v, want %v", what, got, want)
	}
}

// A root drawn away from the origin and turned: its flat is the identity all
// the same, and every figure is that of the plain one.
func TestRootDrawnAnywhere(t *testing.T) {
	const box = `
a = panel("a", rect(60, 40)PLACE)
b = flap("b", on = a.right, depth = 20, taper = (0, 30))
c = panel("c", rect(60, 15), on = a.top)
piece("p", a, board = card)`
	plain := blankFigures(t, strings.Replace(box, "PLACE", "", 1)).Pieces[0]
	for _, place := range []string{`.shift(200, -300)`, `.turn(30).shift(17, 5)`, `.turn(180)`} {
		moved := blankFigures(t, strings.Replace(box, "PLACE", place, 1)).Pieces[0]
		sameLengths(t, "line", moved.Blank.Lengths, plain.Blank.Lengths)
		if math.Abs(moved.Blank.Area-plain.Blank.Area) > 1e-6 || moved.Panels[0].Flat != [6]float64{1, 0, 0, 1, 0, 0} {
			t.Errorf("%s: area %v, root at %v", place, moved.Blank.Area, moved.Panels[0].Flat)
		}
	}
}
