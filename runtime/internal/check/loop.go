package check

import (
	"fmt"
	"math"
	"slices"

	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/contact"
	"github.com/creasewright/creasewright/runtime/internal/fold"
	"github.com/creasewright/creasewright/runtime/model"
	"github.com/creasewright/creasewright/runtime/simulate"
)

// loopOpen tells of loops that the given folds leave open.
var loopOpen = Rule{
	ID: "loop-open", Severity: diag.Error, Title: "given folds leave a loop open",
	after: []string{"vertex-not-flat-foldable"},
	find: func(f *facts) []Found {
		var out []Found
		for _, p := range f.Pieces {
			for _, st := range p.States {
				for _, t := range st.Faults {
					if t.Kind == fold.LoopOpen {
						out = append(out, openFound(f, p, state{st}, t))
					}
				}
			}
		}
		return out
	},
}

// openFound tells of a loop that given folds leave open.
func openFound(f *facts, p *simulate.Piece, s state, t fold.Fault) Found {
	g := foundf(siteOf(t.Hinge), t.Round, "the folds given round %s leave the loop open by %s at hinge %q in pose %q",
		quoted(t.Round), openBy(t.Gap), t.Hinge.Name, s.name())
	g = aboutLoop(s, g, t)
	cure, ok := soundTurn(f, p, s, t)
	switch {
	case ok && !s.Closed():
		return g.hint("%q: %s in pose %q would close it", cure.Hinge.Name, degrees(cure.Degrees), s.name())
	case ok:
		return g.hint("fold = %s for hinge %q would close it", degrees(cure.Degrees), cure.Hinge.Name)
	case len(t.Free) >= freeToClose:
		return g.hint("more folds are given than go together: make one of those given free(…)")
	case len(t.Free) > 0:
		return g.hint("with free(…) on three of its hinges a loop closes by itself, and %s free already", isFree(t.Free))
	case len(t.Cures) > 0:
		return g.hint("turn folds to the other side, two or more of them together: a single one closes it and breaks a join")
	}
	return g.hint("with free(…) on three of its hinges a loop closes by itself")
}

// mostTurns is how many ways to close a loop are tried for a hint.
const mostTurns = 8

// soundTurn is the first of the folds that would close a loop with which nothing
// worse comes of it: the joins between its panels hold, and no more of the panels
// cross. Where they stood before tells nothing, as the loop was open.
func soundTurn(f *facts, p *simulate.Piece, s state, t fold.Fault) (fold.Turn, bool) {
	// Of the panels round the loop only: others stand where other faults put them.
	crossings := func(st *simulate.State) (n int) {
		for _, q := range Pierced(st) {
			if a, b := s.pair(q[0], q[1]); slices.Contains(t.Round, a) && slices.Contains(t.Round, b) {
				n++
			}
		}
		return n
	}
	for _, c := range t.Cures[:min(len(t.Cures), mostTurns)] {
		after, err := s.Refolded(f.ctx, p.States[0], map[*model.Hinge]geom.Degrees{c.Hinge: c.Degrees})
		if err != nil {
			return fold.Turn{}, false
		}
		worse := slices.ContainsFunc(after.Faults, func(u fold.Fault) bool { return u.Kind == t.Kind && u.Hinge == t.Hinge }) ||
			slices.ContainsFunc(after.Gaps, func(g contact.Gap) bool {
				return slices.Contains(t.Round, g.Join.A.Panel) && slices.Contains(t.Round, g.Join.B.Panel) && exceeds(g.Size, gapLimit)
			})
		if !worse && crossings(after) <= crossings(s.State) {
			return c, true
		}
	}
	return fold.Turn{}, false
}

// freeToClose is how many free folds close a loop by themselves: as many as a turn
// in space has angles.
const freeToClose = 3

// isFree names free hinges.
func isFree(free []*model.Hinge) string {
	if len(free) == 1 {
		return quotedHinges(free) + " is"
	}
	return quotedHinges(free) + " are"
}

// openBy is how far a loop stands open: at least what counts as closed, unless
// even that is much beside what moves there.
func openBy(gap float64) string {
	if gap < fold.OpenLimit {
		return mmBeyond(gap, 0)
	}
	return mmBeyond(gap, fold.OpenLimit)
}

// loopLoose tells of free folds that nothing decides.
var loopLoose = Rule{
	ID: "loop-loose", Severity: diag.Error, Title: "too few folds are given to decide the free ones",
	find: loops(fold.LoopLoose, func(pose string, t fold.Fault) Found {
		if len(t.Round) == 0 && len(t.Free) == 1 {
			return foundf(siteOf(t.Hinge), aboutHinge(t), "the fold of hinge %q is free, and in pose %q no loop or join decides it",
				t.Hinge.Name, pose).
				hint("give it an angle, close a loop with hinge(…), or join its panel to another")
		}
		return foundf(siteOf(t.Hinge), aboutHinge(t), "%s must be given before the free folds %s have one shape in pose %q",
			counted(t.Missing, "more fold"), quotedHinges(t.Free), pose).
			hint("give %s an angle instead of free(…)", ofThem(t.Missing))
	}),
}

// ofThem is how many of the hinges named before.
func ofThem(n int) string {
	if n == 1 {
		return "one of them"
	}
	return fmt.Sprintf("%d of them", n)
}

// loopUnsolved tells of loops that no folds on the asked sides close, or that
// close in more than one way.
var loopUnsolved = Rule{
	ID: "loop-unsolved", Severity: diag.Error, Title: "no folds on the asked sides close a loop",
	after: []string{"vertex-not-flat-foldable"},
	find:  loops(fold.LoopUnsolved, tellUnsolved),
}

// tellUnsolved words the faults of free folds by what the search found out: several solutions, a
// vertex that cannot move, a motion that ends on the way, or folds that are to stay flat or go to
// the other side.
func tellUnsolved(pose string, t fold.Fault) Found {
	switch {
	case t.Several:
		f := foundf(siteOf(t.Hinge), aboutHinge(t), "the free folds %s can close their loop in several ways in pose %q, and nothing says which",
			quotedHinges(t.Free), pose)
		if t.Near == nil {
			return f.hint("say with near where to look, or give one of them an angle")
		}
		return f.hint("free(…, near = %s) for hinge %q says where to look; or give one of them an angle", geom.Num(float64(t.NearDegrees)), t.Near.Name)
	case t.Rigid:
		return foundf(siteOf(t.Hinge), aboutHinge(t), "the creases round %s meet in a rigid vertex: in pose %q no folds of %s to either side go with the one given",
			quoted(t.Round), pose, quotedHinges(t.Free)).
			hint("a vertex folds where four creases or more meet and no two neighbours stand half a turn or more apart: add a crease, or give all of them fold = 0")
	case t.Reached > 0:
		f := foundf(siteOf(t.Hinge), aboutHinge(t), "the motion ends before its value in pose %q: on the sides asked for, folds of %s close their loop up to %.0f %% of the given folds",
			pose, quotedHinges(t.Free), math.Floor(100*t.Reached))
		if t.Until == nil {
			return f.hint("give smaller folds, or change the angles between the creases")
		}
		return f.hint("fold = %s for hinge %q is about as far as it goes", degrees(t.UntilDegrees), t.Until.Name)
	}
	f := foundf(siteOf(t.Hinge), aboutHinge(t), "no folds of %s on the sides asked for close their loop in pose %q",
		quotedHinges(t.Free), pose)
	if len(t.Unmoved) > 0 {
		return f.hint("it closes with %s staying flat: fold = 0 says so", quotedHinges(t.Unmoved))
	}
	if len(t.Other) > 0 {
		return f.hint("it closes with %s folding to the other side", quotedHinges(t.Other))
	}
	if t.NoSides {
		return f.hint("other sides do not help: change the angles that are given, or those between the creases")
	}
	return f.hint("ask one of them to fold to the other side, or change the angles that are given")
}

// aboutHinge lists the panels that a fault speaks of: those round the loop, or
// the one that the hinge turns.
func aboutHinge(t fold.Fault) []*model.Panel {
	if len(t.Round) > 0 {
		return t.Round
	}
	return []*model.Panel{t.Hinge.Child}
}

// loops is the function of a rule about one kind of fault of folding.
func loops(kind fold.FaultKind, tell func(pose string, t fold.Fault) Found) func(*facts) []Found {
	return func(f *facts) []Found {
		return f.each(func(p state) []Found {
			var out []Found
			for _, t := range p.Faults {
				if t.Kind == kind {
					out = append(out, aboutLoop(p, tell(p.name(), t), t))
				}
			}
			return out
		})
	}
}

// aboutLoop places a finding about a fault of folding, and says whom it blames.
func aboutLoop(s state, g Found, t fold.Fault) Found {
	g = g.in(s.Pose, t.Hinge.Name).atHinge(t.Hinge)
	g.Ties, g.Weight, g.Blames = t.Round, t.Gap, misplaced(s.Piece, t)
	return g
}

// misplaced lists the panels that stand wrong when a loop does not close: all
// round it but the one nearest the root, and what hangs on them; for a hinge in
// no loop, what hangs on it.
func misplaced(piece *model.Piece, t fold.Fault) []*model.Panel {
	round, wrong, free := map[*model.Panel]bool{}, map[*model.Panel]bool{}, map[*model.Hinge]bool{}
	for _, p := range t.Round {
		round[p] = true
	}
	for _, h := range t.Free {
		free[h] = true
	}
	var out []*model.Panel
	for _, p := range piece.Panels {
		if h := p.Hang; h != nil && (wrong[h.Parent] || free[h] || round[p] && round[h.Parent]) {
			wrong[p] = true
			out = append(out, p)
		}
	}
	return out
}
