// Package publish puts a run's files where people and machines find them. Each
// file is either the old one or the new one, never half of each, and a file
// whose bytes did not change is not touched, so nothing that watches it stirs.
package publish

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"strings"

	"github.com/creasewright/creasewright/runtime/build"
)

// Files writes the files into the folder, which is made if it is not there
// (with the folders above it), and gives the names of those whose bytes
// changed. The report goes last: who waits for it finds the others in place.
// On an error the files named were written and the rest stand as before.
func Files(dir string, files []build.File) (written []string, err error) {
	for _, f := range files {
		if !plainName(f.Name) {
			return nil, fmt.Errorf("%q is not a file name", f.Name)
		}
	}
	if len(files) == 0 {
		return nil, nil
	}
	if err := os.MkdirAll(dir, 0o777); err != nil {
		return nil, fmt.Errorf("cannot make the output folder: %w", err)
	}
	root, err := os.OpenRoot(dir)
	if err != nil {
		return nil, fmt.Errorf("cannot open the output folder: %w", err)
	}
	defer root.Close()
	for _, f := range reportLast(files) {
		if same(root, f) {
			continue
		}
		if err := replace(root, f); err != nil {
			return written, fmt.Errorf("cannot write %s: %w", f.Name, cause(err))
		}
		written = append(written, f.Name)
	}
	return written, nil
}

// plainName reports whether the name stays in its folder on every system.
func plainName(name string) bool {
	return name != "" && name != "." && name != ".." && !strings.ContainsAny(name, "/\\:\x00")
}

func reportLast(files []build.File) []build.File {
	var first, last []build.File
	for _, f := range files {
		if f.Kind == build.Report {
			last = append(last, f)
		} else {
			first = append(first, f)
		}
	}
	return append(first, last...)
}

// same reports whether the file stands there already, byte for byte, and is a
// file of its own.
func same(root *os.Root, f build.File) bool {
	info, err := root.Lstat(f.Name)
	if err != nil || !info.Mode().IsRegular() || info.Size() != int64(len(f.Bytes)) {
		return false
	}
	old, err := root.ReadFile(f.Name)
	return err == nil && bytes.Equal(old, f.Bytes)
}

// replace writes beside the file and then takes its name, which no reader can
// catch half done. A link under that name is replaced, never followed.
func replace(root *os.Root, f build.File) error {
	part, file, err := create(root, f.Name)
	if err != nil {
		return err
	}
	_, err = file.Write(f.Bytes)
	if err = errors.Join(err, file.Close()); err == nil {
		err = root.Rename(part, f.Name)
	}
	if err != nil {
		return errors.Join(err, root.Remove(part))
	}
	return nil
}

// create opens a file of its own under a name that is free. The number of the
// process keeps two runs into one folder out of each other's way.
func create(root *os.Root, name string) (part string, file *os.File, err error) {
	for try := range 100 {
		part = fmt.Sprintf(".%s.%d-%d.part", name, os.Getpid(), try)
		file, err = root.OpenFile(part, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o666)
		if !errors.Is(err, fs.ErrExist) {
			return part, file, err
		}
	}
	return part, file, err
}

// cause is the error without the name of the temporary file.
func cause(err error) error {
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
