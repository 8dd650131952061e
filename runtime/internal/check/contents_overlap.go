package check

import (
	"fmt"

	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/internal/contact"
	"github.com/creasewright/creasewright/runtime/model"
)

// contentsOverlap tells of two products that take the same place.
var contentsOverlap = Rule{
	ID: "contents-overlap", Severity: diag.Error, Title: "two products take the same place",
	after: []string{"loop-open", "loop-loose", "loop-unsolved", "flap-too-deep", "tuck-too-wide", "join-gap"},
	find: func(f *facts) []Found {
		return f.each(func(s state) []Found {
			var out []Found
			for i := range s.Fits {
				for k := range s.Fits[:i] {
					if f.ended() {
						return nil
					}
					a, b := s.Fits[k], s.Fits[i]
					if misplaced := a.Afloat || b.Afloat || len(a.Misfits)+len(b.Misfits) > 0; misplaced {
						continue // told as such
					}
					if depth := a.Shares(b); exceeds(depth, productsTouch) {
						out = append(out, shareFound(s, a, b, depth))
					}
				}
			}
			return out
		})
	},
}

// productsTouch is by how much two products may share a place: products are
// measured no finer, and round ones are compared to within half of it.
const productsTouch = 0.05

// shareFound tells at the later of two products how deep, in mm, the two lie in
// one another.
func shareFound(s state, a, b contact.Fit, depth float64) Found {
	panels := []*model.Panel{b.Contents.Panel}
	if a.Contents.Panel != b.Contents.Panel {
		panels = append(panels, a.Contents.Panel)
	}
	f := foundf(b.Contents.Site, panels, "%q and %q take the same place in pose %q, by %s", a.Contents.Name, b.Contents.Name, s.name(), mm(depth)).
		in(s.Pose, fmt.Sprint(a.Contents.Name, "|", b.Contents.Name)).
		relate(a.Contents.Site, "the other product")
	f.Weight = depth
	at := b.Contents.Panel.Flat.Apply(b.At)
	f.At = &at
	return f.hint("at = (x, y) stands each in a place of its own")
}
