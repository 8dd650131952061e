package worker

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/emit"
	"github.com/creasewright/creasewright/runtime/engine"
	"github.com/creasewright/creasewright/runtime/model"
	"github.com/creasewright/creasewright/runtime/source"
)

// verified is the child's answer once it has been looked through: nothing in it
// is relied on that an honest child would not say. The work is linear in the
// size of the answer; it ends with ctx, and then the error is that there is no
// answer.
func (x *exchange) verified(ctx context.Context) (engine.Result, error) {
	a, files := x.answer, x.expected()
	switch {
	case a.Exit < engine.Clean || a.Exit > engine.Crashed:
		return engine.Result{}, protocolError("its answer has no such ending")
	case !slices.Equal(a.Files, fileHeaders(files)):
		return engine.Result{}, protocolError("its files are not those of its ending")
	case a.Exit == engine.Clean && slices.ContainsFunc(a.Findings, isError):
		return engine.Result{}, protocolError("its findings are not those of its ending")
	}
	named := map[string]bool{}
	for _, name := range a.Pieces {
		folded := model.FileKey(name)
		if !pieceName(name) || named[folded] {
			return engine.Result{}, protocolError("the names of its pieces can be no files'")
		}
		named[folded] = true
	}
	if !x.targeted(a.Targets) {
		return engine.Result{}, protocolError("its machines are not those that were asked for")
	}
	if !x.req.Tests && len(a.Tests) > 0 || slices.ContainsFunc(a.Tests, func(t engine.Test) bool { return !testName(t.Name) }) {
		return engine.Result{}, protocolError("it names tests that there cannot be")
	}
	for i, f := range files {
		if err := f.Format.Check(ctx, x.files[i]); err != nil {
			return engine.Result{}, protocolError(fmt.Sprintf("%s: %v", f.Name, err))
		}
	}
	for _, f := range a.Findings {
		if ctx.Err() != nil {
			return engine.Result{}, context.Cause(ctx)
		}
		if !x.sensible(f) {
			return engine.Result{}, protocolError("a finding makes no sense")
		}
	}
	for _, e := range a.Excerpts {
		if !x.knows(e.File) || e.Line < 1 {
			return engine.Result{}, protocolError("it quotes what it was not given")
		}
	}
	res := a.result(files, x.files)
	res.Reads = x.reads()
	return res, nil
}

func isError(f *finding) bool { return f != nil && f.Severity == diag.Error }

// expected lists the files that an answer of its ending and pieces has. A broken
// script has its pictures or, where it could not be read at all, no file.
func (x *exchange) expected() []emit.File {
	a := x.answer
	if x.req.Tests || a.Exit < engine.Clean || a.Exit >= engine.Crashed || a.Exit == engine.Broken && len(a.Files) == 0 {
		return nil
	}
	return x.req.Files(a.Exit, a.Pieces, a.Targets)
}

// targeted reports whether machines are those that were asked for, each once, with kinds of
// file that machines take. A run that came to no design may name none, and so may one that lays pieces on the bed of
// a machine that takes no files.
func (x *exchange) targeted(targets []emit.Target) bool {
	asked := x.req.Machines()
	if len(targets) > len(asked) || len(targets) < len(asked) && x.answer.Exit < engine.Broken && x.req.Layout == nil {
		return false
	}
	for i, t := range targets {
		f, ok := x.req.Table().Of(t.Kind)
		if t.Machine != asked[i] || !engine.MachineName(t.Machine) || !ok || f.From != emit.FromProgram {
			return false
		}
	}
	return true
}

// fileHeaders are files as an answer lists them.
func fileHeaders(files []emit.File) (out []fileHeader) {
	for _, f := range files {
		out = append(out, fileHeader{f.Name, f.Format.Kind})
	}
	return out
}

// pieceName reports whether a name is one that the contract lets pieces have,
// so that it stays in the output folder on every system.
func pieceName(s string) bool {
	odd := func(r rune) bool {
		return !unicode.IsLetter(r) && !unicode.IsDigit(r) && !strings.ContainsRune(" _-.", r)
	}
	return s != "" && utf8.ValidString(s) && utf8.RuneCountInString(s) <= model.MaxPieceName &&
		!strings.ContainsFunc(s, odd) && strings.Trim(s, ". ") == s
}

// testName reports whether a name can be that of a function.
func testName(s string) bool {
	odd := func(r rune) bool { return r != '_' && !unicode.IsLetter(r) && !unicode.IsDigit(r) }
	return s != "" && len(s) <= maxText && utf8.ValidString(s) && !strings.ContainsFunc(s, odd)
}

// sensible reports whether a finding is one that sendResult would send.
func (x *exchange) sensible(f *finding) bool {
	if f == nil || f.Severity > diag.Error || !ruleID(f.Rule) || f.At != nil && !f.At.Finite() {
		return false
	}
	texts := []string{f.Message, f.Hint, f.Piece, f.Panel, f.Pose}
	for _, rel := range f.Related {
		if texts = append(texts, rel.Message); !x.knowsSpan(rel.Span) {
			return false
		}
	}
	long := func(s string) bool { return len(s) > maxText }
	return len(f.Site) <= maxSpans && len(f.Related) <= maxSpans && !slices.ContainsFunc(texts, long) &&
		!slices.ContainsFunc(f.Site, func(s source.Span) bool { return !x.knowsSpan(s) })
}

// maxText is how many bytes a text of a finding may have here. It is cut to
// diag.MostText; what is not UTF-8 in it takes up to three times that once it
// has gone through JSON.
const maxText = 3 * diag.MostText

// ruleID reports whether a text is a rule's id, as far as its letters go.
func ruleID(s string) bool {
	odd := func(r rune) bool { return (r < 'a' || r > 'z') && (r < '0' || r > '9') && r != '-' }
	return s != "" && len(s) <= 64 && !strings.ContainsFunc(s, odd)
}

// knowsSpan reports whether a span is a position in a text that the child has.
func (x *exchange) knowsSpan(s source.Span) bool {
	return (s.File == "" || x.knows(s.File)) && s.Line >= 0 && s.Column >= 0 && s.EndLine >= 0 && s.EndColumn >= 0
}

// knows reports whether the child has a text of that label, or knows that there
// is none: one it asked for, or one of the library, which it does not ask for.
func (x *exchange) knows(label string) bool {
	_, asked := x.served[label]
	return asked || label == x.req.Script || len(label) <= maxLabelSize && strings.HasPrefix(label, "//")
}
