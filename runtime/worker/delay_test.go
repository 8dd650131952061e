package worker

import (
	"path/filepath"
	"testing"
	"testing/synctest"
	"time"

	"github.com/creasewright/creasewright/runtime/limit"
)

// The process for a run to come is started when startDelay is over and not
// before; whoever needs one earlier, or none any more, does not wait for that.
// The program does not exist, so that starting it takes no time.
func TestTheDelayedStart(t *testing.T) {
	program := filepath.Join(t.TempDir(), "none")
	for name, c := range map[string]struct {
		wait   time.Duration
		waited bool // take finds that it has been started
	}{
		"at once":     {0, false},
		"just before": {startDelay - 1, false},
		"just after":  {startDelay + 1, true},
	} {
		synctest.Test(t, func(t *testing.T) {
			p := NewOf(program, limit.Defaults(), Waiting)
			p.get()
			p.prepare(true)
			time.Sleep(c.wait)
			synctest.Wait()
			p.mu.Lock()
			if len(p.next) == 1 != c.waited {
				t.Errorf("%s: %d processes", name, len(p.next))
			}
			p.mu.Unlock()
			before := time.Now()
			if w, _ := p.get(); w == nil || time.Since(before) > 0 {
				t.Errorf("%s: took %v", name, time.Since(before))
			}
			p.prepare(true)
			p.Close()
			if time.Since(before) > 0 {
				t.Errorf("%s: the end took %v", name, time.Since(before))
			}
		})
	}
}
