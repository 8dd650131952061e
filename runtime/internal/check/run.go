package check

import (
	"cmp"
	"context"
	"slices"

	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/model"
	"github.com/creasewright/creasewright/runtime/simulate"
	"github.com/creasewright/creasewright/runtime/toolpath"
)

// Input is what is judged.
type Input struct {
	Design *model.Design
	Pieces []*simulate.Piece // in the order of the design's
	// Early are the findings of the stages before; those that belong to no rule are passed
	// on.
	Early    []*diag.Finding
	Machines []*model.Machine    // that files are asked for
	Programs []*toolpath.Program // of the pieces that have room on these
}

// Run holds every rule against a design and its simulated pieces. It gives the findings
// that stand and those that the designer waived; each cause is told once. The error is the
// cause of the context's end.
func Run(ctx context.Context, in Input) (stand []*diag.Finding, waived []diag.Waived, err error) {
	// Findings of no rule, as faults of the script, are passed on as they are.
	for _, e := range in.Early {
		if _, ok := RuleNamed(e.Rule); !ok {
			stand = append(stand, e)
		}
	}
	f := newFacts(ctx, in)
	blamed := culprits{}
	// In the order of the table, so that what a rule blames is known to those that come after it.
	for _, r := range table {
		found, allowed := f.apply(r, blamed)
		if f.ended() {
			return nil, nil, context.Cause(ctx)
		}
		for _, g := range found {
			stand = append(stand, &g.Finding)
		}
		waived = append(waived, allowed...)
	}
	return stand, waived, nil
}

// apply holds one rule against the facts, after those that may explain what it
// finds.
func (f *facts) apply(r *Rule, blamed culprits) (stand []*Found, waived []diag.Waived) {
	if r.pairs != nil {
		return f.applyToPairs(r, blamed)
	}
	for _, g := range r.find(f) {
		g.finish(r)
		stand = append(stand, &g)
	}
	stand, waived = f.waivers.waive(stand)
	return grouped(once(causes(stand, blamed))), waived
}

// Waivers gives a script error for every allow() that names neither a rule nor a caution.
func Waivers(d *model.Design) []*diag.Finding {
	var out []*diag.Finding
	for _, w := range d.Waivers {
		if _, ok := RuleNamed(w.Rule); ok || slices.Contains(cautionRules(), w.Rule) {
			continue
		}
		f := diag.Scriptf(w.Site, "allow: there is no rule %q", w.Rule)
		if near, ok := model.Nearest(w.Rule, append(ids(), cautionRules()...)); ok {
			f.WithHint("did you mean %q?", near)
		}
		out = append(out, f)
	}
	return out
}

// waivers finds the waivers of a rule on a panel.
type waivers struct {
	list  []*model.Waiver
	first map[waiverKey]int // of one rule on one panel the first in list
}

// waiverKey is what a waiver holds for.
type waiverKey struct {
	rule  string
	panel *model.Panel
}

// newWaivers indexes waivers by rule and panel; of several on one panel the first is kept.
func newWaivers(list []*model.Waiver) waivers {
	out := waivers{list, map[waiverKey]int{}}
	for i, w := range slices.Backward(list) {
		out.first[waiverKey{w.Rule, w.Panel}] = i
	}
	return out
}

// of is the first waiver of a rule on any of some panels, or nil.
func (w waivers) of(rule string, panels ...*model.Panel) *model.Waiver {
	if i := w.number(rule, panels...); i < len(w.list) {
		return w.list[i]
	}
	return nil
}

// number is the place of that waiver in the list; its length when there is none.
func (w waivers) number(rule string, panels ...*model.Panel) int {
	first := len(w.list)
	for _, p := range panels {
		if i, ok := w.first[waiverKey{rule, p}]; ok {
			first = min(first, i)
		}
	}
	return first
}

// waive parts the findings into those that stand and those that the designer
// allowed: a waiver holds for one rule on one panel, in every pose.
func (w waivers) waive(found []*Found) (stand []*Found, waived []diag.Waived) {
	var allowed []*Found
	for _, f := range found {
		if w.of(f.Rule, f.Panels...) != nil && !f.Fatal {
			allowed = append(allowed, f)
		} else {
			stand = append(stand, f)
		}
	}
	for _, f := range once(allowed) {
		waived = append(waived, diag.Waived{Finding: &f.Finding, Reason: w.of(f.Rule, f.Panels...).Reason})
	}
	return stand, waived
}

// early is the function of a rule whose findings an earlier stage makes.
func early(id string) func(*facts) []Found {
	return func(f *facts) []Found {
		var out []Found
		for _, g := range f.Early {
			if g.Rule == id {
				out = append(out, f.adopt(g))
			}
		}
		return out
	}
}

// adopt finds the panel and piece that a finding names.
func (f *facts) adopt(g *diag.Finding) Found {
	if f.named == nil {
		f.named = map[string]*model.Panel{}
		for _, p := range f.Design.Panels {
			f.named[p.Name] = p
		}
	}
	out := Found{Finding: *g}
	if p, ok := f.named[g.Panel]; ok {
		out.Panels, out.Blames = []*model.Panel{p}, []*model.Panel{p}
	}
	for _, p := range f.Design.Pieces {
		if p.Name == g.Piece {
			out.Piece = p
		}
	}
	return out
}

// InScriptOrder sorts findings by where the designer's own line stands, those
// of the named script first and those without a place last. Findings of one
// place keep the order in which they were found.
func InScriptOrder(found []*diag.Finding, script string) {
	slices.SortStableFunc(found, func(a, b *diag.Finding) int {
		s, t := a.Site.First(), b.Site.First()
		return cmp.Or(
			later(!s.Known(), !t.Known()),
			later(s.File != script, t.File != script),
			cmp.Compare(s.File, t.File),
			cmp.Compare(s.Line, t.Line),
			cmp.Compare(s.Column, t.Column),
		)
	})
}

// later orders false before true.
func later(a, b bool) int {
	switch {
	case a == b:
		return 0
	case b:
		return -1
	}
	return 1
}
