// The local site under load.

package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"net/http"
	"net/url"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"sandwick/cmd/sandwick/internal/guard"
	"sandwick/fields"
	"sandwick/fields/records"
)

// loadEnv, when set, asks for the whole load of TestServeLoad also in a short run.
const loadEnv = "SANDWICK_LOAD"

// Fifty at once: every record that was confirmed is in the book, once, every page
// comes whole, and at the end the plan counts everything in. Records and pages are
// asked for by turns, so that the farm's files change all the while.
func TestServeLoad(t *testing.T) {
	clients, posts, reads := 50, 2000, 20000
	if testing.Short() && os.Getenv(loadEnv) == "" {
		clients, posts, reads = 8, 40, 400
	}
	s := serveDemo(t, nil, guard.Times{})
	s.unpin()
	before := s.rows(records.RainFile)
	start := time.Now()
	var recorded, again atomic.Int64
	var mu sync.Mutex
	var pages, answers []time.Duration
	var wg sync.WaitGroup
	for i := range clients {
		wg.Go(func() {
			c := stay(s.client())
			_, page := s.get(c, "/record/rain")
			token := hidden.FindAllStringSubmatch(page, -1)
			var body bytes.Buffer
			var read, posted []time.Duration
			for k := range reads / clients {
				if k%(reads/posts) == 0 {
					n := i + clients*(k/(reads/posts))
					form := url.Values{"place": {"Heron Mint"}, "amount": {"0.01in"}, "date": {"2025-07-18"}, "note": {fmt.Sprintf("load %d", n)}}
					for _, m := range token {
						form.Set(m[1], m[2])
					}
					form.Set("once", fmt.Sprintf("load-%d", n))
					at := time.Now()
					for {
						status, err := s.fetch(&body, func() (*http.Response, error) { return c.PostForm(s.base+"/record/rain", form) })
						if status == http.StatusServiceUnavailable { // as a person would: send it again
							again.Add(1)
							continue
						}
						if err != nil || status != http.StatusSeeOther {
							t.Errorf("record %d: status %d %v %s", n, status, err, marked(body.String()))
						} else {
							recorded.Add(1)
						}
						break
					}
					posted = append(posted, time.Since(at))
				}
				at := time.Now()
				path := []string{"/", "/status", "/season"}[(i+k)%3]
				status, err := s.fetch(&body, func() (*http.Response, error) { return c.Get(s.base + path) })
				if err != nil || status != http.StatusOK || !bytes.HasSuffix(body.Bytes(), []byte("</html>\n")) {
					t.Errorf("page %d of client %d: status %d %v, %d bytes", k, i, status, err, body.Len())
				}
				read = append(read, time.Since(at))
			}
			mu.Lock()
			defer mu.Unlock()
			pages, answers = append(pages, read...), append(answers, posted...)
		})
	}
	wg.Wait()
	took := time.Since(start)
	slices.Sort(pages)
	slices.Sort(answers)
	if len(pages) != reads || len(answers) != posts {
		t.Fatalf("%d pages and %d records were asked for, want %d and %d", len(pages), len(answers), reads, posts)
	}
	at := func(list []time.Duration, share float64) float64 {
		return list[int(share*float64(len(list)-1))].Seconds() * 1000
	}
	t.Logf("%d clients, %d records (%d sent again), %d pages in %.1f s; a page takes %.1f ms, 1 in 100 over %.0f ms, at most %.0f ms; a record %.0f ms, at most %.0f ms",
		clients, recorded.Load(), again.Load(), reads, took.Seconds(), at(pages, 0.5), at(pages, 0.99), at(pages, 1), at(answers, 0.5), at(answers, 1))
	if n := s.rows(records.RainFile) - before; n != posts || int(recorded.Load()) != posts {
		t.Errorf("%d records are in the book, %d were confirmed, want %d", n, recorded.Load(), posts)
	}
	text, err := os.ReadFile(filepath.Join(s.dir, "records", "rain.csv"))
	if err != nil {
		t.Fatal(err)
	}
	for n := range posts {
		if c := strings.Count(string(text), fmt.Sprintf(",load %d\n", n)); c != 1 {
			t.Errorf("record %d stands %d times in the book", n, c)
		}
	}
	s.settled()
	if _, problems := fields.Load(s.dir); len(problems) > 0 {
		t.Errorf("what is left cannot be read: %v", problems)
	}
	if lines := strings.Count(s.log.String(), "msg=recorded "); lines != posts {
		t.Errorf("the log tells of %d records", lines)
	}
	if err := s.stop(); errors.Is(err, context.DeadlineExceeded) {
		t.Error(err)
	}
}

// unpin takes the farm's own day out of its settings: the clock of the test says
// the same, and a farm that is worked on has none.
func (s *served) unpin() {
	s.t.Helper()
	name := filepath.Join(s.dir, "farm.toml")
	text, err := os.ReadFile(name)
	if err != nil {
		s.t.Fatal(err)
	}
	bare := regexp.MustCompile(`(?m)^today = .*$`).ReplaceAll(text, nil)
	if bytes.Equal(bare, text) {
		s.t.Fatal("the demo farm pins no day")
	}
	if err := os.WriteFile(name, bare, 0o644); err != nil {
		s.t.Fatal(err)
	}
}

// fetch sends a request and reads the whole answer into b.
func (s *served) fetch(b *bytes.Buffer, send func() (*http.Response, error)) (int, error) {
	b.Reset()
	r, err := send()
	if err != nil {
		return 0, err
	}
	defer r.Body.Close()
	_, err = b.ReadFrom(r.Body)
	return r.StatusCode, err
}

// settled waits until the plan shown is that of the files as they are.
func (s *served) settled() {
	s.t.Helper()
	c := s.client()
	for range 300 {
		if status, page := s.get(c, "/"); status == http.StatusOK && !strings.Contains(page, "being made anew") {
			return
		}
		time.Sleep(100 * time.Millisecond)
	}
	s.t.Error("the plan never comes to count in what was recorded")
}
