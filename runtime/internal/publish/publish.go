// Package publish puts a run's files where people and machines find them. Each
// file is either the old one or the new one, never half of each; when one of
// them cannot be written the others stay as they were; and a file whose bytes
// did not change is not touched, so nothing that watches it stirs. A process
// that is killed at any instant leaves no less behind. (A machine that loses
// its power may: nothing waits for the disk.)
package publish

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"slices"
	"strings"

	"github.com/creasewright/creasewright/runtime/emit"
	"github.com/creasewright/creasewright/runtime/engine"
)

// Change is what Files did to a folder, by name.
type Change struct {
	Written []string // files whose bytes changed
	Removed []string // files of earlier runs that are made no more
}

// Files writes the files into the folder, which is made if it is not there
// (with the folders above it). With all, the files are all there should be:
// those that an earlier call wrote for the same script and that are not among
// them are removed, unless someone has changed them since. A file of the same
// name is replaced whichever script it is of. A derived folder that is a link
// is refused. The report goes last: who waits for it finds the others in place.
// On an error the change tells what was done, which is nothing unless the disk
// failed between two renames.
func Files(to Folder, files []engine.File, all bool) (Change, error) {
	for _, f := range files {
		if !plainName(f.Name) {
			return Change{}, fmt.Errorf("%q is not a file name", f.Name)
		}
	}
	if len(files) == 0 {
		return Change{}, nil
	}
	root, err := to.open()
	if err != nil {
		return Change{}, err
	}
	defer root.Close()
	sweep(root)
	p := plan{root: root, script: to.Script, record: readRecord(root)}
	p.compare(files)
	if all {
		p.findStale(files)
	}
	return p.carryOut()
}

// plainName reports whether the name stays in its folder on every system.
func plainName(name string) bool {
	return name != "" && name != "." && name != ".." && !strings.ContainsAny(name, "/\\:\x00")
}

func reportLast(files []engine.File) []engine.File {
	out := slices.Clone(files)
	slices.SortStableFunc(out, func(a, b engine.File) int { return rank(a) - rank(b) })
	return out
}

func rank(f engine.File) int {
	if f.Kind == emit.KindReport {
		return 1
	}
	return 0
}

// same reports whether the file stands there already, byte for byte, and is a
// file of its own.
func same(root *os.Root, f engine.File) bool {
	old, ok := contents(root, f.Name, int64(len(f.Bytes)))
	return ok && bytes.Equal(old, f.Bytes)
}

// failed is an error with the name of the file and without those of folders
// and temporary files.
func failed(what, name string, err error) error {
	return fmt.Errorf("cannot %s %s: %w", what, name, cause(err))
}

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
