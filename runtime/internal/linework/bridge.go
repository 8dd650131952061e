package linework

import "github.com/creasewright/creasewright/runtime/model"

// Bridges tells, by hinge of the piece, whether it alone joins what lies on
// either side of it. Tarjan's bridges, in time linear in panels and hinges.
func (l *Lines) Bridges() []bool {
	b := newBridger(l.Blank.Piece)
	for v := range b.ways {
		if b.seen[v] == 0 {
			b.walk(v)
		}
	}
	return b.bridge
}

// way leads from one panel to another over a hinge.
type way struct{ to, hinge int }

type bridger struct {
	ways   [][]way // by panel
	seen   []int   // when the walk came by; 0 for not yet
	low    []int   // the earliest panel reachable without going back
	clock  int
	bridge []bool
}

func newBridger(piece *model.Piece) *bridger {
	n := len(piece.Panels)
	b := &bridger{ways: make([][]way, n), seen: make([]int, n), low: make([]int, n), bridge: make([]bool, len(piece.Hinges))}
	index := make(map[*model.Panel]int, n)
	for i, p := range piece.Panels {
		index[p] = i
	}
	for i, h := range piece.Hinges {
		p, c := index[h.Parent], index[h.Child]
		b.ways[p] = append(b.ways[p], way{c, i})
		b.ways[c] = append(b.ways[c], way{p, i})
	}
	return b
}

// visit is a panel on the walk's way, entered over a hinge, with the number of
// the way out that is tried next.
type visit struct{ panel, hinge, next int }

// walk goes depth first from a panel; its stack is its own, as chains of
// panels may be long.
func (b *bridger) walk(root int) {
	stack := []visit{b.enter(root, -1)}
	for len(stack) > 0 {
		v := &stack[len(stack)-1]
		if v.next == len(b.ways[v.panel]) {
			stack = stack[:len(stack)-1]
			if len(stack) > 0 {
				b.leave(stack[len(stack)-1].panel, *v)
			}
			continue
		}
		w := b.ways[v.panel][v.next]
		v.next++
		switch {
		case w.hinge == v.hinge:
		case b.seen[w.to] > 0:
			b.low[v.panel] = min(b.low[v.panel], b.seen[w.to])
		default:
			stack = append(stack, b.enter(w.to, w.hinge))
		}
	}
}

func (b *bridger) enter(panel, hinge int) visit {
	b.clock++
	b.seen[panel], b.low[panel] = b.clock, b.clock
	return visit{panel: panel, hinge: hinge}
}

// leave goes back from a panel to the one it was entered from.
func (b *bridger) leave(to int, from visit) {
	b.low[to] = min(b.low[to], b.low[from.panel])
	if b.low[from.panel] > b.seen[to] {
		b.bridge[from.hinge] = true
	}
}
