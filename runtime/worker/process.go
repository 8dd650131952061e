package worker

import (
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strconv"
	"sync"
	"time"
)

// process is one child.
type process struct {
	runs   int // that it has done
	in     io.WriteCloser
	out    io.ReadCloser
	stderr *stderr       // what it wrote there
	memory []byte        // of its position, nil when there is none
	failed error         // it could not be started
	kill   func()        // ends it at once, if it has not ended
	done   chan struct{} // closed when it has ended
	pid    int
	state  string // how it ended, once it has
	status int    // its exit status, −1 for a signal

	// What it used, once it has ended; 0 where not known.
	cpu  time.Duration // processor time since it was started
	peak int64         // bytes, the most memory it held

	ended sync.Once
}

// start starts a child of a program, "" for this one, which with ahead is not
// asked at once. That it could not be started is told by its first use.
func start(program string, ahead bool) *process {
	w := &process{stderr: &stderr{}, done: make(chan struct{}), kill: func() {}}
	if w.failed = w.launch(program, ahead); w.failed != nil {
		close(w.done)
	}
	return w
}

func (w *process) launch(path string, ahead bool) error {
	if path == "" {
		var err error
		if path, err = thisProgram(); err != nil {
			return err
		}
	}
	// No environment to speak of, and no folder that anyone may want to remove.
	cmd := exec.Command(path, childArgument)
	if ahead {
		cmd = exec.Command(path, aheadArgument)
	}
	cmd.Env = []string{"GOMAXPROCS=" + strconv.Itoa(processors())}
	cmd.Dir = filepath.VolumeName(path) + string(filepath.Separator)
	cmd.Stderr = w.stderr
	// Not StdoutPipe, which Wait closes before all of it is read.
	read, write, err := os.Pipe()
	if err != nil {
		return err
	}
	if w.in, err = cmd.StdinPipe(); err != nil {
		read.Close()
		write.Close()
		return err
	}
	cmd.Stdout, w.out = write, read
	memory, file := share()
	if file != nil {
		defer file.Close()
		cmd.ExtraFiles = []*os.File{file}
		w.memory = memory
	}
	err = cmd.Start()
	write.Close()
	if err != nil {
		read.Close()
		if memory != nil {
			unshare(memory)
		}
		return err
	}
	w.pid = cmd.Process.Pid
	w.kill = func() { _ = cmd.Process.Kill() } // fails when it has ended already
	go func() {
		_ = cmd.Wait() // what it says is in the state
		s := cmd.ProcessState
		w.state, w.status = s.String(), s.ExitCode()
		w.cpu, w.peak = s.UserTime()+s.SystemTime(), peakMemory(s)
		close(w.done)
	}()
	return nil
}

// processors is how many processors a child takes itself to have: one more than the
// machine has, for its watchdog, within bounds. Three do for its work, for looking for
// dead objects and for the watchdog; each takes threads, whose stacks count as memory,
// and memory of its own for small objects, so that there are no more than four.
func processors() int { return min(max(runtime.NumCPU()+1, 3), 4) }

// underRace reports whether the race detector is built in.
var underRace = false

// BoundsMemory reports whether the system bounds a run's memory. Where it does
// not, the watchdog is all there is.
func BoundsMemory() bool { return systemBounds && !underRace }

// itself is, on Linux, this very program even when its file has been replaced
// since it was started.
const itself = "/proc/self/exe"

// thisProgram is the path of the program that is running.
func thisProgram() (string, error) {
	if _, err := os.Stat(itself); err == nil {
		return itself, nil
	}
	return os.Executable()
}

// alive reports whether the child has not ended yet.
func (w *process) alive() bool {
	select {
	case <-w.done:
		return false
	default:
		return true
	}
}

// end ends the child, waits for it and gives back what it held.
func (w *process) end() {
	w.ended.Do(func() {
		w.kill()
		<-w.done
		if w.failed != nil {
			return
		}
		_ = w.in.Close()
		_ = w.out.Close()
		if w.memory != nil {
			unshare(w.memory)
			w.memory = nil
		}
	})
}

// stderr keeps the beginning of what a child writes there as it dies: that is
// where Go says why.
type stderr struct {
	mu   sync.Mutex
	text []byte
}

const maxStderr = 8 << 10

func (t *stderr) Write(p []byte) (int, error) {
	t.mu.Lock()
	defer t.mu.Unlock()
	t.text = append(t.text, p[:min(len(p), maxStderr-len(t.text))]...)
	return len(p), nil
}

func (t *stderr) String() string {
	t.mu.Lock()
	defer t.mu.Unlock()
	return string(t.text)
}
