package preview

import (
	"math/rand"
	"testing"

	"github.com/creasewright/creasewright/runtime/geom"
)

// randomRows are rows of mixed height, some kept together.
func randomRows(r *rand.Rand) []row {
	rows := make([]row, 1+r.Intn(40))
	for i := range rows {
		rows[i] = row{height: 1 + r.Float64()*9, before: r.Float64() * 4, keep: r.Intn(3) == 0}
	}
	rows[len(rows)-1].keep = false
	return rows
}

// Law: rows come in order, none overlaps or leaves its column, and none is
// parted from what it stays with.
func TestFlowLaws(t *testing.T) {
	r := rand.New(rand.NewSource(10))
	fitted := 0
	for range 1000 {
		rows, columns, height := randomRows(r), 1+r.Intn(4), 40+r.Float64()*80
		at, ok := flow(rows, columns, height)
		if !ok {
			continue
		}
		fitted++
		for i, p := range at {
			if p.column >= columns || p.y+rows[i].height > height+1e-9 {
				t.Fatalf("row %d at %v leaves its column", i, p)
			}
			if i == 0 {
				continue
			}
			last := at[i-1]
			if same := p.column == last.column; same && p.y < last.y+rows[i-1].height+rows[i].before-1e-9 ||
				!same && (p.column != last.column+1 || p.y != 0 || rows[i-1].keep) {
				t.Fatalf("row %d at %v after %v, kept: %t", i, p, last, rows[i-1].keep)
			}
		}
	}
	if fitted < 300 {
		t.Fatalf("only %d of 1000 fitted", fitted)
	}
}

// Law: the least height found holds the rows, and a millimetre less does not,
// unless the sum forbids it anyway.
func TestFlowLow(t *testing.T) {
	r := rand.New(rand.NewSource(11))
	for range 300 {
		rows, columns := randomRows(r), 1+r.Intn(4)
		_, height, ok := flowLow(rows, columns, 1000)
		if !ok {
			t.Fatal("did not fit in a metre")
		}
		sum := 0.0
		for _, x := range rows {
			sum += x.height
		}
		if _, fits := flow(rows, columns, height-1); fits && height-1 >= sum/float64(columns) {
			t.Fatalf("%g mm would do, %g was found", height-1, height)
		}
	}
	if _, _, ok := flowLow([]row{{height: 10}}, 2, 5); ok {
		t.Error("a row higher than the limit fitted")
	}
}

// Sections without rows leave no heading behind.
func TestListLeavesOutEmptySections(t *testing.T) {
	rows := list([]section{{heading: "empty"}, {heading: "full", rows: []row{{height: 1}, {height: 1}}}}, 50)
	if len(rows) != 3 || !rows[0].keep || !rows[1].keep || rows[2].keep {
		t.Errorf("%d rows: %+v", len(rows), rows)
	}
}

// Law: cells lie in the room without overlap, in reading order along each shelf,
// and refuse only when even the least gaps do not fit.
func TestArrangeLaws(t *testing.T) {
	r := rand.New(rand.NewSource(12))
	fitted := 0
	for range 1000 {
		room := geom.BoxOf(geom.Pt(11, 11), geom.Pt(220, 199))
		sizes := make([]geom.Point, 1+r.Intn(7))
		for i := range sizes {
			sizes[i] = geom.Pt(20+r.Float64()*90, 20+r.Float64()*70)
		}
		at, ok := arrange(sizes, room)
		if !ok {
			continue
		}
		fitted++
		for i, p := range at {
			b := geom.BoxOf(p, p.Add(sizes[i]))
			if in := room.Grow(1e-9); !in.Contains(b.Min) || !in.Contains(b.Max) {
				t.Fatalf("cell %d at %v leaves the room: sizes %v", i, b, sizes)
			}
			for j := range i {
				if c := geom.BoxOf(at[j], at[j].Add(sizes[j])).Grow(cellGap - 1e-9); c.Intersects(b) {
					t.Fatalf("cells %d and %d are closer than the gap", i, j)
				}
			}
		}
	}
	if fitted < 200 {
		t.Fatalf("only %d of 1000 fitted", fitted)
	}
}

// A single cell stands in the middle; small ones stack beside a tall one.
func TestArrangeByHand(t *testing.T) {
	room := geom.Box{Max: geom.Pt(200, 100)}
	if at, ok := arrange([]geom.Point{{X: 100, Y: 40}}, room); !ok || at[0] != geom.Pt(50, 30) {
		t.Errorf("%v %t", at, ok)
	}
	at, ok := arrange([]geom.Point{{X: 120, Y: 90}, {X: 40, Y: 30}, {X: 40, Y: 30}}, room)
	if !ok || at[1].X != at[2].X || at[2].Y != at[1].Y+30+cellGap || at[0].Y != at[1].Y {
		t.Errorf("%v %t", at, ok)
	}
	if _, ok := arrange([]geom.Point{{X: 201, Y: 10}}, room); ok {
		t.Error("a cell wider than the room fitted")
	}
	if at, ok := arrange(nil, room); !ok || len(at) != 0 {
		t.Errorf("no cells: %v %t", at, ok)
	}
}
