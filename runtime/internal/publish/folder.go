package publish

import (
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
)

// Folder is where the files of a script go.
type Folder struct {
	Path    string
	Script  string // base name: scripts that share a folder leave one another's files there
	Derived bool   // nobody chose the path: it comes from Beside
}

// check refuses a derived folder that is a link: who sent the script could have
// put it there, and so have chosen any folder at all.
func (f Folder) check() error {
	if !f.Derived {
		return nil
	}
	const link = fs.ModeSymlink | fs.ModeIrregular // irregular: a junction
	if info, err := os.Lstat(f.Path); err != nil || info.Mode()&link == 0 {
		return nil
	}
	return fmt.Errorf("the output folder %s is a symbolic link; give -o %[1]s if its files are to go where it leads", f.Path)
}

// open opens the folder, which is made if it is not there.
func (f Folder) open() (*os.Root, error) {
	if err := f.check(); err != nil {
		return nil, err
	}
	if err := os.MkdirAll(f.Path, 0o777); err != nil {
		return nil, fmt.Errorf("cannot make the output folder: %w", err)
	}
	root, err := os.OpenRoot(f.Path)
	if err != nil {
		return nil, fmt.Errorf("cannot open the output folder: %w", err)
	}
	return root, nil
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

// mostLast is the largest earlier output worth reading back, in bytes.
const mostLast = 32 << 20

// Last is what stands in the folder under the name, nil when that is no file
// of an ordinary size or cannot be read.
func Last(dir, name string) []byte {
	root, err := os.OpenRoot(dir)
	if err != nil {
		return nil
	}
	defer root.Close()
	text, ok := contents(root, name, mostLast)
	if !ok {
		return nil
	}
	return text
}
