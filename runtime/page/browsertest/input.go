package browsertest

import (
	"bytes"
	"context"
	"encoding/json"
	"time"

	"github.com/chromedp/cdproto/accessibility"
	cdpbrowser "github.com/chromedp/cdproto/browser"
	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/cdproto/target"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
)

// Point is a place in the window, in CSS pixels from its upper left corner.
type Point struct{ X, Y float64 }

// Quote is a text as a JavaScript literal.
func Quote(text string) string {
	quoted, err := json.Marshal(text)
	if err != nil {
		panic(err) // a string always has a form in JSON
	}
	return string(quoted)
}

// Middle is the middle of the first element for a CSS selector, scrolled into view.
func (b *Tab) Middle(selector string) Point {
	b.t.Helper()
	b.Wait("document.querySelector(" + Quote(selector) + ")")
	return Eval[Point](b, `(() => {
		const el = document.querySelector(`+Quote(selector)+`);
		el.scrollIntoView({block: "nearest", inline: "nearest"});
		const r = el.getBoundingClientRect();
		return {X: r.x + r.width / 2, Y: r.y + r.height / 2};
	})()`)
}

// Click presses the mouse on the middle of an element.
func (b *Tab) Click(selector string) {
	b.t.Helper()
	b.ClickAt(b.Middle(selector))
}

// ClickAt moves the mouse to a place and presses it there.
func (b *Tab) ClickAt(p Point) {
	b.t.Helper()
	b.Hover(p)
	b.Do(chromedp.MouseClickXY(p.X, p.Y))
}

// Hover moves the mouse to a place.
func (b *Tab) Hover(p Point) {
	b.t.Helper()
	b.Do(chromedp.MouseEvent(chromedp.MouseMoved, p.X, p.Y))
}

// Drag presses the mouse at a place, moves it to another in steps and lets it go.
func (b *Tab) Drag(from, to Point, steps int) {
	b.t.Helper()
	b.Hover(from)
	moves := []Step{chromedp.MouseEvent(chromedp.MousePressed, from.X, from.Y, chromedp.ButtonLeft, chromedp.ClickCount(1))}
	for i := 1; i <= steps; i++ {
		s := float64(i) / float64(steps)
		moves = append(moves, chromedp.MouseEvent(chromedp.MouseMoved, from.X+s*(to.X-from.X), from.Y+s*(to.Y-from.Y), chromedp.ButtonLeft))
	}
	moves = append(moves, chromedp.MouseEvent(chromedp.MouseReleased, to.X, to.Y, chromedp.ButtonLeft, chromedp.ClickCount(1)))
	b.Do(moves...)
}

// Keys that type no character, for Press.
const (
	TabKey     = kb.Tab
	EnterKey   = kb.Enter
	EscapeKey  = kb.Escape
	HomeKey    = kb.Home
	EndKey     = kb.End
	ArrowUp    = kb.ArrowUp
	ArrowDown  = kb.ArrowDown
	ArrowLeft  = kb.ArrowLeft
	ArrowRight = kb.ArrowRight
)

// Press types keys: text, or those above.
func (b *Tab) Press(keys string, modifiers ...chromedp.Modifier) {
	b.t.Helper()
	b.Do(chromedp.KeyEvent(keys, chromedp.KeyModifiers(modifiers...)))
}

// Window sets the size of the window in device pixels and how many of them make one
// CSS pixel: 2 is what a page sees at a zoom of 200 %.
func (b *Tab) Window(width, height int64, zoom float64) {
	b.t.Helper()
	b.Do(chromedp.EmulateViewport(int64(float64(width)/zoom), int64(float64(height)/zoom), chromedp.EmulateScale(zoom)))
}

// Prefer sets a media feature that the user's system tells, such as
// prefers-color-scheme.
func (b *Tab) Prefer(feature, value string) {
	b.t.Helper()
	b.Do(chromedp.Func(func(ctx context.Context, t *chromedp.Target) error {
		_, err := cdp.Call(ctx, t, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{
			Features: []*emulation.MediaFeature{{Name: feature, Value: value}},
		})
		return err
	}))
}

// Permit says whether pages of an address may do what they ask for, such as
// "clipboard-read": "granted" or "denied".
func (b *Tab) Permit(url, what, setting string) {
	b.t.Helper()
	b.Do(chromedp.Func(func(ctx context.Context, t *chromedp.Target) error {
		at, err := cdp.Call(ctx, t, target.GetTargetInfo, target.GetTargetInfoParams{})
		if err != nil {
			return err
		}
		_, err = cdp.Call(ctx, t, cdpbrowser.SetPermission, cdpbrowser.SetPermissionParams{
			Permission: &cdpbrowser.PermissionDescriptor{Name: what}, Setting: cdpbrowser.PermissionSetting(setting), Origin: url,
			BrowserContextID: at.TargetInfo.BrowserContextID,
		})
		return err
	}))
}

// Heard is what those are told of the page who hear it: the role and the name of everything,
// as "button Describe".
func (b *Tab) Heard() (out []string) {
	b.t.Helper()
	b.Do(chromedp.Func(func(ctx context.Context, t *chromedp.Target) error {
		tree, err := cdp.Call(ctx, t, accessibility.GetFullAXTree, accessibility.GetFullAXTreeParams{})
		for _, node := range tree.Nodes {
			if node.Ignored || node.Role == nil || node.Name == nil {
				continue
			}
			var role, name string
			if json.Unmarshal(node.Role.Value, &role) == nil && json.Unmarshal(node.Name.Value, &name) == nil {
				out = append(out, role+" "+name)
			}
		}
		return err
	}))
	return out
}

// BeforeScripts runs an expression in every page that is opened from now on, before any
// script of its own.
func (b *Tab) BeforeScripts(expression string) {
	b.t.Helper()
	b.Do(chromedp.Func(func(ctx context.Context, t *chromedp.Target) error {
		_, err := cdp.Call(ctx, t, page.AddScriptToEvaluateOnNewDocument, page.AddScriptToEvaluateOnNewDocumentParams{Source: expression})
		return err
	}))
}

// Screenshot is what the window shows, as PNG.
func (b *Tab) Screenshot() []byte {
	b.t.Helper()
	ctx, end := context.WithTimeout(b.ctx, hangGuard)
	defer end()
	png, err := chromedp.Run(ctx, chromedp.CaptureScreenshot())
	if err != nil {
		b.t.Fatal(err)
	}
	return png
}

// PDF is what the page prints, on paper of the size that its style asks for.
func (b *Tab) PDF() (pdf []byte) {
	b.t.Helper()
	yes := true
	b.Do(chromedp.Func(func(ctx context.Context, t *chromedp.Target) error {
		made, err := cdp.Call(ctx, t, page.PrintToPDF, page.PrintToPDFParams{PreferCSSPageSize: &yes})
		pdf = made.Data
		return err
	}))
	return pdf
}

// Part is what an element shows, as PNG.
func (b *Tab) Part(selector string) []byte {
	b.t.Helper()
	ctx, end := context.WithTimeout(b.ctx, hangGuard)
	defer end()
	png, err := chromedp.Run(ctx, chromedp.Screenshot(chromedp.CSS(selector)))
	if err != nil {
		b.t.Fatal(err)
	}
	return png
}

// WaitChange waits until an element shows something else than in a picture that Part gave.
func (b *Tab) WaitChange(selector string, before []byte) {
	b.t.Helper()
	for deadline := time.Now().Add(hangGuard); bytes.Equal(b.Part(selector), before); time.Sleep(pollInterval) {
		if time.Now().After(deadline) {
			b.t.Fatalf("%s shows what it did before", selector)
		}
	}
}

// Wheel turns the mouse wheel at a place; away from the user is negative.
func (b *Tab) Wheel(p Point, by float64) {
	b.t.Helper()
	b.Do(chromedp.MouseEvent(chromedp.MouseWheel, p.X, p.Y, func(e *input.DispatchMouseEventParams) {
		e.DeltaX, e.DeltaY = 1e-9, by // zero would not be sent, and both are asked for
	}))
}

// Set gives a field another value, as when the user has typed it and goes on.
func (b *Tab) Set(selector, value string) {
	b.t.Helper()
	b.Wait("document.querySelector(" + Quote(selector) + ")")
	Eval[bool](b, `((el, value) => {
		el.focus();
		el.value = value;
		for (const type of ["input", "change"]) el.dispatchEvent(new Event(type, {bubbles: true}));
		return true;
	})(document.querySelector(`+Quote(selector)+`), `+Quote(value)+`)`)
}

// Frames waits until so many frames have been drawn.
func (b *Tab) Frames(n int) {
	b.t.Helper()
	for range n {
		Eval[bool](b, "new Promise(done => requestAnimationFrame(() => done(true)))")
	}
}
