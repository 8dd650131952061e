// Package browsertest is for tests that look at a page in Debian's Chromium.
// One browser without a window on the screen serves all tests of a package; each
// test has tabs of its own, which share no storage. What a page writes to its
// console as an error, an exception that nothing caught, and a breach of its content
// policy make the test fail.
//
// They run if outsidetest.Enabled, and then fail without Chromium.
package browsertest

import (
	"context"
	"fmt"
	"os/exec"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/heapprofiler"
	cdplog "github.com/chromedp/cdproto/log"
	"github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/chromedp"

	"github.com/creasewright/creasewright/runtime/outsidetest"
)

// Step is something done in a tab.
type Step = chromedp.Action[chromedp.Void]

// hangGuard ends a test that waits for what never comes.
const hangGuard = time.Minute

// pollInterval is how often a condition is looked at.
const pollInterval = 5 * time.Millisecond

// browser is the context that owns the browser's process. It is started by the
// first test that opens a tab.
var browser = sync.OnceValues(func() (context.Context, error) {
	path, err := exec.LookPath("chromium")
	if err != nil {
		return nil, fmt.Errorf("no browser called chromium: %w", err)
	}
	options := append(chromedp.DefaultExecAllocatorOptions[:len(chromedp.DefaultExecAllocatorOptions):len(chromedp.DefaultExecAllocatorOptions)],
		chromedp.ExecPath(path),
		chromedp.WindowSize(1280, 720),
		// As where there is no graphics card, the same everywhere: WebGL is drawn by SwiftShader, and
		// pages are put together without it, which would take twice the time for a frame.
		chromedp.DisableGPU,
		chromedp.Flag("enable-unsafe-swiftshader", true),
		// A machine for tests may let no process make name spaces of its own.
		chromedp.NoSandbox,
	)
	allocator, end := chromedp.NewExecAllocator(context.Background(), options...)
	ctx, _ := chromedp.NewContext(allocator)
	stop = end
	return ctx, chromedp.Do(ctx)
})

// stop ends the browser's process; nil while none was started.
var stop context.CancelFunc

// Close ends the browser, if a test has started it. TestMain calls it when all tests
// have ended.
func Close() {
	if stop != nil {
		stop()
	}
}

// Need starts the browser. It skips the test unless outsidetest.Enabled.
func Need(t testing.TB) {
	t.Helper()
	outsidetest.Need(t, "chromium of Debian")
	if _, err := browser(); err != nil {
		outsidetest.Missing(t, err)
	}
}

// Tab is a tab of the browser.
type Tab struct {
	t   testing.TB
	ctx context.Context

	mu      sync.Mutex
	errors  []string // what the page wrote to its console
	allowed []string // parts of such errors that are no fault
}

// New gives an empty tab, which is closed when the test ends.
func New(t testing.TB) *Tab {
	t.Helper()
	Need(t)
	root, _ := browser()
	return newTab(t, root, chromedp.WithNewBrowserContext())
}

// Beside gives another empty tab, of the same user as this one: what one stores the other sees.
func (b *Tab) Beside() *Tab {
	b.t.Helper()
	return newTab(b.t, b.ctx)
}

func newTab(t testing.TB, parent context.Context, options ...chromedp.ContextOption) *Tab {
	t.Helper()
	b := &Tab{t: t}
	ctx, end := chromedp.NewContext(parent, append(options, chromedp.WithListener(b.heard))...)
	b.ctx = ctx
	if err := chromedp.Do(ctx); err != nil {
		end()
		t.Fatalf("no tab: %v", err)
	}
	b.Window(1280, 720, 1)
	t.Cleanup(func() {
		if !t.Failed() {
			_, _ = chromedp.Run(ctx, chromedp.Evaluate[bool]("true")) // what was written before is heard by now
		}
		for _, text := range b.faults() {
			t.Errorf("the page's console: %s", text)
		}
		end()
	})
	return b
}

// Open gives a tab that shows a page.
func Open(t testing.TB, url string) *Tab {
	t.Helper()
	b := New(t)
	b.Go(url)
	return b
}

// Go shows another page.
func (b *Tab) Go(url string) {
	b.t.Helper()
	b.Do(chromedp.Navigate(url))
}

// Reload loads the page anew.
func (b *Tab) Reload() {
	b.t.Helper()
	b.Do(chromedp.Reload())
}

// heard keeps the errors of the console. It is called for each event of the tab.
func (b *Tab) heard(event any) {
	text := ""
	switch e := event.(type) {
	case *runtime.EventExceptionThrown:
		text = e.ExceptionDetails.Text
		if thrown := e.ExceptionDetails.Exception; thrown != nil {
			text += " " + thrown.Description
		}
	case *runtime.EventConsoleAPICalled:
		if e.Type != runtime.ConsoleAPICalledTypeError && e.Type != runtime.ConsoleAPICalledTypeAssert {
			return
		}
		for _, arg := range e.Args {
			text += " " + string(arg.Value) + arg.Description
		}
	case *cdplog.EventEntryAdded:
		if e.Entry.Level != cdplog.EntryLevelError {
			return
		}
		text = e.Entry.Text + " " + e.Entry.URL
	default:
		return
	}
	b.mu.Lock()
	b.errors = append(b.errors, strings.TrimSpace(text))
	b.mu.Unlock()
}

// faults are the errors of the console that were not allowed.
func (b *Tab) faults() (out []string) {
	b.mu.Lock()
	defer b.mu.Unlock()
	for _, text := range b.errors {
		if !containsAny(text, b.allowed) {
			out = append(out, text)
		}
	}
	return out
}

func containsAny(text string, parts []string) bool {
	for _, p := range parts {
		if strings.Contains(text, p) {
			return true
		}
	}
	return false
}

// Allow says what may stand in errors of the console that are no fault.
func (b *Tab) Allow(parts ...string) {
	b.mu.Lock()
	b.allowed = append(b.allowed, parts...)
	b.mu.Unlock()
}

// Errors are all errors of the console so far, allowed ones too.
func (b *Tab) Errors() []string {
	b.mu.Lock()
	defer b.mu.Unlock()
	return append([]string(nil), b.errors...)
}

// Do runs steps in the tab, in order; the test ends at the first that fails.
func (b *Tab) Do(steps ...Step) {
	b.t.Helper()
	ctx, end := context.WithTimeout(b.ctx, hangGuard)
	defer end()
	if err := chromedp.Do(ctx, steps...); err != nil {
		b.t.Fatal(err)
	}
}

// Eval gives the value of a JavaScript expression; a promise is waited for.
func Eval[T any](b *Tab, expression string) T {
	b.t.Helper()
	v, err := try[T](b, expression)
	if err != nil {
		b.t.Fatalf("%s: %v", brief(expression), err)
	}
	return v
}

func try[T any](b *Tab, expression string) (T, error) {
	ctx, end := context.WithTimeout(b.ctx, hangGuard)
	defer end()
	return chromedp.Run(ctx, chromedp.Evaluate[T](expression, chromedp.EvalAwaitPromise))
}

// brief is an expression as it stands in a message.
func brief(expression string) string {
	if len(expression) > 300 {
		return expression[:300] + "…"
	}
	return expression
}

// Wait waits until a JavaScript expression holds. One that throws does not hold,
// for its elements may not be there yet.
func (b *Tab) Wait(expression string) {
	b.t.Helper()
	var last error
	for deadline := time.Now().Add(hangGuard); ; time.Sleep(pollInterval) {
		ok, err := try[bool](b, "!!("+expression+")")
		if ok && err == nil {
			return
		}
		last = err
		if time.Now().After(deadline) {
			text, _ := try[string](b, "document.body ? document.body.innerText : ''")
			b.t.Fatalf("never came true: %s (%v)\nconsole: %q\nthe page says:\n%s", brief(expression), last, b.Errors(), brief(text))
		}
	}
}

// Heap is the memory that the page's objects take after a collection, in bytes:
// those of scripts, and the array buffers and strings outside their heap.
func (b *Tab) Heap() (bytes float64) {
	b.t.Helper()
	b.Do(chromedp.Func(func(ctx context.Context, t *chromedp.Target) error {
		for range 3 { // what was held by what is freed goes with a later one
			if _, err := cdp.Call(ctx, t, heapprofiler.CollectGarbage, cdp.Empty{}); err != nil {
				return err
			}
		}
		use, err := cdp.Call(ctx, t, runtime.GetHeapUsage, cdp.Empty{})
		bytes = use.UsedSize + use.BackingStorageSize + use.EmbedderHeapUsedSize
		return err
	}))
	return bytes
}
