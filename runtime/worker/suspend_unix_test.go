//go:build unix

package worker

import (
	"os"
	"syscall"
	"testing"
)

// suspend stops a process without ending it.
func suspend(t *testing.T, p *os.Process) {
	if err := p.Signal(syscall.SIGSTOP); err != nil {
		t.Error(err)
	}
}
