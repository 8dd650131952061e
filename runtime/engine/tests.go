package engine

import (
	"cmp"
	"context"
	"slices"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/check"
	"github.com/creasewright/creasewright/runtime/internal/script"
	"github.com/creasewright/creasewright/runtime/model"
	"github.com/creasewright/creasewright/runtime/simulate"
)

// TestSuffix ends the name of a file of tests.
const TestSuffix = script.TestSuffix

// RuleTest is the rule id of what a test asks for and does not get.
const RuleTest = script.RuleTest

// NoTest is no test's name.
const NoTest = script.NoTest

// Test is one test that was run.
type Test struct {
	Name   string
	Failed bool
}

// tests runs the tests of the script. What failed is told as findings, each with the
// name of its test before it.
func (r *run) tests(ctx context.Context, opts script.Options) (Result, error) {
	opts.Facts = r.facts
	tests, findings := script.RunTests(ctx, r.store, r.req.Script, r.req.Only, opts)
	if ctx.Err() != nil {
		return Result{}, context.Cause(ctx)
	}
	if findings != nil {
		r.findings = diag.AtMost(diag.MostFindings, findings)
		return r.result(Broken, nil), nil
	}
	exit := Clean
	ran := make([]Test, len(tests))
	for i, t := range tests {
		ran[i] = Test{Name: t.Name, Failed: len(t.Findings) > 0}
		for _, f := range t.Findings {
			g := *f
			g.Message = diag.Short(t.Name + ": " + g.Message)
			if g.Severity < diag.Error {
				g.Severity = diag.Error // for the test, whatever it is for a design
			}
			r.findings = append(r.findings, &g)
			exit = Faulty
		}
	}
	r.findings = diag.AtMost(diag.MostFindings, r.findings)
	res := r.result(exit, nil)
	res.Tests = ran
	return res, nil
}

// facts lays, folds and checks a design that a test has described.
func (r *run) facts(ctx context.Context, d *model.Design) (*script.Facts, error) {
	sub := &run{req: r.req, store: r.store, design: d}
	if faults := check.Waivers(d); faults != nil {
		return nil, faults[0]
	}
	if err := sub.lay(ctx); err != nil {
		return nil, err
	}
	sub.arrive(d.Pieces[0])
	var err error
	if sub.pieces, err = simulate.Run(ctx, d, sub.blanks); err != nil {
		return nil, err
	}
	if sub.findings, _, err = check.Run(ctx, check.Input{Design: d, Pieces: sub.pieces, Early: sub.findings}); err != nil {
		return nil, err
	}
	check.InScriptOrder(sub.findings, r.req.Script)
	out := &script.Facts{Findings: sub.findings}
	for i, b := range sub.blanks {
		out.Pieces = append(out.Pieces, pieceFacts(b, sub.pieces[i]))
	}
	return out, nil
}

// pieceFacts is what tests may ask about one piece.
func pieceFacts(b *blank.Blank, p *simulate.Piece) script.PieceFacts {
	out := script.PieceFacts{
		Piece: b.Piece, Width: b.Bounds.Width(), Height: b.Bounds.Height(), Area: b.Area, Areas: map[*model.Panel]float64{},
	}
	if m, ok := b.Piece.Board.Mass(b.Area); ok {
		out.Mass = &m
	}
	for _, l := range b.Layers {
		out.Lengths = append(out.Lengths, script.KindLength{Kind: string(l.Kind), Length: l.Length()})
	}
	slices.SortStableFunc(out.Lengths, func(x, y script.KindLength) int { return cmp.Compare(x.Kind, y.Kind) })
	for _, s := range b.Regions {
		out.Areas[s.Panel] = s.Area
	}
	flat := script.PoseFacts{Pose: model.PoseFlat, Places: map[*model.Panel]geom.RigidTransform{}, Folds: map[*model.Panel]geom.Degrees{}}
	for _, panel := range b.Piece.Panels {
		flat.Places[panel] = panel.Flat.Space()
	}
	for _, h := range b.Piece.Hinges {
		flat.Folds[h.Child] = 0
	}
	out.Poses = append(out.Poses, flat)
	for _, s := range p.States {
		if s.Pose.Name != model.PoseFlat {
			out.Poses = append(out.Poses, poseFacts(s))
		}
	}
	return out
}

// poseFacts is what tests may ask about a piece in one pose.
func poseFacts(p *simulate.State) script.PoseFacts {
	s := stateOf(p)
	out := script.PoseFacts{Pose: p.Pose.Name, Places: s.Panels, Gaps: s.Gaps, Folds: map[*model.Panel]geom.Degrees{}}
	for h, a := range s.Folds {
		if !h.Closing {
			out.Folds[h.Child] = a
		}
	}
	if s.Sizes != nil {
		out.Outside, out.Inside = &s.Sizes.Outside, s.Sizes.Inside
	}
	return out
}
