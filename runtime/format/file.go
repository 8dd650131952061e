package format

import (
	"bytes"
	"path/filepath"

	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/internal/publish"
	"github.com/creasewright/creasewright/runtime/internal/safefile"
	"github.com/creasewright/creasewright/runtime/source"
)

// Result is what became of a script's file.
type Result struct {
	Differs  bool            // it is not in style, or was not before it was written
	Text     []byte          // as it was read
	Findings []*diag.Finding // why it cannot be put into style
}

// File looks whether the script at a path is in style and, if write is set, puts it
// there: the file is the old one or the new one at every instant and keeps its
// permissions. A link is followed. The error is one of the disk, or that the path
// names no ordinary file.
func File(path string, write bool) (Result, error) {
	real, err := filepath.EvalSymlinks(path)
	if err != nil {
		return Result{}, safefile.Cause(err)
	}
	root, err := safefile.OpenFolder(filepath.Dir(real))
	if err != nil {
		return Result{}, safefile.Cause(err)
	}
	defer root.Close()
	name := filepath.Base(real)
	res := Result{}
	if res.Text, err = safefile.Read(root, name, MaxText, safefile.Refuse); err != nil {
		return res, safefile.Cause(err)
	}
	formatted, findings := Text(filepath.Base(path), res.Text)
	res.Findings = findings
	res.Differs = findings == nil && !bytes.Equal(formatted, res.Text)
	if res.Differs && write {
		err = publish.Replace(root, name, formatted)
	}
	return res, safefile.Cause(err)
}

// Line gives a line of a text for quoting beside a finding.
func Line(text []byte) func(file string, line int) string {
	store := source.NewStore(func(string) ([]byte, error) { return text, nil })
	return func(file string, line int) string {
		_, _ = store.Text(file) // what is in memory can be read
		return store.Line(file, line)
	}
}
