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
	once   sync.Once // for what lasts as long as the process
	limits limit.Set // of all its runs
	clock  cpuClock
	start  atomic.Int64 // ns by a clock of the kind, when the run began
	tick   *time.Ticker
	panels atomic.Int64
	heap   *heapMeter
	report [headerSize + 1 + positionSize]byte // room for what limitReport gives
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
	return &watchdog{child: c, tick: time.NewTicker(watchInterval), heap: newHeapMeter()}
}

// heapMeter reads what this process's heap and stacks hold. It takes no memory,
// and is for one goroutine.
type heapMeter [2]metrics.Sample

func newHeapMeter() *heapMeter {
	m := &heapMeter{{Name: "/memory/classes/heap/objects:bytes"}, {Name: "/memory/classes/heap/stacks:bytes"}}
	m.held() // the first reading takes memory
	return m
}

// held is in bytes.
func (m *heapMeter) held() int64 {
	metrics.Read(m[:])
	return int64(m[0].Value.Uint64() + m[1].Value.Uint64())
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

// begin starts the watch over a run. The limits are the same for all runs of a
// process.
func (g *watchdog) begin(limits limit.Set) {
	g.panels.Store(0)
	var clock cpuClock
	g.start.Store(int64(clock.now()))
	g.once.Do(func() {
		g.limits = limits
		memory := limits[limit.Memory]
		boundMemory(systemFactor * memory)
		boundCPU(maxRuns * (limits.TimeFor(int(limits[limit.Panels])) + 2*grace))
		// Most runs are over before it pays to look for dead objects. As the
		// heap grows towards the limit they are looked for oftener, so that only
		// the living count.
		debug.SetGCPercent(gcPercent)
		debug.SetMemoryLimit(memory / 4 * 3)
		debug.SetMaxStack(int(memory / 4))
		go g.watch()
	})
	// Of what earlier runs left, only little counts against this one.
	if newHeapMeter().held() > limits[limit.Memory]/8 {
		runtime.GC()
	}
}

// setPanels gives the run the time that so many panels may take.
func (g *watchdog) setPanels(panels int) {
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
		case g.heap.held() > g.limits[limit.Memory]:
			g.end(limit.Memory, exitMemory)
		case g.clock.now()-time.Duration(g.start.Load()) > g.limits.TimeFor(int(g.panels.Load())):
			g.end(limit.Time, exitTime)
		}
	}
}

// end says which limit was passed and where, and ends the process. While an
// answer is on its way there is no room for that: then the exit status says
// which, and the shared memory where.
func (g *watchdog) end(l limit.Limit, status int) {
	g.child.out.sendNow(g.limitReport(l))
	os.Exit(status)
}

// limitReport is the frame that says which limit was passed and where.
func (g *watchdog) limitReport(l limit.Limit) []byte {
	body := g.report[headerSize:]
	body[0] = byte(l)
	g.child.position.copyTo(body[1:])
	putHeader(g.report[:], frameLimit, len(body))
	return g.report[:]
}
