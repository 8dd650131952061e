package worker

import (
	"context"
	"errors"
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/creasewright/creasewright/runtime/emit"
	"github.com/creasewright/creasewright/runtime/engine"
	"github.com/creasewright/creasewright/runtime/limit"
	"github.com/creasewright/creasewright/runtime/source"
)

func TestMain(m *testing.M) {
	Main(nil)
	os.Exit(m.Run())
}

// from reads texts from memory.
func from(texts map[string]string) source.Reader {
	return func(label string) ([]byte, error) {
		if text, ok := texts[label]; ok {
			return []byte(text), nil
		}
		return nil, source.ErrAbsent
	}
}

// examples are the example scripts by path.
func examples(t *testing.T) map[string]string {
	t.Helper()
	paths, err := filepath.Glob("../../scripts/*.star")
	if err != nil || len(paths) < 5 {
		t.Fatalf("%d scripts, %v", len(paths), err)
	}
	texts := map[string]string{}
	for _, path := range paths {
		text, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		texts[path] = string(text)
	}
	return texts
}

// request asks for one script on its own.
func request(script string) engine.Request {
	return engine.Request{Script: "box.star", Read: from(map[string]string{"box.star": script})}
}

// pool is a pool for one test, with the limits given.
func pool(t testing.TB, limits ...string) *Pool {
	t.Helper()
	s := limit.Defaults()
	for _, l := range limits {
		if err := s.Put(l); err != nil {
			t.Fatal(err)
		}
	}
	p := New(s, Waiting)
	t.Cleanup(p.Close)
	return p
}

// runIn is a run that nobody gives up.
func runIn(p *Pool, req engine.Request) engine.Result {
	res, err := p.Run(context.Background(), req)
	if err != nil {
		panic(err)
	}
	return res
}

const tray = `"""Tray"""
card = board("card", caliper = 0.4)
base = panel("base", rect(60, 40))
wall = panel("wall", rect(60, 20), on = base.top)
piece("tray", base, board = card)
`

// Law: a run in a child gives what a run in this process gives, byte for byte.
func TestTheResultIsTheSame(t *testing.T) {
	p := pool(t)
	texts := map[string]string{
		"tray":     tray,
		"warning":  tray + `panel("spare", rect(5, 5))`,
		"error":    tray + `require(False, "no “lid”\n\x07")`,
		"script":   tray + "base.lid",
		"syntax":   tray + "(",
		"prints":   tray + `print("one"); print("two", "\x1b[1m")`,
		"library":  "load(\"//closures.star\", \"nothing\")\n",
		"absent":   "load(\"other.star\", \"x\")\n" + tray,
		"loads":    "load(\"part.star\", \"size\")\n" + strings.ReplaceAll(tray, "60", "size"),
		"unread":   "load(\"locked.star\", \"x\")\n",
		"in loads": "load(\"broken.star\", \"x\")\n",
		"empty":    "",
	}
	maps.Copy(texts, examples(t))
	var last []byte
	for name, text := range texts {
		req := engine.Request{Script: "box.star", Params: map[string]string{}, LastPreview: last}
		req.Read = func(label string) ([]byte, error) {
			if label == "locked.star" {
				return nil, errors.New("permission denied")
			}
			return from(map[string]string{"box.star": text, "part.star": "size = 70\n", "broken.star": "def x():\n    y\n"})(label)
		}
		want, _ := engine.Run(context.Background(), req)
		got := runIn(p, req)
		if !reflect.DeepEqual(plain(got), plain(want)) {
			t.Errorf("%s: exit %d, %v, %d files, %.500s; want exit %d, %v, %d files", name,
				got.Exit, got.Findings, len(got.Files), got.Stack, want.Exit, want.Findings, len(want.Files))
		}
		for _, f := range want.Files {
			if f.Kind == emit.KindPreview {
				last = f.Bytes
			}
		}
	}
}

// plain is a result with nil and empty lists made equal.
func plain(r engine.Result) engine.Result {
	v := reflect.ValueOf(&r).Elem()
	for i := range v.NumField() {
		if f := v.Field(i); f.Kind() == reflect.Slice && f.Len() == 0 {
			f.SetZero()
		}
	}
	return r
}

// A script that asks for too much is told which limit, where, and how to have
// more; the next run is as good as ever.
func TestLimitsOfTheProcess(t *testing.T) {
	// Steps are so many that the time comes first on any processor.
	hasty, patient, brief := pool(t, "time=500ms", "steps=1000000000000"), pool(t, "memory=64MB", "time=10s"), pool(t, "time=250ms")
	for name, c := range map[string]struct {
		script  string
		line    int
		message string
		raise   string
	}{
		"endless steps":   {tray + "for i in range(1 << 40):\n    x = i\n", 7, "the run takes more than 0.5 s", "--limit time=1s"},
		"one endless op":  {tray + "x = 1\ny = max(range(1 << 34))\n", 7, "the run takes more than 0.5 s", "--limit time=1s"},
		"one great leap":  {tray + "x = 1\ny = [0] * (1 << 29)\n", 7, "the run needs more than 64 MB of memory", "--limit memory=128MB"},
		"doubled":         {tray + "x = [0]\nfor i in range(60):\n    x = x + x\n", 8, "the run needs more than 64 MB of memory", "--limit memory=128MB"},
		"doubled text":    {tray + "x = 'a'\nfor i in range(60):\n    x += x\n", 8, "the run needs more than 64 MB of memory", "--limit memory=128MB"},
		"squared":         {tray + "x = 3\nfor i in range(60):\n    x *= x\n", 8, "the run ", "--limit "},
		"in a function":   {tray + "def f():\n    x = 1\n    return max(range(1 << 34))\nf()\n", 8, "the run takes more than 0.5 s", "--limit time=1s"},
		"in the geometry": {strings.Replace(tray, "piece(", "for i in range(3000):\n    base.cut(circle(30).shift(i / 100, 20))\npiece(", 1), 7, "the run takes more than", "--limit time="},
	} {
		p := hasty
		if strings.Contains(c.raise, "memory") {
			p = patient
		}
		if name == "in the geometry" {
			p = brief
		}
		res := runIn(p, request(c.script))
		if res.Exit != engine.Broken || len(res.Findings) != 1 {
			t.Errorf("%s: exit %d, %v", name, res.Exit, res.Findings)
			continue
		}
		if !BoundsMemory() { // its own watch may see the time first
			c.message, c.raise = "the run ", "--limit "
		}
		f := res.Findings[0]
		line := f.Site.First().Line
		if name == "in the geometry" && line == c.line-1 {
			line = c.line // a slow processor does not get beyond the script
		}
		if !strings.HasPrefix(f.Message, c.message) || line != c.line || !strings.Contains(f.Hint, c.raise) {
			t.Errorf("%s: %v, hint %q; want %q at line %d", name, f, f.Hint, c.message, c.line)
		}
		if len(res.Files) != 1 || res.Files[0].Name != emit.PreviewName || !strings.Contains(string(res.Files[0].Bytes), "the run") {
			t.Errorf("%s: the fault is not shown", name)
		}
		if res := runIn(p, request(tray)); res.Exit != engine.Clean {
			t.Errorf("after %s: exit %d, %v", name, res.Exit, res.Findings)
		}
	}
}

// What no recovery catches in one process is a message in two.
func TestValuesNestedTooDeeply(t *testing.T) {
	if !BoundsMemory() {
		t.Skip("without the system's limits such a script may take too long to get there")
	}
	p := pool(t, "memory=64MB", "time=30s")
	res := runIn(p, request("x = []\nfor i in range(60000):\n    x = [x]\ny = 1\nz = str(x)\n"))
	if res.Exit != engine.Broken || !strings.HasPrefix(res.Findings[0].Error(), "box.star:5:1: values stand within one another too deeply") {
		t.Errorf("exit %d, %v", res.Exit, res.Findings)
	}
}

// The library's line is told behind the designer's own.
func TestLimitsWithinALoadedFile(t *testing.T) {
	p := pool(t, "time=300ms")
	req := engine.Request{Script: "box.star", Read: from(map[string]string{
		"box.star":  "load(\"slow.star\", \"slow\")\nx = 1\nslow()\n",
		"slow.star": "def slow():\n    return max(range(1 << 34))\n",
	})}
	res := runIn(p, req)
	if res.Exit != engine.Broken || fmt.Sprint(res.Findings[0].Site) != "[box.star:3:1 slow.star:2:5]" {
		t.Fatalf("exit %d, %v", res.Exit, res.Findings[0].Site)
	}
	if got := res.Lines()("slow.star", 2); got != "    return max(range(1 << 34))" {
		t.Errorf("the library's line is quoted as %q", got)
	}
	if fmt.Sprint(res.Reads) != "[{box.star false} {slow.star false}]" {
		t.Errorf("reads: %v", res.Reads)
	}
}

// Ending the context ends the process, whatever it is doing, and gives the cause
// and nothing else.
func TestRunsAreGivenUp(t *testing.T) {
	p := pool(t, "time=1440min")
	cause := errors.New("nobody waits")
	ctx, cancel := context.WithCancelCause(context.Background())
	req := request("")
	req.Read = func(string) ([]byte, error) {
		time.AfterFunc(20*time.Millisecond, func() { cancel(cause) })
		return []byte("x = max(range(1 << 34))\n"), nil
	}
	if res, err := p.Run(ctx, req); err != cause || !reflect.DeepEqual(res, engine.Result{}) {
		t.Errorf("%v, %v", res.Findings, err)
	}
	if _, err := p.Run(ctx, request(tray)); err != cause {
		t.Errorf("ended beforehand: %v", err)
	}
}

// A process that did its run is ended when the next one is started, or with the pool.
func TestASpentProcessEnds(t *testing.T) {
	for name, again := range map[string]bool{"before the next": true, "with the pool": false} {
		p := New(limit.Defaults(), Waiting)
		if res := runIn(p, request(tray)); res.Exit != engine.Clean {
			t.Fatal(res.Findings)
		}
		p.mu.Lock()
		spent := slices.Clone(p.spent)
		p.mu.Unlock()
		if len(spent) > 1 {
			t.Fatalf("%s: %d processes", name, len(spent))
		}
		if again {
			for _, w := range spent {
				<-w.done // or the test never ends
			}
		}
		p.Close()
		for _, w := range spent {
			<-w.done
		}
		if p.spent != nil {
			t.Errorf("%s: %d processes are left", name, len(p.spent))
		}
	}
}

// A process that waits is warm: this is what a run takes that it waited for.
func BenchmarkWarmRun(b *testing.B) {
	text, err := os.ReadFile("../../scripts/tea-carton.star")
	if err != nil {
		b.Fatal(err)
	}
	p := pool(b)
	for range b.N {
		b.StopTimer()
		time.Sleep(50 * time.Millisecond)
		b.StartTimer()
		if res := runIn(p, request(string(text))); res.Exit != engine.Clean {
			b.Fatal(res.Findings)
		}
	}
}

func BenchmarkRun(b *testing.B) {
	text, err := os.ReadFile("../../scripts/tea-carton.star")
	if err != nil {
		b.Fatal(err)
	}
	p := pool(b)
	for b.Loop() {
		if res := runIn(p, request(string(text))); res.Exit != engine.Clean {
			b.Fatal(res.Findings)
		}
	}
}

// A batch goes through few processes, and no run leaves anything to the next:
// neither texts, nor steps, nor memory, nor a limit that was passed.
func TestABatchSharesProcesses(t *testing.T) {
	limits := limit.Defaults()
	limits[limit.Time], limits[limit.Memory] = 1000, 64<<20
	if underRace { // which takes many times as long
		limits[limit.Time] = 5000
	}
	p := New(limits, Batch)
	defer p.Close()
	texts := map[string]string{"tray": tray, "broken": "x = y\n", "faulty": tray + "require(False, \"no\")\n"}
	for path, text := range examples(t) {
		if len(texts) < 6 {
			texts[path] = text
		}
	}
	texts["greedy"] = tray + "x = [0] * (1 << 21)\ny = [0] * (1 << 21)\n" // some 64 MB
	texts["modest"] = tray + "x = [0] * (3 << 19)\n"                      // some 24 MB
	texts["endless"] = "x = max(range(1 << 34))\n"
	for range 2 {
		for path, text := range texts {
			req := request(text)
			res := runIn(p, req)
			switch path {
			case "greedy", "endless":
				if res.Exit != engine.Broken || !strings.Contains(res.Findings[0].Message, "the run ") {
					t.Errorf("%s: exit %d, %v", path, res.Exit, res.Findings)
				}
			default:
				want, err := engine.Run(context.Background(), req)
				if err != nil || !reflect.DeepEqual(plain(res), plain(want)) {
					t.Errorf("%s: exit %d, %v; want exit %d, %v, %v", path, res.Exit, res.Findings, want.Exit, want.Findings, err)
				}
			}
		}
	}
	runIn(p, request(tray))
	if err := waitForChild(t).Kill(); err != nil {
		t.Fatal(err)
	}
	if res := runIn(p, request(tray)); res.Exit != engine.Clean {
		t.Errorf("after the waiting process was killed: exit %d, %v", res.Exit, res.Findings)
	}
}

// Runs of a batch that go on at a time have a process each, and no more are kept
// than ran at a time.
func TestABatchRunsSeveralAtATime(t *testing.T) {
	p := New(limit.Defaults(), Batch)
	defer p.Close()
	const atATime = 2
	var all sync.WaitGroup
	for range atATime {
		all.Go(func() {
			for range 10 {
				if res := runIn(p, request(tray)); res.Exit != engine.Clean {
					t.Errorf("exit %d, %v", res.Exit, res.Findings)
				}
			}
		})
	}
	all.Wait()
	runs := 0
	for _, w := range p.idle {
		runs += w.runs
	}
	if len(p.idle) > atATime || runs != 10*atATime {
		t.Errorf("%d processes are kept, which did %d runs", len(p.idle), runs)
	}
}

// A process that was started early does the first run of the next pool, and no other
// is started for it. One pool for Once leaves behind nothing that lives on.
func TestAnEarlyStartIsTaken(t *testing.T) {
	StartEarly()
	StartEarly() // is nothing new
	early := early.Load()
	w := <-early.started
	early.started <- w
	p := New(limit.Defaults(), Once)
	if res := runIn(p, request(tray)); res.Exit != engine.Clean {
		t.Errorf("exit %d, %v", res.Exit, res.Findings)
	}
	if w.runs != 1 {
		t.Errorf("it did %d runs, want 1", w.runs)
	}
	p.Close()
	<-w.done // or the test does not end
	if q := New(limit.Defaults(), Once); q.next == early.started {
		t.Error("a second pool takes the same process")
	} else {
		q.Close()
	}
}

// What a run of a batch takes, and one whose process is its own.
func BenchmarkUses(b *testing.B) {
	text, err := os.ReadFile("../../scripts/tea-carton.star")
	if err != nil {
		b.Fatal(err)
	}
	for name, use := range map[string]Use{"once": Once, "batch": Batch} {
		b.Run(name, func(b *testing.B) {
			p := New(limit.Defaults(), use)
			defer p.Close()
			for b.Loop() {
				if res := runIn(p, request(string(text))); res.Exit != engine.Clean {
					b.Fatal(res.Findings)
				}
			}
		})
	}
}

// Tests are run in a child as they are in this process, and within its limits.
func TestTestsInAChild(t *testing.T) {
	script := "card = board(\"card\", caliper = 0.4)\n\ndef test_a():\n    piece(\"lid\", panel(\"lid\", rect(60, 40)), board = card)\n" +
		"    near(built().blank().width, 61)\n\ndef test_b():\n    pass\n"
	req := request(script)
	req.Formats, req.Tests = emit.Table{}, true
	want, err := engine.Run(context.Background(), req)
	if err != nil {
		t.Fatal(err)
	}
	got := runIn(pool(t), req)
	if got.Exit != engine.Faulty || len(got.Tests) != 2 || !reflect.DeepEqual(got.Tests, want.Tests) || got.Findings[0].Error() != want.Findings[0].Error() {
		t.Errorf("exit %d, ran %v, found %v", got.Exit, got.Tests, got.Findings)
	}
	req.Read = from(map[string]string{"box.star": "def test_a():\n    for i in range(1 << 30):\n        pass\n"})
	if got := runIn(pool(t, "time=0.2s"), req); got.Exit != engine.Broken || len(got.Findings) != 1 {
		t.Errorf("a test without end: exit %d, %v", got.Exit, got.Findings)
	}
}
