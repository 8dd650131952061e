package worker

import (
	"encoding/binary"
	"os"
	"runtime/debug"
	"runtime/metrics"
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
}

// pulse is how often the guard looks. A process fills memory by a few
// megabytes in that time.
const pulse = time.Millisecond

// patience is by how many per cent the heap may grow before dead things are
// looked for: to 16 MB at the least, three times what a carton takes.
const patience = 400

// newGuard gets ready what needs files, before there are to be none: those that
// Go opens for its first timer.
func newGuard(c *child) *guard {
	time.Sleep(time.Nanosecond)
	return &guard{child: c, tick: time.NewTicker(pulse)}
}

// begin starts the watch.
func (g *guard) begin(limits limit.Set) {
	g.limits, g.start = limits, time.Now()
	memory := limits[limit.Memory]
	// The system's bound is for the one great leap that is over between two
	// looks, and leaves room for what Go holds beside the heap.
	boundMemory(2 * memory)
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

func (g *guard) watch() {
	heap := []metrics.Sample{{Name: "/memory/classes/heap/objects:bytes"}, {Name: "/memory/classes/heap/stacks:bytes"}}
	for range g.tick.C {
		metrics.Read(heap)
		switch {
		case heap[0].Value.Uint64()+heap[1].Value.Uint64() > uint64(g.limits[limit.Memory]):
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
	g.child.out.sendNow(aLastWord, append([]byte{byte(l)}, g.child.place.bytes()...))
	os.Exit(code)
}
