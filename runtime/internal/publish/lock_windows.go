package publish

import (
	"errors"
	"os"

	"golang.org/x/sys/windows"
)

// syncFlags open a file for syncing, which takes the right to write.
const syncFlags = os.O_RDWR

// lockName is the file that is locked: folders cannot be. It stays.
const lockName = ".creasewright.lock"

// tryLock tries to lock. Free is false when another run has the lock; unlock is
// nil when there are no locks here.
func (d *disk) tryLock() (free bool, unlock func()) {
	file, err := d.root.OpenFile(lockName, os.O_RDWR|os.O_CREATE, 0o666)
	if err != nil {
		return true, nil
	}
	const how = windows.LOCKFILE_EXCLUSIVE_LOCK | windows.LOCKFILE_FAIL_IMMEDIATELY
	err = windows.LockFileEx(windows.Handle(file.Fd()), how, 0, 1, 0, &windows.Overlapped{})
	if err == nil {
		return true, func() { file.Close() }
	}
	file.Close()
	return !errors.Is(err, windows.ERROR_LOCK_VIOLATION), nil
}
