package blank_test

import (
	"context"
	"math"
	"testing"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/model"
	mt "github.com/creasewright/creasewright/runtime/model/modeltest"
)

// pair is panel a, 60 × 40 mm at the origin, and b as big above it, hinged
// along a's whole top at y = 40.
func pair() (piece *model.Piece, a, b *model.Panel) {
	p := mt.Assemble([]mt.Cell{
		{Name: "a", Outline: mt.Rect(0, 0, 60, 40)},
		{Name: "b", Outline: mt.Rect(0, 40, 60, 40), On: "top", By: "bottom", Fold: mt.Right},
	}, nil).Pieces[0]
	return p, p.Panels[0], p.Panels[1]
}

// block is four squares of 40 mm round a point: b above a, c right of a, and d
// above c, so that b and d touch with no hinge.
func block() *model.Piece {
	return mt.Assemble([]mt.Cell{
		{Name: "a", Outline: mt.Rect(0, 0, 40, 40)},
		{Name: "b", Outline: mt.Rect(0, 40, 40, 40), On: "top", By: "bottom", Fold: mt.Right},
		{Name: "c", Outline: mt.Rect(40, 0, 40, 40), On: "right", By: "left", Fold: mt.Right},
		{Name: "d", Outline: mt.Rect(40, 40, 40, 40), Parent: 2, On: "top", By: "bottom", Fold: mt.Right},
	}, nil).Pieces[0]
}

// open cuts a window into a panel.
func open(p *model.Panel, outline geom.Path) *model.Window {
	w := &model.Window{Panel: p, Outline: outline, Site: mt.At(90)}
	p.Windows = append(p.Windows, w)
	return w
}

// work works a path on a panel; a perforation is cut 3 mm, tie 1 mm.
func work(p *model.Panel, kind model.WorkKind, line model.LineKind, path geom.Path) {
	p.Works = append(p.Works, &model.Work{Kind: kind, Panel: p, Line: line, Path: path, Cut: 3, Tie: 1, Site: mt.At(91)})
}

// expect is what a layer should come to.
type expect struct {
	closed, open int // strokes
	curves       int
	length       float64
}

func checkLayer(t *testing.T, b *blank.Blank, k blank.Kind, want expect) {
	t.Helper()
	var got expect
	l := layer(b, k)
	for _, s := range l.Strokes {
		if s.Closed {
			got.closed++
		} else {
			got.open++
		}
		got.curves += len(s.Curves)
	}
	got.length = math.Round(l.Length()*1e6) / 1e6
	want.length = math.Round(want.length*1e6) / 1e6
	if got != want {
		t.Errorf("%s: %+v, want %+v", k, got, want)
	}
}

// A 3 × 4 inch panel is 76.2 × 101.6 mm and one continuous cut (common
// practice, no source).
func TestThreeByFourInches(t *testing.T) {
	b := layClean(t, mt.Assemble([]mt.Cell{{Name: "card", Outline: mt.Rect(0, 0, 3*25.4, 4*25.4)}}, nil).Pieces[0])
	checkLayer(t, b, blank.CutLine, expect{closed: 1, curves: 4, length: 2 * (76.2 + 101.6)})
	if w, h := b.Bounds.Width(), b.Bounds.Height(); w != 3*25.4 || h != 4*25.4 || math.Abs(b.Area-76.2*101.6) > 1e-9 {
		t.Errorf("%g × %g mm, %g mm²", w, h, b.Area)
	}
	if got := b.Layers[0].Strokes[0].Curves[0]; got != geom.LineFrom(geom.Pt(0, 0), geom.Pt(76.2, 0)) {
		t.Errorf("the cut starts with %v, not along the first edge", got)
	}
}

// The edge that two panels share gives one tool path, not two, and the outer
// perimeter is one continuous path (common practice, no source). Corners of
// panels along it stay vertices.
func TestSharedEdgeIsOnePath(t *testing.T) {
	b := layClean(t, block())
	checkLayer(t, b, blank.CutLine, expect{closed: 1, open: 1, curves: 8 + 1, length: 8*40 + 40})
	checkLayer(t, b, blank.ScoreLine, expect{open: 2, curves: 3, length: 3 * 40})
}

// A closing hinge joins what only touched: nothing is cut inside, and the
// scores run straight through the vertex.
func TestClosingHinge(t *testing.T) {
	p := block()
	p.Hinges = append(p.Hinges, mt.Join(p.Panels[1], p.Panels[3], mt.Cell{Name: "b|d", On: "right", By: "left", Fold: mt.Right}))
	b := layClean(t, p)
	checkLayer(t, b, blank.CutLine, expect{closed: 1, curves: 8, length: 8 * 40})
	checkLayer(t, b, blank.ScoreLine, expect{open: 2, curves: 4, length: 4 * 40})
	for _, s := range layer(b, blank.ScoreLine).Strokes {
		if bend := s.Curves[0].Tangent(1).Cross(s.Curves[1].Tangent(0)); math.Abs(bend) > 1e-12 {
			t.Errorf("a score turns at the vertex")
		}
	}
	if !b.Hinges[3].Hinge.Closing || math.Abs(b.Hinges[3].Length-40) > 1e-9 {
		t.Errorf("closing hinge %+v", b.Hinges[3])
	}
}

// Windows, by where they lie. Lengths and areas by hand.
func TestWindows(t *testing.T) {
	rim := 2 * (60 + 80.0)
	for _, c := range []struct {
		name    string
		windows []geom.Path
		cut     expect
		hinge   float64
		area    float64 // taken
	}{
		{"inside", []geom.Path{mt.Disc(30, 20, 10)}, expect{2, 0, 6 + 4, rim + 20*math.Pi}, 60, 100 * math.Pi},
		{"across the hinge", []geom.Path{mt.Rect(20, 30, 20, 20)}, expect{2, 0, 6 + 4, rim + 80}, 40, 400},
		{"through the bottom edge", []geom.Path{mt.Disc(30, 0, 10)}, expect{1, 0, 6 + 1 + 2, rim - 20 + 10*math.Pi}, 60, 50 * math.Pi},
		{"along the bottom edge", []geom.Path{mt.Rect(20, 0, 20, 10)}, expect{1, 0, 6 + 4, rim + 20}, 60, 200},
		{"over the end of the hinge", []geom.Path{mt.Rect(50, 30, 20, 20)}, expect{1, 0, 6 + 3, rim + 20}, 50, 200},
		{"along the hinge", []geom.Path{mt.Rect(20, 40, 20, 10)}, expect{2, 0, 6 + 4, rim + 60}, 40, 200},
		{"two that overlap", []geom.Path{mt.Rect(10, 10, 20, 10), mt.Rect(20, 15, 20, 10)}, expect{2, 0, 6 + 8, rim + 90}, 60, 350},
		{"one in another", []geom.Path{mt.Rect(10, 10, 20, 10), mt.Rect(12, 12, 5, 5)}, expect{2, 0, 6 + 4, rim + 60}, 60, 200},
		{"two that touch in a point", []geom.Path{mt.Rect(10, 10, 10, 10), mt.Rect(20, 20, 10, 10)}, expect{3, 0, 6 + 8, rim + 80}, 60, 200},
		{"two that touch along an edge", []geom.Path{mt.Rect(10, 10, 10, 10), mt.Rect(20, 10, 10, 10)}, expect{2, 0, 6 + 6, rim + 60}, 60, 200},
		{"one that touches the rim in a point", []geom.Path{mt.Outline(geom.Pt(30, 0), geom.Pt(40, 10), geom.Pt(20, 10))}, expect{2, 0, 6 + 3, rim + 20 + 20*math.Sqrt2}, 60, 100},
		{"all across", []geom.Path{mt.Rect(-5, 10, 70, 10)}, expect{2, 0, 8 + 2, rim + 120 - 20}, 60, 600},
	} {
		t.Run(c.name, func(t *testing.T) {
			p, a, _ := pair()
			for _, w := range c.windows {
				open(a, w)
			}
			b := layClean(t, p)
			checkLayer(t, b, blank.CutLine, c.cut)
			if math.Abs(b.Hinges[0].Length-c.hinge) > 1e-9 || math.Abs(b.Area-(4800-c.area)) > 1e-9 {
				t.Errorf("hinge %g mm and %g mm² taken, want %g and %g", b.Hinges[0].Length, 4800-b.Area, c.hinge, c.area)
			}
		})
	}
}

// Outer contours come first and run counter-clockwise, windows after them,
// clockwise round the board's left hand.
func TestContoursInOrder(t *testing.T) {
	p, a, bb := pair()
	open(bb, mt.Disc(20, 60, 5))
	open(a, mt.Disc(20, 20, 5))
	strokes := layer(layClean(t, p), blank.CutLine).Strokes
	var areas, heights []float64
	for _, s := range strokes {
		sum := 0.0
		for _, c := range s.Curves {
			sum += c.Area()
		}
		areas, heights = append(areas, sum), append(heights, s.Curves[0].P.Y)
	}
	if len(areas) != 3 || areas[0] < 0 || areas[1] > 0 || areas[2] > 0 || !(heights[1] < heights[2]) {
		t.Errorf("areas %v, starting at heights %v", areas, heights)
	}
}

// A flap left standing in its own window: where it fills the window the rest
// of the rim is one open cut; where it does not, window and flap bound one
// hole. The window spares the flap though it lies right under it.
func TestFlapInItsWindow(t *testing.T) {
	for _, c := range []struct {
		name string
		flap geom.Path
		cut  expect
		area float64
	}{
		{"as big as the window", mt.Rect(15, 10, 30, 20), expect{1, 1, 6 + 3, 280 + 70}, 4800},
		{"smaller", mt.Rect(20, 20, 20, 10), expect{2, 0, 6 + 3 + 5, 280 + 30 + 20 + 20 + 10 + 40}, 4800 - 600 + 200},
	} {
		t.Run(c.name, func(t *testing.T) {
			p, a, _ := pair()
			w := open(a, mt.Rect(15, 10, 30, 20))
			flap := &model.Panel{Name: "flap", Index: 2, Outline: c.flap, Flat: geom.Identity(), In: w, Piece: p, Site: mt.At(5)}
			p.Panels = append(p.Panels, flap)
			p.Hinges = append(p.Hinges, mt.JoinEdges(mt.OpeningEdge(w, "top"), mt.Edge(flap, "top"), mt.Cell{Name: "flap", Fold: mt.Right}))
			b := layClean(t, p)
			checkLayer(t, b, blank.CutLine, c.cut)
			want := c.flap.Edges[2].Length()
			if math.Abs(b.Hinges[1].Length-want) > 1e-9 || math.Abs(b.Area-c.area) > 1e-9 {
				t.Errorf("hinge %g mm, %g mm², want %g and %g", b.Hinges[1].Length, b.Area, want, c.area)
			}
		})
	}
}

// A slit beats the hinge it lies on, crosses one without a trace, and is cut
// once where it meets the rim.
func TestSlits(t *testing.T) {
	line := func(x0, y0, x1, y1 float64) geom.Path { return mt.Polyline(geom.Pt(x0, y0), geom.Pt(x1, y1)) }
	for _, c := range []struct {
		name  string
		slit  geom.Path
		cut   expect
		hinge float64
	}{
		{"on the hinge", line(10, 40, 30, 40), expect{1, 1, 6 + 1, 280 + 20}, 40},
		{"across the hinge", line(30, 20, 30, 60), expect{1, 1, 6 + 1, 280 + 40}, 60},
		{"from the rim inward", line(0, 20, 20, 20), expect{1, 1, 6 + 1, 280 + 20}, 60},
		{"out over the rim", line(-10, 20, 20, 20), expect{1, 1, 6 + 1, 280 + 20}, 60},
		{"along the rim", line(10, 0, 30, 0), expect{1, 0, 6, 280}, 60},
		{"from rim to rim", line(0, 20, 60, 20), expect{1, 1, 6 + 1, 280 + 60}, 60},
	} {
		t.Run(c.name, func(t *testing.T) {
			p, a, _ := pair()
			work(a, model.Slit, "", c.slit)
			b := layClean(t, p)
			checkLayer(t, b, blank.CutLine, c.cut)
			if math.Abs(b.Hinges[0].Length-c.hinge) > 1e-9 {
				t.Errorf("hinge %g mm, want %g", b.Hinges[0].Length, c.hinge)
			}
		})
	}
}

// Scores are clipped to the board, run on over hinges and stop at windows.
func TestScoreGivesWay(t *testing.T) {
	p, a, _ := pair()
	open(a, mt.Rect(20, 10, 20, 10))
	work(a, model.ScoreLine, model.BackScore, mt.Polyline(geom.Pt(30, -5), geom.Pt(30, 70)))
	work(a, model.ScoreLine, model.Score, mt.Polyline(geom.Pt(0, 0), geom.Pt(0, 40), geom.Pt(60, 40)))
	b := layClean(t, p)
	checkLayer(t, b, blank.BackScoreLine, expect{open: 2, curves: 2, length: 10 + 50})
	checkLayer(t, b, blank.ScoreLine, expect{open: 1, curves: 1, length: 60})
	checkLayer(t, b, blank.CutLine, expect{closed: 2, curves: 6 + 4, length: 280 + 60})
}

// Of works on one line the deepest is made, of equals the first.
func TestDeepestWorkWins(t *testing.T) {
	type tool struct {
		kind model.WorkKind
		line model.LineKind
	}
	slit, perforation, drawn := tool{kind: model.Slit}, tool{kind: model.Perforation}, tool{kind: model.Drawn}
	score, back := tool{model.ScoreLine, model.Score}, tool{model.ScoreLine, model.BackScore}
	part, backPart := tool{model.ScoreLine, model.PartCut}, tool{model.ScoreLine, model.BackPartCut}
	for _, c := range []struct {
		tools []tool
		want  blank.Kind
	}{
		{[]tool{drawn, score, part, perforation, slit}, blank.CutLine},
		{[]tool{drawn, score, part, perforation}, blank.PerforatedLine},
		{[]tool{drawn, score, part}, blank.PartCutLine},
		{[]tool{score, backPart}, blank.BackPartCutLine},
		{[]tool{part, backPart}, blank.PartCutLine},
		{[]tool{backPart, part}, blank.BackPartCutLine},
		{[]tool{drawn, back, score}, blank.BackScoreLine},
		{[]tool{score, back}, blank.ScoreLine},
		{[]tool{drawn}, blank.DrawnLine},
	} {
		p, a, _ := pair()
		p.Hinges[0].Line = model.PlainFold
		for _, w := range c.tools {
			work(a, w.kind, w.line, mt.Polyline(geom.Pt(20, 20), geom.Pt(40, 20)))
		}
		b := layClean(t, p)
		checkLayer(t, b, blank.CutLine, map[bool]expect{true: {1, 1, 7, 300}, false: {1, 0, 6, 280}}[c.want == blank.CutLine])
		if c.want != blank.CutLine && (len(b.Layers) != 2 || b.Layers[0].Kind != c.want) {
			t.Errorf("%v: layers %v, want %s and cut", c.tools, b.Layers, c.want)
		}
	}
}

// Edges that overlap in part: hinge where both are, cut elsewhere, and a
// vertex where the hinge ends.
func TestPartialOverlap(t *testing.T) {
	p := mt.Assemble([]mt.Cell{
		{Name: "a", Outline: mt.Rect(0, 0, 60, 40)},
		{Name: "b", Outline: mt.Rect(40, 40, 50, 20), On: "top", By: "bottom", Fold: mt.Right},
	}, nil).Pieces[0]
	b := layClean(t, p)
	checkLayer(t, b, blank.ScoreLine, expect{open: 1, curves: 1, length: 20})
	checkLayer(t, b, blank.CutLine, expect{closed: 1, curves: 8, length: 200 + 140 - 40})
}

// A hinge on part of an edge that fits in full is cut over the rest.
func TestHingeOnPartOfAnEdge(t *testing.T) {
	p, a, bb := pair()
	on := mt.Edge(a, "top")
	on.From, on.To = 10, 25 // from the left, which is x = 0 seen from the panel
	bb.Hang = nil
	p.Hinges[0] = mt.JoinEdges(on, mt.Edge(bb, "bottom"), mt.Cell{Name: "b", Fold: mt.Right})
	b := layClean(t, p)
	checkLayer(t, b, blank.ScoreLine, expect{open: 1, curves: 1, length: 15})
	checkLayer(t, b, blank.CutLine, expect{closed: 1, open: 2, curves: 6 + 2, length: 280 + 45})
	if c := b.Hinges[0].Curves[0]; math.Min(c.P.X, c.Q.X) != 10 || math.Max(c.P.X, c.Q.X) != 25 {
		t.Errorf("hinge from %v to %v", c.P, c.Q)
	}
}

// What ends on an arc or a curve does not break it: the rim's arc stays one.
func TestArcStaysOneArc(t *testing.T) {
	arc, err := geom.ArcThrough(geom.Pt(60, 0), geom.Pt(70, 20), geom.Pt(60, 40))
	if err != nil {
		t.Fatal(err)
	}
	cubic := geom.CubicFrom(geom.Pt(0, 40), geom.Pt(-10, 30), geom.Pt(-10, 10), geom.Pt(0, 0))
	outline := mt.Closed(geom.LineFrom(geom.Pt(0, 0), geom.Pt(60, 0)), arc, geom.LineFrom(geom.Pt(60, 40), geom.Pt(0, 40)), cubic)
	p := mt.Assemble([]mt.Cell{{Name: "a", Outline: outline}}, nil).Pieces[0]
	work(p.Root, model.ScoreLine, model.Score, mt.Polyline(geom.Pt(-20, 15), geom.Pt(80, 25)))
	work(p.Root, model.Drawn, "", mt.Polyline(geom.Pt(-20, 30), geom.Pt(80, 20)))
	cut := layer(layClean(t, p), blank.CutLine).Strokes[0].Curves
	if len(cut) != 4 || cut[1].C != arc.C || cut[1].R != arc.R || cut[1].Sweep != arc.Sweep || cut[1].P.Dist(arc.P) > 1e-9 {
		t.Errorf("the rim became %v", cut)
	}
	for i, want := range outline.Curves() {
		if len(cut) == 4 && (cut[i].Kind != want.Kind || cut[i].At(0.4).Dist(want.At(0.4)) > 1e-9) {
			t.Errorf("edge %d became %v", i, cut[i])
		}
	}
}

// An arc with one end that snapping has moved off its circle and that something
// else splits stays in pieces, each of which ends on a circle of its own.
func TestArcOffItsCircleStaysInPieces(t *testing.T) {
	bulging := func(y, wide float64) geom.Path {
		arc, err := geom.ArcThrough(geom.Pt(wide, y), geom.Pt(70, y+20), geom.Pt(wide, y+40))
		if err != nil {
			t.Fatal(err)
		}
		return mt.Closed(geom.LineFrom(geom.Pt(0, y), arc.P), arc,
			geom.LineFrom(arc.Q, geom.Pt(0, y+40)), geom.LineFrom(geom.Pt(0, y+40), geom.Pt(0, y)))
	}
	for _, off := range []float64{-0.8 * geom.SnapTolerance, 0.8 * geom.SnapTolerance} {
		p := mt.Assemble([]mt.Cell{
			{Name: "a", Outline: bulging(0, 60)},
			{Name: "b", Outline: bulging(40, 60+off), On: "top", By: "bottom", Fold: mt.Right},
		}, nil).Pieces[0]
		work(p.Root, model.ScoreLine, model.Score, mt.Polyline(geom.Pt(40, 20), geom.Pt(80, 20)))
		work(p.Root, model.ScoreLine, model.Score, mt.Polyline(geom.Pt(40, 60), geom.Pt(80, 60)))
		for _, s := range layer(layClean(t, p), blank.CutLine).Strokes {
			for _, e := range s.Curves {
				if e.Kind == geom.Arc && (math.Abs(e.C.Dist(e.P)-e.R) > 1e-9 || math.Abs(e.C.Dist(e.Q)-e.R) > 1e-9) {
					t.Errorf("arc %v ends off its circle by %g and %g", e, e.C.Dist(e.P)-e.R, e.C.Dist(e.Q)-e.R)
				}
			}
		}
	}
}

// A spike narrower than the snap tolerance has no board and is cut nowhere.
func TestSpikeWithinAWeld(t *testing.T) {
	tip := geom.Pt(30, 50)
	spiked := mt.Polyline(geom.Pt(0, 0), geom.Pt(60, 0), geom.Pt(60, 40), geom.Pt(30+geom.SnapTolerance/2, 40), tip, geom.Pt(30, 40), geom.Pt(0, 40), geom.Pt(0, 0))
	spiked.Closed = true
	b := layClean(t, mt.Assemble([]mt.Cell{{Name: "a", Outline: spiked}}, nil).Pieces[0])
	checkLayer(t, b, blank.CutLine, expect{closed: 1, curves: 5, length: 200})
}

// A closed perforation that a window breaks goes on over the path's start, and
// ends on either side of a window that takes the start. By hand: of 120 mm round,
// 5 mm taken leave 29 cuts of 3 mm, with every corner in a tie; 10 mm at the
// start leave 26 ties of 1 mm in 110 mm, with three corners in cuts.
func TestBrokenRoundPerforation(t *testing.T) {
	for _, c := range []struct {
		window geom.Path
		want   expect
	}{
		{mt.Rect(25.5, 25, 5, 10), expect{open: 29, curves: 29, length: 87}},
		{mt.Rect(5, 5, 10, 10), expect{open: 27, curves: 30, length: 84}},
	} {
		p := mt.Assemble([]mt.Cell{{Name: "a", Outline: mt.Rect(0, 0, 60, 40)}}, nil).Pieces[0]
		work(p.Root, model.Perforation, "", mt.Rect(10, 10, 40, 20))
		open(p.Root, c.window)
		checkLayer(t, layClean(t, p), blank.PerforatedLine, c.want)
	}
}

// What is worked on the board lies on the sheet under it, cut at the hinge that
// it runs over; hinges and rims are no such work.
func TestWorkLiesOnItsSheet(t *testing.T) {
	piece, a, b := pair()
	work(a, model.ScoreLine, model.Score, mt.Polyline(geom.Pt(10, 10), geom.Pt(10, 70))) // over the hinge at 40
	work(a, model.Slit, "", mt.Polyline(geom.Pt(20, 5), geom.Pt(50, 5)))
	work(a, model.Perforation, "", mt.Polyline(geom.Pt(20, 20), geom.Pt(40, 20)))
	work(b, model.Drawn, "", mt.Polyline(geom.Pt(50, 60), geom.Pt(90, 60))) // off the board at 60
	laid, found, _ := blank.Lay(context.Background(), piece, nil)
	if len(found) > 0 {
		t.Fatal(found)
	}
	for i, want := range []map[blank.Kind]float64{
		{blank.ScoreLine: 30, blank.CutLine: 30, blank.PerforatedLine: 20},
		{blank.ScoreLine: 30, blank.DrawnLine: 10},
	} {
		got := map[blank.Kind]float64{}
		for _, w := range laid.Regions[i].Worked {
			got[w.Kind] += w.Curve.Length()
		}
		if len(got) != len(want) {
			t.Errorf("panel %d: %v, want %v", i, got, want)
		}
		for k, length := range want {
			if math.Abs(got[k]-length) > 1e-9 {
				t.Errorf("panel %d: %v mm of %s, want %v", i, got[k], k, length)
			}
		}
	}
}
