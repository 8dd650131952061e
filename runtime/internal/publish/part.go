package publish

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"time"
)

// A part is a file that is still being written. The number of the process keeps
// two runs into one folder out of each other's way.
const partFormat = ".creasewright-%d-%d.part"

// isPart reports whether a file's name is that of a part.
func isPart(name string) bool {
	var process, part int
	_, err := fmt.Sscanf(name, partFormat, &process, &part)
	return err == nil && name == fmt.Sprintf(partFormat, process, part)
}

// partAge is when a part is nobody's any more. One lives for milliseconds.
const partAge = time.Minute

// create opens a part under a name that is free. A link under that name is not
// followed. Numbers are not tried twice: all parts of a run are there at once,
// and so may be those of a killed process that had the same number.
func (p *plan) create() (part string, file *os.File, err error) {
	for {
		part = fmt.Sprintf(partFormat, os.Getpid(), p.parts)
		p.parts++
		file, err = p.root.OpenFile(part, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o666)
		if !errors.Is(err, fs.ErrExist) {
			return part, file, err
		}
	}
}

// sweep removes the parts that a killed process left behind.
func sweep(root *os.Root) {
	entries, err := fs.ReadDir(root.FS(), ".")
	if err != nil {
		return
	}
	for _, e := range entries {
		if !isPart(e.Name()) {
			continue
		}
		if info, err := e.Info(); err == nil && time.Since(info.ModTime()) > partAge {
			_ = root.Remove(e.Name()) // another process may have swept it
		}
	}
}
