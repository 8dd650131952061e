package publish

import (
	"context"
	"errors"
	"time"
)

// How long to wait for another run to finish writing, and how long between two
// tries. Writing takes milliseconds, a few seconds for tens of thousands of
// files; who takes longer is stopped or hangs.
const (
	lockWait  = 10 * time.Second
	lockRetry = 2 * time.Millisecond
)

var errLocked = errors.New("another run is writing there and does not end")

// lock takes the advisory lock on the folder, waiting no longer than given and
// no longer than the context. It ends with the process at the latest. A file
// system without locks is used without.
func (d *disk) lock(ctx context.Context, wait time.Duration) (unlock func(), err error) {
	tick := time.NewTicker(lockRetry)
	defer tick.Stop()
	for late := time.After(wait); ; {
		free, unlock := d.tryLock()
		if free {
			d.locked = unlock != nil
			return func() {
				if d.locked {
					d.locked = false
					unlock()
				}
			}, nil
		}
		select {
		case <-ctx.Done():
			return nil, ctx.Err()
		case <-late:
			return nil, errLocked
		case <-tick.C:
		}
	}
}
