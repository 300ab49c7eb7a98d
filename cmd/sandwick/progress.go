// A sign of life on a terminal while long work runs.
package main

import (
	"fmt"
	"io"
	"os"
	"sync"
	"time"

	"golang.org/x/term"
)

// patience is how long work may take before anything is said about it.
const patience = time.Second

// progress says on a terminal what is being done once it has taken longer than
// a second, and wipes the line when the returned function is called, which it may be twice. On
// anything but a terminal it does nothing.
func (p *program) progress(what string) (done func()) {
	f, ok := p.stderr.(*os.File)
	if !ok || !term.IsTerminal(int(f.Fd())) {
		return func() {}
	}
	return showProgress(f, what, patience)
}

// showProgress is progress on any writer, after any wait.
func showProgress(w io.Writer, what string, after time.Duration) (done func()) {
	stop, stopped := make(chan struct{}), make(chan struct{})
	go func() {
		defer close(stopped)
		select {
		case <-stop:
			return
		case <-time.After(after):
		}
		start := time.Now().Add(-after)
		tick := time.NewTicker(time.Second)
		defer tick.Stop()
		for {
			fmt.Fprintf(w, "\r%s ... %.0f s", what, time.Since(start).Seconds())
			select {
			case <-stop:
				fmt.Fprint(w, "\r\x1b[K") // back to the margin, clear the line
				return
			case <-tick.C:
			}
		}
	}()
	return sync.OnceFunc(func() {
		close(stop)
		<-stopped
	})
}
