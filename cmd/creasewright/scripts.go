package main

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/creasewright/creasewright/runtime/engine"
)

// target is a script to check.
type target struct {
	path string
	// found is set for what was come across in a folder: it may be a module,
	// which makes no pieces and is nothing to check.
	found bool
}

// sort is a sort of scripts that a command looks for in folders.
type sort struct {
	is   func(name string) bool // by base name
	none string                 // what is said of a folder without any
}

// The sorts of scripts.
var (
	everyScript = sort{func(string) bool { return true }, "there is no script in folder %q: scripts end in .star"}
	designs     = sort{func(name string) bool { return !isTest(name) }, everyScript.none}
	tests       = sort{isTest, "there is no test in folder %q: tests stand in files called NAME" + engine.TestSuffix}
)

// isTest reports whether a file holds tests, by its name.
func isTest(name string) bool { return strings.HasSuffix(name, engine.TestSuffix) }

// targets lists what the arguments name: scripts as given, and in place of a
// folder those of a sort in it and below, in order of name. Hidden folders and
// links are passed over, and no script comes twice.
// Paths are compared after filepath.Clean, not by the files they lead to. Each is
// looked for among all before it: quadratic, for some hundreds of scripts.
func targets(args []string, of sort) ([]target, error) {
	var out []target
	add := func(path string, found bool) {
		path = filepath.Clean(path)
		if slices.ContainsFunc(out, func(t target) bool { return t.path == path }) {
			return
		}
		out = append(out, target{path, found})
	}
	for _, arg := range args {
		if info, err := os.Stat(arg); err != nil || !info.IsDir() {
			add(arg, false) // one that is not there is told like any fault
			continue
		}
		n := 0
		if err := walkScripts(arg, of, func(path string) { n++; add(path, true) }); err != nil {
			return nil, err
		}
		if n == 0 {
			return nil, fmt.Errorf(of.none, arg)
		}
	}
	return out, nil
}

// walkScripts visits the scripts of a sort in a folder and below.
// Order is that of filepath.WalkDir, by name in each folder, on every system.
func walkScripts(folder string, of sort, visit func(path string)) error {
	return filepath.WalkDir(folder, func(path string, e fs.DirEntry, err error) error {
		switch {
		case errors.Is(err, fs.ErrPermission) && path != folder:
			return nil // a folder below that may not be read is passed over
		case err != nil:
			return err
		case e.IsDir() && path != folder && strings.HasPrefix(e.Name(), "."):
			return fs.SkipDir
		case e.Type().IsRegular() && strings.HasSuffix(e.Name(), ".star") && of.is(e.Name()):
			visit(path)
		}
		return nil
	})
}

// folderOf is where a script lies, for a log that others read: a relative path
// with slashes, "" for the current folder and for what does not lie below it.
func folderOf(script string) string {
	dir := filepath.Dir(script)
	if !filepath.IsLocal(dir) || dir == "." {
		return ""
	}
	return filepath.ToSlash(dir)
}

// paths turns labels of texts into paths that an editor can open, written as the
// command line has them.
type paths struct {
	shelf   string // the shelf folder as given, "" when it was not
	unfiled string // the label of a script that stands in no file, "" for none
}

// of is the path of a text that a script loaded, or of the script. It is not ok for
// texts of the standard library, which lie in no folder, and of a shelf whose folder
// was not given.
func (p paths) of(script, label string) (path string, ok bool) {
	switch rest, shelved := strings.CutPrefix(label, "@shelf//"); {
	case shelved && p.shelf != "":
		return filepath.Join(p.shelf, rest), true
	case shelved || strings.HasPrefix(label, "//") || label == p.unfiled:
		return "", false
	}
	return filepath.Join(filepath.Dir(script), label), true
}

// shown is how a text is named in messages: by its path where it has one.
func (p paths) shown(script string) func(label string) string {
	return func(label string) string {
		if path, ok := p.of(script, label); ok {
			return path
		}
		return label
	}
}
