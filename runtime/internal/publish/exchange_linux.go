package publish

import (
	"errors"
	"os"

	"golang.org/x/sys/unix"
)

// exchange has two files of a folder exchange their names, in one step. It
// reports false, without an error, when that cannot be done because there is no
// second file or the file system does not know how.
func exchange(folder *os.File, a, b string) (done bool, err error) {
	fd := int(folder.Fd())
	err = unix.Renameat2(fd, a, fd, b, unix.RENAME_EXCHANGE)
	for _, refused := range []error{unix.ENOENT, unix.EINVAL, unix.ENOSYS, unix.EOPNOTSUPP, unix.EPERM} {
		if errors.Is(err, refused) {
			return false, nil
		}
	}
	return err == nil, err
}
