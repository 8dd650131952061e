package worker

import (
	"bytes"
	"io"
	"testing"

	"github.com/creasewright/creasewright/runtime/limit"
	"github.com/creasewright/creasewright/runtime/source"
)

// The watch and its report take no memory, for which they might have to wait
// while the run takes all there is.
func TestTheWatchTakesNoMemory(t *testing.T) {
	at := source.Site{{File: "box.star", Line: 7, Column: 3, EndLine: 7, EndColumn: 20}}
	c := &child{out: sender{out: io.Discard}, position: position{memory: make([]byte, positionSize)}}
	c.position.set(at)
	g := newWatchdog(c)
	if n := testing.AllocsPerRun(100, func() {
		if g.heap.held() == 0 {
			t.Error("nothing is held")
		}
		c.out.sendNow(g.limitReport(limit.Memory))
	}); n != 0 {
		t.Errorf("%v allocations", n)
	}
	f, err := readFrame(bytes.NewReader(g.limitReport(limit.Time)), 1<<20)
	if err != nil || f.kind != frameLimit || limit.Limit(f.body[0]) != limit.Time || readPosition(f.body[1:])[0] != at[0] {
		t.Errorf("%v, %v", f, err)
	}
}
