//go:build linux && !race

package worker

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"strconv"
	"syscall"
	"time"

	"golang.org/x/sys/unix"
)

// SystemLimits reports whether the system bounds a run's memory.
const SystemLimits = true

// boundMemory has the system refuse the process more memory than this. Address
// space cannot be bounded: Go reserves gigabytes of it.
func boundMemory(bytes int64) {
	lower(unix.RLIMIT_DATA, uint64(bytes))
}

// openNothing has the system refuse the process every further file, and every
// byte into one.
func openNothing() {
	for _, what := range []int{unix.RLIMIT_NOFILE, unix.RLIMIT_FSIZE, unix.RLIMIT_CORE} {
		lower(what, 0)
	}
}

// lower sets a limit for good. Where the system will not, the process's watch
// over itself is left.
func lower(what int, to uint64) {
	_ = unix.Setrlimit(what, &unix.Rlimit{Cur: to, Max: to})
}

// weigh calls heavy when a process comes to hold more than so many bytes, looking
// at every pulse until ctx ends. Newer kernels count memory that is laid over a
// reservation, as Go's is, only after they have granted it, so that one leap
// goes past their own bound; and a process that copies gigabytes may not come to
// its watch over itself. Where the figures cannot be read those two are left.
func weigh(ctx context.Context, pid int, most int64, heavy func()) {
	file, err := os.Open(filepath.Join("/proc", strconv.Itoa(pid), "statm"))
	if err != nil {
		return
	}
	defer file.Close()
	tick := time.NewTicker(pulse)
	defer tick.Stop()
	for {
		select {
		case <-ctx.Done():
			return
		case <-tick.C:
		}
		now, err := held(file)
		if err != nil {
			return // it has ended
		}
		if now > most {
			heavy()
			return
		}
	}
}

// held reads a statm file, all of whose figures are pages: the size, what of it
// is in memory, and what of that comes from files.
func held(file *os.File) (int64, error) {
	var room [128]byte
	n, err := file.ReadAt(room[:], 0)
	if n == 0 {
		return 0, err
	}
	fields := bytes.Fields(room[:n])
	if len(fields) < 3 {
		return 0, strconv.ErrSyntax
	}
	resident, err := strconv.ParseInt(string(fields[1]), 10, 64)
	if err != nil {
		return 0, err
	}
	shared, err := strconv.ParseInt(string(fields[2]), 10, 64)
	return (resident - shared) * int64(os.Getpagesize()), err
}

// peak is the most memory, in bytes, that a process that has ended held.
func peak(s *os.ProcessState) int64 {
	if usage, ok := s.SysUsage().(*syscall.Rusage); ok {
		return int64(usage.Maxrss) << 10
	}
	return 0
}
