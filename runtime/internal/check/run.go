package check

import (
	"context"

	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/model"
	"github.com/creasewright/creasewright/runtime/simulate"
)

// Run holds every rule against a design and its simulated pieces, which run
// parallel to the design's. It gives the findings that stand and those that the
// designer waived; each cause is told once. Early are the findings of the
// stages before; those that belong to no rule are passed on. The error is the
// cause of the context's end.
func Run(ctx context.Context, d *model.Design, pieces []*simulate.Piece, early []*diag.Finding) (stand []*diag.Finding, waived []diag.Waived, err error) {
	for _, e := range early {
		if _, ok := RuleNamed(e.Rule); !ok {
			stand = append(stand, e)
		}
	}
	f := newFacts(ctx, d, pieces, early)
	blamed := culprits{}
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
	stand, waived = waive(stand, f.Design.Waivers)
	return together(once(causes(stand, blamed))), waived
}
