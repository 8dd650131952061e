//go:build !unix

package worker

import (
	"os"
	"syscall"
	"time"
)

// parentSignals are meant for the parent, whose end ends its child.
var parentSignals = []os.Signal{os.Interrupt, syscall.SIGTERM}

// started is when this process was.
var started = time.Now()

// cpuClock stands in for the processor time of this process, which is not read
// here, with the time since it was started.
type cpuClock struct{}

func (*cpuClock) now() time.Duration { return time.Since(started) }
