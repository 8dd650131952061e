package check

import (
	"fmt"

	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/model"
)

// panelsLayered notes panels that lie on one another and are not glued, nor
// folded on one another.
var panelsLayered = Rule{
	ID: "panels-layered", Severity: diag.Note, Title: "two panels lie on one another in a pose",
	find: func(f *Facts) []Found {
		return f.each(func(p *Pose) []Found {
			var out []Found
			for _, l := range p.Layers {
				if l.Glued || l.Hinged {
					continue
				}
				a, b := p.pair(l.A, l.B)
				g := foundf(b.Site, []*model.Panel{b, a}, "panels %q and %q lie on one another over %.0f mm² in pose %q",
					b.Name, a.Name, l.Area, p.name()).
					in(p.Pose.Pose, fmt.Sprint(l.A, " ", l.B)).
					relate(a.Site, "panel %q", a.Name)
				g.At, g.Ties, g.Weight = &l.AtBlank, g.Panels, l.Area
				out = append(out, g)
			}
			return out
		})
	},
}
