// Package safefile opens folders and reads files that someone else may have
// replaced by something that only looks like them. Opening a pipe waits for its
// other end, opening a device can act, and a link can lead anywhere: none of
// that happens here. Everything below a folder is reached through one handle on
// it (os.Root), so replacing the folder's name afterwards changes nothing.
package safefile

import (
	"bytes"
	"errors"
	"io"
	"io/fs"
	"os"
	"path/filepath"
)

// Errors of Read besides those of the system.
var (
	ErrFolder   = errors.New("this is a folder, not a file")
	ErrSpecial  = errors.New("this is a device or a pipe, not a file")
	ErrTooLarge = errors.New("the file is too large")
)

// OpenFolder opens the folder at a path, following links. It fails at once on a
// pipe: a path that ends in "/." can only be resolved as a folder.
func OpenFolder(path string) (*os.Root, error) {
	if path == "" {
		return nil, &fs.PathError{Op: "open", Path: path, Err: fs.ErrNotExist}
	}
	root, err := os.OpenRoot(asFolder(path))
	if p := (*fs.PathError)(nil); errors.As(err, &p) {
		err = &fs.PathError{Op: p.Op, Path: path, Err: p.Err}
	}
	return root, err
}

// OpenBelow is OpenFolder for a folder below a root. Links must stay below it.
func OpenBelow(root *os.Root, name string) (*os.Root, error) {
	return root.OpenRoot(asFolder(name))
}

func asFolder(path string) string { return path + string(filepath.Separator) + "." }

// Links says whether Read follows links. They never lead out of the root.
type Links bool

const (
	Follow Links = true
	Refuse Links = false
)

// Read reads a regular file below the root, of at most the given number of
// bytes. It looks at the file before opening it, because opening can have
// effects, and again afterwards, because the name may have been given to
// another file in between.
func Read(root *os.Root, name string, most int64, links Links) ([]byte, error) {
	look := root.Lstat
	if links == Follow {
		look = root.Stat
	}
	seen, err := look(name)
	if err == nil {
		err = onlyRegular(seen, most)
	}
	if err != nil {
		return nil, err
	}
	file, err := root.OpenFile(name, os.O_RDONLY|nonBlock, 0)
	if err != nil {
		return nil, err
	}
	defer file.Close()
	if links == Follow {
		seen = nil
	}
	return readOpened(file, seen, most)
}

// readOpened reads a file that has been opened. It must be regular, and the one
// that was seen before if that is given.
func readOpened(file *os.File, seen fs.FileInfo, most int64) ([]byte, error) {
	opened, err := file.Stat()
	if err == nil {
		err = onlyRegular(opened, most)
	}
	if err != nil {
		return nil, err
	}
	if seen != nil && !os.SameFile(seen, opened) {
		return nil, ErrSpecial // a link, most likely
	}
	var text bytes.Buffer
	text.Grow(int(opened.Size()) + bytes.MinRead) // two reads: the second finds the end
	_, err = text.ReadFrom(io.LimitReader(file, most+1))
	if err == nil && int64(text.Len()) > most { // it has grown, or hides its size as those in /proc do
		err = ErrTooLarge
	}
	if err != nil {
		return nil, err
	}
	return text.Bytes(), nil
}

func onlyRegular(info fs.FileInfo, most int64) error {
	switch {
	case info.IsDir():
		return ErrFolder
	case !info.Mode().IsRegular():
		return ErrSpecial
	case info.Size() > most:
		return ErrTooLarge
	}
	return nil
}

// Cause is what lies behind a file error, without the paths in it.
func Cause(err error) error {
	var p *fs.PathError
	if errors.As(err, &p) {
		return p.Err
	}
	var l *os.LinkError
	if errors.As(err, &l) {
		return l.Err
	}
	return err
}
