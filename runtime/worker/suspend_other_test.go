//go:build !unix

package worker

import (
	"os"
	"testing"
)

func suspend(t *testing.T, _ *os.Process) { t.Skip("processes cannot be stopped here") }
