// Package engine runs a script and gives everything that comes of it: cut
// files, a picture, a report, findings. It touches no disk, clock or
// environment; texts come from a reader it is handed and what it makes is plain
// data, so it can be embedded, run in a child process or tested from memory.
//
// The package is stable: names and what they mean stay; fields may be added.
package engine

import (
	"context"
	"fmt"
	"runtime/debug"
	"strings"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/emit"
	"github.com/creasewright/creasewright/runtime/internal/check"
	"github.com/creasewright/creasewright/runtime/internal/parallel"
	"github.com/creasewright/creasewright/runtime/internal/preview"
	"github.com/creasewright/creasewright/runtime/internal/script"
	"github.com/creasewright/creasewright/runtime/limit"
	"github.com/creasewright/creasewright/runtime/model"
	"github.com/creasewright/creasewright/runtime/simulate"
	"github.com/creasewright/creasewright/runtime/source"
	"github.com/creasewright/creasewright/runtime/toolpath"
	"github.com/creasewright/creasewright/stdlib"
)

// Request is what a run needs.
type Request struct {
	// Script is the label of the main script: its base name, "tea.star".
	Script string
	// Read gives the script and what it loads: "name.star" for its neighbours,
	// "@shelf//name.star" for the shelf. Labels "//name.star" never reach it;
	// the standard library is part of the program.
	Read source.Reader
	// Params are values for the script's parameters, as typed: "90", "3in".
	Params map[string]string
	// Formats are the files that it can make; nil is Formats(), and an empty table
	// is for who wants the findings alone.
	Formats emit.Table
	// Also names formats that are made only when asked for, and are.
	Also []emit.Kind
	// For names machines of the script: each is to have a file of every piece.
	For []string
	// Paper is for files that are printed at home; "" is A4.
	Paper Paper
	// Layout, if it is not nil, asks for the pieces laid on a sheet: the design is run as
	// ever, and the files are those of the layout alone.
	Layout *LayoutRequest
	// Motion, if it is not nil, asks for the states of a piece on its way to a pose
	// instead of all else: nothing is laid, checked or drawn, and emit.KindMotion is
	// the only file.
	Motion *MotionRequest
	// LastPreview is the preview of the run before, or nil. While the script
	// does not run, the fault is shown over its drawing.
	LastPreview []byte
	// Tests asks for the tests in the script instead of a design: Result.Tests says
	// which were run, and nothing is made.
	Tests bool
	// Only names the one test that is to be run, "" for all. With NoTest the script is
	// run and no test of it, and Result.Tests lists them.
	Only string
	// Limits bound the run as far as it can bound itself: all but Time and
	// Memory. The zero Set is the defaults.
	Limits limit.Set
	// Reached, if it is not nil, is told at every statement and at every stage
	// after the script where the run has come to and how many panels it works
	// on, none while the script runs. The site is not to be kept.
	Reached func(at source.Site, panels int)
	// Stage, if it is not nil, is told the stages that the run comes to, in the order of
	// Stages.
	Stage func(stage string)
}

// RuleCrash is the rule id of a fault of the program's own.
const RuleCrash = "program"

// Run runs the script and everything after it. Whatever goes wrong, in the
// script or in the program, comes back in the Result. The error is that the
// context ended, with its cause: every stage looks at it at least every 50 ms,
// and the Result is then empty.
func Run(ctx context.Context, req Request) (res Result, err error) {
	r := &run{req: req, store: source.NewStore(withLibrary(req.Read))}
	defer func() {
		res, err = r.ended(ctx, res, recover())
	}()
	return r.all(ctx)
}

// Stopped is the result of a run that was ended from outside for a fault of the
// script's: the fault is shown as one that the script was found out in.
func Stopped(ctx context.Context, req Request, fault *diag.Finding) (res Result, err error) {
	r := &run{req: req, store: source.NewStore(withLibrary(req.Read))}
	defer func() {
		res, err = r.ended(ctx, res, recover())
	}()
	for _, s := range fault.Site {
		_, _ = r.store.Text(s.File) // to be quoted, if it can be had
	}
	return r.broken(ctx, fault), nil
}

// ended is what a run gives that has come to its end with a result or a panic:
// nothing but the cause once its context has ended, wherever it was then.
func (r *run) ended(ctx context.Context, res Result, fault any) (Result, error) {
	if fault != nil {
		res = r.crashed(fault)
	}
	if ctx.Err() != nil {
		return Result{}, context.Cause(ctx)
	}
	return res, nil
}

// run is the state of one run, filled stage by stage.
type run struct {
	req    Request
	store  *source.Store
	prints []string

	design   *model.Design
	blanks   []*blank.Blank    // one a piece, in the order of the design's pieces
	pieces   []*simulate.Piece // likewise
	findings []*diag.Finding
	waived   []diag.Waived
	cautions []string
	machines []*model.Machine               // that files are asked for, each once
	programs []*toolpath.Program            // of the pieces on these, and on those that compensate
	views    []preview.View                 // of every piece in the poses that are pictured
	laid     func() (*preview.Sheet, error) // see sheet
	layout   *emit.Layout                   // of the pieces on a sheet, where that is asked for
	at       source.Site                    // the piece that a stage works on
}

// all goes through the stages. A stage starts only from what the one before it
// gives whole.
func (r *run) all(ctx context.Context) (Result, error) {
	opts := script.Options{
		Library: stdlib.Functions,
		Params:  r.req.Params, Limits: r.req.Limits, Closed: simulate.Closed,
		Print: func(line string) { r.prints = append(r.prints, line) },
	}
	if r.req.Reached != nil {
		opts.Reached = func(at source.Site) { r.req.Reached(at, 0) }
	}
	if r.req.Tests {
		return r.tests(ctx, opts)
	}
	if fault := r.req.fault(); fault != nil {
		return r.broken(ctx, fault), nil
	}
	r.enter(StageScript)
	r.design, r.findings = script.Run(ctx, r.store, r.req.Script, opts)
	if ctx.Err() != nil {
		return Result{}, context.Cause(ctx)
	}
	if r.design == nil {
		return r.broken(ctx, r.findings...), nil
	}
	if faults := check.Waivers(r.design); faults != nil {
		return r.broken(ctx, faults...), nil
	}
	if r.req.Motion != nil {
		return r.motion(ctx)
	}
	if fault := r.choose(); fault != nil {
		return r.broken(ctx, fault), nil
	}
	r.enter(StageBlank)
	if err := r.lay(ctx); err != nil {
		return Result{}, err
	}
	r.enter(StageFolds)
	r.arrive(r.design.Pieces[0])
	var err error
	if r.pieces, err = simulate.Run(ctx, r.design, r.blanks); err != nil {
		return Result{}, err
	}
	r.enter(StageRules)
	if err := r.program(ctx); err != nil {
		return Result{}, err
	}
	// The folded views are drawn while the rules judge; their marks follow.
	if err = parallel.Steps(ctx,
		func() (err error) { r.views, err = r.draw(ctx); return },
		func() (err error) {
			r.findings, r.waived, err = check.Run(ctx, check.Input{Design: r.design, Pieces: r.pieces, Early: r.findings, Machines: r.machines, Programs: r.programs})
			return
		},
	); err != nil {
		return Result{}, err
	}
	check.InScriptOrder(r.findings, r.req.Script)
	r.findings = diag.AtMost(diag.MostFindings, r.findings)
	cautions, silenced := check.Cautions(r.design)
	r.cautions, r.waived = cautions, append(r.waived, silenced...)
	exit := Clean
	if worst, _ := diag.Worst(r.findings); worst == diag.Error {
		exit = Faulty
	}
	r.enter(StageFiles)
	if r.req.Layout != nil && exit == Clean {
		l, fault, err := r.layOut(ctx)
		if err != nil {
			return Result{}, err
		}
		if fault != nil {
			return r.broken(ctx, fault), nil
		}
		r.layout = l
	}
	files, err := r.files(ctx, exit)
	if err != nil {
		return Result{}, err
	}
	return r.bounded(ctx, exit, files), nil
}

// arrive tells that a stage begins to work on a piece.
func (r *run) arrive(p *model.Piece) {
	r.at = p.Site
	if r.req.Reached != nil {
		r.req.Reached(p.Site, len(r.design.Panels))
	}
}

// bounded is the result, unless its files pass the limit on them.
// What is not written has the same limit to itself.
func (r *run) bounded(ctx context.Context, exit Exit, files []File) Result {
	var written, unwritten int64
	for _, f := range files {
		if f.Unwritten {
			unwritten += int64(len(f.Bytes))
		} else {
			written += int64(len(f.Bytes))
		}
	}
	if limits := r.req.Limits.OrDefaults(); max(written, unwritten) > limits[limit.Output] {
		return r.broken(ctx, diag.Scriptf(r.design.Pieces[0].Site, "the files are larger than %s", limits.Amount(limit.Output)).
			WithHint("%s", limits.Raise(limit.Output)))
	}
	return r.result(exit, files)
}

// broken is the result of a script that gives no design.
func (r *run) broken(ctx context.Context, faults ...*diag.Finding) Result {
	r.findings = diag.AtMost(diag.MostFindings, faults)
	return r.result(Broken, r.faultFiles(ctx))
}

// lay lays every piece flat.
func (r *run) lay(ctx context.Context) error {
	for _, p := range r.design.Pieces {
		r.arrive(p)
		b, found, err := blank.Lay(ctx, p, r.design.Poses)
		if err != nil {
			return err
		}
		r.blanks = append(r.blanks, b)
		r.findings = append(r.findings, found...)
	}
	return nil
}

// result gathers what the run has so far.
func (r *run) result(exit Exit, files []File) Result {
	res := Result{
		Exit: exit, Files: files,
		Findings: r.findings, Excerpts: r.excerpts(), Reads: r.store.Reads(),
		Prints: r.prints, Cautions: r.cautions, Targets: r.targets(),
	}
	for _, b := range r.blanks {
		res.Pieces = append(res.Pieces, b.Piece.Name)
	}
	return res
}

// crashed is the result of a run that the program could not finish: only what
// was read and printed is worth keeping, and the place in the script that was
// being worked on.
func (r *run) crashed(fault any) Result {
	stack, at := debug.Stack(), r.at
	switch p := fault.(type) {
	case parallel.Panic:
		fault, stack = p.Fault, p.Stack
	case *script.Panic:
		fault, stack, at = p.Fault, p.Stack, p.Site
	}
	f := &diag.Finding{
		Rule: RuleCrash, Severity: diag.Error, Site: at,
		Message: fmt.Sprintf("the program failed on this script: %v", fault),
		Hint:    "this is a fault of the program, not of the script; please report it with the script",
	}
	r.findings = []*diag.Finding{f}
	return Result{
		Exit: Crashed, Findings: r.findings, Excerpts: r.excerpts(), Stack: string(stack),
		Reads: r.store.Reads(), Prints: r.prints,
	}
}

// excerpts quotes every script line that a finding points to, once.
func (r *run) excerpts() []Excerpt {
	var out []Excerpt
	seen := map[Excerpt]bool{}
	quote := func(s source.Span) {
		if e := (Excerpt{s.File, s.Line, r.store.Line(s.File, s.Line)}); s.Known() && !seen[e] {
			seen[e] = true
			out = append(out, e)
		}
	}
	for _, f := range r.findings {
		for _, s := range f.Site {
			quote(s)
		}
		for _, rel := range f.Related {
			quote(rel.Span)
		}
	}
	return out
}

// withLibrary serves the labels of the standard library from the program and
// leaves the others to next.
func withLibrary(next source.Reader) source.Reader {
	return func(label string) ([]byte, error) {
		if text, ok := stdlib.Text(label); ok {
			return text, nil
		}
		if strings.HasPrefix(label, "//") {
			return nil, source.ErrAbsent
		}
		return next.Text(label)
	}
}
