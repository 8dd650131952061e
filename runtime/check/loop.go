package check

import (
	"slices"

	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/fold"
	"github.com/creasewright/creasewright/runtime/model"
)

// loopOpen tells of loops that the given folds alone leave open.
var loopOpen = Rule{
	ID: "loop-open", Severity: diag.Error, Title: "given folds leave a loop open",
	after: []string{"vertex-not-flat-foldable"},
	find: loops(fold.LoopOpen, func(pose string, t fold.Fault) Found {
		return foundf(siteOf(t.Hinge), t.Round, "the folds given round %s leave the loop open by %s at hinge %q in pose %q",
			quoted(t.Round), mm(t.Gap), t.Hinge.Name, pose).
			hint("a loop closes by itself when three of its folds are free(…)")
	}),
}

// loopLoose tells of free folds that nothing decides.
var loopLoose = Rule{
	ID: "loop-loose", Severity: diag.Error, Title: "too few folds are given to decide the free ones",
	find: loops(fold.LoopLoose, func(pose string, t fold.Fault) Found {
		panels := t.Round
		if len(panels) == 0 {
			panels = []*model.Panel{t.Hinge.Child}
			return foundf(siteOf(t.Hinge), panels, "the fold of hinge %q is free, and in pose %q no loop or join decides it",
				t.Hinge.Name, pose).
				hint("give it an angle, or close a loop with hinge(…) or join its panel with meet(…) or glue(…)")
		}
		return foundf(siteOf(t.Hinge), panels, "%s must be given before the free folds %s have one shape in pose %q",
			counted(t.Missing, "more fold"), quotedHinges(t.Free), pose).
			hint("give some of them an angle instead of free(…)")
	}),
}

// loopUnsolved tells of loops that no folds on the asked sides close.
var loopUnsolved = Rule{
	ID: "loop-unsolved", Severity: diag.Error, Title: "no folds on the asked sides close a loop",
	after: []string{"vertex-not-flat-foldable"},
	find: loops(fold.LoopUnsolved, func(pose string, t fold.Fault) Found {
		panels := t.Round
		if len(panels) == 0 {
			panels = []*model.Panel{t.Hinge.Child}
		}
		return foundf(siteOf(t.Hinge), panels, "no folds of %s on the sides asked for close the loop at hinge %q in pose %q: the nearest leave it open by %s",
			quotedHinges(t.Free), t.Hinge.Name, pose, mm(t.Gap)).
			hint("ask one of them to fold to the other side, or change the angles that are given")
	}),
}

// loops is the function of a rule about one kind of fault of folding.
func loops(kind fold.FaultKind, tell func(pose string, t fold.Fault) Found) func(*Facts) []Found {
	return func(f *Facts) []Found {
		var out []Found
		f.poses(func(piece *fold.Folded, pose *fold.Pose) {
			for _, t := range pose.Faults {
				if t.Kind == kind {
					g := tell(pose.Pose.Name, t).in(pose.Pose, t.Hinge.Name).atHinge(t.Hinge)
					g.Ties, g.Weight, g.Blames = t.Round, t.Gap, misplaced(piece.Piece, t.Round)
					out = append(out, g)
				}
			}
		})
		return out
	}
}

// misplaced lists the panels that stand wrong when a loop does not close: all
// round it but the one nearest the root, and what hangs on them.
func misplaced(piece *model.Piece, round []*model.Panel) []*model.Panel {
	var out []*model.Panel
	for _, p := range piece.Panels {
		if p.Hang == nil {
			continue
		}
		above := p.Hang.Parent
		if slices.Contains(out, above) || slices.Contains(round, p) && slices.Contains(round, above) {
			out = append(out, p)
		}
	}
	return out
}
