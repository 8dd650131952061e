//go:build unix

package worker

import (
	"os"
	"syscall"
	"time"
)

// parentSignals are meant for the parent, whose end ends its child.
var parentSignals = []os.Signal{os.Interrupt, syscall.SIGTERM, syscall.SIGHUP}

// cpuClock reads the processor time of this process, of all its threads. It
// takes no memory.
type cpuClock struct{ usage syscall.Rusage }

func (c *cpuClock) now() time.Duration {
	if syscall.Getrusage(syscall.RUSAGE_SELF, &c.usage) != nil {
		return 0
	}
	return time.Duration(c.usage.Utime.Nano() + c.usage.Stime.Nano())
}
