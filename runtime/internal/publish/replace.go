package publish

import (
	"errors"
	"io/fs"
	"os"
)

// Replace gives a file below the root another text; one that is not there is made.
// At every instant the file is the old one or the new one, which is on the disk when
// the call returns. Its permissions stay.
func Replace(root *os.Root, name string, text []byte) error {
	self, err := root.Open(".")
	if err != nil {
		return err
	}
	defer self.Close()
	return (&disk{root: root, self: self}).replaceWhole(name, text)
}

func (d *disk) replaceWhole(name string, text []byte) error {
	info, err := d.root.Lstat(name)
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	part, err := d.create(text)
	if err == nil && info != nil {
		err = d.root.Chmod(part, info.Mode().Perm())
	}
	if err == nil {
		err = d.sync(part)
	}
	if err == nil {
		err = d.replace(part, name)
	}
	if err != nil {
		if part != "" {
			err = errors.Join(err, d.root.Remove(part))
		}
		return err
	}
	d.removeOld()
	d.syncSelf()
	return nil
}
