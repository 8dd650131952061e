package main

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"

	"github.com/creasewright/creasewright/runtime/engine"
	"github.com/creasewright/creasewright/runtime/model"
)

// noFile is the fault of a path at which there is no file; it proposes a file of the same folder and
// with the same ending that is spelt nearly so.
func noFile(path string) error {
	if near, ok := nearFile(path); ok {
		return fmt.Errorf("there is no file %q; did you mean %q?", path, near)
	}
	return fmt.Errorf("there is no file %q", path)
}

// misspelt is the fault of files that are not there where others of their folders may be meant, the first one's.
// Without such it is nil, and paths that were not given are no fault: watch waits for a script to come.
func misspelt(paths ...string) error {
	for _, path := range paths {
		if _, err := os.Lstat(path); path != "" && errors.Is(err, fs.ErrNotExist) {
			if _, ok := nearFile(path); ok {
				return &exit{code: engine.Broken, err: noFile(path)}
			}
		}
	}
	return nil
}

// nearFile is the path of such a file.
func nearFile(path string) (string, bool) {
	entries, err := os.ReadDir(filepath.Dir(path))
	if err != nil {
		return "", false
	}
	var names []string
	for _, e := range entries {
		if !e.IsDir() && filepath.Ext(e.Name()) == filepath.Ext(path) {
			names = append(names, e.Name())
		}
	}
	name, ok := model.Nearest(filepath.Base(path), names)
	if !ok {
		return "", false
	}
	return filepath.Join(filepath.Dir(path), name), true
}
