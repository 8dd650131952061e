package geom

import (
	"math/rand"
	"slices"
	"testing"
)

// randomBoxes are small boxes in clusters, big ones among them and some empty.
func randomBoxes(rng *rand.Rand, n int) []Box {
	var boxes []Box
	for i := range n {
		p := Pt(rng.NormFloat64()*10+float64(i%3)*500, rng.NormFloat64()*10)
		size := Pt(rng.Float64(), rng.Float64())
		switch rng.Intn(8) {
		case 0:
			size = size.Mul(400)
		case 1:
			boxes = append(boxes, EmptyBox())
			continue
		}
		boxes = append(boxes, BoxOf(p, p.Add(size)))
	}
	return boxes
}

// Law: the tree finds the same boxes as asking every one, each once.
func TestBoxTreeFindsAll(t *testing.T) {
	for seed := range int64(60) {
		rng := rand.New(rand.NewSource(seed))
		boxes := randomBoxes(rng, rng.Intn(300))
		tree := NewBoxTree(boxes)
		for range 30 {
			p := Pt(rng.Float64()*1100-50, rng.NormFloat64()*20)
			b := BoxOf(p, p.Add(Pt(rng.Float64()*rng.Float64()*300, rng.Float64()*20)))
			var want []int
			for i, c := range boxes {
				if c.Intersects(b) {
					want = append(want, i)
				}
				if tree.Box(i) != c {
					t.Fatalf("seed %d: box %d is %v, want %v", seed, i, tree.Box(i), c)
				}
			}
			got := tree.Intersecting(b, nil)
			slices.Sort(got)
			if !slices.Equal(got, want) {
				t.Fatalf("seed %d: %v finds %v, want %v", seed, b, got, want)
			}
		}
	}
}

// Boxes that share a side or a corner meet; boxes all in one place are found.
func TestBoxTreeAtTheRim(t *testing.T) {
	one := BoxOf(Pt(0, 0), Pt(1, 1))
	tree := NewBoxTree([]Box{one, one, one})
	for _, b := range []Box{BoxOf(Pt(1, 1), Pt(2, 2)), BoxOf(Pt(1, 0.5)), BoxOf(Pt(-3, -3), Pt(9, 9))} {
		if got := tree.Intersecting(b, nil); len(got) != 3 {
			t.Errorf("%v finds %v", b, got)
		}
	}
	if got := tree.Intersecting(BoxOf(Pt(1.1, 0)), nil); got != nil {
		t.Errorf("found %v", got)
	}
}

// Law: BoxPairs visits the same pairs as asking every two boxes, each once and
// in order, among few boxes and many; it stops when told to.
func TestBoxPairs(t *testing.T) {
	for seed := range int64(60) {
		rng := rand.New(rand.NewSource(seed))
		boxes := randomBoxes(rng, rng.Intn(4*fewBoxes))
		var want, got [][2]int
		for i := range boxes {
			for j := i + 1; j < len(boxes); j++ {
				if boxes[i].Intersects(boxes[j]) {
					want = append(want, [2]int{i, j})
				}
			}
		}
		BoxPairs(boxes, func(i, j int) bool { got = append(got, [2]int{i, j}); return true })
		if !slices.Equal(got, want) {
			t.Fatalf("seed %d: pairs %v, want %v", seed, got, want)
		}
		visits := 0
		BoxPairs(boxes, func(int, int) bool { visits++; return visits < 3 })
		if visits != min(3, len(want)) {
			t.Errorf("seed %d: %d visits when told to stop at the third", seed, visits)
		}
	}
}
