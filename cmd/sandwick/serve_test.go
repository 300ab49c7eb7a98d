// The local site, asked as a browser would: forms, answers, live changes, load,
// and an end that cuts nothing off.

package main

import (
	"bufio"
	"bytes"
	"context"
	"fmt"
	"html"
	"io"
	"log/slog"
	"net"
	"net/http"
	"net/http/cookiejar"
	"net/url"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"sandwick/cmd/sandwick/internal/guard"
	"sandwick/fields"
	"sandwick/fields/records"
)

// served is a local site under test.
type served struct {
	t    testing.TB
	base string
	dir  string
	log  *logText
	stop func() error // ends it and gives what Serve returned
}

// logText is a log that may be read while it is written.
type logText struct {
	mu sync.Mutex
	b  bytes.Buffer
}

func (l *logText) Write(p []byte) (int, error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.b.Write(p)
}

func (l *logText) String() string {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.b.String()
}

// serveDemo serves a copy of the demo farm on a free port of this machine.
func serveDemo(t testing.TB, phrase *guard.Passphrase, times guard.Times) *served {
	t.Helper()
	dir := t.TempDir()
	if err := os.CopyFS(dir, os.DirFS(filepath.Join("..", "..", "testdata", "demo"))); err != nil {
		t.Fatal(err)
	}
	return serveFolder(t, dir, phrase, times)
}

// serveFolder serves the farm in a folder.
func serveFolder(t testing.TB, dir string, phrase *guard.Passphrase, times guard.Times) *served {
	t.Helper()
	s := &served{t: t, dir: dir, log: &logText{}}
	p := testProgram(time.Date(2025, 7, 19, 11, 0, 0, 0, time.UTC))
	p.common.farm = s.dir
	p.stdin, p.stdout, p.stderr = strings.NewReader(""), io.Discard, io.Discard
	ctx, cancel := context.WithCancel(context.Background())
	l, err := p.local(ctx, phrase, nil, slog.New(slog.NewTextHandler(s.log, &slog.HandlerOptions{Level: slog.LevelDebug})))
	if err != nil {
		t.Fatal(err)
	}
	listener, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	s.base = "http://" + listener.Addr().String()
	ended := make(chan error, 1)
	go func() { ended <- l.guard.Serve(ctx, listener, times) }()
	s.stop = sync.OnceValue(func() error {
		cancel()
		return <-ended
	})
	t.Cleanup(func() { _ = s.stop() })
	return s
}

// client is a browser without a screen: it keeps cookies and follows redirects.
func (s *served) client() *http.Client {
	jar, err := cookiejar.New(nil)
	if err != nil {
		s.t.Fatal(err)
	}
	return &http.Client{Jar: jar, Timeout: time.Minute}
}

// stay is the client, but one that stays where it is led on.
func stay(c *http.Client) *http.Client {
	return &http.Client{Jar: c.Jar, Timeout: 5 * time.Minute, CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }}
}

func (s *served) get(c *http.Client, path string) (int, string) {
	s.t.Helper()
	r, err := c.Get(s.base + path)
	if err != nil {
		s.t.Fatal(err)
	}
	return read(s.t, r)
}

func read(t testing.TB, r *http.Response) (int, string) {
	t.Helper()
	defer r.Body.Close()
	b, err := io.ReadAll(r.Body)
	if err != nil {
		t.Fatal(err)
	}
	return r.StatusCode, string(b)
}

var hidden = regexp.MustCompile(`name="(token|once|was)" value="([^"]*)"`)

// post fills in the form of a page and sends it.
func (s *served) post(c *http.Client, page, path string, typed url.Values) (int, string) {
	s.t.Helper()
	_, text := s.get(c, page)
	form := url.Values{}
	for _, m := range hidden.FindAllStringSubmatch(text, -1) {
		if form.Get(m[1]) == "" {
			form.Set(m[1], html.UnescapeString(m[2]))
		}
	}
	for k, v := range typed {
		form[k] = v
	}
	r, err := c.PostForm(s.base+path, form)
	if err != nil {
		s.t.Fatal(err)
	}
	return read(s.t, r)
}

func has(t testing.TB, what, text string, want ...string) {
	t.Helper()
	for _, w := range want {
		if !strings.Contains(html.UnescapeString(text), w) {
			t.Errorf("%s: no %q in it", what, w)
		}
	}
}

// Each form records what the command records, in the same words, and can be
// taken back.
func TestServeForms(t *testing.T) {
	s := serveDemo(t, nil, guard.Times{})
	c := s.client()
	for _, x := range []struct {
		kind, file string
		typed      url.Values
		want       string // on the page after it
	}{
		{"rain", records.RainFile, url.Values{"place": {"Heron Mint"}, "amount": {"0.4"}, "amount_unit": {"in"}, "date": {"2025-07-18"}, "note": {"gauge"}}, "rain of 2025-07-18 at Heron Mint: 0.40 in (10.2 mm)"},
		{"rain", records.RainFile, url.Values{"place": {"Heron Mint"}, "amount": {"7 mm"}, "amount_unit": {"in"}}, "rain of 2025-07-19 at Heron Mint: 0.28 in (7.0 mm)"},
		{"pass", records.PassesFile, url.Values{"pivot": {"Heron"}, "start": {"2025-07-19T01:00"}, "end": {"2025-07-19T05:00"}, "from": {"180"}, "to": {"250"}, "timer": {"48"}}, "pass of Heron: 2025-07-19 01:00 to 2025-07-19 05:00, 180 to 250 deg cw"},
		{"probe", records.ProbesFile, url.Values{"zone": {"Heron flat"}, "top": {"0"}, "top_unit": {"ft"}, "depth": {"2"}, "depth_unit": {"ft"}, "reading": {"45"}, "reading_unit": {"% available"}}, "probe of 2025-07-19 in Heron flat, 0.0 ft to 2.0 ft down: 45 % available"},
		{"water-table", records.WaterTableFile, url.Values{"pipe": {"P1"}, "depth": {"3ft 2in"}, "depth_unit": {"ft"}}, "water table of 2025-07-19 in pipe P1: 3.2 ft (0.97 m) below ground"},
		{"cut", records.CutsFile, url.Values{"field": {"Heron Mint"}, "oil": {"310"}, "oil_unit": {"lb"}}, "cut of 2025-07-19 in Heron Mint, oil 310 lb"},
		{"meter", records.MetersFile, url.Values{"well": {"Reed"}, "reading": {""}, "event": {"missing"}}, "meter of 2025-07-19 at Reed: no reading, missing"},
		{"seen", records.SeenFile, url.Values{"zone": {"Heron flat"}, "seen": {"wilted"}}, "seen on 2025-07-19 in Heron flat: wilted"},
	} {
		before := s.rows(x.file)
		status, text := s.post(c, "/record/"+x.kind, "/record/"+x.kind, x.typed)
		if status != http.StatusOK {
			t.Errorf("%s: status %d\n%s", x.kind, status, marked(text))
			continue
		}
		has(t, x.kind, text, x.want, "Recorded")
		if n := s.rows(x.file); n != before+1 {
			t.Errorf("%s: %d rows count, want one more than %d", x.kind, n, before)
		}
		if strings.Contains(text, s.dir) {
			t.Errorf("%s: the page tells where the farm is on the disk", x.kind)
		}
		// Taken back with the form that the page has for it.
		form := url.Values{}
		for _, m := range regexp.MustCompile(`name="(token|file|line|row)" value="([^"]*)"`).FindAllStringSubmatch(text, -1) {
			form.Add(m[1], html.UnescapeString(m[2]))
		}
		for range 2 { // the second time there is nothing to take back
			r, err := stay(c).PostForm(s.base+"/undo", form)
			if err != nil {
				t.Fatal(err)
			}
			status, text = read(t, r)
			if n := s.rows(x.file); n != before {
				t.Errorf("%s: %d rows count after it was taken back, want %d: %d\n%s", x.kind, n, before, status, marked(text))
			}
		}
		if status != http.StatusConflict {
			t.Errorf("%s: taking it back twice gives %d", x.kind, status)
		}
	}
}

// The rows that can be taken back are told as people write them.
func TestServeRowsInWords(t *testing.T) {
	for text, want := range map[string]string{
		"date=2025-07-03; place=Bittern Corn; amount_in=0.58; note=":                                                                                               "Thu 3 Jul 2025, Bittern Corn, 0.58 in",
		"pivot=Bittern; start=2025-07-17T19:54; end=2025-07-18T08:52; from_deg=260; to_deg=0; direction=cw; timer_pct=30; water=yes; note=":                        "Bittern, Thu 17 Jul 2025 19:54 to Fri 18 Jul 2025 08:52, 260° to 0° cw, timer 30 %",
		"pivot=Plover; start=2025-07-17T12:51; end=2025-07-17T14:19; from_deg=115; to_deg=170; direction=cw; timer_pct=100; water=no; note=low ground, walked dry": "Plover, Thu 17 Jul 2025 12:51 to 14:19, 115° to 170° cw, timer 100 %, dry, low ground, walked dry",
		"pivot=Plover; start=2025-07-17T12:51; end=; from_deg=115; to_deg=170; direction=ccw; timer_pct=40; water=yes":                                             "Plover, Thu 17 Jul 2025 12:51, 115° to 170° ccw, timer 40 %",
		"date=2025-07-18; zone=Bittern south; top_ft=0; bottom_ft=3.0; available_pct=86; note=":                                                                    "Fri 18 Jul 2025, Bittern south, 0 to 3.0 ft, 86 % available",
		"date=2025-07-18; zone=Bittern south; top_ft=0; bottom_ft=3.0; water_pct=12":                                                                               "Fri 18 Jul 2025, Bittern south, 0 to 3.0 ft, 12 % water",
		"date=2025-07-15; well=Stone; reading=28800900; unit=gal; event=; note=":                                                                                   "Tue 15 Jul 2025, Stone, 28,800,900 gal",
		"date=2025-07-15; well=Stone; reading=; unit=gal; event=missing; note=":                                                                                    "Tue 15 Jul 2025, Stone, missing",
		"date=2025-07-18; pipe=P3; depth_ft=3.81; note=":                                                                                                           "Fri 18 Jul 2025, P3, 3.81 ft below ground",
		"date=2025-07-18; field=Heron Mint; hay_lb=90000; oil_lb=310; note=":                                                                                       "Fri 18 Jul 2025, Heron Mint, hay 90000 lb, oil 310 lb",
		"date=someday; zone=Ridge; seen=wet; colour=red":                                                                                                           "someday, Ridge, wet, red",
	} {
		if got := rowOf(records.Row{Text: text}).Text; got != want {
			t.Errorf("%s\nis told as %q, want\n%q", text, got, want)
		}
	}
}

func marked(text string) string {
	return strings.Join(regexp.MustCompile(`<p class="fault[^>]*>[^<]*`).FindAllString(text, -1), "\n")
}

// rows is how many rows of a file of records count.
func (s *served) rows(file string) int {
	s.t.Helper()
	r, problems := fields.OpenRecording(s.dir)
	if len(problems) > 0 {
		s.t.Fatal(problems)
	}
	return len(r.Writer.Standing().Rows(file))
}

// What will not do comes back with the form, each fault beside its field and
// everything as it was typed.
func TestServeFaults(t *testing.T) {
	s := serveDemo(t, nil, guard.Times{})
	c := s.client()
	fault := func(name string) *regexp.Regexp {
		return regexp.MustCompile(`id="` + name + `-fault">([^<]*)`)
	}
	for _, x := range []struct {
		kind   string
		typed  url.Values
		faults map[string]string // field: part of what is said
	}{
		{"rain", url.Values{"place": {"Heron Mint"}, "amount": {"lots"}, "date": {"2025-08-01"}, "note": {`<b>"wind" & hail`}},
			map[string]string{"amount": `(got "lots")`, "date": "is after today"}},
		{"rain", url.Values{"place": {"Heron Mimt"}, "amount": {"1"}, "amount_unit": {"in"}}, map[string]string{"place": `did you mean "Heron Mint"?`}},
		{"rain", url.Values{"place": {"Heron Mint"}, "amount": {"99"}, "amount_unit": {"in"}}, map[string]string{"amount": "99"}},
		{"pass", url.Values{"pivot": {"Heron"}, "start": {"2025-07-30T06:00"}, "timer": {"42"}}, map[string]string{"start": "is after now"}},
		{"pass", url.Values{"pivot": {"Heron"}, "start": {"2025-07-18T06:00"}, "timer": {"quick"}}, map[string]string{"timer": `(got "quick")`}},
		{"pass", url.Values{"pivot": {"Heron"}, "start": {"2025-07-18T06:00"}, "timer": {"42"}, "leg": {"to 120 at 42\nsideways"}}, map[string]string{"leg": "sideways"}},
		{"probe", url.Values{"zone": {"Heron flat"}, "top": {"2"}, "top_unit": {"ft"}, "depth": {"x"}, "depth_unit": {"ft"}, "reading": {"45"}, "reading_unit": {"% water"}}, map[string]string{"depth": "x"}},
		{"probe", url.Values{"zone": {"Heron flat"}, "top": {"0"}, "top_unit": {"ft"}, "depth": {"2"}, "depth_unit": {"ft"}, "reading": {"450"}, "reading_unit": {"% water"}}, map[string]string{"reading": "450"}},
		{"water-table", url.Values{"pipe": {"P1"}, "depth": {"-4"}, "depth_unit": {"ft"}}, map[string]string{"depth": "-4"}},
		{"cut", url.Values{"field": {"Heron Mint"}, "hay": {"a load"}, "hay_unit": {"lb"}}, map[string]string{"hay": "a load"}},
		{"meter", url.Values{"well": {"Reed"}, "reading": {"12 barrels"}}, map[string]string{"reading": "12 barrels"}},
		{"meter", url.Values{"well": {"Reed"}, "reading": {"1"}, "event": {"stolen"}}, map[string]string{"event": "stolen"}},
		{"seen", url.Values{"zone": {"Heron flat"}, "seen": {"purple"}}, map[string]string{"seen": "purple"}},

		// Several at once: all are told, also what only the reader of the file knows.
		{"rain", url.Values{"place": {"Heron Mimt"}, "amount": {"lots"}, "date": {"2025-08-01"}},
			map[string]string{"place": `did you mean "Heron Mint"?`, "amount": `(got "lots")`, "date": "is after today"}},
		{"rain", url.Values{"place": {"Heron Mint"}, "amount": {"99"}, "amount_unit": {"in"}, "date": {"someday"}},
			map[string]string{"amount": "99", "date": `(got "someday")`}},
		{"pass", url.Values{"pivot": {"Heron"}, "start": {"soon"}, "end": {"later"}, "from": {"400"}, "to": {"east"}, "direction": {"left"}, "timer": {"quick"}, "leg": {"sideways"}},
			map[string]string{"start": `(got "soon")`, "end": `(got "later")`, "from": `(got "400")`, "to": `(got "east")`, "direction": `"left"`, "timer": `(got "quick")`, "leg": "sideways"}},
		{"pass", url.Values{"pivot": {"Heron"}, "start": {"2025-07-30T06:00"}, "timer": {"500"}}, map[string]string{"start": "is after now", "timer": "500"}},
		{"pass", url.Values{"pivot": {"Plover"}, "start": {"2025-07-19T01:00"}, "from": {"100"}, "to": {"355"}, "timer": {"500"}}, map[string]string{"to": "355", "timer": "500"}},
		{"probe", url.Values{"zone": {"Heron flt"}, "top": {"2"}, "top_unit": {"ft"}, "depth": {"x"}, "depth_unit": {"ft"}, "reading": {"wet"}, "reading_unit": {"% water"}, "date": {"2025-08-01"}},
			map[string]string{"zone": `did you mean "Heron flat"?`, "depth": "x", "reading": "wet", "date": "is after today"}},
		{"probe", url.Values{"zone": {"Heron flat"}, "top": {"0"}, "top_unit": {"ft"}, "depth": {"2"}, "depth_unit": {"ft"}, "reading": {"450"}, "reading_unit": {"% water"}, "date": {"2025-08-01"}},
			map[string]string{"reading": "450", "date": "is after today"}},
		{"probe", url.Values{"zone": {"Heron flat"}, "top": {"5"}, "top_unit": {"ft"}, "depth": {"2"}, "depth_unit": {"ft"}, "reading": {"450"}, "reading_unit": {"% water"}},
			map[string]string{"depth": "is not below the top", "reading": "450"}},
		{"cut", url.Values{"field": {"Heron Mint"}, "hay": {"900000000"}, "hay_unit": {"lb"}, "oil": {"90000000"}, "oil_unit": {"lb"}},
			map[string]string{"hay": "900000000", "oil": "90000000"}},
		{"water-table", url.Values{"pipe": {"P7"}, "depth": {"deep"}, "depth_unit": {"ft"}, "date": {"2025-08-01"}},
			map[string]string{"pipe": `"P7"`, "depth": `"deep"`, "date": "is after today"}},
		{"water-table", url.Values{"pipe": {"P1"}, "depth": {"-4"}, "depth_unit": {"ft"}, "date": {"2025-08-01"}}, map[string]string{"depth": "-4", "date": "is after today"}},
		{"cut", url.Values{"field": {"Heron Mimt"}, "hay": {"a load"}, "hay_unit": {"lb"}, "oil": {"much"}, "oil_unit": {"lb"}, "date": {"2025-08-01"}},
			map[string]string{"field": `did you mean "Heron Mint"?`, "hay": "a load", "oil": "much", "date": "is after today"}},
		{"meter", url.Values{"well": {"Reed"}, "reading": {"12 barrels"}, "event": {"stolen"}, "date": {"2025-08-01"}},
			map[string]string{"reading": "12 barrels", "event": "stolen", "date": "is after today"}},
		{"seen", url.Values{"zone": {"Heron flt"}, "seen": {"purple"}, "date": {"2025-08-01"}},
			map[string]string{"zone": `did you mean "Heron flat"?`, "seen": "purple", "date": "is after today"}},
	} {
		status, text := s.post(c, "/record/"+x.kind, "/record/"+x.kind, x.typed)
		if status != http.StatusUnprocessableEntity {
			t.Errorf("%s %v: status %d, want 422", x.kind, x.typed, status)
		}
		for name, want := range x.faults {
			m := fault(name).FindStringSubmatch(text)
			if m == nil || !strings.Contains(html.UnescapeString(m[1]), want) {
				t.Errorf("%s %v: beside %s stands %q, want %q; all: %s", x.kind, x.typed, name, m, want, marked(text))
			}
		}
		if n := len(regexp.MustCompile(`id="[a-z]+-fault"`).FindAllString(text, -1)); n != len(x.faults) {
			t.Errorf("%s %v: %d faults stand beside fields, want %d: %s", x.kind, x.typed, n, len(x.faults), marked(text))
		}
		for name, v := range x.typed {
			if !strings.Contains(html.UnescapeString(text), v[0]) {
				t.Errorf("%s: %s was typed as %q and is lost", x.kind, name, v[0])
			}
		}
	}
	if text := s.log.String(); strings.Contains(text, "hail") || strings.Contains(text, s.dir) {
		t.Errorf("the log tells what was typed, or where the farm is:\n%s", text)
	}
}

// Sent twice, a form is recorded once.
func TestServeTwice(t *testing.T) {
	s := serveDemo(t, nil, guard.Times{})
	c := s.client()
	_, page := s.get(c, "/record/rain")
	form := url.Values{"place": {"Heron Mint"}, "amount": {"0.4in"}}
	for _, m := range hidden.FindAllStringSubmatch(page, -1) {
		form.Set(m[1], m[2])
	}
	before := s.rows(records.RainFile)
	var wg sync.WaitGroup
	for range 4 {
		wg.Go(func() {
			r, err := c.PostForm(s.base+"/record/rain", form)
			if err != nil {
				t.Error(err)
				return
			}
			if status, _ := read(t, r); status != http.StatusOK {
				t.Errorf("status %d", status)
			}
		})
	}
	wg.Wait()
	if n := s.rows(records.RainFile); n != before+1 {
		t.Errorf("%d rows were recorded, want 1", n-before)
	}
}

// The plan after a record counts it in, and a file changed by hand is followed.
func TestServeFollowsFiles(t *testing.T) {
	s := serveDemo(t, nil, guard.Times{})
	c := s.client()
	_, was := s.get(c, "/")
	_, blank := s.get(c, "/record/rain")
	form := url.Values{"place": {everyField}, "amount": {"3"}, "amount_unit": {"in"}}
	for _, m := range hidden.FindAllStringSubmatch(blank, -1) {
		form.Set(m[1], m[2])
	}
	r, err := c.PostForm(s.base+"/record/rain", form)
	if err != nil {
		t.Fatal(err)
	}
	status, done := read(t, r)
	if status != http.StatusOK {
		t.Fatalf("status %d: %s", status, marked(done))
	}
	for range 300 { // the page says so itself while the plan is being made
		if !strings.Contains(done, "being made anew") {
			break
		}
		time.Sleep(100 * time.Millisecond)
		_, done = s.get(c, r.Request.URL.RequestURI())
	}
	has(t, "the page after three inches of rain", done, "Changed.", "rain of 2025-07-19 at Bittern Corn: 3.00 in")
	_, now := s.get(c, "/")
	if actions(was) == actions(now) {
		t.Errorf("three inches of rain change nothing on the plan: %s", actions(now))
	}

	// Live: a listener is told when a file is changed by another program.
	ctx, cancel := context.WithTimeout(context.Background(), time.Minute)
	defer cancel()
	q, err := http.NewRequestWithContext(ctx, http.MethodGet, s.base+"/changes", nil)
	if err != nil {
		t.Fatal(err)
	}
	r, err = c.Do(q)
	if err != nil {
		t.Fatal(err)
	}
	defer r.Body.Close()
	lines := bufio.NewScanner(r.Body)
	next := func() string {
		for lines.Scan() {
			if id, ok := strings.CutPrefix(lines.Text(), "data: "); ok {
				return id
			}
		}
		t.Fatal("the stream of changes ended: ", lines.Err())
		return ""
	}
	first := next()
	f, err := os.OpenFile(filepath.Join(s.dir, "records", "rain.csv"), os.O_APPEND|os.O_WRONLY, 0)
	if err != nil {
		t.Fatal(err)
	}
	fmt.Fprintln(f, "2025-07-17,Heron Mint,0.9,by hand")
	if err := f.Close(); err != nil {
		t.Fatal(err)
	}
	second := next()
	if second == first {
		t.Error("the same answer was told of twice")
	}
	if _, page := s.get(c, "/"); !strings.Contains(page, `content="`+second+`"`) {
		t.Error("the plan is not of the answer that was told of")
	}

	// A file that cannot be read is told of by name and line, and records go on.
	name := filepath.Join(s.dir, "weather.csv")
	text, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(name, append(text, "what is this\n"...), 0o644); err != nil {
		t.Fatal(err)
	}
	page := ""
	for range 100 {
		if status, page = s.get(c, "/"); status != http.StatusOK {
			break
		}
		time.Sleep(100 * time.Millisecond)
	}
	if status != http.StatusServiceUnavailable || strings.Contains(page, s.dir) {
		t.Errorf("status %d with a broken file; and does the page tell the folder?", status)
	}
	has(t, "the page of a broken farm", page, "weather.csv:111: the row has 1 cells")
	if status, text := s.post(c, "/record/rain", "/record/rain", url.Values{"place": {"Heron Mint"}, "amount": {"0.1in"}}); status != http.StatusOK {
		t.Errorf("nothing can be recorded while the weather is broken: %d %s", status, marked(text))
	}
}

func actions(page string) string {
	return strings.Join(regexp.MustCompile(`<span class="verb">[^\n]*`).FindAllString(page, -1), "\n")
}

// What if: the price of another way, and a fault beside what is asked.
func TestServeWhatIf(t *testing.T) {
	s := serveDemo(t, nil, guard.Times{})
	c := s.client()
	status, text := s.get(c, "/what-if?ask=yes&do-a=hold&sky=rain&rain=0.8&rain_unit=in&on=2025-07-20")
	if status != http.StatusOK {
		t.Errorf("status %d", status)
	}
	has(t, "what if", text, "Heron does not run", "0.80 in of rain Sun 20 Jul", "Your way costs $", "If the weather comes as expected instead", "DO NOT RUN")
	for query, want := range map[string]string{
		"ask=yes":            "Nothing is asked",
		"ask=yes&do-a=until": "not a time",
		"ask=yes&do-a=start&at-a=2024-01-01T06:00": "is outside the days planned",
		"ask=yes&sky=rain&rain=a+lot":              "a lot",
		"ask=yes&sky=frogs":                        "not one of the choices",
		"ask=yes&do-a=fly":                         "not one of the choices",
	} {
		status, text := s.get(c, "/what-if?"+query)
		if status != http.StatusUnprocessableEntity {
			t.Errorf("%s: status %d", query, status)
		}
		has(t, query, text, want)
	}
}

// The map: saved where it is sound, told what is wrong where not, sent back as a
// file, and never over somebody else's.
func TestServeZones(t *testing.T) {
	s := serveDemo(t, nil, guard.Times{})
	c := s.client()
	name := filepath.Join(s.dir, "zones.geojson")
	old, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	changed := strings.Replace(string(old), `"water_table_ft": 2.5`, `"water_table_ft": 2.25`, 1)
	_, page := s.get(c, "/zones")
	was := hidden.FindAllStringSubmatch(page, -1)
	status, text := s.post(c, "/zones", "/zones", url.Values{"map": {strings.Replace(changed, `"soil": "reed loamy sand"`, `"soil": "mud"`, 1)}, "do": {"save"}})
	if status != http.StatusUnprocessableEntity {
		t.Errorf("an unknown soil is saved: %d", status)
	}
	has(t, "an unknown soil", text, "zones.geojson:", `no soil has this name`, `2.25`)
	if now, _ := os.ReadFile(name); !bytes.Equal(now, old) {
		t.Fatal("a bad map was saved")
	}
	r, err := c.PostForm(s.base+"/zones", url.Values{"token": {was[0][2]}, "was": {was[1][2]}, "map": {strings.ReplaceAll(changed, "\n", "\r\n")}, "do": {"download"}})
	if err != nil {
		t.Fatal(err)
	}
	if kind := r.Header.Get("Content-Type"); kind != "application/geo+json" || !strings.HasPrefix(r.Header.Get("Content-Disposition"), "attachment") {
		t.Errorf("a download comes as %q", kind)
	}
	if _, text := read(t, r); text != changed {
		t.Error("a download is not what was sent")
	}
	if status, text = s.post(c, "/zones", "/zones", url.Values{"map": {changed}, "do": {"save"}}); status != http.StatusOK || !strings.Contains(text, "Saved") {
		t.Errorf("saving: %d", status)
	}
	if now, _ := os.ReadFile(name); string(now) != changed {
		t.Error("the map is not what was saved")
	}
	if status, text = s.post(c, "/zones", "/zones", url.Values{"was": {was[1][2]}, "map": {string(old)}, "do": {"save"}}); status != http.StatusConflict {
		t.Errorf("an older map is saved over a newer: %d", status)
	}
	has(t, "an older map", text, "changed by somebody else")
	if _, text := s.get(c, "/zones.geojson"); text != changed {
		t.Error("zones.geojson is not the map")
	}
}

// The command itself: it says where it listens, warns of a network's others, wants
// the passphrase from them, and ends without a fault.
func TestServeCommand(t *testing.T) {
	dir := t.TempDir()
	if err := os.CopyFS(dir, os.DirFS(filepath.Join("..", "..", "testdata", "demo"))); err != nil {
		t.Fatal(err)
	}
	phrase, err := guard.NewPassphrase([]byte("four words on sand"))
	if err != nil {
		t.Fatal(err)
	}
	secret := filepath.Join(t.TempDir(), "secret")
	if err := phrase.Write(secret); err != nil {
		t.Fatal(err)
	}
	for name, x := range map[string]struct {
		args   []string
		status int
		warns  bool
	}{
		"this machine":             {[]string{"--address", "127.0.0.1:0"}, http.StatusOK, false},
		"this machine, passphrase": {[]string{"--address", "127.0.0.1:0", "--passphrase", secret}, http.StatusUnauthorized, false},
		"every address":            {[]string{"--address", "0.0.0.0:0", "--passphrase", secret}, http.StatusUnauthorized, true},
	} {
		p := testProgram(time.Date(2025, 7, 19, 11, 0, 0, 0, time.UTC))
		ctx, cancel := context.WithCancel(context.Background())
		said, out := &logText{}, &logText{}
		ended := make(chan int, 1)
		go func() {
			ended <- p.run(ctx, append([]string{"serve", "--farm", dir}, x.args...), strings.NewReader(""), out, said)
		}()
		address := ""
		for range 200 {
			if address = strings.TrimSpace(out.String()); address != "" {
				break
			}
			time.Sleep(50 * time.Millisecond)
		}
		u, err := url.Parse(address)
		if err != nil || u.Port() == "" {
			t.Fatalf("%s: the address told is %q: %s", name, address, said.String())
		}
		r, err := http.Get("http://127.0.0.1:" + u.Port() + "/")
		if err != nil {
			t.Fatal(err)
		}
		if status, _ := read(t, r); status != x.status {
			t.Errorf("%s: status %d, want %d", name, status, x.status)
		}
		cancel()
		if status := <-ended; status != exitDone {
			t.Errorf("%s: exit status %d: %s", name, status, said.String())
		}
		if warns := strings.Contains(said.String(), "plain HTTP"); warns != x.warns {
			t.Errorf("%s: warned of plain HTTP: %v\n%s", name, warns, said.String())
		}
	}
}

// A stop while a record is being written lets it come to its end; an open stream
// does not keep the program up.
func TestServeEnds(t *testing.T) {
	s := serveDemo(t, nil, guard.Times{})
	c := s.client()
	_, page := s.get(c, "/record/rain")
	stream, err := c.Get(s.base + "/changes")
	if err != nil {
		t.Fatal(err)
	}
	defer stream.Body.Close()
	before := s.rows(records.RainFile)
	var confirmed, cut atomic.Int64
	var wg sync.WaitGroup
	for i := range 8 {
		wg.Go(func() {
			for k := range 50 {
				form := url.Values{"place": {"Heron Mint"}, "amount": {fmt.Sprintf("0.%02d%din", k, i)}, "note": {"stop"}}
				for _, m := range hidden.FindAllStringSubmatch(page, -1) {
					form.Set(m[1], m[2])
				}
				form.Set("once", fmt.Sprintf("%d-%d", i, k))
				r, err := stay(c).PostForm(s.base+"/record/rain", form)
				if err != nil {
					cut.Add(1)
					return // the program has ended
				}
				if status, _ := read(t, r); status == http.StatusSeeOther {
					confirmed.Add(1)
				}
			}
		})
	}
	for confirmed.Load() < 10 {
		time.Sleep(time.Millisecond)
	}
	start := time.Now()
	if err := s.stop(); err != nil {
		t.Errorf("the end: %v", err)
	}
	if took := time.Since(start); took > 9*time.Second {
		t.Errorf("the end took %v: something was cut off", took)
	}
	wg.Wait()
	if n := s.rows(records.RainFile) - before; n < int(confirmed.Load()) || n > int(confirmed.Load()+cut.Load()) {
		t.Errorf("%d rows are in the book, %d were confirmed and %d got no answer", n, confirmed.Load(), cut.Load())
	}
	if _, problems := fields.Load(s.dir); len(problems) > 0 {
		t.Errorf("what is left cannot be read: %v", problems)
	}
	if left, _ := filepath.Glob(filepath.Join(s.dir, "records", "*.new")); len(left) > 0 {
		t.Errorf("left half-written: %q", left)
	}
}
