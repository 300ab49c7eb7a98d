// The local site in a real browser.

package main

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"sandwick/cmd/sandwick/internal/browser"
	"sandwick/cmd/sandwick/internal/guard"
	"sandwick/cmd/sandwick/internal/starter"
	"sandwick/fields"
	"sandwick/fields/records"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
	"github.com/paulmach/orb"
)

// await waits until an expression holds in the page, across page loads.
func await(t *testing.T, tab *browser.Tab, expression string) {
	t.Helper()
	for range 200 {
		v, err := chromedp.Run(tab.Ctx, chromedp.Evaluate[bool]("!!("+expression+")"))
		if err == nil && v {
			return
		}
		if tab.Ctx.Err() != nil {
			t.Fatal(tab.Ctx.Err())
		}
		time.Sleep(50 * time.Millisecond)
	}
	t.Fatalf("the page never comes to %s; it says: %.600s", expression, browser.Eval[string](t, tab, "document.body.innerText"))
}

// keys types into whatever has the focus.
func keys(t *testing.T, tab *browser.Tab, text ...string) {
	t.Helper()
	for _, k := range text {
		if err := chromedp.Do(tab.Ctx, chromedp.KeyEvent(k)); err != nil {
			t.Fatal(err)
		}
	}
}

// tabTo presses Tab until an element has the focus: nothing is out of reach of a
// keyboard.
func tabTo(t *testing.T, tab *browser.Tab, selector string) {
	t.Helper()
	for range 80 {
		if browser.Eval[bool](t, tab, fmt.Sprintf("document.activeElement.matches(%q)", selector)) {
			return
		}
		keys(t, tab, kb.Tab)
	}
	t.Fatalf("Tab never comes to %s", selector)
}

// quiet holds a tab to have complained of nothing but answers that are meant to
// be refusals of what was typed, and to have asked nobody else.
func quiet(t *testing.T, tab *browser.Tab, s *served) {
	t.Helper()
	for _, text := range tab.Complaints() {
		if !strings.Contains(text, "422 (Unprocessable Entity)") {
			t.Errorf("the console complains: %s", text)
		}
	}
	if list := tab.Outside(s.base); len(list) > 0 {
		t.Errorf("the pages ask others: %q", list)
	}
}

// outOfBox names tables wider than the room that their parents have for them.
const outOfBox = `[...document.querySelectorAll('table')].filter(e => { const p = e.parentElement, s = getComputedStyle(p); return e.offsetParent && e.getBoundingClientRect().right > p.getBoundingClientRect().right - parseFloat(s.paddingRight) - parseFloat(s.borderRightWidth) + 0.5; }).map(e => e.className + ' ' + e.innerText.slice(0, 40)).join('; ')`

// Every page fits a phone.
func TestServeOnAPhone(t *testing.T) {
	tab := browser.Open(t)
	s := serveDemo(t, nil, guard.Times{})
	paths := []string{"/", "/status", "/season", "/what-if", "/what-if?ask=yes&do-a=hold&sky=rain&rain=0.8&rain_unit=in&on=2025-07-20", "/zones"}
	for i := range recordForms {
		paths = append(paths, "/record/"+recordForms[i].kind)
	}
	for _, path := range paths {
		widths := []int64{360, 1280}
		if path == "/" || strings.HasPrefix(path, "/what-if?") {
			widths = append(widths, 320) // WCAG 2.2, 1.4.10 Reflow
		}
		for _, width := range widths {
			tab.Visit(t, s.base+path, width, 760)
			if w := browser.Eval[int64](t, tab, "document.documentElement.scrollWidth"); w > width {
				t.Errorf("%s at %d px is %d px wide: %s", path, width, w, browser.Eval[string](t, tab, widest))
			}
			if out := browser.Eval[string](t, tab, outOfBox); out != "" {
				t.Errorf("%s at %d px: a table sticks out of its box: %s", path, width, out)
			}
			if small := browser.Eval[string](t, tab, `[...document.querySelectorAll('main button, main select, main input:not([type=checkbox]):not([type=hidden]), .places a')].filter(e => e.offsetParent && e.getBoundingClientRect().height < 40).map(e => e.outerHTML.slice(0, 60)).join('; ')`); small != "" {
				t.Errorf("%s at %d px: too small for a thumb: %s", path, width, small)
			}
		}
	}
	quiet(t, tab, s)
}

// A grower's morning by keyboard alone: read the plan, record rain wrongly and
// then rightly, see the plan change, ask what if, take the rain back.
func TestServeByKeyboard(t *testing.T) {
	tab := browser.Open(t)
	s := serveDemo(t, nil, guard.Times{})
	tab.Visit(t, s.base+"/", 360, 760)
	was := browser.Eval[string](t, tab, "document.querySelector('.actions').innerText")
	tabTo(t, tab, `a[href="/record/rain"]`)
	keys(t, tab, kb.Enter)
	await(t, tab, "document.querySelector('#amount')")
	tabTo(t, tab, "#place")
	keys(t, tab, "every")
	tabTo(t, tab, "#amount")
	keys(t, tab, "much")
	tabTo(t, tab, "main form button")
	keys(t, tab, kb.Enter)
	await(t, tab, "document.querySelector('#amount-fault')")
	if v := browser.Eval[string](t, tab, "document.querySelector('#amount').value + '|' + document.querySelector('#place').value"); v != "much|*" {
		t.Errorf("what was typed is not there any more: %q", v)
	}
	if v := browser.Eval[bool](t, tab, "document.querySelector('#amount').getAttribute('aria-invalid') === 'true' && document.querySelector('#amount').getAttribute('aria-describedby') === 'amount-fault'"); !v {
		t.Error("the fault is not tied to its field for those who cannot see it")
	}
	tabTo(t, tab, "#amount")
	for range 4 {
		keys(t, tab, kb.Backspace, kb.Delete)
	}
	keys(t, tab, "2.5")
	tabTo(t, tab, "main form button")
	keys(t, tab, kb.Enter)
	await(t, tab, "location.pathname === '/done' && document.querySelector('.now .before b')")
	if n := s.rows(records.RainFile); n == 0 {
		t.Error("no rain is in the book")
	}
	tabTo(t, tab, `main a[href="/"]`)
	keys(t, tab, kb.Enter)
	await(t, tab, "location.pathname === '/' && document.querySelector('.actions')")
	if now := browser.Eval[string](t, tab, "document.querySelector('.actions').innerText"); now == was {
		t.Errorf("the plan is the same after 2.5 in of rain: %s", now)
	}

	tabTo(t, tab, `a[href="/what-if"]`)
	keys(t, tab, kb.Enter)
	await(t, tab, "document.querySelector('#do-a')")
	tabTo(t, tab, "#do-a")
	keys(t, tab, "does not run")
	tabTo(t, tab, "main form button")
	keys(t, tab, kb.Enter)
	await(t, tab, "document.querySelector('.verdict')")
	if v := browser.Eval[string](t, tab, "document.querySelector('.answer').innerText"); !strings.Contains(v, "Heron does not run") || !strings.Contains(v, "Your way costs $") {
		t.Errorf("what if Heron does not run: %s", v)
	}

	before := s.rows(records.RainFile)
	tabTo(t, tab, `a[href="/record/rain"]`)
	keys(t, tab, kb.Enter)
	await(t, tab, "document.querySelector('.lately button')")
	tabTo(t, tab, ".lately button")
	keys(t, tab, kb.Enter)
	await(t, tab, "document.querySelector('h1').innerText === 'Taken back'")
	if n := s.rows(records.RainFile); n != before-1 {
		t.Errorf("%d rows of rain count after one was taken back of %d", n, before)
	}
	quiet(t, tab, s)
}

// An open plan follows a file that another program changes.
func TestServeLive(t *testing.T) {
	tab := browser.Open(t)
	s := serveDemo(t, nil, guard.Times{})
	tab.Visit(t, s.base+"/", 1280, 900)
	await(t, tab, "document.querySelector('.actions')")
	was := browser.Eval[string](t, tab, "document.querySelector('.actions').innerText")
	f, err := os.OpenFile(filepath.Join(s.dir, "records", "rain.csv"), os.O_APPEND|os.O_WRONLY, 0)
	if err != nil {
		t.Fatal(err)
	}
	for _, field := range []string{"Heron Mint", "Plover Beans", "Bittern Corn"} {
		fmt.Fprintf(f, "2025-07-18,%s,2.6,\n", field)
	}
	if err := f.Close(); err != nil {
		t.Fatal(err)
	}
	await(t, tab, fmt.Sprintf("document.querySelector('.actions') && document.querySelector('.actions').innerText !== %q", was))
	quiet(t, tab, s)
}

// Zones drawn with the mouse, cut by keyboard, and saved; a fault keeps the
// drawing.
func TestServeDrawZones(t *testing.T) {
	tab := browser.Open(t)
	s := serveDemo(t, nil, guard.Times{})
	tab.Visit(t, s.base+"/zones", 1280, 1000)
	await(t, tab, "document.querySelector('.plane path.z-zone')")
	zones := func() int {
		f, problems := fields.Load(s.dir)
		if len(problems) > 0 {
			t.Fatal(problems)
		}
		return len(f.Zones)
	}
	before := zones()
	// An island in the swale, west of the pivot point, with the mouse.
	if err := chromedp.Do(tab.Ctx, chromedp.Click("[data-mode=draw]")); err != nil {
		t.Fatal(err)
	}
	at := func(x, y float64) { // in parts of the reach from the pivot point
		type place struct{ X, Y float64 }
		p := browser.Eval[place](t, tab, fmt.Sprintf("(() => { const r = document.querySelector('.plane').getBoundingClientRect(); return {X: r.left + r.width * (0.5 + %g / 2 / 1.16), Y: r.top + r.height * (0.5 - %g / 2 / 1.16)}; })()", x, y))
		if err := chromedp.Do(tab.Ctx, chromedp.MouseClickXY(p.X, p.Y)); err != nil {
			t.Fatal(err)
		}
	}
	at(-0.6, 0.1)
	at(-0.35, 0.1)
	at(-0.35, -0.2)
	at(-0.6, -0.2)
	at(-0.6, 0.1)
	await(t, tab, "document.activeElement.id === 'zone-name'")
	keys(t, tab, "Heron hummock")
	tabTo(t, tab, "#zone-table")
	keys(t, tab, "4", kb.Tab)
	// A fault first: a depth that is none.
	tabTo(t, tab, "#zone-date")
	browser.Eval[bool](t, tab, "document.querySelector('#zone-table').focus() || true")
	keys(t, tab, kb.End, "x", kb.Tab)
	if err := chromedp.Do(tab.Ctx, chromedp.Click("button[value=save]")); err != nil {
		t.Fatal(err)
	}
	await(t, tab, "document.readyState === 'complete' && document.querySelector('.whole .faults')")
	if text := browser.Eval[string](t, tab, "document.querySelector('.whole').innerText + document.querySelector('#map').value"); !strings.Contains(text, "is not a number") || !strings.Contains(text, "Heron hummock") {
		t.Errorf("the fault, or the drawing, is not there: %.300s", text)
	}
	if n := zones(); n != before {
		t.Errorf("a faulty map was saved: %d zones", n)
	}
	await(t, tab, "[...document.querySelectorAll('.zone-list button')].some(b => b.innerText === 'Heron hummock')")
	browser.Eval[bool](t, tab, "[...document.querySelectorAll('.zone-list button')].find(b => b.innerText === 'Heron hummock').click() || true")
	browser.Eval[bool](t, tab, "document.querySelector('#zone-table').select() || document.querySelector('#zone-table').focus() || true")
	keys(t, tab, kb.Backspace, "4", kb.Tab)

	// Cut in two by keyboard: points by azimuth and distance.
	tabTo(t, tab, "button[value=save]")
	browser.Eval[bool](t, tab, "document.querySelector('[data-mode=split]').focus() || true")
	keys(t, tab, kb.Enter)
	for _, p := range [][2]string{{"270", "900"}, {"270", "50"}} {
		browser.Eval[bool](t, tab, "document.querySelector('#point-azimuth').focus() || true")
		keys(t, tab, p[0])
		tabTo(t, tab, "#point-out")
		keys(t, tab, p[1])
		keys(t, tab, kb.Tab, kb.Enter)
	}
	browser.Eval[bool](t, tab, "[...document.querySelectorAll('.tools button')].find(b => b.innerText === 'Finish').click() || true")
	if text := browser.Eval[string](t, tab, "document.querySelector('.told').innerText"); text != "Cut in two: Heron hummock and Heron hummock 2." {
		t.Errorf("the cut says of itself: %s", text)
	}
	// The flat has the ridge in it as an island: a cut past it leaves it on its side,
	// one through it is not made.
	browser.Eval[bool](t, tab, "[...document.querySelectorAll('.zone-list button')].find(b => b.innerText === 'Heron flat').click() || true")
	for _, c := range []struct {
		points [][2]string
		want   string
	}{
		{[][2]string{{"60", "1200"}, {"60", "100"}}, "runs through an island"},
		{[][2]string{{"140", "1200"}, {"140", "10"}}, "Cut in two: Heron flat and Heron flat 2."},
	} {
		browser.Eval[bool](t, tab, "document.querySelector('[data-mode=split]').click() || true")
		for _, p := range c.points {
			browser.Eval[bool](t, tab, fmt.Sprintf("(document.querySelector('#point-azimuth').value = %s, document.querySelector('#point-out').value = %s, [...document.querySelectorAll('.tools button')].find(b => b.innerText === 'Add point').click(), true)", p[0], p[1]))
		}
		browser.Eval[bool](t, tab, "[...document.querySelectorAll('.tools button')].find(b => b.innerText === 'Finish').click() || true")
		if text := browser.Eval[string](t, tab, "document.querySelector('.told').innerText"); !strings.Contains(text, c.want) {
			t.Errorf("cutting the flat: %s; want %s", text, c.want)
		}
	}
	if err := chromedp.Do(tab.Ctx, chromedp.Click("button[value=save]")); err != nil {
		t.Fatal(err)
	}
	await(t, tab, "location.search === '?saved=yes'")
	if n := zones(); n != before+3 {
		t.Errorf("%d zones were saved, want the island, cut in two, the flat's other half, and the %d before", n, before)
	}
	quiet(t, tab, s)
}

// Scripts off: everything but comfort works, in the same browser.
func TestServeWithoutScripts(t *testing.T) {
	tab := browser.Open(t)
	s := serveDemo(t, nil, guard.Times{})
	tab.NoScripts(t)
	click := func(selector string) {
		t.Helper()
		if err := chromedp.Do(tab.Ctx, chromedp.Click(selector)); err != nil {
			t.Fatal(selector, err)
		}
	}
	set := func(selector, value string) {
		t.Helper()
		if err := chromedp.Do(tab.Ctx, chromedp.SetValue(selector, value)); err != nil {
			t.Fatal(selector, err)
		}
	}
	tab.Visit(t, s.base+"/", 360, 760)
	was := browser.Eval[string](t, tab, "document.querySelector('.actions').innerText")
	click(`a[href="/record/rain"]`)
	await(t, tab, "document.querySelector('#amount')")
	set("#place", everyField)
	set("#amount", "a lot")
	click("main form button")
	await(t, tab, "document.querySelector('#amount-fault') && document.querySelector('#amount').value === 'a lot'")
	set("#amount", "2.5")
	click("main form button")
	await(t, tab, "location.pathname === '/done' && document.querySelector('.now .before b')")
	click(`main a[href="/"]`)
	await(t, tab, "location.pathname === '/' && document.querySelector('.actions')")
	if now := browser.Eval[string](t, tab, "document.querySelector('.actions').innerText"); now == was {
		t.Errorf("the plan is the same after 2.5 in of rain: %s", now)
	}
	click(`a[href="/what-if"]`)
	await(t, tab, "document.querySelector('#do-a')")
	set("#do-a", "hold")
	click("main form button")
	await(t, tab, "document.querySelector('.verdict') && document.querySelector('.verdict').innerText.includes('$')")
	click(`a[href="/record/rain"]`)
	await(t, tab, "document.querySelector('.lately button')")
	before := s.rows(records.RainFile)
	click(".lately button")
	await(t, tab, "document.querySelector('h1').innerText === 'Taken back'")
	if n := s.rows(records.RainFile); n != before-1 {
		t.Errorf("%d rows of rain count after one was taken back of %d", n, before)
	}
	// The map is text, to be changed and saved.
	click(`a[href="/zones"]`)
	await(t, tab, "document.querySelector('#map')")
	if browser.Eval[bool](t, tab, "document.querySelector('.plane') !== null || document.querySelector('#map').offsetParent === null") {
		t.Error("scripts run, or the map cannot be typed")
	}
	text := browser.Eval[string](t, tab, "document.querySelector('#map').value")
	set("#map", strings.Replace(text, `"water_table_ft": 2.5`, `"water_table_ft": 2.25`, 1))
	click("button[value=save]")
	await(t, tab, "location.search === '?saved=yes'")
	if now, err := os.ReadFile(filepath.Join(s.dir, "zones.geojson")); err != nil || !strings.Contains(string(now), `"water_table_ft": 2.25`) {
		t.Errorf("the map was not saved: %v", err)
	}
	quiet(t, tab, s)
}

// What is served prints as the file does: a sheet in front, one for each pivot,
// one for the books, and no row of links on any.
func TestServePrinted(t *testing.T) {
	tab := browser.Open(t)
	s := serveDemo(t, nil, guard.Times{})
	tab.Visit(t, s.base+"/", 1280, 900)
	for name, paper := range map[string]chromedp.PaperSize{"letter": chromedp.PaperLetter, "A4": chromedp.PaperA4} {
		if n := browser.Pages(tab.Print(t, paper)); n != 1+3+1 {
			t.Errorf("%s: %d sheets of paper, want a front, 3 pivots and the books", name, n)
		}
	}
	quiet(t, tab, s)
}

// The first minutes with a phone: a farm fresh from init, its one zone given an
// island by thumb, a corner of that dragged, and the plan with both.
func TestServeFirstZonesByTouch(t *testing.T) {
	tab := browser.Open(t)
	dir := filepath.Join(t.TempDir(), "farm")
	own := starter.Own{Name: "Reed Bottoms", Timezone: "America/Chicago", Center: orb.Point{-95.35, 44.33}, LengthM: 400, ElevationM: 323}
	if _, err := own.Write(dir); err != nil {
		t.Fatal(err)
	}
	s := serveFolder(t, dir, nil, guard.Times{})
	tab.VisitByThumb(t, s.base+"/zones", 360, 760)
	await(t, tab, "document.querySelector('.plane path.z-zone')")
	click := func(text string) {
		t.Helper()
		if !browser.Eval[bool](t, tab, fmt.Sprintf("(() => { const b = [...document.querySelectorAll('button')].find(b => b.innerText === %q); if (b) b.click(); return !!b; })()", text)) {
			t.Fatalf("no button says %q", text)
		}
	}
	type place struct{ X, Y float64 }
	at := func(x, y float64) place { // in parts of the reach from the pivot point, in the window
		return browser.Eval[place](t, tab, fmt.Sprintf("(() => { const e = document.querySelector('.plane'); if (e.getBoundingClientRect().top < 60 || e.getBoundingClientRect().bottom > innerHeight) e.scrollIntoView({block: 'end'}); const p = new DOMPoint(400 * %g, -400 * %g).matrixTransform(e.getScreenCTM()); return {X: p.x, Y: p.y}; })()", x, y))
	}
	tap := func(x, y float64) {
		p := at(x, y)
		tab.Touch(t, [2]float64{p.X, p.Y})
	}
	click("Draw")
	tap(-0.6, 0.3)
	tap(0.1, 0.3)
	tap(0.1, -0.3)
	tap(-0.6, -0.3)
	tap(-0.6, 0.3)
	await(t, tab, "document.activeElement.id === 'zone-name'")
	keys(t, tab, "Reed swale")
	tabTo(t, tab, "#zone-table")
	keys(t, tab, "2.5", kb.Tab)
	click("Move corners")
	from, mid, to := at(0.1, 0.3), at(0.3, 0.4), at(0.5, 0.5)
	scrolled := browser.Eval[float64](t, tab, "scrollY")
	tab.Touch(t, [2]float64{from.X, from.Y}, [2]float64{mid.X, mid.Y}, [2]float64{to.X, to.Y})
	if y := browser.Eval[float64](t, tab, "scrollY"); y != scrolled {
		t.Errorf("the page moved by %.0f px under the thumb that drags a corner", y-scrolled)
	}
	click("Save")
	await(t, tab, "location.search === '?saved=yes'")
	f, problems := fields.Load(dir)
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	// A square of 0.7 by 0.6 reaches is 0.42 of them squared; its corner at
	// (0.1, 0.3) moved to (0.5, 0.5) adds the two triangles of 0.5 x 0.7 x 0.2 and
	// 0.5 x 0.6 x 0.4: 0.61.
	for z := range f.Zones {
		if got := f.ZoneAreaM2(z) / (400 * 400); f.Zones[z].Name == "Reed swale" && math.Abs(got-0.61) > 0.03 {
			t.Errorf("Reed swale has %.3f of the reach squared, want 0.61", got)
		}
	}
	if len(f.Zones) != 2 || math.Abs(f.ZoneAreaM2(0)+f.ZoneAreaM2(1)-math.Pi*400*400) > 0.002*math.Pi*400*400 {
		t.Errorf("%d zones of %.0f m2, want two that fill the circle", len(f.Zones), f.ZoneAreaM2(0)+f.ZoneAreaM2(1))
	}
	tab.VisitByThumb(t, s.base+"/", 360, 760)
	await(t, tab, "document.querySelector('.zones') && document.querySelector('main').innerText.includes('Reed swale')")
	if w := browser.Eval[int64](t, tab, "document.documentElement.scrollWidth"); w > 360 {
		t.Errorf("the plan is %d px wide", w)
	}
	quiet(t, tab, s)
}

// axe holds the page in the tab to the rules of axe-core.
type axe struct {
	tab    *browser.Tab
	script string
}

// openAxe skips the test where the caller has no axe-core.
func openAxe(t *testing.T) axe {
	t.Helper()
	name := os.Getenv("SANDWICK_AXE")
	if name == "" {
		t.Skip("SANDWICK_AXE does not name axe.min.js: accessibility rules are not checked")
	}
	script, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	return axe{browser.Open(t), string(script)}
}

func (a axe) rules(t *testing.T, what string, least int) {
	t.Helper()
	browser.Eval[bool](t, a.tab, a.script+";true")
	held, err := chromedp.Run(a.tab.Ctx, chromedp.Evaluate[int](`axe.run().then(r => r.passes.length)`, chromedp.EvalAwaitPromise))
	if err != nil || held < least {
		t.Fatalf("%s: only %d rules applied to the page: %v", what, held, err)
	}
	found, err := chromedp.Run(a.tab.Ctx, chromedp.Evaluate[[]string](
		`axe.run().then(r => r.violations.map(v => v.id + ': ' + v.help + ' ' + v.nodes.slice(0, 3).map(n => n.html.slice(0, 120) + ' ' + n.failureSummary).join(' | ')))`, chromedp.EvalAwaitPromise))
	if err != nil {
		t.Fatal(err)
	}
	for _, v := range found {
		t.Errorf("%s: %s", what, v)
	}
}

// leastRules is how many of them apply to the barest of the pages.
const leastRules = 12

// The rules of axe-core on every page of the site, where the caller has it.
func TestServeAccessible(t *testing.T) {
	a := openAxe(t)
	s := serveDemo(t, nil, guard.Times{})
	paths := []string{"/", "/status", "/season", "/what-if?ask=yes&do-a=hold&sky=rain&rain=0.8&rain_unit=in&on=2025-07-20", "/what-if?ask=yes&do-a=until&sky=rain&rain=much", "/zones", "/no-such-page"}
	for i := range recordForms {
		paths = append(paths, "/record/"+recordForms[i].kind)
	}
	for _, path := range paths {
		a.tab.Visit(t, s.base+path, 360, 760)
		a.rules(t, path, leastRules)
	}
}

// The same on what comes of the forms: faults, what was recorded, a zone chosen, a
// map that will not do, the passphrase.
func TestServeAnswersAccessible(t *testing.T) {
	a := openAxe(t)
	s := serveDemo(t, nil, guard.Times{})
	send := func(path, filling, until string) {
		t.Helper()
		a.tab.Visit(t, s.base+path, 360, 760)
		browser.Eval[bool](t, a.tab, filling+";true")
		await(t, a.tab, until)
		a.rules(t, "what comes of "+path, leastRules)
	}
	for i := range recordForms {
		send("/record/"+recordForms[i].kind, `document.querySelectorAll('main form:not(.back) input').forEach(e => { if (e.type === 'date') e.value = '2099-01-01'; else if (e.type === 'text') e.value = 'x'; }); document.querySelector('main form:not(.back)').submit()`, "document.querySelector('.fault')")
	}
	send("/record/rain", "document.querySelector('#amount').value = '0.4'; document.querySelector('main form').submit()", "location.pathname === '/done' && document.querySelector('.now .actions')")
	send("/zones", "document.querySelector('.zone-list button').click()", "document.querySelector('#zone-name')")
	send("/zones", "document.querySelector('#map').value = '{}'; document.querySelector('button[value=save]').click()", "document.querySelector('.faults')")

	phrase, err := guard.NewPassphrase([]byte("four words on sand"))
	if err != nil {
		t.Fatal(err)
	}
	s = serveDemo(t, phrase, guard.Times{})
	send("/", "", "document.querySelector('#passphrase')")
	send("/", "document.querySelector('#passphrase').value = 'no'; document.querySelector('form').submit()", "document.querySelector('#passphrase-fault')")
}
