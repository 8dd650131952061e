package live

import (
	"os"
	"path/filepath"

	"github.com/creasewright/creasewright/runtime/internal/publish"
	"github.com/creasewright/creasewright/runtime/internal/safefile"
)

// Put writes a file, and its folder where that is not there. At every instant the
// file is the old one or the new one.
func Put(path string, text []byte) error {
	dir := filepath.Dir(path)
	if err := os.MkdirAll(dir, 0o777); err != nil {
		return safefile.Cause(err)
	}
	root, err := safefile.OpenFolder(dir)
	if err != nil {
		return safefile.Cause(err)
	}
	defer root.Close()
	return safefile.Cause(publish.Replace(root, filepath.Base(path), text))
}
