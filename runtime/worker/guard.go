package worker

import (
	"encoding/binary"
	"os"
	"runtime"
	"runtime/debug"
	"runtime/metrics"
	"sync"
	"sync/atomic"
	"time"

	"github.com/creasewright/creasewright/runtime/limit"
)

// guard is a child's watch over itself: it ends the process when the run passes
// its time or its memory. Nothing less would do, since a single operation of
// the script can take either.
type guard struct {
	child  *child
	limits limit.Set
	start  time.Time
	tick   *time.Ticker
	panels atomic.Int64
	heap   [2]metrics.Sample
	word   [headSize + 1 + placeSize]byte // room for the last one
}

// pulse is how often the guard looks. A process fills memory by a few
// megabytes in that time.
const pulse = time.Millisecond

// systemRoom is how many times the memory of a run the system lets its process
// have, and the parent. That is for the one great leap that is over between two
// looks, and leaves room for what Go holds beside the heap.
const systemRoom = 2

// patience is by how many per cent the heap may grow before dead things are
// looked for: to 16 MB at the least, three times what a carton takes.
const patience = 400

// newGuard gets ready what the system may soon refuse: the files that Go opens
// for its first timer, and threads, without which the watch may not come to look.
func newGuard(c *child) *guard {
	time.Sleep(time.Nanosecond)
	haveThreads()
	g := &guard{child: c, tick: time.NewTicker(pulse)}
	g.heap[0].Name, g.heap[1].Name = "/memory/classes/heap/objects:bytes", "/memory/classes/heap/stacks:bytes"
	g.held() // the first reading takes memory
	return g
}

// held is what the heap and the stacks hold.
func (g *guard) held() uint64 {
	metrics.Read(g.heap[:])
	return g.heap[0].Value.Uint64() + g.heap[1].Value.Uint64()
}

// haveThreads makes as many threads as the process ever runs: one for each
// processor, and some that wait for the parent. Go keeps them.
func haveThreads() {
	var all, met sync.WaitGroup
	n := runtime.GOMAXPROCS(0) + 4
	met.Add(n)
	for range n {
		all.Go(func() {
			runtime.LockOSThread()
			defer runtime.UnlockOSThread()
			met.Done()
			met.Wait()
		})
	}
	all.Wait()
}

// begin starts the watch.
func (g *guard) begin(limits limit.Set) {
	g.limits, g.start = limits, time.Now()
	memory := limits[limit.Memory]
	boundMemory(systemRoom * memory)
	// Most runs are over before it pays to look for dead things. As the heap
	// grows towards the limit they are looked for oftener, so that only the
	// living count.
	debug.SetGCPercent(patience)
	debug.SetMemoryLimit(memory / 4 * 3)
	debug.SetMaxStack(int(memory / 4))
	go g.watch()
}

// grow gives the run the time that so many panels may take.
func (g *guard) grow(panels int) {
	if g.panels.Swap(int64(panels)) == int64(panels) {
		return
	}
	_ = g.child.out.send(aCount, binary.LittleEndian.AppendUint32(nil, uint32(panels)))
}

// watch takes no memory, and neither does end: while dead things are looked for,
// whoever asks for memory has to help first, which may take as long as the run
// has left.
func (g *guard) watch() {
	for range g.tick.C {
		switch {
		case g.held() > uint64(g.limits[limit.Memory]):
			g.end(limit.Memory, exitMemory)
		case time.Since(g.start) > g.limits.TimeFor(int(g.panels.Load())):
			g.end(limit.Time, exitTime)
		}
	}
}

// end says which limit was passed and where, and ends the process. While an
// answer is on its way there is no room for that: then the code with which the
// process ends says which, and the shared memory where.
func (g *guard) end(l limit.Limit, code int) {
	g.child.out.sendNow(g.lastWord(l))
	os.Exit(code)
}

// lastWord is the frame that says which limit was passed and where.
func (g *guard) lastWord(l limit.Limit) []byte {
	body := g.word[headSize:]
	body[0] = byte(l)
	g.child.place.copyTo(body[1:])
	putHead(g.word[:], aLastWord, len(body))
	return g.word[:]
}
