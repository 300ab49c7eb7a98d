// Sandwick tells a grower when to run each centre pivot, where around the
// circle, how fast, and which ground to leave alone, and keeps the season's
// water books. This package is the program: commands, tables, words for
// people. The science is in the packages it imports.
package main

import (
	"context"
	"os"
	"os/signal"
	"runtime/debug"
	"syscall"
	"time"
)

func main() {
	debug.SetGCPercent(50) // a plan is made in less than 60 MB
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	p := program{now: time.Now, version: buildVersion}
	os.Exit(p.run(ctx, os.Args[1:], os.Stdin, os.Stdout, os.Stderr))
}
