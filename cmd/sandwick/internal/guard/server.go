// The server: limits on time and connections, and an end that lets what has
// begun come to its end.

package guard

import (
	"context"
	"errors"
	"log"
	"log/slog"
	"net"
	"net/http"
	"sync"
	"time"

	"golang.org/x/net/netutil"
)

// Limits of a connection. A form of a few hundred bytes over a poor radio link
// takes seconds; the page of a large farm half a minute.
const (
	headerTime = 10 * time.Second
	readTime   = 30 * time.Second
	writeTime  = 60 * time.Second
	idleTime   = 60 * time.Second
	endTime    = 10 * time.Second // for what is under way when the program ends
	mostConns  = 256
)

// Times are the limits in time; the zero value means those above.
type Times struct{ Header, Read, Write time.Duration }

// Serve answers on l until ctx ends; what has begun by then is finished.
func (g *Guard) Serve(ctx context.Context, l net.Listener, t Times) error {
	or := func(v, d time.Duration) time.Duration {
		if v == 0 {
			return d
		}
		return v
	}
	base, stop := context.WithCancel(context.WithoutCancel(ctx))
	defer stop()
	s := &http.Server{
		Handler:           g,
		ReadHeaderTimeout: or(t.Header, headerTime),
		ReadTimeout:       or(t.Read, readTime),
		WriteTimeout:      or(t.Write, writeTime),
		IdleTimeout:       idleTime,
		MaxHeaderBytes:    maxHeaderBytes,
		BaseContext:       func(net.Listener) context.Context { return base },
		ErrorLog:          log.New(quiet{g.o.Log}, "", 0),
		ConnContext:       func(ctx context.Context, c net.Conn) context.Context { return context.WithValue(ctx, connKey{}, c) },
		ConnState:         g.unasked.follow(g.o.Log),
	}
	s.RegisterOnShutdown(func() { close(g.ending) })
	failed := make(chan error, 1)
	go func() { failed <- s.Serve(netutil.LimitListener(l, mostConns)) }()
	select {
	case err := <-failed:
		return err
	case <-ctx.Done():
	}
	end, cancel := context.WithTimeout(base, endTime)
	defer cancel()
	err := s.Shutdown(end)
	if errors.Is(err, context.DeadlineExceeded) {
		return errors.Join(errors.New("some connections did not end in time and were cut"), s.Close())
	}
	return err
}

// unasked keeps count of what came over each connection and was no whole request:
// headers that never ended, were too long, or were no HTTP. The library answers
// these, or lets them go, before a handler sees them.
type unasked struct {
	mu    sync.Mutex
	conns map[net.Conn]int
}

type connKey struct{}

// asked notes that a request was whole.
func (u *unasked) asked(r *http.Request) {
	c, ok := r.Context().Value(connKey{}).(net.Conn)
	if !ok {
		return
	}
	u.mu.Lock()
	defer u.mu.Unlock()
	if n, open := u.conns[c]; open {
		u.conns[c] = n - 1
	}
}

// follow logs connections that end on something that was no request.
func (u *unasked) follow(log *slog.Logger) func(net.Conn, http.ConnState) {
	return func(c net.Conn, state http.ConnState) {
		u.mu.Lock()
		defer u.mu.Unlock()
		switch state {
		case http.StateActive: // something has come
			u.conns[c]++
		case http.StateClosed, http.StateHijacked:
			if u.conns[c] > 0 {
				from, _, err := net.SplitHostPort(c.RemoteAddr().String())
				if err != nil {
					from = "unknown"
				}
				log.Warn("refused", "from", from, "why", "what came was no whole request, or too long, or too slow")
			}
			delete(u.conns, c)
		}
	}
}

// Ending is closed when the server is to end: answers that go on for as long as
// somebody listens end with it.
func (g *Guard) Ending() <-chan struct{} { return g.ending }

// quiet turns what the HTTP library says into lines of the log. It tells of
// broken connections and malformed requests; their text is the other side's.
type quiet struct{ log *slog.Logger }

func (q quiet) Write(p []byte) (int, error) {
	q.log.Debug("connection", "says", string(p))
	return len(p), nil
}
