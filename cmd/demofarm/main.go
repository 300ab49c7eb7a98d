// Demofarm writes Cranefoot Flats, the invented farm that the program is shown
// and tested on: settings, map, weather, forecast, earlier years and records.
// Nothing in it was measured anywhere. The same flags give the same bytes.
//
//	go run ./cmd/demofarm -out testdata/demo
//	go run ./cmd/demofarm -out season7 -seed 7 -whole
package main

import (
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"path/filepath"

	"github.com/golang-sql/civil"
)

func main() { os.Exit(run(os.Args[1:], os.Stderr)) }

// run does the work of main. It returns 0 done, 1 the work failed, 2 the
// command line is wrong.
func run(args []string, stderr io.Writer) int {
	o := defaultOptions()
	flags := flag.NewFlagSet("demofarm", flag.ContinueOnError)
	flags.SetOutput(stderr)
	out := flags.String("out", "", "folder to write the farm to (made if absent)")
	flags.Uint64Var(&o.Seed, "seed", o.Seed, "seed of the season's weather and of everything that follows from it")
	flags.IntVar(&o.HistoryYears, "years", o.HistoryYears, "earlier years in history.csv (1 to 60)")
	flags.BoolVar(&o.Whole, "whole", o.Whole, "a finished season: weather and passes to the end of September, no forced dry spell, no forecast")
	today := flags.String("today", o.Today.String(), "the day the farm is at (ISO date in the season)")
	if err := flags.Parse(args); err != nil {
		if errors.Is(err, flag.ErrHelp) {
			return 0
		}
		return 2
	}
	if flags.NArg() > 0 || *out == "" {
		fmt.Fprintln(stderr, "demofarm: error: wanted -out FOLDER and no other words")
		return 2
	}
	var err error
	if o.Today, err = civil.ParseDate(*today); err != nil {
		fmt.Fprintf(stderr, "demofarm: error: -today: not an ISO date (got %q)\n", *today)
		return 2
	}
	if err := o.check(); err != nil {
		fmt.Fprintln(stderr, "demofarm: error:", err)
		return 2
	}
	for _, f := range generate(o) {
		if err := write(*out, f); err != nil {
			fmt.Fprintln(stderr, "demofarm: error:", err)
			return 1
		}
	}
	return 0
}

// write puts one file of the farm where it belongs under dir.
func write(dir string, f file) error {
	path := filepath.Join(dir, filepath.FromSlash(f.Path))
	if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
		return err
	}
	return os.WriteFile(path, f.Data, 0o644)
}
