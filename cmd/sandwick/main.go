// Sandwick tells a grower when to run each centre pivot, where around the
// circle, how fast, and which ground to leave alone, and keeps the season's
// water books. This package is the program: commands, tables, words for
// people. The science is in the packages it imports.
package main

import (
	"context"
	"os"
	"os/signal"
	"runtime"
	"runtime/debug"
	"syscall"
	"time"
)

// The heap may grow by two fifths before it is looked through; the ballast, memory that
// is never written to and so never taken, counts along, so that a small heap is
// left alone. A plan is then made in less than 60 MB and little time goes into
// collecting.
const (
	gcPercent    = 40
	ballastBytes = 8 << 20
)

func main() {
	debug.SetGCPercent(gcPercent)
	ballast := make([]byte, ballastBytes)
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	p := program{now: time.Now, version: buildVersion}
	code := p.run(ctx, os.Args[1:], os.Stdin, os.Stdout, os.Stderr)
	runtime.KeepAlive(ballast)
	os.Exit(code)
}
