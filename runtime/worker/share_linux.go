package worker

import (
	"os"

	"golang.org/x/sys/unix"
)

// sharedFile is the descriptor by which a child finds the shared memory.
const sharedFile = 3

// share makes memory that a child can write and this process can read after
// the child's death. The file is for the child; nil when there is no such
// memory to be had, and the place of a sudden death is then not known.
func share() (memory []byte, file *os.File) {
	fd, err := unix.MemfdCreate("creasewright", unix.MFD_CLOEXEC)
	if err != nil {
		return nil, nil
	}
	file = os.NewFile(uintptr(fd), "place")
	if err := file.Truncate(placeSize); err != nil {
		file.Close()
		return nil, nil
	}
	memory, err = unix.Mmap(fd, 0, placeSize, unix.PROT_READ|unix.PROT_WRITE, unix.MAP_SHARED)
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
	memory, err := unix.Mmap(sharedFile, 0, placeSize, unix.PROT_READ|unix.PROT_WRITE, unix.MAP_SHARED)
	if err != nil {
		return make([]byte, placeSize)
	}
	_ = unix.Close(sharedFile)
	return memory
}
