package contact

import (
	"cmp"
	"context"
	"math"
	"slices"

	"github.com/creasewright/creasewright/runtime/geom"
)

// Slot is a gap in the board of one panel in which another stands or through
// which it passes. Panel and In are their places in the piece. Lengths are mm.
type Slot struct {
	Panel, In int
	Wide      float64    // across the line in which they meet, where it is narrowest
	Need      float64    // what the panel takes up there
	AtBlank   geom.Point // in the slot, in the blank frame
}

// SlotMargin is how much narrower than the board, in mm, a slot may be: what
// rounding a size to hundredths takes.
const SlotMargin = 0.02

// Slots lists the slots that are narrower than what stands in them by more than
// a margin, over more than Rim of their length, by In, then Panel. Tucks through
// an opening are left out.
func (p *Posed) Slots(ctx context.Context, margin float64) ([]Slot, error) {
	var out []Slot
	err := p.angled(ctx, geom.SnapTolerance, func(q pair) {
		for _, k := range [...][2]int{{q.a, q.b}, {q.b, q.a}} {
			if s, ok := p.slotOf(k[0], k[1], margin); ok {
				out = append(out, s)
			}
		}
	})
	slices.SortFunc(out, func(a, b Slot) int { return cmp.Or(cmp.Compare(a.In, b.In), cmp.Compare(a.Panel, b.Panel)) })
	return out, err
}

// slotOf looks for a gap of panel in's board round panel i, along the line in
// which their planes meet. Sections between corners of the two outlines stand for
// the stretches of the line between them, as in overlapOf. Panel i stands in the gap
// where its board goes on past in's plane by more than half a caliper to both sides.
func (p *Posed) slotOf(i, in int, margin float64) (Slot, bool) {
	x := cross(&p.plates[i], &p.plates[in])
	sides := [2]*plate{x.a, x.b}
	across := [2]geom.Point3{x.a.normal.Cross(x.dir), x.b.normal.Cross(x.dir)}
	// What a board takes up in a plane that it passes at an angle.
	sine := x.a.normal.Cross(x.b.normal).Len()
	s := Slot{Panel: i, In: in, Need: p.caliper / sine, Wide: math.Inf(1)}
	// Between neighbouring corners the section keeps its shape, so its middle stands for it.
	us := p.cornersNear(x, sides, across, s.Need)
	run := 0.0
	for k := 1; k < len(us); k++ {
		at := x.place((us[k-1] + us[k]) / 2)
		cut := func(n int) []Stretch {
			return Along(sides[n].body.Loops, sides[n].local(at).Plane(), sides[n].back.ApplyDir(across[n]).Plane())
		}
		stands := func(v Stretch) bool { return v.From < -p.caliper/2 && v.To > p.caliper/2 }
		if !slices.ContainsFunc(cut(0), stands) {
			continue
		}
		if wide, ok := gapAt(cut(1)); ok && Exceeds(s.Need-margin, wide) {
			if run += us[k] - us[k-1]; wide < s.Wide {
				s.Wide, s.AtBlank = wide, p.onBlank(in, at)
			}
		}
	}
	return s, run > Rim
}

// gapAt is how wide the gap between stretches is that 0 lies in.
// v is in order. ok is false where 0 lies in board or has board on one side only.
func gapAt(v []Stretch) (wide float64, ok bool) {
	for k := 1; k < len(v); k++ {
		if v[k-1].To <= 0 && v[k].From >= 0 {
			return v[k].From - v[k-1].To, true
		}
	}
	return 0, false
}
