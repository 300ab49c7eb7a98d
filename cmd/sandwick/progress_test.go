package main

import (
	"bytes"
	"strings"
	"sync"
	"testing"
	"time"
)

// lockedBuffer is a bytes.Buffer for two goroutines.
type lockedBuffer struct {
	mu sync.Mutex
	b  bytes.Buffer
}

func (l *lockedBuffer) Write(p []byte) (int, error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.b.Write(p)
}

func (l *lockedBuffer) String() string {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.b.String()
}

func TestProgressOfLongWork(t *testing.T) {
	var w lockedBuffer
	done := showProgress(&w, "planning", 0)
	for w.String() == "" {
		time.Sleep(time.Millisecond)
	}
	done()
	got := w.String()
	if !strings.HasPrefix(got, "\rplanning ... 0 s") || !strings.HasSuffix(got, "\r\x1b[K") {
		t.Errorf("got %q", got)
	}
}

func TestProgressOfShortWork(t *testing.T) {
	var w lockedBuffer
	showProgress(&w, "planning", time.Hour)()
	if got := w.String(); got != "" {
		t.Errorf("got %q", got)
	}
}

// Standard error that is no terminal stays clean.
func TestProgressWithoutTerminal(t *testing.T) {
	var w bytes.Buffer
	p := program{stderr: &w}
	p.progress("planning")()
	if w.Len() > 0 {
		t.Errorf("got %q", w.String())
	}
}
