// What a hostile page, program or network may try against the local site.

package main

import (
	"bufio"
	"fmt"
	"html"
	"io"
	"net"
	"net/http"
	"net/url"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"sandwick/cmd/sandwick/internal/guard"
	"sandwick/fields/records"
)

// secretWord stands in everything that an attack sends; it must never be in the log.
const secretWord = "xyzzy"

// raw sends bytes as they are and gives the first answer.
func (s *served) raw(text string) *http.Response {
	s.t.Helper()
	c, err := net.Dial("tcp", strings.TrimPrefix(s.base, "http://"))
	if err != nil {
		s.t.Fatal(err)
	}
	s.t.Cleanup(func() { c.Close() })
	if err := c.SetDeadline(time.Now().Add(20 * time.Second)); err != nil {
		s.t.Fatal(err)
	}
	if _, err := io.WriteString(c, text); err != nil {
		s.t.Fatal(err)
	}
	r, err := http.ReadResponse(bufio.NewReader(c), nil)
	if err != nil {
		s.t.Fatalf("%.60q gets no answer: %v", text, err)
	}
	return r
}

// logged is what the log has from a place on, once it has a word or ought to.
func (s *served) logged(from int, word string) string {
	text := ""
	for range 100 {
		if text = s.log.String()[from:]; strings.Contains(text, word) {
			break
		}
		time.Sleep(20 * time.Millisecond)
	}
	return text
}

// Each is refused with its own status, changes nothing, and leaves a line in the
// log that repeats nothing of it.
func TestServeAttacks(t *testing.T) {
	s := serveDemo(t, nil, guard.Times{Header: time.Second, Read: 2 * time.Second})
	host := strings.TrimPrefix(s.base, "http://")
	c := s.client()
	_, page := s.get(c, "/record/rain")
	form := url.Values{"place": {"Heron Mint"}, "amount": {"0.4in"}, "note": {secretWord}}
	for _, m := range hidden.FindAllStringSubmatch(page, -1) {
		form.Set(m[1], m[2])
	}
	jar, err := url.Parse(s.base)
	if err != nil {
		t.Fatal(err)
	}
	cookies := c.Jar.Cookies(jar)
	if len(cookies) != 1 {
		t.Fatalf("cookies: %v", cookies)
	}
	cookie := "Cookie: " + cookies[0].Name + "=" + cookies[0].Value + "\r\n"
	body := form.Encode()
	post := func(path, headers, body string) string {
		return fmt.Sprintf("POST %s HTTP/1.1\r\nHost: %s\r\n%sContent-Type: application/x-www-form-urlencoded\r\nContent-Length: %d\r\n\r\n%s", path, host, headers, len(body), body)
	}
	get := func(path, headers string) string {
		return fmt.Sprintf("GET %s HTTP/1.1\r\nHost: %s\r\n%s\r\n", path, host, headers)
	}
	noToken := url.Values{"place": {"Heron Mint"}, "amount": {"0.4in"}, "once": {"x"}, "note": {secretWord}}.Encode()
	before := s.rows(records.RainFile)
	for name, x := range map[string]struct {
		send string
		want int
	}{
		"a forged host":                 {"GET / HTTP/1.1\r\nHost: xyzzy.example\r\n\r\n", 421},
		"a forged host that looks near": {"GET / HTTP/1.1\r\nHost: 127.0.0.1.xyzzy.example\r\n\r\n", 421},
		"another address's host":        {"GET / HTTP/1.1\r\nHost: 10.0.0.9\r\n\r\n", 421},
		"no host":                       {"GET / HTTP/1.0\r\n\r\n", 421},
		"a host in the request line":    {"GET http://xyzzy.example/ HTTP/1.1\r\nHost: " + host + "\r\n\r\n", 421},
		"a post from another site":      {post("/record/rain", cookie+"Origin: http://xyzzy.example\r\n", body), 403},
		"one that says so":              {post("/record/rain", cookie+"Sec-Fetch-Site: cross-site\r\n", body), 403},
		"one of another port":           {post("/record/rain", cookie+"Sec-Fetch-Site: same-site\r\nOrigin: http://127.0.0.1:1\r\n", body), 403},
		"one of nowhere":                {post("/record/rain", cookie+"Origin: null\r\n", body), 403},
		"a post without a token":        {post("/record/rain", cookie, noToken), 403},
		"a post without the cookie":     {post("/record/rain", "", body), 403},
		"a token made up":               {post("/record/rain", cookie, noToken+"&token=xyzzy"), 403},
		"an undo without a token":       {post("/undo", cookie, "file=rain.csv&line=2&row=xyzzy"), 403},
		"a map without a token":         {post("/zones", cookie, "map={}&do=save"), 403},
		"a question of another site":    {get("/what-if?ask=yes&do-a=hold", "Sec-Fetch-Site: cross-site\r\nSec-Fetch-Mode: navigate\r\n"), 403},
		"a page taken by another site":  {get("/", "Sec-Fetch-Site: cross-site\r\nSec-Fetch-Mode: no-cors\r\n"), 403},
		"an oversized form":             {post("/record/rain", cookie, body+"&note="+strings.Repeat(secretWord, 20000)), 413},
		"one that does not say so": {fmt.Sprintf("POST /record/rain HTTP/1.1\r\nHost: %s\r\n%sContent-Type: application/x-www-form-urlencoded\r\nTransfer-Encoding: chunked\r\n\r\n%x\r\n%s\r\n0\r\n\r\n",
			host, cookie, 100000, strings.Repeat("note=xyzzy", 10000)), 413},
		"an oversized map":          {fmt.Sprintf("POST /zones HTTP/1.1\r\nHost: %s\r\n%sContent-Type: application/x-www-form-urlencoded\r\nContent-Length: 99999999\r\n\r\nmap=xyzzy", host, cookie), 413},
		"oversized headers":         {get("/", "X-Padding: "+strings.Repeat(secretWord, 8000)+"\r\n"), 431},
		"an oversized address":      {get("/what-if?ask="+strings.Repeat(secretWord, 1000), ""), 414},
		"a form of another kind":    {strings.Replace(post("/record/rain", cookie, body), "application/x-www-form-urlencoded", "text/plain", 1), 415},
		"a damaged form":            {post("/record/rain", cookie, "amount=%zz"), 400},
		"a slow body":               {fmt.Sprintf("POST /record/rain HTTP/1.1\r\nHost: %s\r\n%sContent-Type: application/x-www-form-urlencoded\r\nContent-Length: 500\r\n\r\nnote=xyzzy", host, cookie), 408},
		"a climbing path":           {get("/../../etc/passwd", ""), 404},
		"an escaped climbing path":  {get("/..%2f..%2fetc%2fpasswd", ""), 404},
		"one escaped twice":         {get("/%252e%252e/etc/passwd", ""), 404},
		"a path of another system":  {get(`/..\..\windows\win.ini`, ""), 404},
		"a file of the farm":        {get("/farm.toml", ""), 404},
		"a file of the farm deeper": {get("/records/rain.csv", ""), 404},
		"a file of the program":     {get("/site.go", ""), 404},
		"a doubled slash":           {get("//xyzzy.example/", ""), 404},
		"a nul":                     {get("/%00", ""), 404},
		"a post to a page":          {post("/status", cookie, body), 405},
		"a read of a form's end":    {get("/undo", ""), 405},
		"another method":            {"TRACE / HTTP/1.1\r\nHost: " + host + "\r\n\r\n", 405},
		"a tunnel":                  {"CONNECT xyzzy.example:443 HTTP/1.1\r\nHost: " + host + "\r\n\r\n", 421},
	} {
		at := len(s.log.String())
		r := s.raw(x.send)
		text, err := io.ReadAll(io.LimitReader(r.Body, 1<<20))
		if err != nil && x.want != 413 && x.want != 431 { // what was too long may be cut off
			t.Errorf("%s: %v", name, err)
		}
		if r.StatusCode != x.want {
			t.Errorf("%s: status %d, want %d", name, r.StatusCode, x.want)
		}
		want := fmt.Sprintf("status=%d", x.want)
		if x.want == 431 { // the library answers that itself
			want = "too long"
		}
		if line := s.logged(at, want); !strings.Contains(line, "msg=refused") || !strings.Contains(line, want) {
			t.Errorf("%s: the log has no line of it: %q", name, line)
		}
		if x.want != 431 {
			for _, h := range []string{"Content-Security-Policy", "X-Content-Type-Options", "X-Frame-Options"} {
				if r.Header.Get(h) == "" {
					t.Errorf("%s: the answer has no %s", name, h)
				}
			}
		}
		if strings.Contains(string(text), "root:") || strings.Contains(string(text), s.dir) || strings.Contains(string(text), "goroutine") {
			t.Errorf("%s: the answer tells of the machine: %.200s", name, text)
		}
	}
	if n := s.rows(records.RainFile); n != before {
		t.Errorf("attacks recorded %d rows", n-before)
	}
	if text := s.log.String(); strings.Contains(text, secretWord) || strings.Contains(text, s.dir) || strings.Contains(text, form.Get("token")) || strings.Contains(text, cookies[0].Value) {
		t.Errorf("the log repeats what was sent:\n%s", text)
	}
	if status, _ := s.get(c, "/"); status != http.StatusOK {
		t.Errorf("after all that a page gives %d", status)
	}
}

// A client that dribbles its headers is let go and logged, and others are served
// meanwhile.
func TestServeSlowHeaders(t *testing.T) {
	s := serveDemo(t, nil, guard.Times{Header: 500 * time.Millisecond, Read: time.Second})
	address := strings.TrimPrefix(s.base, "http://")
	for range 20 {
		c, err := net.Dial("tcp", address)
		if err != nil {
			t.Fatal(err)
		}
		defer c.Close()
		if _, err := io.WriteString(c, "GET /"+secretWord+" HTTP/1.1\r\nHost: "); err != nil {
			t.Fatal(err)
		}
	}
	if status, _ := s.get(s.client(), "/site.css"); status != http.StatusOK {
		t.Errorf("beside slow clients a page gives %d", status)
	}
	c, err := net.Dial("tcp", address)
	if err != nil {
		t.Fatal(err)
	}
	defer c.Close()
	if err := c.SetDeadline(time.Now().Add(10 * time.Second)); err != nil {
		t.Fatal(err)
	}
	if _, err := io.WriteString(c, "GET / HTTP/1.1\r\n"); err != nil {
		t.Fatal(err)
	}
	if _, err := io.ReadAll(c); err != nil { // the other side ends it
		t.Errorf("a slow client is not let go: %v", err)
	}
	lines := 0
	for range 100 {
		if lines = strings.Count(s.log.String(), "too slow"); lines == 21 {
			break
		}
		time.Sleep(50 * time.Millisecond)
	}
	if text := s.log.String(); lines != 21 || strings.Contains(text, secretWord) {
		t.Errorf("the log has %d lines of 21 slow clients, or tells what they sent:\n%s", lines, text)
	}
}

// Text typed or found in a file is text on every page, whatever it looks like.
func TestServeEscapes(t *testing.T) {
	s := serveDemo(t, nil, guard.Times{})
	s.unpin()
	c := s.client()
	const evil = `"><script>alert(1)</script><img src=x onerror=alert(1)>'{{.}}</textarea><!--`
	markup := func(page string) bool {
		for _, part := range []string{"<script>", "<img", "</textarea><!--"} {
			if strings.Contains(page, part) {
				return true
			}
		}
		return false
	}
	names := map[string]bool{"place": true, "pivot": true, "zone": true, "pipe": true, "field": true, "well": true, "seen": true}
	fields := 0
	for _, f := range recordForms {
		_, page := s.get(c, "/record/"+f.kind)
		all, token := []string{}, hidden.FindStringSubmatch(page)[2]
		for _, m := range strings.Split(page, ` name="`)[1:] {
			name, _, _ := strings.Cut(m, `"`)
			if name != "token" && name != "once" && name != "viewport" && name != "file" && name != "row" && name != "line" {
				all = append(all, name)
			}
		}
		// In every field at once, then in one after the other beside names that are
		// known, so that it gets as far as it can.
		tries := [][]string{all}
		for _, name := range all {
			tries = append(tries, []string{name})
		}
		for _, try := range tries {
			typed := url.Values{}
			for _, m := range regexp.MustCompile(`<select id="([^"]*)"[^>]*><option value="([^"]*)"`).FindAllStringSubmatch(page, -1) {
				if names[m[1]] {
					typed.Set(m[1], html.UnescapeString(m[2]))
				}
			}
			for _, name := range try {
				typed.Set(name, evil)
			}
			typed.Set("token", token)
			typed.Set("once", fmt.Sprint(f.kind, fields))
			fields++
			at := len(s.log.String())
			r, err := c.PostForm(s.base+"/record/"+f.kind, typed)
			if err != nil {
				t.Fatal(err)
			}
			status, text := read(t, r) // of what was recorded: the page that tells of it
			if markup(text) {
				t.Errorf("%s: markup typed as %q is markup on the page (status %d)", f.kind, try, status)
			}
			want := "msg=refused"
			if status == http.StatusOK {
				want = "msg=recorded"
			} else if status != http.StatusUnprocessableEntity {
				t.Errorf("%s: markup typed as %q: status %d", f.kind, try, status)
			}
			if line := s.logged(at, want); !strings.Contains(line, want) || strings.Contains(line, "script") {
				t.Errorf("%s: markup typed as %q: the log: %s", f.kind, try, line)
			}
		}
	}
	if fields < 40 {
		t.Errorf("only %d fields were tried", fields)
	}
	// A note of markup is taken as it is, and shown as text.
	if status, text := s.post(c, "/record/rain", "/record/rain", url.Values{"place": {"Heron Mint"}, "amount": {"0.1in"}, "note": {evil}}); status != http.StatusOK || markup(text) {
		t.Errorf("a note of markup: status %d", status)
	}
	if _, books := s.get(c, "/record/rain"); markup(books) || !strings.Contains(html.UnescapeString(books), evil) {
		t.Error("a note of markup is not shown as text among the books")
	}
	for _, path := range []string{"/what-if?ask=yes&sky=rain&rain=", "/what-if?do-a=", "/record/rain?amount=", "/record/pass?leg=", "/done?form=", "/zones?saved="} {
		if _, page := s.get(c, path+url.QueryEscape(evil)); strings.Contains(page, "<script>") || strings.Contains(page, "<img") {
			t.Errorf("%s: markup of the address is markup on the page", path)
		}
	}
	status, text := s.post(c, "/zones", "/zones", url.Values{"map": {`{"type":"FeatureCollection","features":[{"type":"Feature","properties":{"zone":` + fmt.Sprintf("%q", evil) + `}}]}`}, "do": {"save"}})
	if status != http.StatusUnprocessableEntity || strings.Contains(text, "<script>") || strings.Contains(text, "<img") {
		t.Errorf("a map of markup: status %d", status)
	}
	// A name in the farm's own files is text too.
	name := filepath.Join(s.dir, "farm.toml")
	toml, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(name, []byte(strings.Replace(string(toml), `name = "Cranefoot Flats"`, `name = "Flats <script>alert(1)</script> & Sons"`, 1)), 0o644); err != nil {
		t.Fatal(err)
	}
	for _, path := range []string{"/", "/status", "/season", "/record/rain", "/what-if", "/zones"} {
		var page string
		for range 50 {
			if _, page = s.get(c, path); strings.Contains(html.UnescapeString(page), "& Sons") {
				break
			}
			time.Sleep(100 * time.Millisecond)
		}
		if strings.Contains(page, "<script>alert") || !strings.Contains(page, "Sons") {
			t.Errorf("%s: the farm's name is not told as text", path)
		}
	}
}

// With a passphrase nothing is shown or taken before it is given, guesses are few,
// and what was typed when a cookie had run out is kept.
func TestServePassphrase(t *testing.T) {
	const right = "four words on sand"
	phrase, err := guard.NewPassphrase([]byte(right))
	if err != nil {
		t.Fatal(err)
	}
	s := serveDemo(t, phrase, guard.Times{})
	c := s.client()
	for _, path := range []string{"/", "/status", "/season", "/record/rain", "/what-if", "/zones", "/zones.geojson", "/changes", "/done"} {
		status, text := s.get(c, path)
		if status != http.StatusUnauthorized || strings.Contains(text, "Heron") || strings.Contains(text, "Cranefoot") {
			t.Errorf("%s without the passphrase: status %d", path, status)
		}
	}
	before := s.rows(records.RainFile)
	typed := url.Values{"place": {"Heron Mint"}, "amount": {"0.4"}, "amount_unit": {"in"}, "note": {"kept words"}, "once": {"o"}}
	r, err := c.PostForm(s.base+"/record/rain", typed)
	if err != nil {
		t.Fatal(err)
	}
	status, text := read(t, r)
	if status != http.StatusUnauthorized || s.rows(records.RainFile) != before {
		t.Fatalf("a record without the passphrase: status %d", status)
	}
	give := func(c *http.Client, page, text string) (int, string, string) {
		form := url.Values{"passphrase": {text}}
		for _, part := range strings.Split(page, `<input type="hidden" name="`)[1:] {
			name, rest, _ := strings.Cut(part, `" value="`)
			value, _, _ := strings.Cut(rest, `"`)
			form.Set(name, html.UnescapeString(value))
		}
		r, err := c.PostForm(s.base+"/sign-in", form)
		if err != nil {
			t.Fatal(err)
		}
		status, text := read(t, r)
		return status, text, r.Request.URL.Path
	}
	if status, _, _ := give(c, text, "four words on clay"); status != http.StatusUnauthorized {
		t.Errorf("a wrong passphrase: status %d", status)
	}
	status, text, at := give(c, text, right)
	if status != http.StatusOK || at != "/record/rain" {
		t.Fatalf("the passphrase: status %d at %s", status, at)
	}
	has(t, "the form after signing in", text, `value="0.4"`, "kept words")
	if status, text := s.post(c, "/record/rain", "/record/rain", url.Values{"place": {"Heron Mint"}, "amount": {"0.4in"}}); status != http.StatusOK || s.rows(records.RainFile) != before+1 {
		t.Errorf("signed in, a record gives %d: %s", status, marked(text))
	}
	// A cookie that was changed is none.
	own, _ := url.Parse(s.base)
	cookie := c.Jar.Cookies(own)[0]
	for _, value := range []string{cookie.Value + "x", "x" + cookie.Value, strings.Replace(cookie.Value, ".", ".z", 1), ""} {
		q, _ := http.NewRequest(http.MethodGet, s.base+"/", nil)
		q.AddCookie(&http.Cookie{Name: cookie.Name, Value: value})
		r, err := http.DefaultClient.Do(q)
		if err != nil {
			t.Fatal(err)
		}
		if status, _ := read(t, r); status != http.StatusUnauthorized {
			t.Errorf("a cookie made up: status %d", status)
		}
	}
	// Guesses.
	other := s.client()
	_, page := s.get(other, "/sign-in")
	last := 0
	for range 8 {
		last, _, _ = give(other, page, "guess after guess")
	}
	if last != http.StatusTooManyRequests {
		t.Errorf("the eighth guess: status %d, want 429", last)
	}
	if last, _, _ = give(other, page, right); last != http.StatusTooManyRequests {
		t.Errorf("the right one after too many guesses: status %d, want 429", last)
	}
	// Where to go then is a page of ours or the front page.
	for _, then := range []string{"http://xyzzy.example/", "//xyzzy.example/", `/\xyzzy.example`, "/nowhere", "javascript:alert(1)"} {
		form := url.Values{"then": {then}, "passphrase": {right}}
		for _, m := range hidden.FindAllStringSubmatch(page, -1) {
			form.Set(m[1], m[2])
		}
		r, err := other.PostForm(s.base+"/sign-in", form)
		if err != nil {
			t.Fatal(err)
		}
		if _, text := read(t, r); strings.Contains(text, "xyzzy") || strings.Contains(text, "javascript:") || strings.Contains(text, "nowhere") {
			t.Errorf("signing in leads to %s", then)
		}
	}
	if text := s.log.String(); strings.Contains(text, "four words") || strings.Contains(text, "guess after") || strings.Contains(text, "kept words") || strings.Contains(text, cookie.Value) {
		t.Errorf("the log tells a secret:\n%s", text)
	}
}
