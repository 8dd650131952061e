package check

import (
	"fmt"
	"iter"
	"slices"

	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/internal/disjoint"
	"github.com/creasewright/creasewright/runtime/model"
	"github.com/creasewright/creasewright/runtime/source"
)

// culprits are the panels that findings blame, by rule, piece and pose; the
// pose is nil for findings of no pose and for those of "closed", which explain
// the other poses too.
type culprits map[culprit]bool

// culprit is a panel that a rule blames in a pose.
type culprit struct {
	rule  string
	piece *model.Piece
	pose  *model.Pose
	panel *model.Panel
}

// add books that a rule blames a panel.
func (c culprits) add(r *Rule, piece *model.Piece, pose *model.Pose, p *model.Panel) {
	if pose != nil && pose.Name == model.PoseClosed {
		pose = nil
	}
	c[culprit{r.ID, piece, pose, p}] = true
}

// explain reports whether what a rule finds about a panel in a pose only
// follows from what another rule has found.
func (c culprits) explain(r *Rule, piece *model.Piece, pose *model.Pose, p *model.Panel) bool {
	return slices.ContainsFunc(r.after, func(cause string) bool {
		return c[culprit{cause, piece, nil, p}] || c[culprit{cause, piece, pose, p}]
	})
}

// causes leaves out what only follows from another finding: a lid that was
// folded to the wrong place is told about once, not again for all it hits
// there. It books whom the findings blame, those left out too.
func causes(found []*Found, blamed culprits) []*Found {
	var out []*Found
	for _, f := range found {
		if !slices.ContainsFunc(f.Panels, func(p *model.Panel) bool { return blamed.explain(f.rule, f.Piece, f.Pose, p) }) {
			out = append(out, f)
		}
	}
	for _, f := range found {
		for _, p := range f.Blames {
			if !f.Mild {
				blamed.add(f.rule, f.Piece, f.Pose, p)
			}
		}
	}
	return out
}

// once leaves out what an earlier pose has shown already.
func once(found []*Found) []*Found {
	type trouble struct {
		rule  string
		piece *model.Piece
		key   string
	}
	seen := map[trouble]bool{}
	var out []*Found
	for _, f := range found {
		t := trouble{f.Rule, f.Piece, f.Key}
		// A key is the same in every pose; a finding without one is told each time.
		if f.Key != "" && seen[t] {
			continue
		}
		seen[t] = true
		out = append(out, f)
	}
	return out
}

// grouped tells findings of one rule, severity and pose that share a panel, or
// that are about panels which one and the same call made, as in a loop, as one:
// the heaviest represents them, the others are named beside it.
func grouped(found []*Found) []*Found {
	type tie struct {
		rule  *Rule
		mild  bool
		pose  *model.Pose
		panel *model.Panel // or else
		piece *model.Piece
		call  source.Span
	}
	group := disjoint.New(len(found))
	seen := map[tie]int{}
	for i, f := range found {
		var ties []tie
		// One call makes many panels in a loop of the script; what is wrong with them is one thing
		// to mend.
		if call := f.Site.First(); call.Known() && len(f.Panels) > 0 && f.Panels[0].Site.First() == call {
			ties = append(ties, tie{rule: f.rule, mild: f.Mild, pose: f.Pose, piece: f.Piece, call: call})
		}
		for _, p := range f.Ties {
			ties = append(ties, tie{rule: f.rule, mild: f.Mild, pose: f.Pose, panel: p})
		}
		for _, t := range ties {
			if j, ok := seen[t]; ok {
				group.Join(i, j)
			}
			seen[t] = i
		}
	}
	members := make([][]*Found, len(found))
	for i, f := range found {
		k := group.First(i)
		members[k] = append(members[k], f)
	}
	var out []*Found
	for _, m := range members {
		if m != nil {
			at := heaviest(len(m), func(i int) float64 { return m[i].Weight })
			best := m[at]
			out = append(out, representative(best, len(m)-1, slices.Values(slices.Delete(m, at, at+1))))
		}
	}
	return out
}

// heaviest is the number of the heaviest of n, the first of equals.
func heaviest(n int, weight func(i int) float64) int {
	best := 0
	for i := range n {
		if exceeds(weight(i), weight(best)) {
			best = i
		}
	}
	return best
}

// mostRelated is how many findings are named beside the one that speaks for
// them; more would say no more.
const mostRelated = 5

// representative makes one finding speak for a number of others too.
func representative(best *Found, others int, each iter.Seq[*Found]) *Found {
	named := 0
	for f := range each {
		if named++; named > mostRelated {
			break
		}
		best.Related = append(best.Related, diag.Related{Span: f.Site.First(), Message: "with it: " + f.Message})
	}
	if others > mostRelated {
		best.Message += fmt.Sprintf("; with it %d more", others)
	}
	if hint := hintFor(best, each); hint != "" {
		best.Hint = hint
	}
	return best
}
