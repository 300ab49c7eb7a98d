// sandwick et: reference evapotranspiration, day by day.
package main

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"sandwick/cmd/sandwick/internal/report"
	"sandwick/cmd/sandwick/internal/units"
	"sandwick/et"

	"github.com/golang-sql/civil"
	"github.com/spf13/cobra"
)

const etLong = `Reference evapotranspiration of every day in weather.csv before today, with what led to it,
by the method that farm.toml names: FAO-56 Penman-Monteith, or the standardized short
reference of ASCE-EWRI (2005). What was not measured and had to be estimated is named on each
day, and below the table what the humidity rests on where that is less accurate.

Forms:
  sandwick et [--from DATE] [--to DATE]
  sandwick et --json        rows with eto_mm, tmax_c, tmin_c, ea_kpa, es_kpa, u2_ms, ra_mj,
                            rs_mj, rn_mj (MJ per square metre and day), rain_mm, filled, humidity
  sandwick et --csv         the same as comma-separated rows

farm.toml names the method of the books; --reference shows another beside it:
  sandwick et --reference fao56        FAO-56 Penman-Monteith, clipped grass
  sandwick et --reference asce-short   ASCE-EWRI (2005), short: clipped grass
  sandwick et --reference asce-tall    ASCE-EWRI (2005), tall: alfalfa. For reading only: crop
                                       coefficients of FAO-56 go with the short one

Vapour pressure is in kPa in both systems of units. Without --from and --to the table shows
the last two weeks; JSON and CSV have every day.`

// shownDays is how many days a table shows when no range was asked for.
const shownDays = 14

type etFlags struct {
	days      rangeFlags
	form      outputFlags
	reference string
}

func (p *program) etCommand() *cobra.Command {
	var f etFlags
	cmd := &cobra.Command{
		Use:     "et",
		Short:   "reference evapotranspiration, day by day",
		Long:    etLong,
		Example: "  sandwick et --farm myfarm --from 2025-06-01 --to 2025-06-12",
		Args:    noArgs,
		RunE:    func(*cobra.Command, []string) error { return p.et(f) },
	}
	f.days.define(cmd)
	f.form.define(cmd)
	names := slices.Sorted(maps.Keys(methods))
	cmd.Flags().StringVar(&f.reference, "reference", "", "show this reference: `"+strings.Join(names, "|")+"` (default: the one of farm.toml)")
	must(cmd.RegisterFlagCompletionFunc("reference", cobra.FixedCompletions(names, cobra.ShellCompDirectiveNoFileComp)))
	return cmd
}

// methods are the references by the names that --reference takes.
var methods = map[string]et.Method{"fao56": et.FAO56, "asce-short": et.ASCEShort, "asce-tall": et.ASCETall}

func (p *program) et(f etFlags) error {
	from, to, err := f.days.parse()
	if err != nil {
		return err
	}
	if err := f.form.check(); err != nil {
		return err
	}
	method, named := methods[f.reference]
	if !named && f.reference != "" {
		return unknownName("reference", f.reference, slices.Collect(maps.Keys(methods)))
	}
	done := p.progress("reading the farm")
	v, err := p.open()
	done()
	if err != nil {
		return err
	}
	if !named {
		method = v.farm.Method
	}
	refs := v.farm.Weather.References(v.farm.Site, method)
	shown := []et.Reference{}
	today := civil.DateOf(v.now)
	for i := range refs {
		d := refs[i].Date
		// Today's weather is still being made: a day of which hours are missing.
		if !d.Before(today) || from.IsValid() && d.Before(from) || to.IsValid() && d.After(to) {
			continue
		}
		shown = append(shown, refs[i])
	}
	if len(shown) == 0 {
		first, last := refs[0].Date, refs[len(refs)-1].Date
		return usage(fmt.Errorf("et: weather.csv has no day before today in the range asked for"), fmt.Sprintf("it runs from %v to %v", first, last))
	}
	answer := report.NewET(v.farm.Name, methodName(method), symbol(method), shown, report.DoubtNotes(v.farm.Weather.Doubts))
	last := shownDays
	if f.days.from != "" || f.days.to != "" {
		last = 0
	}
	return p.write(f.form, answer, answer.Rows, answer.Warnings, func() error { return answer.WriteText(p.stdout, v.units, last) })
}

func methodName(m et.Method) string {
	switch m {
	case et.ASCEShort:
		return "ASCE-EWRI 2005, short reference"
	case et.ASCETall:
		return "ASCE-EWRI 2005, tall reference"
	}
	return "FAO-56 Penman-Monteith"
}

// symbol is the reference in short: ETo for clipped grass, ETr for alfalfa.
func symbol(m et.Method) string {
	if m == et.ASCETall {
		return "ETr"
	}
	return "ETo"
}

// write gives an answer in the form asked for. Warnings are part of the text and
// of the JSON document; beside CSV they go to standard error.
func (p *program) write(form outputFlags, document, rows any, warnings []report.Note, text func() error) error {
	switch {
	case form.json:
		return report.WriteJSON(p.stdout, document)
	case form.csv:
		for _, w := range warnings {
			p.warnf("%s", w(units.SI))
		}
		return report.WriteCSV(p.stdout, rows)
	}
	return text()
}
