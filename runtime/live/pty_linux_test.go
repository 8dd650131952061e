package live

import (
	"fmt"
	"os"
	"os/exec"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"
	"unsafe"

	"github.com/creasewright/creasewright/runtime/outsidetest"
)

// terminal is a program in a terminal of its own.
type terminal struct {
	t      *testing.T
	cmd    *exec.Cmd
	master *os.File

	mu    sync.Mutex
	said  strings.Builder
	spoke time.Time
}

// ioctl is the system's way of asking something of a terminal.
func ioctl(t *testing.T, f *os.File, request uintptr, arg unsafe.Pointer) {
	t.Helper()
	if _, _, errno := syscall.Syscall(syscall.SYS_IOCTL, f.Fd(), request, uintptr(arg)); errno != 0 {
		t.Fatalf("ioctl %#x: %v", request, errno)
	}
}

// startTerminal starts a program in a terminal of 80 columns and 24 lines, in a
// home of its own.
func startTerminal(t *testing.T, dir string, args ...string) *terminal {
	t.Helper()
	master, err := os.OpenFile("/dev/ptmx", os.O_RDWR, 0)
	if err != nil {
		outsidetest.Missing(t, fmt.Errorf("no terminals here: %w", err))
	}
	var number, unlock int32
	ioctl(t, master, syscall.TIOCSPTLCK, unsafe.Pointer(&unlock))
	ioctl(t, master, syscall.TIOCGPTN, unsafe.Pointer(&number))
	size := [4]uint16{24, 80}
	ioctl(t, master, syscall.TIOCSWINSZ, unsafe.Pointer(&size))
	slave, err := os.OpenFile(fmt.Sprintf("/dev/pts/%d", number), os.O_RDWR|syscall.O_NOCTTY, 0)
	if err != nil {
		t.Fatal(err)
	}
	defer slave.Close()
	term := &terminal{t: t, master: master, cmd: exec.Command(args[0], args[1:]...)}
	term.cmd.Stdin, term.cmd.Stdout, term.cmd.Stderr = slave, slave, slave
	term.cmd.SysProcAttr = &syscall.SysProcAttr{Setsid: true, Setctty: true}
	term.cmd.Dir = dir
	term.cmd.Env = []string{"TERM=xterm", "HOME=" + t.TempDir(), "PATH=" + os.Getenv("PATH"), "LANG=C.UTF-8"}
	if err := term.cmd.Start(); err != nil {
		t.Fatal(err)
	}
	go term.listen()
	t.Cleanup(func() {
		_ = term.cmd.Process.Kill() // has ended already if all went well
		_ = term.cmd.Wait()
		master.Close()
	})
	return term
}

// listen takes in what the program writes.
func (term *terminal) listen() {
	buf := make([]byte, 4096)
	for {
		n, err := term.master.Read(buf)
		if err != nil {
			return
		}
		term.mu.Lock()
		term.said.Write(buf[:n])
		term.spoke = time.Now()
		term.mu.Unlock()
	}
}

// rest waits until the program has said something and then nothing more for a
// while: it waits for keys.
func (term *terminal) rest() {
	term.t.Helper()
	for deadline := time.Now().Add(hangGuard); time.Now().Before(deadline); time.Sleep(20 * time.Millisecond) {
		term.mu.Lock()
		rested := term.said.Len() > 0 && time.Since(term.spoke) > 300*time.Millisecond
		term.mu.Unlock()
		if rested {
			return
		}
	}
	term.t.Fatalf("%s does not come to rest", term.cmd.Args[0])
}

// keys types.
func (term *terminal) keys(text string) {
	term.t.Helper()
	if _, err := term.master.WriteString(text); err != nil {
		term.t.Fatal(err)
	}
}
