package script

import (
	"context"
	"strings"

	"go.starlark.net/starlark"
	"go.starlark.net/syntax"

	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/model"
	"github.com/creasewright/creasewright/runtime/source"
)

// RuleTest is the rule id of what a test asked for and did not get.
const RuleTest = "test"

// TestSuffix ends the name of a file of tests, which stands beside a module.
const TestSuffix = "_test.star"

// testPrefix begins the name of a function that is a test.
const testPrefix = "test_"

// IsTest reports whether a file of that name or label holds tests.
func IsTest(label string) bool { return strings.HasSuffix(label, TestSuffix) }

// Facts is what a run finds of a design, as far as tests may ask for it.
type Facts struct {
	Pieces   []PieceFacts
	Findings []*diag.Finding
}

// PieceFacts is one piece laid flat and folded. Lengths are millimetres, areas
// square millimetres, masses grams.
type PieceFacts struct {
	Piece         *model.Piece
	Width, Height float64 // of the blank
	Area          float64
	Mass          *float64 // nil where the board's grammage is not known
	Lengths       []KindLength
	Areas         map[*model.Panel]float64 // of the board that windows leave
	Poses         []PoseFacts
}

// KindLength is how long the strokes of one line kind are together.
type KindLength struct {
	Kind   string
	Length float64
}

// PoseFacts is a piece in one pose. What was not found has no entry.
type PoseFacts struct {
	Pose    string
	Places  map[*model.Panel]geom.RigidTransform // to the frame of the piece's root panel
	Folds   map[*model.Panel]geom.Degrees        // at the hinge that the panel hangs by
	Gaps    map[*model.Join]float64              // of the joins that the pose asks for
	Outside *[3]float64                          // over all; of the pose "closed" alone
	Inside  [3]*float64                          // through its middle; nil where it is open
}

// Test is one test of a file and why it failed; there are no findings when it did not.
type Test struct {
	Name     string
	Findings []*diag.Finding
}

// NoTest is no test's name.
const NoTest = "-"

// RunTests runs the tests of the file behind a label, each with the file run anew and
// nothing described yet: all of them, or only the one of a name. For NoTest none is
// run, and they are listed. opts.Facts is needed. Without tests the findings say why;
// what stands outside of them is at fault in the first one already.
func RunTests(ctx context.Context, store *source.Store, label, only string, opts Options) ([]Test, []*diag.Finding) {
	file, findings := Parse(store, label)
	if findings != nil {
		return nil, findings
	}
	names, fault := testsIn(label, file)
	if fault != nil {
		return nil, []*diag.Finding{fault}
	}
	var tests []Test
	if only == NoTest {
		found, _ := runTest(ctx, store, label, NoTest, opts)
		for _, name := range names {
			tests = append(tests, Test{Name: name})
		}
		return tests, found
	}
	for _, name := range names {
		if only != "" && name != only {
			continue
		}
		found, outside := runTest(ctx, store, label, name, opts)
		if ctx.Err() != nil {
			return nil, nil
		}
		if outside {
			return nil, found
		}
		tests = append(tests, Test{Name: name, Findings: found})
	}
	return tests, nil
}

// testsIn lists the tests of a file in order.
func testsIn(label string, file *syntax.File) (names []string, fault *diag.Finding) {
	for _, s := range file.Stmts {
		d, ok := s.(*syntax.DefStmt)
		if !ok || !strings.HasPrefix(d.Name.Name, testPrefix) {
			continue
		}
		start, end := d.Name.Span()
		site := source.Site{spanBetween(label, start, end)}
		for _, earlier := range names {
			if earlier == d.Name.Name {
				return nil, diag.Scriptf(site, "there are two tests called %s, and the first would not be run", earlier)
			}
		}
		if len(d.Params) > 0 {
			return nil, diag.Scriptf(site, "%s takes something in its brackets", d.Name.Name).
				WithHint("a test is called with nothing: def %s():", d.Name.Name)
		}
		names = append(names, d.Name.Name)
	}
	if names == nil {
		return nil, diag.Scriptf(wholeFile(label), "there is no test in this file").
			WithHint("a test is a function whose name begins with test_ and that takes nothing: def test_lid():")
	}
	return names, nil
}

// runTest runs one test, or for NoTest what stands outside of them. outside says that what was found lies outside of it: the
// file itself does not run.
func runTest(ctx context.Context, store *source.Store, label, name string, opts Options) (found []*diag.Finding, outside bool) {
	h := newHost(store, label, opts)
	h.test = &testRun{ctx: ctx, facts: opts.Facts, closed: opts.Closed}
	outside = true
	defer func() {
		if fault := recover(); fault != nil {
			found = h.panicked(fault)
		}
	}()
	thread := h.thread(opts)
	defer context.AfterFunc(ctx, func() { thread.Cancel(cancelled) })()
	globals, err := h.exec(thread, label)
	if err != nil {
		return h.explain(err), true
	}
	if outside = false; name == NoTest {
		return nil, false
	}
	if _, err = starlark.Call(thread, globals[name], nil, nil); err == nil && h.test.described {
		// What a test makes a piece of and does not ask about is to be well all the same.
		_, err = h.finished(nil, true)
	}
	if err != nil {
		h.test.failures = append(h.test.failures, h.explain(err)...)
	}
	return h.test.failures, false
}

// testRun is what the words of tests keep besides the design.
type testRun struct {
	ctx       context.Context
	facts     func(context.Context, *model.Design) (*Facts, error)
	closed    model.ClosedPose
	described bool // a piece has been made since the last design was finished
	failures  []*diag.Finding
}

// fail records that something is not as a test asks for; the test goes on.
func (c *call) fail(format string, args ...any) {
	f := diag.Scriptf(c.site, format, args...)
	f.Rule = RuleTest
	c.test.failures = append(c.test.failures, f)
}

// finished ends the design that was described so far, finds out about it, and begins
// a new one. With clean, errors and warnings are failures of the test.
func (h *host) finished(site source.Site, clean bool) (*Facts, error) {
	t := h.test
	if t.closed != nil {
		_ = h.build.CloseBy(t.ctx, t.closed) // only a builder that is spent refuses
	}
	design, err := h.build.Finish()
	h.build, t.described = model.NewBuilder(nil), false
	_ = h.build.Limit(h.limits)
	if f, ok := err.(*diag.Finding); ok {
		g := *f
		if len(g.Site) == 0 {
			g.Site = site
		}
		return nil, &g
	}
	if err != nil {
		return nil, err
	}
	facts, err := t.facts(t.ctx, design)
	if err != nil {
		return nil, err
	}
	for _, f := range facts.Findings {
		if clean && f.Severity > diag.Note {
			t.failures = append(t.failures, f)
		}
	}
	return facts, nil
}
