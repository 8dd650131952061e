//go:build darwin || dragonfly || freebsd || linux || netbsd || openbsd

package publish

import (
	"errors"
	"os"

	"golang.org/x/sys/unix"
)

// syncFlags open a file for syncing. Opening it for writing would be news to
// programs that watch it.
const syncFlags = os.O_RDONLY | unix.O_NONBLOCK

// tryLock tries to lock the folder itself: no file is left behind. Free is false
// when another run has the lock; unlock is nil when there are no locks here.
func (d *disk) tryLock() (free bool, unlock func()) {
	fd := int(d.self.Fd())
	err := unix.Flock(fd, unix.LOCK_EX|unix.LOCK_NB)
	switch {
	case err == nil:
		return true, func() { _ = unix.Flock(fd, unix.LOCK_UN) }
	case errors.Is(err, unix.EWOULDBLOCK), errors.Is(err, unix.EINTR):
		return false, nil
	}
	return true, nil
}
