// Package read gives a run its texts from disk and nothing else: the script's
// own folder and the personal shelf, each a root that no label, link or device
// leads out of. The standard library is no business of this package: it is
// part of the program.
package read

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"strings"
	"unicode/utf8"

	"github.com/creasewright/creasewright/runtime/source"
)

// MaxSize is the largest text read, in bytes. An honest script is a few
// kilobytes; what a parser does with megabytes is not worth finding out.
const MaxSize = 256 << 10

// ShelfPrefix opens the label of a module on the personal shelf.
const ShelfPrefix = "@shelf//"

// Folder reads the texts of one script: its neighbours by plain label, shelf
// modules by "@shelf//" label. Safe for use by several goroutines.
type Folder struct {
	given  string // the script's path, absolute, links and all
	dir    string // the script's folder, links resolved
	script string // the script's base name
	shelf  string // "" when there is no shelf
}

// Beside gives the texts of the script at the path and of the shelf folder,
// which may be "" or not there yet. A link to a script is followed first: the
// script's folder is where the file really is. Neither has to exist.
func Beside(script, shelf string) (*Folder, error) {
	given, err := filepath.Abs(script)
	if err != nil {
		return nil, err
	}
	real, err := filepath.EvalSymlinks(given)
	if errors.Is(err, fs.ErrNotExist) {
		real, err = given, nil
	}
	if err != nil && strings.HasSuffix(err.Error(), "too many links") { // the package has no value for it
		err = errors.New("links lead from one to the next without end")
	}
	if err != nil {
		return nil, fmt.Errorf("%s: %w", filepath.Base(script), cause(err))
	}
	if shelf != "" {
		if shelf, err = filepath.Abs(shelf); err != nil {
			return nil, err
		}
	}
	if !utf8.ValidString(filepath.Base(real)) {
		return nil, fmt.Errorf("%s: the name is not UTF-8 text", filepath.Base(real))
	}
	return &Folder{given: given, dir: filepath.Dir(real), script: filepath.Base(real), shelf: shelf}, nil
}

// Script is the label of the main script: its base name.
func (f *Folder) Script() string { return f.script }

// Text is a source.Reader. It gives at most MaxSize bytes of a regular file
// within the label's root; source.ErrAbsent when there is none; and for
// everything else the cause alone, since who asked knows the label.
func (f *Folder) Text(label string) ([]byte, error) {
	dir, name, err := f.place(label)
	if err != nil {
		return nil, err
	}
	root, err := os.OpenRoot(dir)
	if err == nil {
		defer root.Close()
		var text []byte
		if text, err = regular(root, name); err == nil {
			return text, nil
		}
	}
	if errors.Is(err, fs.ErrNotExist) {
		return nil, source.ErrAbsent
	}
	return nil, cause(err)
}

// place splits a label into its root and a path below that root.
func (f *Folder) place(label string) (dir, name string, err error) {
	dir, name = f.dir, label
	if rest, ok := strings.CutPrefix(label, ShelfPrefix); ok {
		if f.shelf == "" {
			return "", "", source.ErrAbsent
		}
		dir, name = f.shelf, rest
	}
	if !fs.ValidPath(name) || name == "." || strings.ContainsAny(name, "\\:\x00") || name != path.Clean(name) {
		return "", "", errors.New("this is not a name within its folder")
	}
	return dir, name, nil
}

// regular reads one regular file. It looks before it opens, since opening a
// pipe or a device can wait or act, and again afterwards, since the name may
// have changed hands.
func regular(root *os.Root, name string) ([]byte, error) {
	info, err := root.Stat(name)
	if err != nil {
		return nil, explain(root, name, err)
	}
	if err := onlyRegular(info); err != nil {
		return nil, err
	}
	file, err := root.OpenFile(name, os.O_RDONLY|noWait, 0)
	if err != nil {
		return nil, err
	}
	defer file.Close()
	if info, err = file.Stat(); err == nil {
		err = onlyRegular(info)
	}
	if err != nil {
		return nil, err
	}
	text, err := io.ReadAll(io.LimitReader(file, MaxSize+1))
	if err == nil && len(text) > MaxSize {
		return nil, fmt.Errorf("the file is larger than %d KB", MaxSize>>10)
	}
	return text, err
}

// explain says in plain words what a root says when a link leads out of it.
func explain(root *os.Root, name string, err error) error {
	if errors.Is(err, fs.ErrNotExist) {
		return err
	}
	if info, _ := root.Lstat(name); info != nil && info.Mode()&fs.ModeSymlink != 0 {
		return errors.New("this is a link that leads out of its folder")
	}
	return err
}

func onlyRegular(info fs.FileInfo) error {
	switch {
	case info.IsDir():
		return errors.New("this is a folder, not a file")
	case !info.Mode().IsRegular():
		return errors.New("this is a device or a pipe, not a file")
	}
	return nil
}

// cause takes the folders out of a file error: what is left names no place on
// the disk.
func cause(err error) error {
	var p *fs.PathError
	if errors.As(err, &p) {
		return p.Err
	}
	return err
}
