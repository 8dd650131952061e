package worker

import "testing"

// What Go says as it dies, shortened: of want of memory, and of other things.
func TestStarved(t *testing.T) {
	for said, want := range map[string]bool{
		"fatal error: runtime: out of memory\n":        true,
		"runtime: mmap(0x0): cannot allocate memory\n": true,
		"SIGSEGV: segmentation violation\nPC=0x43463d m=4\n\ngoroutine 0 gp=0xae:\nruntime.(*spanQueue).tryDrain(0x7f)\n\tgo/src/runtime/mgcmark_greenteagc.go:520 +0x5d\n":           true,
		"SIGSEGV: segmentation violation\n\ngoroutine 0 gp=0xae:\nruntime.memmove(0x7f)\n\tgo/src/runtime/memmove_amd64.s:520\n\ngoroutine 1 [running]:\n\tgo/src/runtime/mgc.go:1\n": false,
		"panic: runtime error: invalid memory address or nil pointer dereference\n[signal SIGSEGV]\n\ngoroutine 1 [running]:\n\tgo/src/runtime/mgc.go:1\n":                            false,
		"runtime/cgo: pthread_create failed: Resource temporarily unavailable\nSIGABRT: abort\n":                                                                                      true,
		"runtime: failed to create new OS thread (have 7 already; errno=11)\nfatal error: newosproc\n":                                                                                true,
		"fatal error: stack overflow\n": false,
		"":                              false,
	} {
		if got := outOfMemory(said); got != want {
			t.Errorf("%.60q: %v", said, got)
		}
	}
}
