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
	for range 500 {
		text, err := os.ReadFile(fmt.Sprintf("/proc/%d/stat", p.Pid))
		if err != nil || strings.Contains(string(text), ") T ") {
			return
		}
		time.Sleep(10 * time.Millisecond)
	}
	t.Error("it does not stop")
}
