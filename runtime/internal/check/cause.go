package check

import (
	"fmt"
	"slices"

	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/model"
	"github.com/creasewright/creasewright/runtime/source"
)

// causes leaves out what only follows from another finding: a lid that was
// folded to the wrong place is told about once, not again for all it hits
// there. What stands wrong in the closed pose explains the other poses too.
func causes(found []*Found) []*Found {
	var culprits []*Found
	for _, f := range found {
		if len(f.Blames) > 0 && !f.Mild {
			culprits = append(culprits, f)
		}
	}
	var out []*Found
	for _, f := range found {
		if !slices.ContainsFunc(culprits, func(g *Found) bool { return g.explains(f) }) {
			out = append(out, f)
		}
	}
	return out
}

// explains reports whether f is only a consequence of g.
func (g *Found) explains(f *Found) bool {
	return slices.Contains(f.rule.after, g.Rule) && g.Piece == f.Piece &&
		(g.Pose == nil || g.Pose == f.Pose || g.Pose.Name == model.PoseClosed) &&
		meet(g.Blames, f.Panels)
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
		if f.Key != "" && seen[t] {
			continue
		}
		seen[t] = true
		out = append(out, f)
	}
	return out
}

// together tells findings of one rule, severity and pose that share a panel, or
// that are about panels which one and the same call made, as in a loop, as one:
// the heaviest speaks, the others are named beside it.
func together(found []*Found) []*Found {
	type tie struct {
		rule  *Rule
		mild  bool
		pose  *model.Pose
		panel *model.Panel // or else
		piece *model.Piece
		call  source.Span
	}
	group := make([]int, len(found)) // each finding's link toward the first of its group
	first := func(i int) int {
		for group[i] != i {
			group[i] = group[group[i]]
			i = group[i]
		}
		return i
	}
	seen := map[tie]int{}
	for i, f := range found {
		group[i] = i
		var ties []tie
		if call := f.Site.First(); call.Known() && len(f.Panels) > 0 && f.Panels[0].Site.First() == call {
			ties = append(ties, tie{rule: f.rule, mild: f.Mild, pose: f.Pose, piece: f.Piece, call: call})
		}
		for _, p := range f.Ties {
			ties = append(ties, tie{rule: f.rule, mild: f.Mild, pose: f.Pose, panel: p})
		}
		for _, t := range ties {
			if j, ok := seen[t]; ok {
				a, b := first(i), first(j)
				group[max(a, b)] = min(a, b)
			}
			seen[t] = i
		}
	}
	members := make([][]*Found, len(found))
	for i, f := range found {
		members[first(i)] = append(members[first(i)], f)
	}
	var out []*Found
	for _, m := range members {
		if m != nil {
			out = append(out, speaker(m))
		}
	}
	return out
}

// mostRelated is how many findings are named beside the one that speaks for
// them; more would say no more.
const mostRelated = 5

// speaker is the heaviest finding of a group, the first of equals, with the
// others as related spots.
func speaker(group []*Found) *Found {
	best := slices.MaxFunc(group, func(a, b *Found) int {
		switch {
		case a.Weight < b.Weight:
			return -1
		case a.Weight > b.Weight:
			return 1
		}
		return 0
	})
	others := slices.DeleteFunc(slices.Clone(group), func(f *Found) bool { return f == best })
	for _, f := range others[:min(len(others), mostRelated)] {
		best.Related = append(best.Related, diag.Related{Span: f.Site.First(), Message: "with it: " + f.Message})
	}
	if len(others) > mostRelated {
		best.Message += fmt.Sprintf("; with it %d more", len(others))
	}
	if hint := cureHint(common(best.Cures, others)); hint != "" {
		best.Hint = hint
	}
	return best
}

// meet reports whether two lists share a panel.
func meet(a, b []*model.Panel) bool {
	return slices.ContainsFunc(a, func(p *model.Panel) bool { return slices.Contains(b, p) })
}
