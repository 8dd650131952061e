package publish

import (
	"errors"
	"os"
)

// Replace gives an ordinary file below the root another text. At every instant the
// file is the old one or the new one, which is on the disk when the call returns. Its
// permissions stay.
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
	if err != nil {
		return err
	}
	part, err := d.create(text)
	if err == nil {
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
