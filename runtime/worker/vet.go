package worker

import (
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

// checked is the child's answer once it has been looked through: nothing in it
// is relied on that none of ours would say.
func (r *run) checked() (engine.Result, error) {
	a := r.answer
	files := r.filesOf(a)
	switch {
	case a.Exit < engine.Clean || a.Exit > engine.Crashed:
		return engine.Result{}, errSenseless("its answer has no such ending")
	case !slices.Equal(a.Files, heads(files)):
		return engine.Result{}, errSenseless("its files are not those of its ending")
	case !slices.ContainsFunc(a.Findings, isError) != (a.Exit == engine.Clean):
		return engine.Result{}, errSenseless("its findings are not those of its ending")
	}
	named := map[string]bool{}
	for _, name := range a.Pieces {
		if !pieceName(name) {
			return engine.Result{}, errSenseless("a piece's name can be no file's")
		}
		if name = model.FileKey(name); named[name] {
			return engine.Result{}, errSenseless("two pieces have one name")
		}
		named[name] = true
	}
	for i, f := range a.Files {
		if !files[i].Format.Recognises(r.files[i]) {
			return engine.Result{}, errSenseless(fmt.Sprintf("%s is no such file", f.Name))
		}
	}
	for _, f := range a.Findings {
		if !r.sensible(f) {
			return engine.Result{}, errSenseless("a finding makes no sense")
		}
	}
	for _, e := range a.Excerpts {
		if !r.known(e.File) || e.Line < 1 {
			return engine.Result{}, errSenseless("it quotes what it was not given")
		}
	}
	res := a.result(files, r.files)
	res.Reads = r.reads()
	return res, nil
}

func isError(f *finding) bool { return f != nil && f.Severity == diag.Error }

// filesOf lists the files that an answer of its ending and pieces has. A broken
// script has its pictures or, where it could not be read at all, no file.
func (r *run) filesOf(a *answer) []emit.File {
	if a.Exit == engine.Crashed || a.Exit == engine.Broken && len(a.Files) == 0 {
		return nil
	}
	return r.formats().Files(emit.When(a.Exit), a.Pieces, r.req.Also)
}

// formats is the table that the run makes files from.
func (r *run) formats() emit.Table {
	if r.req.Formats != nil {
		return r.req.Formats
	}
	return engine.Formats()
}

// heads are files as an answer lists them.
func heads(files []emit.File) (out []fileHead) {
	for _, f := range files {
		out = append(out, fileHead{f.Name, f.Format.Kind})
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

// Bounds of a finding.
const (
	mostMessage = 100_000 // bytes
	mostPlaces  = 10_000
)

// ruleID reports whether a text is a rule's id: a small letter, then up to 63
// small letters, digits and hyphens.
func ruleID(s string) bool {
	const letters = "abcdefghijklmnopqrstuvwxyz"
	return s != "" && len(s) <= 64 && s[0] >= 'a' && s[0] <= 'z' && strings.Trim(s, letters+"0123456789-") == ""
}

func (r *run) sensible(f *finding) bool {
	if f == nil || f.Severity > diag.Error || !ruleID(f.Rule) || f.Message == "" {
		return false
	}
	if len(f.Site) > mostPlaces || len(f.Related) > mostPlaces || f.At != nil && !f.At.Finite() {
		return false
	}
	for _, s := range []string{f.Message, f.Hint, f.Piece, f.Panel, f.Pose} {
		if len(s) > mostMessage {
			return false
		}
	}
	for _, s := range f.Site {
		if !r.places(s) {
			return false
		}
	}
	for _, rel := range f.Related {
		if !r.places(rel.Span) || len(rel.Message) > mostMessage {
			return false
		}
	}
	return true
}

// places reports whether a span is a place in a text that the child has.
func (r *run) places(s source.Span) bool {
	return (s.File == "" || r.known(s.File)) && s.Line >= 0 && s.Column >= 0 && s.EndLine >= 0 && s.EndColumn >= 0
}

// known reports whether the child has a text of that label, or knows that there
// is none: one it asked for, or one of the library, which it does not ask for.
func (r *run) known(label string) bool {
	_, asked := r.served[label]
	return asked || label == r.req.Script || len(label) <= mostLabelSize && strings.HasPrefix(label, "//")
}
