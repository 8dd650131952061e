package publish

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"github.com/creasewright/creasewright/runtime/internal/safefile"
)

// Folder is where the files of a script go.
type Folder struct {
	Path    string
	Shown   string // the path as the user knows it; "" for Path itself
	Script  string // base name: scripts that share a folder leave one another's files there
	Derived bool   // nobody chose the path: it comes from Beside
}

func (f Folder) shown() string {
	if f.Shown != "" {
		return f.Shown
	}
	return f.Path
}

// open opens the folder, which is made if asked for.
func (f Folder) open(create bool) (*disk, error) {
	open := f.openChosen
	if f.Derived {
		open = f.openDerived
	}
	root, err := open(create)
	if err != nil {
		return nil, err
	}
	self, err := root.Open(".")
	if err != nil {
		root.Close()
		return nil, fmt.Errorf("cannot open the output folder: %w", safefile.Cause(err))
	}
	return &disk{root: root, self: self}, nil
}

// Make makes the folder unless it is there, as Files does before it writes.
func (f Folder) Make() error {
	d, err := f.open(true)
	if err == nil {
		d.close()
	}
	return err
}

// Read gives a file in the folder as it stands there now, of at most so many bytes. It
// is found like the folder's files are written: through one handle, no link followed.
func (f Folder) Read(name string, most int64) ([]byte, error) {
	d, err := f.open(false)
	if err != nil {
		return nil, err
	}
	defer d.close()
	var text []byte
	for range readTries {
		if text, err = safefile.Read(d.root, name, most, safefile.Refuse); !errors.Is(err, safefile.ErrSpecial) {
			break
		}
	}
	return text, safefile.Cause(err)
}

// readTries is how often a file is read that was another one when it was opened than when
// it was looked at: a run may just have replaced it.
const readTries = 3

// openChosen opens a folder that the user chose, wherever links lead.
func (f Folder) openChosen(create bool) (*os.Root, error) {
	if create {
		if err := os.MkdirAll(f.Path, 0o777); err != nil {
			return nil, f.failed("make", err)
		}
	}
	root, err := safefile.OpenFolder(f.Path)
	if err != nil {
		return nil, f.failed("open", err)
	}
	return root, nil
}

// openDerived opens a folder that nobody chose and refuses one that is a link:
// who sent the script could have put it there, and so have chosen any folder at
// all. The name is looked at after the folder has been opened: what it stands
// for then is the folder that was opened, or the folder is refused.
func (f Folder) openDerived(create bool) (*os.Root, error) {
	parent, err := safefile.OpenFolder(filepath.Dir(f.Path))
	if err != nil {
		return nil, f.failed("open", err)
	}
	defer parent.Close()
	name := filepath.Base(f.Path)
	if create {
		// Another run may have made it; if a file is in the way, opening it fails.
		if err := parent.Mkdir(name, 0o777); err != nil && !os.IsExist(err) {
			return nil, f.failed("make", err)
		}
	}
	root, err := safefile.OpenBelow(parent, name)
	const link = fs.ModeSymlink | fs.ModeIrregular // irregular: a junction
	there, _ := parent.Lstat(name)
	if there != nil && there.Mode()&link != 0 {
		if err == nil {
			root.Close()
		}
		return nil, fmt.Errorf("the output folder %s is a symbolic link; give -o %[1]s if its files are to go where it leads", f.shown())
	}
	if err != nil && create {
		return nil, f.failed("make", err) // something else has the name
	}
	if err != nil {
		return nil, f.failed("open", err)
	}
	if opened, err := root.Stat("."); err != nil || there == nil || !os.SameFile(there, opened) {
		root.Close()
		return nil, fmt.Errorf("cannot open the output folder %s: it is being replaced", f.shown())
	}
	return root, nil
}

func (f Folder) failed(what string, err error) error {
	return fmt.Errorf("cannot %s the output folder %s: %w", what, f.shown(), safefile.Cause(err))
}

// Beside is the default output folder: the script's path without ".star". A
// script without that ending, or with nothing but dots before it, gets ".files"
// added: the folder must not take the script's own name, and "...star" must not
// choose the folder above.
func Beside(script string) string {
	dir, name := filepath.Split(script)
	if stem, ok := strings.CutSuffix(name, ".star"); ok && strings.Trim(stem, ".") != "" {
		return dir + stem
	}
	return script + ".files"
}
