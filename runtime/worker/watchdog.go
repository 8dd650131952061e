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

// watchdog is a child's watch over itself: it ends the process when the run
// passes its processor time or its memory. Nothing less would do, since a single
// operation of the script can take either.
type watchdog struct {
	child  *child
	limits limit.Set
	clock  cpuClock
	start  time.Duration // of that clock, when the run began
	tick   *time.Ticker
	panels atomic.Int64
	heap   [2]metrics.Sample
	last   [headSize + 1 + positionSize]byte // room for the last word
}

// gcPercent is by how many per cent the heap may grow before dead objects are
// looked for: to 16 MB at the least, three times what a carton takes.
const gcPercent = 400

// newWatchdog gets ready what the system may soon refuse: the files that Go
// opens for its first timer, and threads, without which the watchdog may not
// come to look.
func newWatchdog(c *child) *watchdog {
	time.Sleep(time.Nanosecond)
	reserveThreads()
	g := &watchdog{child: c, tick: time.NewTicker(interval)}
	g.heap[0].Name, g.heap[1].Name = "/memory/classes/heap/objects:bytes", "/memory/classes/heap/stacks:bytes"
	g.held() // the first reading takes memory
	return g
}

// held is what the heap and the stacks hold, in bytes.
func (g *watchdog) held() uint64 {
	metrics.Read(g.heap[:])
	return g.heap[0].Value.Uint64() + g.heap[1].Value.Uint64()
}

// reserveThreads makes as many threads as the process ever runs: one for each
// processor, and some that wait for the parent. Go keeps them.
func reserveThreads() {
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
func (g *watchdog) begin(limits limit.Set) {
	g.limits, g.start = limits, g.clock.now()
	memory := limits[limit.Memory]
	boundMemory(systemFactor * memory)
	boundCPU(g.start + limits.TimeFor(int(limits[limit.Panels])) + 2*grace)
	// Most runs are over before it pays to look for dead objects. As the heap
	// grows towards the limit they are looked for oftener, so that only the
	// living count.
	debug.SetGCPercent(gcPercent)
	debug.SetMemoryLimit(memory / 4 * 3)
	debug.SetMaxStack(int(memory / 4))
	go g.watch()
}

// grow gives the run the time that so many panels may take.
func (g *watchdog) grow(panels int) {
	if g.panels.Swap(int64(panels)) == int64(panels) {
		return
	}
	_ = g.child.out.send(framePanels, binary.LittleEndian.AppendUint32(nil, uint32(panels)))
}

// watch takes no memory, and neither does end: while dead objects are looked
// for, whoever asks for memory has to help first, which may take as long as the
// run has left.
func (g *watchdog) watch() {
	for range g.tick.C {
		switch {
		case g.held() > uint64(g.limits[limit.Memory]):
			g.end(limit.Memory, exitMemory)
		case g.clock.now()-g.start > g.limits.TimeFor(int(g.panels.Load())):
			g.end(limit.Time, exitTime)
		}
	}
}

// end says which limit was passed and where, and ends the process. While an
// answer is on its way there is no room for that: then the exit status says
// which, and the shared memory where.
func (g *watchdog) end(l limit.Limit, status int) {
	g.child.out.sendNow(g.lastWord(l))
	os.Exit(status)
}

// lastWord is the frame that says which limit was passed and where.
func (g *watchdog) lastWord(l limit.Limit) []byte {
	body := g.last[headSize:]
	body[0] = byte(l)
	g.child.position.copyTo(body[1:])
	putHead(g.last[:], frameLast, len(body))
	return g.last[:]
}
