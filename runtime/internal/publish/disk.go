package publish

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"math/rand/v2"
	"os"
	"strings"
	"time"

	"github.com/creasewright/creasewright/runtime/internal/safefile"
)

// disk is an open output folder. Whatever changes something there is a method
// of it.
type disk struct {
	root   *os.Root
	self   *os.File // the folder itself: for locking, exchanging and syncing
	old    []string // temporary names of files that have been replaced
	locked bool     // no other process writes here
	testHooks
}

// testHooks are for tests.
type testHooks struct {
	// step is told of each change before it is made, and refuses it by an error.
	step func(change, name string) error
	// unsynced leaves the syncing out: it takes a test's time and shows nothing.
	unsynced bool
}

func (d *disk) close() {
	d.self.Close()
	d.root.Close()
}

func (d *disk) beforeChange(change, name string) error {
	if d.step == nil {
		return nil
	}
	return d.step(change, name)
}

// read gives the bytes of an ordinary file of at most so many, nil for
// everything else. Links are not followed.
func (d *disk) read(name string, most int64) []byte {
	text, err := safefile.Read(d.root, name, most, safefile.Refuse)
	if err != nil {
		return nil
	}
	return text
}

// holds reports whether an ordinary file has these bytes. It is not read when its
// size says that it has others.
func (d *disk) holds(name string, text []byte) bool {
	info, err := d.root.Lstat(name)
	if err != nil || info.Size() != int64(len(text)) {
		return false
	}
	there, err := safefile.Read(d.root, name, int64(len(text)), safefile.Refuse)
	return err == nil && bytes.Equal(there, text)
}

// Names of temporary files hold the number of the process, since not every file
// system has locks.
const partFormat = ".creasewright-%d-%d.part"

// isPart reports whether the name has the form of partFormat.
func isPart(name string) bool {
	rest, ours := strings.CutPrefix(name, ".creasewright-")
	rest, part := strings.CutSuffix(rest, ".part")
	process, number, two := strings.Cut(rest, "-")
	return ours && part && two && digits(process) && digits(number)
}

func digits(s string) bool { return s != "" && strings.Trim(s, "0123456789") == "" }

// partAge is when a temporary file is taken for abandoned where there is no
// lock. One lives for milliseconds.
const partAge = time.Minute

// sweep removes the temporary files that killed processes left behind.
func (d *disk) sweep() {
	entries, err := fs.ReadDir(d.root.FS(), ".")
	if err != nil {
		return
	}
	for _, e := range entries {
		if !isPart(e.Name()) {
			continue
		}
		if info, err := e.Info(); err == nil && (d.locked || time.Since(info.ModTime()) > partAge) {
			_ = d.remove(e.Name()) // it is in nobody's way
		}
	}
}

// create writes a temporary file under a name that is free; a link under that
// name is not followed. The name is given even with an error, "" if there is no
// such file.
func (d *disk) create(text []byte) (part string, err error) {
	var file *os.File
	for {
		// Drawn, not counted: an old file keeps the temporary name until it is
		// removed, which is done without the lock, so that no two outputs, be they
		// of one process, may ever use the same.
		part = fmt.Sprintf(partFormat, os.Getpid(), rand.Uint64())
		if err := d.beforeChange("create", part); err != nil {
			return "", err
		}
		file, err = d.root.OpenFile(part, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o666)
		if err == nil {
			break
		}
		if !errors.Is(err, fs.ErrExist) {
			return "", err
		}
	}
	err = d.beforeChange("write", part)
	if err == nil {
		_, err = file.Write(text)
	}
	return part, errors.Join(err, file.Close())
}

// errFolder is told before anything is written, if the folder is there by then.
var errFolder = errors.New("there is a folder of that name")

// replace gives a temporary file its name. Whatever had the name is put aside,
// see removeOld: giving its blocks back can take milliseconds.
func (d *disk) replace(part, name string) error {
	if err := d.beforeChange("replace", name); err != nil {
		return err
	}
	exchanged, err := exchange(d.self, part, name)
	if err != nil {
		return err
	}
	if !exchanged {
		return d.root.Rename(part, name)
	}
	if info, err := d.root.Lstat(part); err == nil && info.IsDir() {
		_, err := exchange(d.self, part, name)
		return errors.Join(errFolder, err)
	}
	d.old = append(d.old, part)
	return nil
}

// removeOld removes the files that replace has put aside.
func (d *disk) removeOld() {
	for _, part := range d.old {
		_ = d.remove(part) // else it is swept by the next run
	}
	d.old = nil
}

func (d *disk) remove(name string) error {
	if err := d.beforeChange("remove", name); err != nil {
		return err
	}
	return d.root.Remove(name)
}

// sync waits until a file has reached the disk.
func (d *disk) sync(name string) error {
	if err := d.beforeChange("sync", name); err != nil || d.unsynced {
		return err
	}
	file, err := d.root.OpenFile(name, syncFlags, 0)
	if err != nil {
		return err
	}
	defer file.Close()
	return file.Sync()
}

// syncSelf waits until the names in the folder have reached the disk. Not every
// system can do that for a folder.
func (d *disk) syncSelf() {
	if d.beforeChange("sync", ".") == nil && !d.unsynced {
		_ = d.self.Sync()
	}
}

// isFolder reports whether a folder has the name.
func (d *disk) isFolder(name string) bool {
	info, err := d.root.Lstat(name)
	return err == nil && info.IsDir()
}
