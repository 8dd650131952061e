package worker

import (
	"bytes"
	"encoding/json"

	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/emit"
	"github.com/creasewright/creasewright/runtime/engine"
	"github.com/creasewright/creasewright/runtime/limit"
	"github.com/creasewright/creasewright/runtime/source"
)

// question is what a process is to do: run a script or, with a fault, draw it.
type question struct {
	Script  string
	Params  map[string]string
	Formats []emit.Kind // of the child's table
	Also    []emit.Kind
	Limits  limit.Set
	Fault   *finding
}

// finding is a diag.Finding whose every field goes through JSON; the JSON of
// its own is for reports.
type finding diag.Finding

// answer is a engine.Result whose files' bytes come after it.
type answer struct {
	Exit     engine.Exit
	Files    []fileHead
	Findings []*finding
	Excerpts []engine.Excerpt
	Reads    []source.Read
	Prints   []string
	Pieces   []string
	Cautions []string
	Stack    string
}

// fileHead is a file without its bytes.
type fileHead struct {
	Name string
	Kind emit.Kind
}

// sendResult writes the answer and its files.
func sendResult(s *sender, res engine.Result) error {
	a := answer{
		Exit: res.Exit, Excerpts: res.Excerpts, Reads: res.Reads, Prints: res.Prints,
		Pieces: res.Pieces, Cautions: res.Cautions, Stack: res.Stack,
	}
	for _, f := range res.Files {
		a.Files = append(a.Files, fileHead{f.Name, f.Kind})
	}
	for _, f := range res.Findings {
		g := finding(*f)
		if g.At != nil && !g.At.Finite() {
			g.At = nil
		}
		for _, s := range []*string{&g.Message, &g.Hint, &g.Piece, &g.Panel, &g.Pose} {
			*s = diag.Short(*s)
		}
		a.Findings = append(a.Findings, &g)
	}
	var text bytes.Buffer
	enc := json.NewEncoder(&text)
	enc.SetEscapeHTML(false)
	if err := enc.Encode(a); err != nil {
		return err
	}
	if err := s.send(anAnswer, text.Bytes()); err != nil {
		return err
	}
	for _, f := range res.Files {
		if err := s.send(aFile, f.Bytes); err != nil {
			return err
		}
	}
	return nil
}

// result is the answer as a build gives it, with the files that it lists and
// their bytes in order.
func (a *answer) result(files []emit.File, texts [][]byte) engine.Result {
	res := engine.Result{
		Exit: a.Exit, Excerpts: a.Excerpts, Reads: a.Reads, Prints: a.Prints,
		Pieces: a.Pieces, Cautions: a.Cautions, Stack: a.Stack,
	}
	for i, f := range files {
		res.Files = append(res.Files, engine.File{Name: f.Name, Traits: f.Format.Traits, Bytes: texts[i]})
	}
	for _, f := range a.Findings {
		res.Findings = append(res.Findings, (*diag.Finding)(f))
	}
	return res
}
