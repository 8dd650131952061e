//go:build unix

package worker

import (
	"fmt"
	"os"
	"strings"
	"syscall"
	"testing"
	"time"
)

// suspend stops a process without ending it, and waits until it stands still
// where that can be seen.
func suspend(t *testing.T, p *os.Process) {
	if err := p.Signal(syscall.SIGSTOP); err != nil {
		t.Error(err)
	}
	for start := time.Now(); time.Since(start) < hangGuard; time.Sleep(10 * time.Millisecond) {
		text, err := os.ReadFile(fmt.Sprintf("/proc/%d/stat", p.Pid))
		if err != nil || strings.Contains(string(text), ") T ") {
			return
		}
	}
	t.Error("it does not stop")
}
