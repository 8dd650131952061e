package publish

import (
	"io"
	"os"
)

// contents reads an ordinary file of at most so many bytes; ok is false for
// everything else. It looks before it opens, since opening a device can act,
// and again afterwards, since by then another file, a link or a pipe may stand
// under the name. It never waits for a pipe's other end.
func contents(root *os.Root, name string, most int64) (text []byte, ok bool) {
	seen, err := root.Lstat(name)
	if err != nil || !seen.Mode().IsRegular() || seen.Size() > most {
		return nil, false
	}
	file, err := root.OpenFile(name, os.O_RDONLY|noWait, 0)
	if err != nil {
		return nil, false
	}
	defer file.Close()
	if opened, err := file.Stat(); err != nil || !os.SameFile(seen, opened) {
		return nil, false
	}
	text, err = io.ReadAll(io.LimitReader(file, most+1))
	return text, err == nil && int64(len(text)) <= most
}
