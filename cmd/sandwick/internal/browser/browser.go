// Package browser drives a real browser in tests: it opens pages, watches what
// they ask for and complain of, and prints them. Without a Chromium on the machine
// the tests that need one are skipped.
package browser

import (
	"context"
	"os/exec"
	"regexp"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/cdproto/log"
	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/chromedp"
)

// Tab is one page of a browser that stops with the test.
type Tab struct {
	Ctx context.Context

	mu         sync.Mutex
	requests   []string
	complaints []string
}

// patience is how long a browser may take for one test before it is given up.
const patience = 90 * time.Second

// Open starts a browser with an empty profile and one tab, or skips the test
// where there is none.
func Open(t *testing.T) *Tab {
	t.Helper()
	if testing.Short() {
		t.Skip("a real browser takes seconds: left out of a short run")
	}
	path := ""
	for _, name := range []string{"chromium", "chromium-browser", "google-chrome"} {
		if p, err := exec.LookPath(name); err == nil {
			path = p
			break
		}
	}
	if path == "" {
		t.Skip("no chromium on this machine: the page is not opened in a real browser")
	}
	options := append(slices.Clone(chromedp.DefaultExecAllocatorOptions[:]),
		chromedp.ExecPath(path), chromedp.UserDataDir(t.TempDir()), chromedp.NoSandbox,
		chromedp.Flag("disable-gpu", true), chromedp.Flag("disable-quic", true), chromedp.Flag("disable-sync", true),
		chromedp.Flag("disable-background-networking", true), chromedp.Flag("disable-component-update", true))
	ctx, cancel := context.WithCancel(context.Background())
	stop := time.AfterFunc(patience, cancel)
	alloc, cancelAlloc := chromedp.NewExecAllocator(ctx, options...)
	tab := &Tab{}
	var cancelTab context.CancelFunc
	tab.Ctx, cancelTab = chromedp.NewContext(alloc)
	t.Cleanup(func() {
		stop.Stop()
		cancelTab()
		cancelAlloc()
		cancel()
	})
	if err := chromedp.Listen(tab.Ctx, tab.note); err != nil {
		t.Fatalf("there is a browser, %s, but it does not start: %v", path, err)
	}
	return tab
}

// note keeps what the page asks for and what it complains of.
func (t *Tab) note(ev any) {
	t.mu.Lock()
	defer t.mu.Unlock()
	switch e := ev.(type) {
	case *network.EventRequestWillBeSent:
		t.requests = append(t.requests, e.Request.URL)
	case *runtime.EventExceptionThrown:
		t.complaints = append(t.complaints, e.ExceptionDetails.Text)
	case *runtime.EventConsoleAPICalled:
		if e.Type == runtime.ConsoleAPICalledTypeError || e.Type == runtime.ConsoleAPICalledTypeWarning {
			t.complaints = append(t.complaints, "console."+string(e.Type))
		}
	case *log.EventEntryAdded:
		if e.Entry.Level == log.EntryLevelError || e.Entry.Level == log.EntryLevelWarning {
			t.complaints = append(t.complaints, e.Entry.Text)
		}
	}
}

// Visit opens an address in a window of so many CSS pixels.
func (t *Tab) Visit(tb testing.TB, url string, width, height int64) {
	tb.Helper()
	if err := chromedp.Do(t.Ctx, chromedp.EmulateViewport(width, height), chromedp.Navigate(url)); err != nil {
		tb.Fatal(err)
	}
}

// VisitByThumb opens an address as a phone does, one that is touched.
func (t *Tab) VisitByThumb(tb testing.TB, url string, width, height int64) {
	tb.Helper()
	if err := chromedp.Do(t.Ctx, chromedp.EmulateViewport(width, height, chromedp.EmulateMobile, chromedp.EmulateTouch), chromedp.Navigate(url)); err != nil {
		tb.Fatal(err)
	}
}

// Touch puts a thumb down at the first place of the window, drags it to the
// others, and lifts it.
func (t *Tab) Touch(tb testing.TB, places ...[2]float64) {
	tb.Helper()
	send := func(kind input.DispatchTouchEventType, points ...*input.TouchPoint) {
		if _, err := chromedp.Run(t.Ctx, chromedp.Action[bool](func(ctx context.Context, target *chromedp.Target) (bool, error) {
			_, err := cdp.Call(ctx, target, input.DispatchTouchEvent, input.DispatchTouchEventParams{Type: kind, TouchPoints: points})
			return true, err
		})); err != nil {
			tb.Fatal(err)
		}
	}
	for i, p := range places {
		kind := input.DispatchTouchEventTypeTouchMove
		if i == 0 {
			kind = input.DispatchTouchEventTypeTouchStart
		}
		send(kind, &input.TouchPoint{X: p[0], Y: p[1]})
	}
	send(input.DispatchTouchEventTypeTouchEnd)
}

// NoScripts keeps the pages opened from then on from running scripts; Eval goes on.
func (t *Tab) NoScripts(tb testing.TB) {
	tb.Helper()
	if _, err := chromedp.Run(t.Ctx, chromedp.Action[bool](func(ctx context.Context, target *chromedp.Target) (bool, error) {
		_, err := cdp.Call(ctx, target, emulation.SetScriptExecutionDisabled, emulation.SetScriptExecutionDisabledParams{Value: true})
		return true, err
	})); err != nil {
		tb.Fatal(err)
	}
}

// Outside lists the addresses asked for since the last call that do not begin
// with the one given.
func (t *Tab) Outside(own string) []string {
	t.mu.Lock()
	defer t.mu.Unlock()
	list := []string{}
	for _, u := range t.requests {
		if !strings.HasPrefix(u, own) && !strings.HasPrefix(u, "data:") && u != "about:blank" {
			list = append(list, u)
		}
	}
	t.requests = nil
	return list
}

// Complaints are the errors and warnings of the console so far.
func (t *Tab) Complaints() []string {
	t.mu.Lock()
	defer t.mu.Unlock()
	return slices.Clone(t.complaints)
}

// Eval is the value of an expression in the page.
func Eval[T any](tb testing.TB, t *Tab, expression string) T {
	tb.Helper()
	v, err := chromedp.Run(t.Ctx, chromedp.Evaluate[T](expression))
	if err != nil {
		tb.Fatalf("%v\n%.200s", err, expression)
	}
	return v
}

// Print is the page on paper.
func (t *Tab) Print(tb testing.TB, paper chromedp.PaperSize) []byte {
	tb.Helper()
	pdf, err := chromedp.Run(t.Ctx, chromedp.PrintToPDF(chromedp.PDFPaper(paper), chromedp.PDFMargin(0.35), chromedp.PDFPrintBackground()))
	if err != nil {
		tb.Fatal(err)
	}
	return pdf
}

// pageObject is a page in a PDF (ISO 32000-1, 7.7.3.3: Type is Page), not the
// tree of them (Type is Pages).
var pageObject = regexp.MustCompile(`/Type\s*/Page\b[^s]`)

// Pages is the number of pages of a PDF as the browser writes it, its page
// objects uncompressed.
func Pages(pdf []byte) int { return len(pageObject.FindAll(pdf, -1)) }
