// sandwick balance: the soil-water books, day by day.
package main

import (
	"fmt"
	"time"

	"sandwick/cmd/sandwick/internal/report"
	"sandwick/fields"

	"github.com/golang-sql/civil"
	"github.com/spf13/cobra"
)

const balanceLong = `The water books of every zone from the season's start to the last day with weather: rain,
irrigation, water from below, what the crop and the ground used, what drained, and how much
is gone from the root zone at the end of each day. Zones are means over their cells.

Forms:
  sandwick balance [--from DATE] [--to DATE] [--field NAME]
  sandwick balance --cells  by cell: a slice of the circle within a zone
  sandwick balance --probes probe readings beside the books, with bias and RMSE by zone
  sandwick balance --json   rows, and sums by zone, in mm; kc is the crop coefficient without
                            stress, kcb + ke, or in single mode, which has neither, Kc itself;
                            trigger_mm is that of the row's own day
  sandwick balance --csv    the rows

Without --from and --to the table shows the sums of the season and the last week; JSON and
CSV have every day. A day marked * has weather that was partly estimated.`

// shownBalanceDays is how many days of each zone a table shows when no range
// was asked for.
const shownBalanceDays = 7

type balanceFlags struct {
	days  rangeFlags
	form  outputFlags
	field string
	cells bool
	probe bool
}

func (p *program) balanceCommand() *cobra.Command {
	var f balanceFlags
	cmd := &cobra.Command{
		Use:     "balance",
		Short:   "the soil-water books, day by day",
		Long:    balanceLong,
		Example: "  sandwick balance --farm myfarm --from 2025-06-10",
		Args:    noArgs,
		RunE:    func(*cobra.Command, []string) error { return p.balance(f) },
	}
	f.days.define(cmd)
	f.form.define(cmd)
	p.defineField(cmd, &f.field, "only the field of this `NAME`")
	cmd.Flags().BoolVar(&f.cells, "cells", false, "by cell instead of by zone")
	cmd.Flags().BoolVar(&f.probe, "probes", false, "probe readings beside the books")
	return cmd
}

func (p *program) balance(f balanceFlags) error {
	from, to, err := f.days.parse()
	if err != nil {
		return err
	}
	if err := f.form.check(); err != nil {
		return err
	}
	if f.cells && f.probe {
		return usage(fmt.Errorf("--cells and --probes exclude each other"), "give one of them")
	}
	v, done, err := p.openFor("keeping the books", &f.field)
	if err != nil {
		return err
	}
	defer done()
	season, err := v.walk(booksEnd(v.farm, v.now), fields.WalkOptions{KeepCells: f.cells})
	if err != nil {
		return err
	}
	first, last := season.From, season.Today.AddDays(-1)
	if season.Days() == 0 || from.IsValid() && from.After(last) || to.IsValid() && to.Before(first) {
		return usage(fmt.Errorf("balance: the books have no day in the range asked for"),
			fmt.Sprintf("they run from %v to %v", first, last))
	}
	if from.IsValid() && from.After(first) {
		first = from
	}
	if to.IsValid() && to.Before(last) {
		last = to
	}
	options := report.BalanceOptions{From: first, To: last, Field: f.field, Cells: f.cells}
	if f.probe {
		if !to.IsValid() {
			options.To = season.Today // this morning's readings
		}
		answer := report.NewProbes(season, options)
		done()
		return p.write(f.form, answer, answer.Readings, answer.Warnings, func() error {
			return answer.WriteText(p.stdout, v.units)
		})
	}
	answer := report.NewBalance(season, options)
	done()
	shown := shownBalanceDays
	if from.IsValid() || to.IsValid() {
		shown = 0
	}
	return p.write(f.form, answer, answer.CSVRows(), answer.Warnings, func() error {
		return answer.WriteText(p.stdout, v.units, shown)
	})
}

// booksEnd is the day after the last in the books: today, or sooner where the
// weather or the season ends before. Days without weather belong into a plan,
// marked, but not into the books.
func booksEnd(farm *fields.Farm, now time.Time) civil.Date {
	end := civil.DateOf(now)
	days := farm.Weather.Days
	if d := days[len(days)-1].Date.AddDays(1); d.Before(end) {
		end = d
	}
	if last := farm.Start.End; last.IsValid() && last.Before(end) {
		end = last.AddDays(1)
	}
	return end
}

// walk keeps the season's books up to the day before today.
func (v view) walk(today civil.Date, o fields.WalkOptions) (*fields.Season, error) {
	if start := v.farm.Start.Date; today.Before(start) {
		return nil, usage(fmt.Errorf("%v is before the season's start, %v", today, start), "[season] start in farm.toml sets it; --today takes another day for today")
	}
	season, err := v.farm.Walk(today, o)
	if err != nil {
		return nil, &failure{err, "`sandwick check` tells what is odd in the files"}
	}
	return season, nil
}
