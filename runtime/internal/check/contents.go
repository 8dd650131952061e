package check

import (
	"context"
	"fmt"
	"math"
	"strings"

	"github.com/creasewright/creasewright/runtime/board"
	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/contact"
	"github.com/creasewright/creasewright/runtime/model"
)

// contentsDoNotFit tells of products that have no room, one finding a product.
var contentsDoNotFit = Rule{
	ID: "contents-do-not-fit", Severity: diag.Error, Title: "the product has no room",
	after: []string{"loop-open", "loop-loose", "loop-unsolved", "flap-too-deep", "tuck-too-wide", "join-gap", "dust-flaps-meet"},
	find: func(f *facts) []Found {
		// A flat piece holds its product between layers, where room in three directions says
		// nothing: its pockets are measured in the plane instead.
		pockets := f.closed(func(s *closing) []Found {
			var out []Found
			if s.Flat {
				for _, fit := range s.Fits {
					out = append(out, s.pocketFound(fit)...)
				}
			}
			return out
		})
		return append(pockets, f.each(func(p state) []Found {
			var out []Found
			for _, fit := range p.Fits {
				switch {
				case fit.Afloat:
					out = append(out, afloatFound(p, fit))
				case len(fit.Misfits) > 0:
					out = append(out, misfitFound(f.ctx, p, fit))
				}
			}
			return out
		})...)
	},
}

// afloatFound tells of a product that stands beside its panel, or over a window.
func afloatFound(p state, fit contact.Fit) Found {
	panel := fit.Contents.Panel
	at := panel.Flat.Apply(fit.At)
	f := foundf(fit.Contents.Site, []*model.Panel{panel}, "%q finds no board under it in pose %q, at x %s, y %s of panel %q",
		fit.Contents.Name, p.name(), short(fit.At.X), short(fit.At.Y), panel.Name).
		in(p.Pose, "").
		relate(panel.Site, "panel %q", panel.Name).
		hint("at = (x, y) is the point of the panel under its centre")
	f.At = &at
	return f
}

// misfitFound tells of a product that does not clear some panels, the worst first.
// The hint is a quarter turn where that fits, else what the room lacks along the
// axes, else more room at the worst panel.
func misfitFound(ctx context.Context, p state, fit contact.Fit) Found {
	worst := fit.Misfits[0]
	var panels []*model.Panel
	for _, m := range fit.Misfits {
		panels = append(panels, m.Panel)
	}
	panels = append(panels, fit.Contents.Panel) // out of its place, it takes the product along
	f := foundf(fit.Contents.Site, panels, "%q %s in pose %q", fit.Contents.Name, misfit(fit.Contents, worst), p.name()).
		in(p.Pose, "").
		relate(worst.Panel.Site, "panel %q", worst.Panel.Name)
	for _, m := range fit.Misfits[1:min(len(fit.Misfits), 1+mostRelated)] {
		f = f.relate(m.Panel.Site, "with it: it %s", misfit(fit.Contents, m))
	}
	f.At = &worst.AtBlank
	// A quarter turn costs nothing, so it is offered first. Else what the room lacks along the
	// axes, which holds wherever the product is moved; else at least where it is worst.
	if turned, ok := turnedFits(ctx, p, fit.Contents); ok {
		return f.hint("turn = %s would fit", geom.Num(float64(turned)))
	}
	if short := shortages(fit); short != "" {
		return f.hint("it needs %s", short)
	}
	return f.hint("move it, or make %s more room toward %q", mm(worst.Missing), worst.Panel.Name)
}

// turnedFits is the turn with which a product that lies across its room, a
// quarter turn off, would fit.
func turnedFits(ctx context.Context, p state, c *model.Contents) (turn geom.Degrees, ok bool) {
	turned := *c
	turned.TurnDegrees = geom.Degrees(math.Mod(float64(c.TurnDegrees)+90, 180))
	fit, ok, err := p.Fit(ctx, &turned)
	return turned.TurnDegrees, err == nil && ok && !fit.Afloat && len(fit.Misfits) == 0
}

// shortages lists how much larger the room would have to be along the axes of
// the panel that the product stands on; "" when there is room enough, elsewhere
// than where it stands.
func shortages(fit contact.Fit) string {
	c := fit.Contents
	var parts []string
	need := func(short float64, where string) {
		if short > geom.SnapTolerance {
			parts = append(parts, fmt.Sprintf("%s more %s %q", mm(short), where, c.Panel.Name))
		}
	}
	// The product could be moved within the sum of both rooms of an axis.
	need(2*c.Clearance-fit.Free[0]-fit.Free[1], "along x of")
	need(2*c.Clearance-fit.Free[2]-fit.Free[3], "along y of")
	need(c.Clearance-fit.Free[4], "over")
	return strings.Join(parts, " and ")
}

// misfit says how a panel is in the way.
func misfit(c *model.Contents, m contact.Misfit) string {
	if m.Clear < 0 {
		return fmt.Sprintf("reaches %s into panel %q", mm(-m.Clear), m.Panel.Name)
	}
	return fmt.Sprintf("clears panel %q by %s, and %s mm are asked for", m.Panel.Name, mm(m.Clear), geom.Num(c.Clearance))
}

// contentsHeavy says of heavy contents that nobody looked at strength: a
// warning where the script set the limit, a note where practice did.
var contentsHeavy = Rule{
	ID: "contents-heavy", Severity: diag.Warning, Title: "contents are heavy, and strength is not assessed",
	find: func(f *facts) []Found {
		var out []Found
		for _, c := range f.Design.Contents {
			if c.Mass == nil || c.Panel.Piece == nil {
				continue
			}
			b := c.Panel.Piece.Board
			most, set, _ := f.Design.Limit(board.Heavy, b)
			// Both in grams. A limit of 0 is none.
			if most == 0 || *c.Mass <= most {
				continue
			}
			g := foundf(c.Site, []*model.Panel{c.Panel}, "%q weighs %s g, more than the %s g %s: strength, stacking and carrying are not assessed",
				c.Name, geom.Num(*c.Mass), geom.Num(most), whoseLoad(b, set != nil)).atPanel(c.Panel)
			// Practice is a note; what the script itself set is a warning.
			g.Mild = set == nil
			if set != nil {
				g = g.relate(set.Site, "the limit is set here")
			}
			out = append(out, g.hint("load a sample before you rely on it"))
		}
		return out
	},
}

// whoseLoad says where a limit on mass comes from.
func whoseLoad(b *board.Board, set bool) string {
	if set {
		return "asked for"
	}
	return "usual for " + string(b.Kind)
}
