package check

import (
	"fmt"
	"math"

	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/contact"
	"github.com/creasewright/creasewright/runtime/model"
)

// panelsCollide tells of panels that cross in a pose.
var panelsCollide = Rule{
	ID: "panels-collide", Severity: diag.Error, Title: "two panels cross in a pose",
	after: []string{"panels-overlap", "loop-open", "loop-loose", "loop-unsolved", "flap-too-deep", "tuck-too-wide", "join-gap"},
	find:  touches(func(t contact.Penetration, limit float64) bool { return t.Depth > limit }),
}

// panelsTouch notes panels that press on one another no deeper than board gives
// way.
var panelsTouch = Rule{
	ID: "panels-touch", Severity: diag.Note, Title: "two panels press on one another in a pose",
	after: []string{"panels-overlap", "loop-open", "loop-loose", "loop-unsolved", "flap-too-deep", "tuck-too-wide", "join-gap"},
	find:  touches(func(t contact.Penetration, limit float64) bool { return t.Depth <= limit }),
}

// collideLimit is how deep panels may press on one another: the smaller of a
// caliper and half a millimetre.
func collideLimit(piece *model.Piece) float64 { return math.Min(piece.Board.Caliper, 0.5) }

// touches is the function of a rule about some of the contacts.
func touches(meant func(t contact.Penetration, limit float64) bool) func(*Facts) []Found {
	return func(f *Facts) []Found {
		return f.each(func(p *Pose) []Found {
			var out []Found
			for _, t := range p.Penetrations {
				if meant(t, collideLimit(p.Piece)) {
					out = append(out, touchFound(p, t))
				}
			}
			return out
		})
	}
}

func touchFound(p *Pose, t contact.Penetration) Found {
	a, b := p.pair(t.A, t.B)
	f := foundf(b.Site, []*model.Panel{b, a}, "panels %q and %q cross by %s in pose %q, at x %s, y %s of the blank",
		b.Name, a.Name, mm(t.Depth), p.name(), short(t.AtBlank.X), short(t.AtBlank.Y)).
		in(p.Pose.Pose, fmt.Sprint(t.A, " ", t.B)).
		relate(a.Site, "panel %q", a.Name)
	f.At, f.Ties, f.Weight, f.Blames = &t.AtBlank, f.Panels, t.Depth, f.Panels
	f.Cures = append(trims(p, t.B, t.Part, t.Depth), trims(p, t.A, t.Part.Mul(-1), t.Depth)...)
	return f
}

// trims lists the edges of a panel to take back so that it clears another:
// those that look against the way in which it would have to move.
func trims(p *Pose, i int, way geom.Point3, depth float64) []Cure {
	panel := p.Piece.Panels[i]
	local := p.Pose.Place[i].Inverse().ApplyDir(way)
	if math.Abs(local.Z) > geom.SmoothSine {
		return nil
	}
	for _, e := range panel.Outline.Edges {
		out := e.Tangent(0).Left().Mul(-1)
		if e.Kind == geom.Line && out.Dot(local.Plane()) < -1+geom.SmoothSine {
			across := opposite(panel, e.Curve)
			return []Cure{{panel, e.Name, across, -math.Ceil(depth*100-1e-6) / 100}}
		}
	}
	return nil
}

// opposite names the straight edge that looks the other way, "" when there is
// none.
func opposite(panel *model.Panel, c geom.Curve) string {
	for _, e := range panel.Outline.Edges {
		if e.Kind == geom.Line && e.Tangent(0).Dot(c.Tangent(0)) < -1+geom.SmoothSine {
			return e.Name
		}
	}
	return ""
}
