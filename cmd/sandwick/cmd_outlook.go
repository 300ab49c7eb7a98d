// sandwick outlook: what a dry spell would do.
package main

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"sandwick/cmd/sandwick/internal/report"
	"sandwick/fields"

	"github.com/golang-sql/civil"
	"github.com/spf13/cobra"
)

const outlookLong = `The dry-spell outlook: whether the pumps can keep up if no rain falls, and if not, which
ground falls behind on what day and what to give up first; when each zone is due and when
its stress begins if nothing is run; and how likely it is to stay dry.

Forms:
  sandwick outlook          over the weather of every earlier year in history.csv in turn
  sandwick outlook --dry    over no rain at all
  sandwick outlook --days N look N days ahead
  sandwick outlook --json   one document: pumps, zones with every year, chances, spells
  sandwick outlook --csv    the zones, one row each

A zone is due when its trigger is reached; its stress begins on the first day on which the
crop is short of water (Ks below 0.95). Early, likely and late are the days that one year in
ten, one in two and nine in ten have reached. A dry spell is a run of days without useful
rain: 1 mm (0.04 in) in a day, after the climate index of consecutive dry days (ETCCDI).
[outlook] in farm.toml sets another: useful_rain_mm or useful_rain_in, useful_rain_eto_pct for a limit
that moves with the day's ETo (Rivoire et al. 2019), window_days for the time of year.`

// outlookSpan is the days an outlook may look ahead.
var outlookSpan = span{3, defaultOutlookDays, 60}

const defaultOutlookDays = 30

// fewYears is how many earlier years make a distribution worth the name; below
// it the outlook says how few there are. Common practice, no published source.
const fewYears = 10

type outlookFlags struct {
	form outputFlags
	days int
	dry  bool
}

func (p *program) outlookCommand() *cobra.Command {
	var f outlookFlags
	cmd := &cobra.Command{
		Use:     "outlook",
		Short:   "what a dry spell would do, and how likely it is",
		Long:    outlookLong,
		Example: "  sandwick outlook --farm myfarm\n  sandwick outlook --farm myfarm --dry --days 14",
		Args:    noArgs,
		RunE:    func(*cobra.Command, []string) error { return p.outlook(f) },
	}
	f.form.define(cmd)
	cmd.Flags().BoolVar(&f.dry, "dry", false, "let no rain fall at all")
	outlookSpan.define(cmd, &f.days)
	return cmd
}

func (p *program) outlook(f outlookFlags) error {
	if err := f.form.check(); err != nil {
		return err
	}
	if err := outlookSpan.check(f.days); err != nil {
		return err
	}
	v, done, err := p.openFor("looking ahead", nil)
	if err != nil {
		return err
	}
	defer done()
	season, err := v.current()
	if err != nil {
		return err
	}
	o, problems, err := season.DryOutlook(v.now, f.days, f.dry)
	if len(problems) > 0 {
		return usage(problems, "the outlook counts the days of "+fields.HistoryFile)
	}
	if err != nil {
		return &failure{fmt.Errorf("outlook: %w", err), ""}
	}
	answer := report.NewOutlook(v.outlookFacts(season, o, p.common.today == ""))
	done()
	return p.write(f.form, answer, answer.CSVRows(), answer.Warnings, func() error {
		return answer.WriteText(p.stdout, v.units)
	})
}

func (v view) outlookFacts(season *fields.Season, o *fields.DryOutlook, byFarm bool) report.OutlookFacts {
	facts := report.OutlookFacts{
		Farm: v.farm, Outlook: o,
		Weather: report.Weather{Through: report.Day(season.WeatherThrough)},
		Rests:   append(v.dayNotes(byFarm), estimateNotes(season)...),
	}
	for _, sky := range o.Dry.Skies {
		if sky.Basis == fields.Forecast {
			facts.Weather.Forecast = report.Day(sky.Date)
		}
	}
	facts.Weather.Beyond = beyondText(o)
	facts.Warnings = append(facts.Warnings, yearNotes(o)...)
	facts.Warnings = append(facts.Warnings, valueNotes(o)...)
	facts.Warnings = append(facts.Warnings, report.DoubtNotes(season.Doubts)...)
	facts.Warnings = append(facts.Warnings, report.DoubtNotes(v.farm.Doubts)...)
	return facts
}

// beyondText says what stands for the days without a forecast.
func beyondText(o *fields.DryOutlook) string {
	if o.Ensemble == nil || len(o.Ensemble.Scenarios) == 0 {
		for _, sky := range o.Dry.Skies {
			switch sky.Basis {
			case fields.Normal:
				return "days without a forecast take the mean rainless day of earlier years"
			case fields.Carried:
				return fmt.Sprintf("days without a forecast take the mean of the last %d days measured", fields.CarryDays)
			}
		}
		return ""
	}
	return "days without a forecast are those of each earlier year in turn"
}

// yearNotes say how few the earlier years are.
func yearNotes(o *fields.DryOutlook) []report.Note {
	if o.First == (civil.Date{}) {
		return []report.Note{report.Plain(fmt.Sprintf("there is no %s: without earlier years the zones are shown for no rain at all, and no chance can be given", fields.HistoryFile))}
	}
	if o.Ensemble == nil {
		return nil
	}
	switch n := len(o.Ensemble.Scenarios); {
	case n == 0:
		return []report.Note{report.Plain(fmt.Sprintf("no year of %s has the rain of all these days: the zones are shown for no rain at all", fields.HistoryFile))}
	case n < fewYears:
		return []report.Note{report.Plain(fmt.Sprintf("only %d earlier years: early and late are not much more than the driest and the wettest of them", n))}
	}
	return nil
}

// valueNotes name the crops whose loss to stress has no price.
func valueNotes(o *fields.DryOutlook) []report.Note {
	names := []string{}
	for _, w := range o.Pumps.Wells {
		for _, l := range w.GiveUp {
			if name := o.Problem.Machines[l.Machine].Zones[l.Zone].Field; math.IsNaN(l.Value) && !slices.Contains(names, name) {
				names = append(names, name)
			}
		}
	}
	if len(names) == 0 {
		return nil
	}
	return []report.Note{report.Plain(fmt.Sprintf("%s: what stress costs is not known; crop_value_per_ac under [[fields]] and ky under [[crops]] in farm.toml set it", strings.Join(names, ", ")))}
}
