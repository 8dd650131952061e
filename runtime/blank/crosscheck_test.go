package blank_test

import (
	"context"
	"math"
	"math/rand"
	"regexp"
	"strconv"
	"testing"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/geom/geomtest"
	"github.com/creasewright/creasewright/runtime/model/modeltest"
)

// shapelyBlank is one question about a whole blank, shapelyBoard its answer.
type (
	shapelyBlank struct {
		Panels  [][][2]float64 `json:"panels"`
		Windows [][][2]float64 `json:"windows"`
	}
	shapelyBoard struct {
		Areas    []float64
		Overlaps [][3]float64
	}
)

// question draws a blank as polygons so fine that their areas are those of the
// curves to well under 1e-6.
func question(k *modeltest.Known) shapelyBlank {
	const fine = 2e-6
	q := shapelyBlank{Windows: [][][2]float64{}}
	for _, p := range k.Piece.Panels {
		q.Panels = append(q.Panels, geomtest.Polygon(p.Outline.Transform(p.Flat), fine))
		for _, w := range p.Windows {
			q.Windows = append(q.Windows, geomtest.Polygon(w.Outline.Transform(p.Flat), fine))
		}
	}
	return q
}

// Whole blanks agree with GEOS through Shapely to 1e-6: the board that windows
// leave of every panel, and which panels lie on one another over what area.
// Trees are laid out as drawn, or slid along their hinges until panels overlap.
func TestBlanksAgreeWithShapely(t *testing.T) {
	var questions []shapelyBlank
	var blanks []*blank.Blank
	var findings [][]*diag.Finding
	for seed := range int64(24) {
		rng := rand.New(rand.NewSource(seed))
		k := modeltest.Tree(rng, 2+rng.Intn(24), geom.Rotation(geom.Radians(rng.Float64()*7), geom.Point{}))
		if seed%2 == 1 {
			slide(rng, k, 6)
		}
		decorate(rng, k, geom.Identity())
		b, found, _ := blank.Lay(context.Background(), k.Piece, nil)
		questions, blanks, findings = append(questions, question(k)), append(blanks, b), append(findings, found)
	}
	var answers []shapelyBoard
	geomtest.Shapely(t, "testdata/board.py", questions, &answers)
	overlaps := 0
	for i, want := range answers {
		total := 0.0
		for k, s := range blanks[i].Regions {
			total += want.Areas[k]
			if math.Abs(s.Area-want.Areas[k]) > 1e-6*s.Panel.Outline.Area() {
				t.Errorf("blank %d: panel %s has %.6f mm² of board, Shapely says %.6f", i, s.Panel.Name, s.Area, want.Areas[k])
			}
		}
		if !near(blanks[i].Area, total, 1e-6) {
			t.Errorf("blank %d: %.6f mm² in all, Shapely says %.6f", i, blanks[i].Area, total)
		}
		overlaps += sameOverlaps(t, i, findings[i], want.Overlaps)
	}
	if overlaps < 40 {
		t.Errorf("only %d overlaps were compared", overlaps)
	}
}

var overlapMessage = regexp.MustCompile(`^panels "p(\d+)" and "p(\d+)" overlap in the flat by ([\d.]+) mm²$`)

// sameOverlaps compares the overlaps that findings tell one by one, and counts
// them. Slivers no wider than the snap tolerance are no overlaps of ours.
func sameOverlaps(t *testing.T, blank int, found []*diag.Finding, want [][3]float64) int {
	t.Helper()
	told := map[[2]int]float64{}
	for _, f := range found {
		if m := overlapMessage.FindStringSubmatch(f.Message); m != nil {
			a, _ := strconv.Atoi(m[1])
			b, _ := strconv.Atoi(m[2])
			told[[2]int{a, b}], _ = strconv.ParseFloat(m[3], 64)
		}
	}
	n := 0
	for _, w := range want {
		pair := [2]int{int(w[0]), int(w[1])}
		area, ok := told[pair]
		delete(told, pair)
		switch {
		case ok && math.Abs(area-w[2]) > 1e-6*math.Max(w[2], 100):
			t.Errorf("blank %d: panels %v overlap by %v mm², Shapely says %v", blank, pair, area, w[2])
		case ok:
			n++
		case w[2] > 0.1 && len(want) <= 10:
			t.Errorf("blank %d: panels %v overlap by %v mm² by Shapely alone", blank, pair, w[2])
		}
	}
	for pair, area := range told {
		t.Errorf("blank %d: panels %v overlap by %v mm², Shapely says not at all", blank, pair, area)
	}
	return n
}
