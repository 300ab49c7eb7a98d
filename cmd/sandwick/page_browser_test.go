package main

import (
	"bytes"
	"context"
	"fmt"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"sandwick/cmd/sandwick/internal/browser"

	"github.com/chromedp/chromedp"
)

// demoPage writes the demo farm's page of a command and gives its file.
func demoPage(t *testing.T, command string, more ...string) string {
	t.Helper()
	file := filepath.Join(t.TempDir(), "page.html")
	p := program{now: time.Now, version: func() string { return "test" }}
	args := append([]string{command, "--farm", filepath.Join("..", "..", "testdata", "demo"), "--html", file}, more...)
	var out, errs bytes.Buffer
	if status := p.run(context.Background(), args, strings.NewReader(""), &out, &errs); status != 0 {
		t.Fatalf("exit %d: %s", status, errs.String())
	}
	return file
}

// The page in a real browser: quiet, alone, and never wider than the window, down
// to the 320 px of WCAG 2.2, 1.4.10 Reflow.
func TestPageInABrowser(t *testing.T) {
	tab := browser.Open(t)
	for _, command := range []string{"plan", "status", "season"} {
		file := demoPage(t, command)
		for _, width := range []int64{320, 360, 768, 1280} {
			tab.Visit(t, "file://"+file, width, 800)
			if w := browser.Eval[int64](t, tab, "document.documentElement.scrollWidth"); w > width {
				t.Errorf("%s at %d px: the page is %d px wide; %s", command, width, w, browser.Eval[string](t, tab, widest))
			}
		}
		if list := tab.Outside("file://" + file); len(list) > 0 {
			t.Errorf("%s: the page asks for %q", command, list)
		}
	}
	if list := tab.Complaints(); len(list) > 0 {
		t.Errorf("the console complains: %q", list)
	}
}

// widest names the element that sticks out furthest.
const widest = `[...document.querySelectorAll('body *')].map(e => [e.getBoundingClientRect().right, e.outerHTML.slice(0, 80)]).sort((a, b) => b[0] - a[0])[0].join(' ')`

// Text on the map must not shrink below what can be read at arm's length: 9 CSS
// pixels for the small figures. Common practice, no published source.
func TestMapTextOnAPhone(t *testing.T) {
	tab := browser.Open(t)
	tab.Visit(t, "file://"+demoPage(t, "plan"), 360, 800)
	least := browser.Eval[float64](t, tab, `Math.min(...[...document.querySelectorAll('.circle text, .plot text')].map(e => parseFloat(getComputedStyle(e).fontSize) * e.getScreenCTM().a))`)
	if least < 9 {
		t.Errorf("the smallest text of a drawing is %.1f px", least)
	}
}

// On paper: a sheet in front, one for each pivot, one for the books.
func TestPagePrinted(t *testing.T) {
	tab := browser.Open(t)
	tab.Visit(t, "file://"+demoPage(t, "plan"), 1200, 800)
	for name, paper := range map[string]chromedp.PaperSize{"letter": chromedp.PaperLetter, "A4": chromedp.PaperA4} {
		if n := browser.Pages(tab.Print(t, paper)); n != 1+3+1 {
			t.Errorf("%s: %d sheets of paper, want a front, 3 pivots and the books", name, n)
		}
	}
}

// The rules of axe-core (WCAG 2 A and AA and good practice), where the caller
// has it: SANDWICK_AXE names axe.min.js of that package.
func TestPageAccessible(t *testing.T) {
	a := openAxe(t)
	for _, c := range []struct {
		command string
		width   int64
	}{{"plan", 360}, {"plan", 1280}, {"status", 360}, {"season", 360}} {
		a.tab.Visit(t, "file://"+demoPage(t, c.command), c.width, 800)
		a.rules(t, fmt.Sprintf("%s at %d px", c.command, c.width), 15)
	}
}
