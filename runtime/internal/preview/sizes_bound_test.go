package preview

import (
	"context"
	"testing"

	"github.com/creasewright/creasewright/runtime/geom"
)

// A figure that holds for thousands of lines without room beside them is given
// up after so many, and nothing is placed for a run that has ended.
func TestAFigureIsTriedAtSoManyLines(t *testing.T) {
	crowded := newOccupancy()
	crowded.addTile(tile{along: geom.Pt(1, 0), hx: 500, hy: 500})
	line := geom.LineFrom(geom.Pt(0, 0), geom.Pt(20, 0))
	free := geom.LineFrom(geom.Pt(2000, 0), geom.Pt(2020, 0))
	many := size{text: "20"}
	for range mostTried {
		many.lines = append(many.lines, line)
	}
	many.lines[mostTried-1] = free
	if _, ok := crowded.placeSize(many); !ok {
		t.Errorf("the last of %d lines has room", mostTried)
	}
	many.lines[mostTried-1] = line
	many.lines = append(many.lines, free)
	if _, ok := crowded.placeSize(many); ok {
		t.Errorf("more than %d lines were tried", mostTried)
	}
	ended, end := context.WithCancel(t.Context())
	end()
	if fl := layFlat(ended, sleeve().Blanks[0], nil, 1, nil, map[string][]string{}); len(fl.labels) > 0 {
		t.Errorf("%d labels were placed after the end", len(fl.labels))
	}
}
