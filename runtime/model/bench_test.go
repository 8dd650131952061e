package model

import (
	"fmt"
	"testing"

	"github.com/creasewright/creasewright/runtime/geom"
)

// BenchmarkBuild builds and finishes blanks of growing size: rows of panels
// side by side, each row begun on the one before.
func BenchmarkBuild(b *testing.B) {
	for _, n := range []int{10, 100, 1000, 10_000} {
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			for b.Loop() {
				buildRows(n)
			}
		})
	}
}

// BenchmarkSharedEdge hangs n panels on one long edge.
func BenchmarkSharedEdge(b *testing.B) {
	for _, n := range []int{100, 1000, 10_000} {
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			for b.Loop() {
				d := NewBuilder(nil)
				root := must(d.Panel(nil, PanelSpec{Name: "root", Outline: rect(float64(n), 5)}))
				top := edge(d, root, "top")
				for i := range n {
					hung(d, fmt.Sprint(i), rect(1, 5), must(d.Part(nil, top, float64(i), float64(i+1))))
				}
			}
		})
	}
}

// buildRows lays n rects in rows of a hundred.
func buildRows(n int) *Design {
	b := NewBuilder(nil)
	shape := rect(10, 10)
	root := must(b.Panel(nil, PanelSpec{Name: "0", Outline: shape}))
	rowStart, last := root, root
	for i := 1; i < n; i++ {
		if i%100 == 0 {
			rowStart = hung(b, fmt.Sprint(i), shape, edge(b, rowStart, "top"))
			last = rowStart
			continue
		}
		last = hung(b, fmt.Sprint(i), shape, edge(b, last, "right"))
	}
	must(b.Piece(nil, PieceSpec{Name: "rows", Root: root, Board: card, Copies: 1}))
	return must(b.Finish())
}

// The rows lie where they should: the last panel of 10,000 is in row 99,
// column 99.
func TestRows(t *testing.T) {
	d := buildRows(10_000)
	sameMotion(t, "last panel", d.Panels[9_999].Flat, geom.Translation(990, 990), 1e-9)
	if len(d.Pieces[0].Panels) != 10_000 || len(d.Pieces[0].Hinges) != 9_999 {
		t.Errorf("%d panels, %d hinges", len(d.Pieces[0].Panels), len(d.Pieces[0].Hinges))
	}
}
