package live

import (
	"errors"
	"path/filepath"
)

// Output gives a file of the output folder by its name, as it stands there now: a
// regular file of at most so many bytes within the folder itself, through no link.
func (j Job) Output(name string, most int64) ([]byte, error) {
	if name == "" || name == "." || name != filepath.Base(name) || !filepath.IsLocal(name) {
		return nil, errors.New("this is no name of a file")
	}
	return j.folder().Read(name, most)
}
