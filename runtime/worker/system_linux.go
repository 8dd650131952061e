package worker

import (
	"bytes"
	"os"
	"path/filepath"
	"strconv"
	"sync"
	"syscall"
	"time"

	"golang.org/x/sys/unix"
)

// systemBounds reports that the system can bound a process here.
const systemBounds = true

// boundMemory has the system refuse the process more memory than this. Address
// space cannot be bounded: Go reserves gigabytes of it.
func boundMemory(bytes int64) { lower(unix.RLIMIT_DATA, uint64(bytes)) }

// boundCPU has the system end the process when it has used this much processor
// time since it was started.
func boundCPU(d time.Duration) { lower(unix.RLIMIT_CPU, uint64(d/time.Second)+1) }

// forbidFiles has the system refuse the process every further file, and every
// byte into one.
func forbidFiles() {
	for _, what := range []int{unix.RLIMIT_NOFILE, unix.RLIMIT_FSIZE, unix.RLIMIT_CORE} {
		lower(what, 0)
	}
}

// lower sets a limit for good. Where the system will not, the watchdog is left.
func lower(what int, to uint64) {
	if !underRace {
		_ = unix.Setrlimit(what, &unix.Rlimit{Cur: to, Max: to})
	}
}

// meter reads from outside what a process uses. Where the system does not tell,
// it reads zero.
type meter struct {
	pid   int
	opens sync.Once // statm, when it is first read: many runs are over before
	statm *os.File
}

func newMeter(pid int) *meter { return &meter{pid: pid} }

func (m *meter) open() {
	if !underRace {
		m.statm, _ = os.Open(filepath.Join("/proc", strconv.Itoa(m.pid), "statm"))
	}
}

func (m *meter) close() {
	if m.statm != nil {
		_ = m.statm.Close()
	}
}

// memory is what the process holds, in bytes, without what it maps of files. Of
// the figures in its statm file, which are pages, the second is what is in
// memory and the third what of that comes from files (proc(5)).
func (m *meter) memory() int64 {
	if m.opens.Do(m.open); m.statm == nil {
		return 0
	}
	var room [128]byte
	n, _ := m.statm.ReadAt(room[:], 0)
	fields := bytes.Fields(room[:n])
	if len(fields) < 3 {
		return 0
	}
	resident, _ := strconv.ParseInt(string(fields[1]), 10, 64)
	shared, _ := strconv.ParseInt(string(fields[2]), 10, 64)
	return (resident - shared) * int64(os.Getpagesize())
}

// cpu is the processor time of the process, of all its threads. A process's
// clock has its id, inverted, above three bits that say which clock of it
// (clock_getcpuclockid(3), include/linux/posix-timers.h).
func (m *meter) cpu() time.Duration {
	const scheduled = 2
	var t unix.Timespec
	if m.pid <= 0 || unix.ClockGettime(int32(^m.pid<<3|scheduled), &t) != nil {
		return 0
	}
	return time.Duration(t.Nano())
}

// peakMemory is the most memory, in bytes, that a process that has ended held.
func peakMemory(s *os.ProcessState) int64 {
	if usage, ok := s.SysUsage().(*syscall.Rusage); ok && !underRace {
		return int64(usage.Maxrss) << 10
	}
	return 0
}

// sharedFile is the descriptor by which a child finds the shared memory.
const sharedFile = 3

// share makes memory that a child can write and this process can read after
// the child's death. The file is for the child; nil when there is no such
// memory to be had, and the position of a sudden death is then not known.
func share() (memory []byte, file *os.File) {
	fd, err := unix.MemfdCreate("creasewright", unix.MFD_CLOEXEC)
	if err != nil {
		return nil, nil
	}
	file = os.NewFile(uintptr(fd), "position")
	if err := file.Truncate(positionSize); err != nil {
		file.Close()
		return nil, nil
	}
	memory, err = unix.Mmap(fd, 0, positionSize, unix.PROT_READ|unix.PROT_WRITE, unix.MAP_SHARED)
	if err != nil {
		file.Close()
		return nil, nil
	}
	return memory, file
}

// unshare gives the memory back.
func unshare(memory []byte) { _ = unix.Munmap(memory) }

// shared is the memory that the parent reads, or memory of its own when there
// is none.
func shared() []byte {
	memory, err := unix.Mmap(sharedFile, 0, positionSize, unix.PROT_READ|unix.PROT_WRITE, unix.MAP_SHARED)
	if err != nil {
		return make([]byte, positionSize)
	}
	_ = unix.Close(sharedFile)
	return memory
}
