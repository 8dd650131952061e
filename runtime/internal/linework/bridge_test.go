package linework

import (
	"math/rand"
	"testing"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/model"
)

// joined reports whether two panels hang together without one of the hinges.
func joined(piece *model.Piece, a, b *model.Panel, without *model.Hinge) bool {
	seen := map[*model.Panel]bool{a: true}
	for grown := true; grown; {
		grown = false
		for _, h := range piece.Hinges {
			if h != without && seen[h.Parent] != seen[h.Child] {
				seen[h.Parent], seen[h.Child], grown = true, true, true
			}
		}
	}
	return seen[b]
}

// Law: a hinge is a bridge if and only if without it its two panels no longer
// hang together.
func TestBridgesPartWhatTheyJoin(t *testing.T) {
	rng := rand.New(rand.NewSource(61))
	bridges := 0
	for range 300 {
		piece := &model.Piece{}
		for i := range 1 + rng.Intn(12) {
			piece.Panels = append(piece.Panels, &model.Panel{Index: i})
		}
		hinge := func(a, b int) {
			piece.Hinges = append(piece.Hinges, &model.Hinge{Parent: piece.Panels[a], Child: piece.Panels[b]})
		}
		n := len(piece.Panels)
		for i := 1; i < n; i++ {
			hinge(rng.Intn(i), i)
		}
		for range rng.Intn(4) {
			if a, b := rng.Intn(n), rng.Intn(n); a != b {
				hinge(a, b)
			}
		}
		got := (&Lines{Blank: &blank.Blank{Piece: piece}}).Bridges()
		for i, h := range piece.Hinges {
			want := !joined(piece, h.Parent, h.Child, h)
			if got[i] != want {
				t.Fatalf("hinge %d of %d: bridge %v, want %v", i, len(got), got[i], want)
			}
			if want {
				bridges++
			}
		}
	}
	if bridges < 100 {
		t.Errorf("only %d bridges seen", bridges)
	}
}

// A chain of very many panels is no deeper than memory.
func TestBridgesOfALongChain(t *testing.T) {
	piece := &model.Piece{Panels: []*model.Panel{{}}}
	for i := 1; i < 200_000; i++ {
		p := &model.Panel{Index: i}
		piece.Hinges = append(piece.Hinges, &model.Hinge{Parent: piece.Panels[i-1], Child: p})
		piece.Panels = append(piece.Panels, p)
	}
	for i, bridge := range (&Lines{Blank: &blank.Blank{Piece: piece}}).Bridges() {
		if !bridge {
			t.Fatalf("hinge %d is no bridge", i)
		}
	}
}
