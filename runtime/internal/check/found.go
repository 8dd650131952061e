package check

import (
	"fmt"

	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/model"
	"github.com/creasewright/creasewright/runtime/source"
)

// Found is a finding as a rule makes it, with what ties it to other findings.
// The rule's id and severity and the names of piece, panel and pose are filled
// in from it.
type Found struct {
	diag.Finding
	Mild   bool           // a note, whatever the rule's severity
	Fatal  bool           // an error that nobody can waive: what was asked for cannot be made
	Warn   bool           // a warning, whatever the rule's severity
	Piece  *model.Piece   // nil when it is about no piece
	Pose   *model.Pose    // nil when it is about no pose
	Panels []*model.Panel // those it speaks of, the first one by name; a waiver on any of them holds

	// Cures are sizes any of which alone would put it right; they become the
	// hint.
	Cures []Cure

	// What follows is for telling every cause once.

	// Key tells the same trouble in another pose; "" for what no pose repeats.
	Key string
	// Ties are panels that bind it to other findings of its rule in the same
	// pose: those that share one are told together.
	Ties []*model.Panel
	// Weight says which of the findings told as one represents all.
	Weight float64
	// Blames are panels that stand in the wrong place because of it.
	Blames []*model.Panel

	rule *Rule // the rule that made it
}

// foundf starts a finding about panels of a piece.
func foundf(site source.Site, panels []*model.Panel, format string, args ...any) Found {
	f := Found{Panels: panels, Finding: diag.Finding{Site: site, Message: fmt.Sprintf(format, args...)}}
	if len(panels) > 0 {
		f.Piece = panels[0].Piece
	}
	return f
}

// in sets the pose and the key.
func (f Found) in(pose *model.Pose, key string) Found {
	f.Pose, f.Key = pose, key
	return f
}

// hint adds the proposed cure.
func (f Found) hint(format string, args ...any) Found {
	f.WithHint(format, args...)
	return f
}

// relate adds another place.
func (f Found) relate(site source.Site, format string, args ...any) Found {
	if at := site.First(); at.Known() {
		f.Related = append(f.Related, diag.Related{Span: at, Message: fmt.Sprintf(format, args...)})
	}
	return f
}

// atHinge puts the finding at the middle of a hinge in the blank.
func (f Found) atHinge(h *model.Hinge) Found {
	at := h.Parent.Flat.Apply(h.Curve.At(0.5))
	f.At = &at
	return f
}

// atPanel puts the finding at the middle of a panel in the blank.
func (f Found) atPanel(p *model.Panel) Found {
	at := p.Flat.Apply(p.Outline.Bounds().Mid())
	f.At = &at
	return f
}

// finish fills in what the rule and the ties say.
func (f *Found) finish(r *Rule) {
	f.rule, f.Rule, f.Severity = r, r.ID, r.Severity
	// A finding may be milder than its rule; Mild goes before Warn.
	if f.Warn {
		f.Severity = diag.Warning
	}
	if f.Mild {
		f.Severity = diag.Note
	}
	if f.Fatal {
		f.Severity = diag.Error
	}
	if f.Piece != nil {
		f.Finding.Piece = f.Piece.Name
	}
	if f.Pose != nil {
		f.Finding.Pose = f.Pose.Name
	}
	if len(f.Panels) > 0 {
		f.Panel = f.Panels[0].Name
	}
}

// siteOf is where a hinge was asked for: the call that made its panel, or the
// hinge() that closes a loop.
func siteOf(h *model.Hinge) source.Site {
	if h.Closing {
		return h.Site
	}
	return h.Child.Site
}
