// Package script runs a designer's Starlark script and gives the design it
// describes. It holds the vocabulary, one table that both registers and
// documents every word, and turns Starlark's values into the model builder's
// terms and everyone's errors into findings with spans. It opens no file: texts
// come from a source.Store.
//
// # The way of a file
//
// load.go reads the text behind a label: UTF-8, without byte-order mark and NUL,
// lines ended by LF, at most MaxText bytes. size.go looks through its tokens
// (scan.go) before the parser does, because the parser's stack cannot be bounded
// from outside. The parser gives a tree, from which span.go learns what stretch
// to mark for each position that Starlark may name, and into which it puts
// probes if the caller follows the run. The resolver then takes every name for
// the file's own, for a word of the table (word.go), or for one of Starlark's
// (universe.go stands in for those whose cost is not bounded by steps).
//
// # Words
//
// A word's function reads its arguments through a call (call.go, args.go), which
// records the first fault and gives zero values from then on; so each function
// lists what it takes and asks once whether all of it was right. It then asks
// the model.Builder, which validates. Numbers are millimetres and degrees;
// geom.Degrees turns the latter into geom.Angle where geometry begins.
//
// # Errors
//
// Each error becomes a finding at the designer's own line, with the library
// lines it led to behind it (explain.go). The language's messages are put in
// plain words by their format (reword.go); what no format fits stays as it is.
// What the language would take without a word and nobody means is told before the
// file runs (indent.go, silent.go).
//
// # Bounds
//
// Steps, prints, sizes of texts and lengths of sequences are bounded here. Time
// and memory are not: whoever runs scripts of strangers runs them in a process
// that can be ended.
package script

import (
	"context"
	"errors"

	"go.starlark.net/resolve"
	"go.starlark.net/starlark"
	"go.starlark.net/syntax"

	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/limit"
	"github.com/creasewright/creasewright/runtime/model"
	"github.com/creasewright/creasewright/runtime/source"
)

// Options say how to run a script. The zero value is ready for use.
type Options struct {
	Params map[string]string // values for the script's parameters, as typed: "90", "3in", "kraft"
	Limits limit.Set         // the zero Set for the defaults
	Print  func(line string) // takes what the script prints; nil drops it

	// Library gives, for each function that scripts may load from the standard
	// library, the label of its module. It is asked when a name has no value; nil
	// stands for a library without functions.
	Library func() map[string]string

	// Closed folds a piece, for cuts that go through several panels; a script
	// with such cuts is at fault without it.
	Closed model.ClosedPose

	// Facts finds out about a design that a test has finished; RunTests needs it.
	Facts func(context.Context, *model.Design) (*Facts, error)

	// Reached is told which statement the script is about to run, if that is
	// not nil. The site is not to be kept.
	Reached func(source.Site)
}

// Run runs the script behind a label. The design is nil when the script is at
// fault, and the findings then say why; otherwise there are none: rules of the
// script's own that do not hold are in the design. Ending ctx stops the script between two steps. A failure of
// the program's own panics with a *Panic, which knows the place in the script.
func Run(ctx context.Context, store *source.Store, label string, opts Options) (design *model.Design, findings []*diag.Finding) {
	h := newHost(store, label, opts)
	defer func() {
		if fault := recover(); fault != nil {
			design, findings = nil, h.panicked(fault)
		}
	}()
	thread := h.thread(opts)
	defer context.AfterFunc(ctx, func() { thread.Cancel(cancelled) })()
	if _, err := h.exec(thread, label); err != nil {
		return nil, h.explain(err)
	}
	if opts.Closed != nil {
		_ = h.build.CloseBy(ctx, opts.Closed) // only a builder that is spent refuses
	}
	design, err := h.build.Finish()
	if err != nil {
		return nil, h.explain(err)
	}
	return design, nil
}

// host is the state of one run.
type host struct {
	store   *source.Store
	main    string
	build   *model.Builder
	table   *table
	words   starlark.StringDict // what every file may use without loading it
	spans   map[string]spanTable
	tokens  map[string][]token // of texts that were at fault
	modules map[string]*module
	loading []string // the chain of files being run, the script first
	globals []string // names the file being resolved defines, for suggestions

	library func() map[string]string // Options.Library, never nil

	test *testRun // nil outside of tests

	limits  limit.Set
	printed int64 // bytes
	reached func(source.Site)
	at      source.Site // the last place told to reached
}

// newHost gets everything ready to run the script behind a label.
func newHost(store *source.Store, label string, opts Options) *host {
	h := &host{
		store: store, main: label,
		build:   model.NewBuilder(opts.Params),
		table:   vocabulary(),
		spans:   map[string]spanTable{},
		tokens:  map[string][]token{},
		modules: map[string]*module{},
		library: opts.Library,
		limits:  opts.Limits.OrDefaults(),
		reached: opts.Reached,
	}
	if h.library == nil {
		h.library = func() map[string]string { return nil }
	}
	_ = h.build.Limit(h.limits) // only a builder that is spent refuses
	h.words = h.predeclared(false)
	h.guardUniverse(h.words)
	return h
}

// perLine is what a printed line costs besides its bytes, so that empty ones are
// not for nothing.
const perLine = 16

// thread is the interpreter's thread of the run, with its bounds on steps and on
// what is printed.
func (h *host) thread(opts Options) *starlark.Thread {
	t := &starlark.Thread{Name: h.main, Load: h.load}
	t.Print = func(_ *starlark.Thread, line string) {
		if h.printed += int64(len(line)) + perLine; h.printed > h.limits[limit.Prints] {
			t.Cancel(tooMuchPrinted)
		} else if opts.Print != nil {
			opts.Print(line)
		}
	}
	t.OnMaxSteps = func(t *starlark.Thread) { t.Cancel(tooManySteps) }
	t.SetMaxExecutionSteps(uint64(h.limits[limit.Steps]))
	return t
}

// dialect is the Starlark that scripts are written in: a list of panels reads
// best from the top level, loops and conditions included.
var dialect = &syntax.FileOptions{Set: true, TopLevelControl: true, GlobalReassign: true}

// exec runs one file and gives its frozen globals.
func (h *host) exec(thread *starlark.Thread, label string) (starlark.StringDict, error) {
	h.arrive(source.Span{File: label})
	text, err := h.read(label)
	if err != nil {
		return nil, err
	}
	file, err := dialect.Parse(label, text, syntax.RetainComments)
	if finding := h.mixedIndent(label, string(text), err); finding != nil {
		return nil, finding
	}
	if err != nil {
		return nil, err
	}
	silent := h.silentFault(label, file)
	h.spans[label] = spansOf(label, file)
	if label == h.main {
		if err := h.build.Title(nil, titleOf(file)); err != nil {
			return nil, err
		}
	}
	h.globals = definedNames(file)
	words := h.instrument(label, file)
	program, err := compile(file, words)
	if err != nil {
		return nil, err
	}
	if silent != nil { // a name without a value is told first
		return nil, silent
	}
	h.loading = append(h.loading, label)
	defer func() { h.loading = h.loading[:len(h.loading)-1] }()
	globals, err := program.Init(thread, words)
	globals.Freeze()
	return globals, err
}

// read gives the text of a file that the parser can bear.
func (h *host) read(label string) ([]byte, error) {
	text, finding := readText(h.store, label)
	if finding != nil && finding.Hint == "" {
		if near, ok := h.nearModule(label); ok {
			finding.WithHint("did you mean %s?", quote(near))
		}
	}
	if finding == nil {
		finding = oversized(label, text, h.limits)
	}
	if finding != nil {
		return nil, finding
	}
	return text, nil
}

// Parse reads the file behind a label and runs nothing. The tree has its comments;
// without one the findings say why.
func Parse(store *source.Store, label string) (*syntax.File, []*diag.Finding) {
	h := newHost(store, label, Options{})
	text, err := h.read(label)
	if err == nil {
		var file *syntax.File
		if file, err = dialect.Parse(label, text, syntax.RetainComments); err == nil {
			return file, nil
		}
	}
	return nil, h.explain(err)
}

// compile resolves the names of a file and compiles it. The resolver compares
// each name that it does not know with all that it does, which takes quadratic
// time; so it is told that it knows every name, and those that are neither words
// nor the language's own are found afterwards by how they were bound. The error
// is a resolve.ErrorList, in no order.
func compile(file *syntax.File, words starlark.StringDict) (*starlark.Program, error) {
	program, err := starlark.FileProgram(file, func(name string) bool {
		return words.Has(name) || !starlark.Universe.Has(name)
	})
	var faults resolve.ErrorList
	if err != nil && !errors.As(err, &faults) {
		return nil, err
	}
	syntax.Walk(file, func(n syntax.Node) bool {
		if id, ok := n.(*syntax.Ident); ok {
			b, bound := id.Binding.(*resolve.Binding)
			if bound && b.Scope == resolve.Predeclared && !words.Has(id.Name) {
				faults = append(faults, resolve.Error{Pos: id.NamePos, Msg: undefined + id.Name})
			}
		}
		return true
	})
	if len(faults) > 0 {
		return nil, faults
	}
	return program, nil
}
