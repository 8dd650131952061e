package live

import (
	"errors"
	"path/filepath"

	"github.com/creasewright/creasewright/runtime/internal/read"
)

// Output gives a file of the output folder by its name, as it stands there now: a
// regular file of at most so many bytes within the folder itself, through no link.
func (j Job) Output(name string, most int64) ([]byte, error) {
	if name == "" || name == "." || name != filepath.Base(name) || !filepath.IsLocal(name) {
		return nil, errors.New("this is no name of a file")
	}
	return j.folder().Read(name, most)
}

// Source gives a text that a run reads, by its label, as it stands on disk now: where it
// lies, as an absolute path, and what it holds. Texts of the standard library lie nowhere.
func (j Job) Source(label string) (path string, text []byte, err error) {
	folder, err := read.Beside(j.Script, j.Shelf)
	if err != nil {
		return "", nil, err
	}
	if j.Text != nil && label == folder.Script() {
		return "", nil, errors.New("this script stands in no file")
	}
	if text, err = folder.Text(label); err != nil {
		return "", nil, err
	}
	path, err = folder.Path(label)
	return path, text, err
}
