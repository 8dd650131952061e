package page

import (
	"encoding/binary"
	"fmt"
	"io"
	"net"
	"net/http"
	"runtime"
	"strings"
	"testing"
	"testing/synctest"
	"time"
)

// A thousand runs are shown, each without waiting, while one of fifty pages takes nothing in:
// the calls return though that page's connection is full. All others have the last run in the
// end.
func TestAFrozenPageDelaysNothing(t *testing.T) {
	s := serve(t, &source{})
	id := s.Add(Script{Name: "tea.star"})
	frozen, err := net.Dial("tcp", s.addr)
	if err != nil {
		t.Fatal(err)
	}
	defer frozen.Close()
	if err := frozen.(*net.TCPConn).SetReadBuffer(4096); err != nil {
		t.Fatal(err)
	}
	fmt.Fprintf(frozen, "GET /%s/events HTTP/1.1\r\nHost: %s\r\n\r\n", s.token, s.addr)
	waitFor(func() bool { return following(s) == 1 })
	var wake chan struct{} // of the frozen page
	for wake = range s.feed.followers {
	}
	pages := []*follower{follow(t, s)}
	n := 0
	show := func(fault string) (digest string) {
		n++
		s.Working(id, "script")
		s.Working(id, "blank")
		s.Show(id, Run{Display: display(n), Exit: 1, Fault: fault})
		return digestOf(display(n))
	}
	// With long states, what the system holds for the frozen page is soon full.
	long := strings.Repeat("x", longestFault)
	for full := 0; full < 5; { // times that it has not looked though the other has
		if got := pages[0].shows(0, show(long)); got.Fault != long {
			t.Errorf("%d bytes of a fault", len(got.Fault))
		}
		if full++; len(wake) == 0 {
			full = 0
		}
	}
	for range 48 {
		pages = append(pages, follow(t, s))
	}
	for range 1000 {
		show("")
	}
	if len(wake) == 0 {
		t.Error("the frozen page reads")
	}
	for _, page := range pages {
		page.shows(0, digestOf(display(n)))
	}
}

// stuck is a connection that takes nothing in: a write to it lasts until its deadline.
type stuck struct {
	http.ResponseWriter
	deadline time.Time
	writing  chan struct{}
}

func (w *stuck) Write([]byte) (int, error) {
	w.writing <- struct{}{}
	time.Sleep(time.Until(w.deadline))
	return 0, io.ErrShortWrite
}

func (w *stuck) SetWriteDeadline(d time.Time) error { w.deadline = d; return nil }
func (w *stuck) FlushError() error                  { return nil }
func (w *stuck) Header() http.Header                { return http.Header{} }

// A page that takes nothing in is dropped when its time is up, and counts no more.
func TestAFrozenPageIsDropped(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		s := &Server{feed: newFeed()}
		w := &stuck{writing: make(chan struct{}, 1)}
		r, err := http.NewRequestWithContext(t.Context(), http.MethodGet, "/", nil)
		if err != nil {
			t.Fatal(err)
		}
		begun := time.Now()
		ended := make(chan time.Duration, 1)
		go func() {
			s.events(w, r)
			ended <- time.Since(begun)
		}()
		<-w.writing
		if following(s) != 1 {
			t.Error("it does not follow")
		}
		if took := <-ended; took != writeTime {
			t.Errorf("dropped after %v", took)
		}
		if following(s) != 0 {
			t.Error("it still follows")
		}
	})
}

// following counts the pages that follow.
func following(s *Server) int {
	s.feed.mu.Lock()
	defer s.feed.mu.Unlock()
	return len(s.feed.followers)
}

// So many pages can follow, and one more when one of them goes.
func TestPagesAreBounded(t *testing.T) {
	s := serve(t, &source{})
	var wakes []chan struct{}
	for range mostPages {
		wake, ok := s.feed.follow(mostPages)
		if !ok {
			t.Fatal("refused")
		}
		wakes = append(wakes, wake)
	}
	if res, _ := ask(t, s, "GET", "events", ""); res.StatusCode != http.StatusServiceUnavailable {
		t.Error(res.Status)
	}
	s.feed.leave(wakes[0])
	follow(t, s)
}

// Memory stays flat over many runs and tries: what the server keeps is bounded by the bytes of
// a few displays, not by how many there were.
func TestMemoryIsFlat(t *testing.T) {
	s := serve(t, &source{})
	id := s.Add(Script{})
	const shown, tried = 128 << 10, 1 << 20 // bytes
	large := func(size, n int) []byte {
		out := make([]byte, size)
		binary.LittleEndian.PutUint64(out, uint64(n))
		return out
	}
	heap := func() uint64 {
		runtime.GC()
		var m runtime.MemStats
		runtime.ReadMemStats(&m)
		return m.HeapAlloc
	}
	before := heap()
	for n := range 1000 {
		s.Show(id, Run{Display: large(shown, n)})
		if n%10 == 0 {
			s.feed.keep(id, "", map[string]string{"length": "1"}, large(tried, n))
		}
	}
	const most = (olderRuns+1)*shown + triedBytes + 1<<20
	if grown := int64(heap()) - int64(before); grown > most {
		t.Errorf("%d MB are kept", grown>>20)
	}
	if got := len(s.feed.scripts[id].older.entries); got != olderRuns {
		t.Errorf("%d older runs are kept", got)
	}
	if got := s.feed.tried.size; got > triedBytes || got < triedBytes/2 {
		t.Errorf("%d MB of tries are kept", got>>20)
	}
	for _, c := range []struct{ size, n, want int }{
		{shown, 999, 200}, {shown, 998, 200}, {shown, 995, 200}, {shown, 994, 404}, {tried, 990, 200}, {tried, 0, 404},
	} {
		data := large(c.size, c.n)
		if res, body := ask(t, s, "GET", "data/"+digestOf(data), ""); res.StatusCode != c.want || c.want == 200 && body != string(data) {
			t.Errorf("display %d: %s", c.n, res.Status)
		}
	}
}

// Data is immutable under its digest: a page that has it is told so.
func TestDataIsFetchedOnce(t *testing.T) {
	s := serve(t, &source{})
	id := s.Add(Script{})
	s.Show(id, Run{Display: display(1)})
	path := "data/" + digestOf(display(1))
	res, body := ask(t, s, "GET", path, "")
	if body != string(display(1)) || res.Header.Get("Content-Type") != "application/json" {
		t.Errorf("%s, %q", res.Status, body)
	}
	if res, body = ask(t, s, "GET", path, "", "If-None-Match", res.Header.Get("ETag")); res.StatusCode != http.StatusNotModified || body != "" {
		t.Errorf("%s, %q", res.Status, body)
	}
	// The same display again, after another: it is the last, and takes no room among the older.
	s.Show(id, Run{Display: display(2)})
	s.Show(id, Run{Display: display(1)})
	for n := range 2 * olderRuns {
		s.Show(id, Run{Display: display(2 + n%2)})
	}
	if res, _ := ask(t, s, "GET", path, ""); res.StatusCode != http.StatusOK {
		t.Error("displays that come again push others out: ", res.Status)
	}
}

// Pages are told of a run's stage when it has lasted for a while, and of none that is quick; of
// tries likewise.
func TestLongRunsShowTheirStage(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		f := newFeed()
		id := f.add(Script{})
		wake, _ := f.follow(1)
		<-wake
		told := func() bool {
			synctest.Wait()
			select {
			case <-wake:
				return true
			default:
				return false
			}
		}
		seen := func() Status { return f.snapshot().Scripts[0] }

		f.work(id, "script")
		time.Sleep(patience - time.Millisecond)
		f.work(id, "blank")
		if told() || seen().Stage != "" {
			t.Error("told of a young run")
		}
		f.show(id, Run{Display: display(1)})
		if !told() {
			t.Error("not told of the end of a run")
		}
		time.Sleep(patience)
		if told() || seen().Stage != "" {
			t.Error("told of a run that has ended")
		}

		f.work(id, "script")
		f.work(id, "folds")
		time.Sleep(patience + time.Millisecond)
		if !told() || seen().Stage != "folds" || seen().Since < patience.Milliseconds() {
			t.Errorf("%+v", seen())
		}
		f.work(id, "folds")
		if told() {
			t.Error("told of nothing new")
		}
		f.work(id, "rules")
		if !told() || seen().Stage != "rules" {
			t.Errorf("%+v", seen())
		}
		f.show(id, Run{Exit: 2})
		if !told() || seen().Stage != "" || seen().Since != 0 {
			t.Errorf("%+v", seen())
		}

		stage, end := f.try(id, "page")
		stage("folds")
		if told() {
			t.Error("told of a young try")
		}
		time.Sleep(patience)
		if !told() || len(seen().Trials) != 1 || seen().Trials[0] != (Trial{"page", "folds", patience.Milliseconds()}) {
			t.Errorf("%+v", seen())
		}
		stage("rules")
		if !told() || seen().Trials[0].Stage != "rules" {
			t.Errorf("%+v", seen())
		}
		end()
		if !told() || len(seen().Trials) != 0 {
			t.Errorf("%+v", seen())
		}
		_, end = f.try(id, "page")
		end()
		f.work(id, "script")
		f.remove(id)
		if !told() {
			t.Error("not told of the end of a script")
		}
		time.Sleep(2 * patience)
		if told() {
			t.Error("told of a script that is gone")
		}
	})
}

// What comes too late or names no script does no harm.
func TestUnknownScriptsArePassedOver(t *testing.T) {
	f := newFeed()
	id := f.add(Script{})
	stage, end := f.try(id, "page")
	f.remove(id)
	for _, id := range []int{id, -1, 7} {
		f.work(id, "script")
		f.show(id, Run{Display: display(1)})
		f.remove(id)
		s, e := f.try(id, "page")
		s("blank")
		e()
	}
	stage("blank")
	end()
	if got := f.snapshot().Scripts; len(got) != 0 {
		t.Errorf("%+v", got)
	}
	if f.add(Script{}) == id {
		t.Error("a number is given twice")
	}
}

// Texts of scripts are told as they are, on one line of the stream; long ones are cut.
func TestStatesAreOneLine(t *testing.T) {
	f := newFeed()
	f.show(f.add(Script{Name: "a\nb\u2028</script>"}), Run{Fault: "x\r\n\ndata: y" + strings.Repeat("é", longestFault), Exit: 2})
	text, err := f.state()
	if err != nil || strings.ContainsAny(string(text), "\r\n\u2028<") {
		t.Errorf("%v: %.200q", err, text)
	}
	if got := f.snapshot().Scripts[0]; len(got.Fault) > longestFault+10 || !strings.HasSuffix(got.Fault, "é…") || !strings.HasPrefix(got.Fault, "x\r\n") {
		t.Errorf("%d bytes, end with %q", len(got.Fault), got.Fault[len(got.Fault)-6:])
	}
}
