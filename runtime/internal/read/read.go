// Package read gives a run its texts from disk and nothing else: the script's
// own folder and the personal shelf, each a root that no label, link or device
// leads out of. The standard library is no business of this package: it is
// part of the program.
package read

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"strings"
	"unicode/utf8"

	"github.com/creasewright/creasewright/runtime/internal/safefile"
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
	top    string // the folder in which that path lies
	sub    string // the script's folder below top: "." unless the script is a link
	dir    string // both together, links resolved
	script string // the script's base name there
	shelf  string // "" when there is no shelf
}

// Beside gives the texts of the script at the path and of the shelf folder,
// which may be "" or not there yet. Neither has to exist. A script that is a
// link is followed: its folder is where the file really is. Like a link between
// modules it must not lead out of the folder it lies in, or a script from a
// stranger could show any file of the user's.
func Beside(script, shelf string) (*Folder, error) {
	base := filepath.Base(script)
	given, err := filepath.Abs(script)
	if err != nil {
		return nil, err
	}
	f := &Folder{given: given, top: filepath.Dir(given)}
	real, err := filepath.EvalSymlinks(given)
	if errors.Is(err, fs.ErrNotExist) {
		real, err = given, nil
	} else if err == nil {
		f.top, err = filepath.EvalSymlinks(f.top)
	}
	if err == nil {
		f.sub, err = filepath.Rel(f.top, filepath.Dir(real))
	}
	switch {
	case err != nil && strings.HasSuffix(err.Error(), "too many links"): // the package has no value for it
		err = errors.New("links lead from one to the next without end")
	case err == nil && !filepath.IsLocal(f.sub):
		err = errLeadsOut
	case err == nil && !utf8.ValidString(filepath.Base(real)):
		base, err = filepath.Base(real), errors.New("the name is not UTF-8 text")
	}
	if err != nil {
		return nil, fmt.Errorf("%s: %w", base, safefile.Cause(err))
	}
	if shelf != "" {
		if f.shelf, err = filepath.Abs(shelf); err != nil {
			return nil, err
		}
	}
	f.dir, f.script = filepath.Dir(real), filepath.Base(real)
	return f, nil
}

var errLeadsOut = errors.New("this is a link that leads out of its folder")

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
	text, err := f.read(dir, name)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil, source.ErrAbsent
	case errors.Is(err, safefile.ErrTooLarge):
		return nil, fmt.Errorf("the file is larger than %d KB", MaxSize>>10)
	case err != nil:
		return nil, safefile.Cause(err)
	}
	return text, nil
}

// Path is where the text of a label lies, if there is one: a path of the script's folder
// or of the shelf's, links and all.
func (f *Folder) Path(label string) (string, error) {
	dir, name, err := f.place(label)
	return filepath.Join(dir, filepath.FromSlash(name)), err
}

// read reads a file below the shelf or the script's folder. The latter is
// opened by way of the folder that the script's path names: a link that has
// been turned since must not lead out of that one either.
func (f *Folder) read(dir, name string) ([]byte, error) {
	open := func() (*os.Root, error) { return safefile.OpenFolder(dir) }
	if dir == f.dir {
		open = f.open
	}
	root, err := open()
	if err != nil {
		return nil, err
	}
	defer root.Close()
	text, err := safefile.Read(root, name, MaxSize, safefile.Follow)
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		if info, _ := root.Stat(name); info == nil { // no link that can be followed
			if info, _ = root.Lstat(name); info != nil && info.Mode()&fs.ModeSymlink != 0 {
				err = errLeadsOut
			}
		}
	}
	return text, err
}

// open opens the script's folder.
func (f *Folder) open() (*os.Root, error) {
	top, err := safefile.OpenFolder(f.top)
	if err != nil || f.sub == "." {
		return top, err
	}
	defer top.Close()
	return safefile.OpenBelow(top, f.sub)
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
