// The flags that several commands share: their names, meaning and checks.
package main

import (
	"fmt"
	"time"

	"sandwick/cmd/sandwick/internal/units"

	"github.com/golang-sql/civil"
	"github.com/spf13/cobra"
)

// commonFlags mean the same for every command.
type commonFlags struct {
	farm  string
	today string
	units string
}

func (f *commonFlags) define(root *cobra.Command) {
	flags := root.PersistentFlags()
	flags.StringVar(&f.farm, "farm", ".", "the farm folder `DIR`")
	flags.StringVar(&f.today, "today", "", "take `DATE` for today (2026-07-14, or 2026-07-14T06:00 to set the hour too)")
	flags.StringVar(&f.units, "units", "", "show tables in `us|si` (default: the farm's own)")
	must(root.RegisterFlagCompletionFunc("units", cobra.FixedCompletions([]cobra.Completion{"us", "si"}, cobra.ShellCompDirectiveNoFileComp)))
	must(root.RegisterFlagCompletionFunc("today", cobra.NoFileCompletions))
	must(root.MarkPersistentFlagDirname("farm"))
}

// system is the display system that --units names.
func (f *commonFlags) system() (units.System, error) {
	s, ok := units.Parse(f.units)
	if !ok {
		return s, usage(fmt.Errorf("--units: unknown system %q", f.units), "want us or si")
	}
	return s, nil
}

// morning is the hour of a day given without one: when a grower looks at the
// plan, before the day's work.
const morning = 6

// moment is the time the work is done for: --today, or the day pinned in the
// farm's settings, or now. A day without an hour means six in the morning.
func (f *commonFlags) moment(now time.Time, pinned civil.Date, zone *time.Location) (time.Time, error) {
	if f.today == "" {
		if pinned.IsValid() {
			return time.Date(pinned.Year, pinned.Month, pinned.Day, morning, 0, 0, 0, zone), nil
		}
		return now.In(zone), nil
	}
	if d, err := civil.ParseDate(f.today); err == nil {
		return time.Date(d.Year, d.Month, d.Day, morning, 0, 0, 0, zone), nil
	}
	for _, layout := range []string{"2006-01-02T15:04", "2006-01-02 15:04", "2006-01-02T15:04:05"} {
		if t, err := time.ParseInLocation(layout, f.today, zone); err == nil {
			return t, nil
		}
	}
	return time.Time{}, usage(fmt.Errorf("--today: not a date (got %q)", f.today), "want 2026-07-14, or 2026-07-14T06:00 with the hour")
}

// outputFlags choose the form of a table.
type outputFlags struct{ json, csv bool }

func (f *outputFlags) define(cmd *cobra.Command) {
	cmd.Flags().BoolVar(&f.json, "json", false, "one JSON document, in SI")
	cmd.Flags().BoolVar(&f.csv, "csv", false, "comma-separated rows, in SI")
}

func (f *outputFlags) check() error {
	if f.json && f.csv {
		return usage(fmt.Errorf("--json and --csv exclude each other"), "give one of them")
	}
	return nil
}

// rangeFlags limit a table to some days.
type rangeFlags struct{ from, to string }

func (f *rangeFlags) define(cmd *cobra.Command) {
	cmd.Flags().StringVar(&f.from, "from", "", "first `DATE` to show")
	cmd.Flags().StringVar(&f.to, "to", "", "last `DATE` to show")
	must(cmd.RegisterFlagCompletionFunc("from", cobra.NoFileCompletions))
	must(cmd.RegisterFlagCompletionFunc("to", cobra.NoFileCompletions))
}

// parse gives the two dates; the zero date where a flag was not given.
func (f *rangeFlags) parse() (from, to civil.Date, err error) {
	if from, err = parseDate("--from", f.from); err != nil {
		return from, to, err
	}
	if to, err = parseDate("--to", f.to); err != nil {
		return from, to, err
	}
	if f.from != "" && f.to != "" && to.Before(from) {
		return from, to, usage(fmt.Errorf("--to %v is before --from %v", to, from), "")
	}
	return from, to, nil
}

// span is how many days ahead a command may look: the fewest, those when not
// asked for, the most.
type span struct{ least, usual, most int }

func (s span) define(cmd *cobra.Command, days *int) {
	cmd.Flags().IntVar(days, "days", s.usual, fmt.Sprintf("days to look ahead, %d to %d", s.least, s.most))
	must(cmd.RegisterFlagCompletionFunc("days", cobra.NoFileCompletions))
}

func (s span) check(days int) error {
	if days < s.least || days > s.most {
		return usage(fmt.Errorf("--days: %d is out of range", days), fmt.Sprintf("want %d to %d", s.least, s.most))
	}
	return nil
}

func parseDate(flag, text string) (civil.Date, error) {
	if text == "" {
		return civil.Date{}, nil
	}
	d, err := civil.ParseDate(text)
	if err != nil {
		return d, usage(fmt.Errorf("%s: not a date (got %q)", flag, text), "want a date like 2026-07-14")
	}
	return d, nil
}

// noArgs refuses arguments that a command does not take.
func noArgs(cmd *cobra.Command, args []string) error {
	if len(args) > 0 {
		return usage(fmt.Errorf("%s takes no arguments (got %q)", cmd.CommandPath(), args[0]),
			"the farm folder is named with --farm DIR")
	}
	return nil
}

// must stops on a mistake in the program's own flag set-up.
func must(err error) {
	if err != nil {
		panic("sandwick: flag set-up: " + err.Error())
	}
}
