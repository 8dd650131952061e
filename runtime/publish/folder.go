package publish

import (
	"os"
	"path/filepath"
	"strings"
)

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
