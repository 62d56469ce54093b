package review_test

import (
	"context"
	"encoding/json"
	"fmt"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/log"
	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/require"
)

// browser finds a Chromium, and skips the test where there is none.
func browser(t *testing.T) string {
	t.Helper()
	if testing.Short() {
		t.Skip("a browser takes long: not with -short")
	}
	for _, name := range []string{"chromium", "chromium-browser", "google-chrome"} {
		if path, err := exec.LookPath(name); err == nil {
			return path
		}
	}
	t.Skip("no Chromium here: the page is not looked at in a browser")
	return ""
}

// tab is a page in a browser; what it asks for and what it complains of is
// written down.
type tab struct {
	t   *testing.T
	ctx context.Context
	mu  sync.Mutex
	// asked are the hosts of all requests, said the messages of its console.
	asked map[string]bool
	said  []string
}

// chromium is the browser of all tests, started by the first that needs it: a
// start takes seconds. Tests do not see one another's pages, nor what they keep,
// for each serves its own under another port.
type chromium struct {
	once sync.Once
	ctx  context.Context
	err  error
	stop func()
}

var shared chromium

func TestMain(m *testing.M) {
	code := m.Run()
	if shared.stop != nil {
		shared.stop()
	}
	os.Exit(code)
}

func (c *chromium) start(path string) {
	options := append(chromedp.DefaultExecAllocatorOptions[:],
		chromedp.ExecPath(path),
		chromedp.NoSandbox) // there is none for root in a container
	alloc, stop := chromedp.NewExecAllocator(context.Background(), options...)
	ctx, end := chromedp.NewContext(alloc)
	c.ctx, c.err = ctx, chromedp.Do(ctx) // starts the browser
	c.stop = func() { end(); stop() }
}

// newBrowser gives a tab of a width.
func newBrowser(t *testing.T, width int64) *tab {
	t.Helper()
	path := browser(t)
	shared.once.Do(func() { shared.start(path) })
	require.NoError(t, shared.err)
	tb := newTab(t, shared.ctx)
	tb.resize(width)
	return tb
}

func (tb *tab) resize(width int64) {
	tb.t.Helper()
	tb.run(chromedp.EmulateViewport(width, 900))
}

func newTab(t *testing.T, parent context.Context) *tab {
	t.Helper()
	ctx, end := chromedp.NewContext(parent)
	t.Cleanup(end)
	tb := &tab{t: t, ctx: ctx, asked: map[string]bool{}}
	require.NoError(t, chromedp.Do(ctx))
	require.NoError(t, chromedp.Listen(ctx, func(event any) {
		tb.mu.Lock()
		defer tb.mu.Unlock()
		switch e := event.(type) {
		case *network.EventRequestWillBeSent:
			if u, err := url.Parse(e.Request.URL); err == nil {
				tb.asked[u.Scheme+"://"+u.Host] = true
			}
		case *runtime.EventConsoleAPICalled:
			tb.said = append(tb.said, fmt.Sprintf("%s: %v", e.Type, e.Args))
		case *runtime.EventExceptionThrown:
			tb.said = append(tb.said, fmt.Sprintf("%s %v", e.ExceptionDetails.Text, e.ExceptionDetails.Exception))
		case *log.EventEntryAdded:
			tb.said = append(tb.said, fmt.Sprintf("%s: %s %s", e.Entry.Level, e.Entry.Text, e.Entry.URL))
		}
	}))
	for _, enable := range []func() error{
		func() error { _, err := chromedp.Call(ctx, network.Enable, network.EnableParams{}); return err },
		func() error { _, err := chromedp.Call(ctx, runtime.Enable, cdp.Empty{}); return err },
		func() error { _, err := chromedp.Call(ctx, log.Enable, cdp.Empty{}); return err },
	} {
		require.NoError(t, enable())
	}
	return tb
}

// patience is how long a page may take to come to something: tests run beside
// others.
const patience = 60 * time.Second

func (tb *tab) run(actions ...chromedp.Action[chromedp.Void]) {
	tb.t.Helper()
	ctx, cancel := context.WithTimeout(tb.ctx, patience)
	defer cancel()
	require.NoError(tb.t, chromedp.Do(ctx, actions...))
}

// open goes to an address and waits until the batch is shown.
func (tb *tab) open(address string) {
	tb.t.Helper()
	tb.run(chromedp.Navigate(address), chromedp.WaitVisible("main h1"))
}

// to goes to another part of the page.
func (tb *tab) to(hash, heading string) {
	tb.t.Helper()
	tb.value("location.hash = " + quoted(hash))
	tb.until("document.querySelector('main h1')?.textContent.includes(" + quoted(heading) + ")")
}

func quoted(s string) string {
	b, _ := json.Marshal(s) // a string always can
	return string(b)
}

// until waits for an expression to be true.
func (tb *tab) until(expression string) {
	tb.t.Helper()
	for start := time.Now(); time.Since(start) < patience; time.Sleep(50 * time.Millisecond) {
		// A page that is being left answers with an error.
		if is, err := tb.try("!!(" + expression + ")"); err == nil && is == "true" {
			return
		}
	}
	tb.mu.Lock()
	defer tb.mu.Unlock()
	tb.t.Fatalf("never true: %s\nconsole: %q\npage: %s", expression, tb.said, tb.text("body"))
}

// value evaluates an expression, or waits for what it promises, as a string.
func (tb *tab) value(expression string) string {
	tb.t.Helper()
	s, err := tb.try(expression)
	require.NoError(tb.t, err, expression[:min(len(expression), 300)])
	return s
}

func (tb *tab) try(expression string) (string, error) {
	ctx, cancel := context.WithTimeout(tb.ctx, patience)
	defer cancel()
	return chromedp.Run(ctx, chromedp.Evaluate[string]("(async () => String(await ("+expression+")))()", chromedp.EvalAwaitPromise))
}

func (tb *tab) text(selector string) string {
	return tb.value("document.querySelector(" + quoted(selector) + ")?.innerText")
}

func (tb *tab) press(keys ...string) {
	tb.t.Helper()
	for _, k := range keys {
		tb.run(chromedp.KeyEvent(k))
	}
}

// quiet requires that nothing was complained of and nothing asked for from
// elsewhere.
func (tb *tab) quiet(own string) {
	tb.t.Helper()
	tb.mu.Lock()
	defer tb.mu.Unlock()
	require.Empty(tb.t, tb.said, "the console")
	delete(tb.asked, own)
	require.Empty(tb.t, tb.asked, "asked for from elsewhere")
}

// picture writes what the whole page looks like, where FORAYSEQ_PICTURES names a
// folder, for somebody to look at: in pieces, for a browser draws no more at once.
func (tb *tab) picture(name string) {
	tb.t.Helper()
	dir := os.Getenv("FORAYSEQ_PICTURES")
	if dir == "" {
		return
	}
	require.NoError(tb.t, os.MkdirAll(dir, 0o755))
	const piece = 4000
	var width, height float64
	_, err := fmt.Sscan(tb.value("innerWidth + ' ' + document.documentElement.scrollHeight"), &width, &height)
	require.NoError(tb.t, err)
	beyond := true
	for y := 0.0; y < height; y += piece {
		got, err := chromedp.Call(tb.ctx, page.CaptureScreenshot, page.CaptureScreenshotParams{
			CaptureBeyondViewport: &beyond,
			Clip:                  &page.Viewport{Y: y, Width: width, Height: min(piece, height-y), Scale: 1}})
		require.NoError(tb.t, err)
		require.NoError(tb.t, os.WriteFile(filepath.Join(dir, fmt.Sprintf("%s-%02d.png", name, int(y)/piece+1)), got.Data, 0o644))
	}
}

// scheme asks for light or dark.
func (tb *tab) scheme(value string) {
	tb.t.Helper()
	_, err := chromedp.Call(tb.ctx, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{
		Features: []*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: value}}}) //nolint:misspell // a name of CSS
	require.NoError(tb.t, err)
}

// sound holds the page as it is against WCAG 2.2 AA with axe-core, where
// FORAYSEQ_AXE names its file.
func (tb *tab) sound(where string) {
	tb.t.Helper()
	path := os.Getenv("FORAYSEQ_AXE")
	if path == "" {
		tb.t.Log(where + ": FORAYSEQ_AXE is not set, so accessibility is not checked by axe-core")
		return
	}
	axe, err := os.ReadFile(path)
	require.NoError(tb.t, err)
	// Given to the browser as a program of its own, which the page's policy does
	// not stop.
	require.NoError(tb.t, chromedp.Do(tb.ctx, chromedp.Evaluate[chromedp.Void](string(axe))))
	found := tb.value(`axe.run(document, {runOnly: ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]}).then((r) =>
		r.violations.filter((v) => ["serious", "critical", "moderate"].includes(v.impact)).map((v) =>
			v.impact + " " + v.id + ": " + v.help + "\n" + v.nodes.map((n) => "  " + n.html + "\n    " + n.failureSummary).join("\n")).join("\n"))`)
	require.Empty(tb.t, found, where)
}

// noWider requires that the page needs no scrolling to the side.
func (tb *tab) noWider(where string) {
	tb.t.Helper()
	require.Equal(tb.t, "true", tb.value("document.documentElement.scrollWidth <= innerWidth"), where+" is wider than the window: "+
		tb.value(`[...document.querySelectorAll("body *")].filter((e) => e.getBoundingClientRect().right > innerWidth + 1).slice(0, 5).map((e) => e.outerHTML.slice(0, 120)).join("\n")`))
}
