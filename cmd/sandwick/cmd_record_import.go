// sandwick record import: files from elsewhere, taken over row by row.
package main

import (
	"bytes"
	"errors"
	"fmt"

	"sandwick/fields"
	"sandwick/fields/records"

	"github.com/golang-sql/civil"
	"github.com/spf13/cobra"
)

const importLong = `Take rows over from a file of another program into the farm's own. What stands there
already is left alone: the same file twice changes nothing. Where the two disagree, every
such row is told, and nothing is written. How the file names its columns goes into
farm.toml once:

  [imports.rain]
  columns = { date = "Day", place = "Gauge", amount_in = "Precip" }
  ignore = ["Battery"]                  # or ignore_others = true
  missing = ["-9999"]

  [imports.passes]                      # the exported log of a machine's panel
  columns = { time = "Stamp", azimuth_deg = "Angle", timer_pct = "Speed", water_on = "Water" }
  time_format = "month/day/year hour:minute"
  on = ["ON"]
  off = ["OFF"]

Forms:
  sandwick record import rain FILE           columns date, place, amount_in or amount_mm
  sandwick record import rain FILE --place "North mint"
  sandwick record import weather FILE        the columns of weather.csv
  sandwick record import passes FILE --pivot "North pivot"

A panel's log has a row every so often, or at every change. Legs are made of the rows
between which the arm turned with the same settings. A leg still under way at the log's
end is recorded up to there; a later log adds the rest. Where a part of a leg is recorded
already, by hand or from another log, only what is missing is added.`

func (p *program) recordImportCommand() *cobra.Command {
	cmd := &cobra.Command{
		Use:     "import rain|weather|passes FILE",
		Short:   "take rows over from a file of another program",
		Long:    importLong,
		Example: "  sandwick record import rain gauge.csv --place \"North mint\" --farm myfarm",
		Args: func(cmd *cobra.Command, args []string) error {
			if len(args) == 0 {
				return nil
			}
			return unknownName("import", args[0], commandNames(cmd))
		},
		RunE: func(cmd *cobra.Command, _ []string) error { return cmd.Help() },
	}
	var f recordFlags
	place, machine := "", ""
	add := func(kind, short string, run func(cmd *cobra.Command, d *desk, file string, text []byte, taken *records.Taken) (records.Receipt, error)) *cobra.Command {
		one := &cobra.Command{
			Use: kind + " FILE", Short: short, Long: importLong,
			Example: "  sandwick record import " + kind + " export.csv --farm myfarm",
			Args: func(cmd *cobra.Command, args []string) error {
				if len(args) != 1 {
					return usage(fmt.Errorf("%s: want one file (got %d)", cmd.CommandPath(), len(args)), "put quotes around a name with spaces")
				}
				return nil
			},
			RunE: func(cmd *cobra.Command, args []string) error {
				d, err := p.desk()
				if err != nil {
					return err
				}
				text, err := fields.ImportText(args[0])
				if err != nil {
					return usage(err, "")
				}
				var taken records.Taken
				receipt, err := run(cmd, d, args[0], text, &taken)
				var u *usageError
				if errors.As(err, &u) {
					return err
				}
				if err := d.received(receipt, err); err != nil {
					return err
				}
				for _, n := range taken.Notes {
					p.warnf("%s", n)
				}
				fmt.Fprintf(p.stdout, "%s: %s new, %s known already\n", args[0], counted(taken.New, "row"), counted(taken.Known, "row"))
				if taken.New > 0 {
					d.told(f, receipt)
				}
				return nil
			},
		}
		f.defineDry(one)
		cmd.AddCommand(one)
		return one
	}
	rain := add("rain", "readings of rain gauges", func(cmd *cobra.Command, d *desk, file string, text []byte, taken *records.Taken) (records.Receipt, error) {
		from := records.Import{File: file, Text: bytes.NewReader(text), Mapping: d.Imports.Rain.Mapping, Today: civil.DateOf(d.now)}
		if place != "" {
			var err error
			if from.Name, _, err = name("place", []string{place}, rainPlaces(d.Recording)); err != nil {
				return records.Receipt{}, err
			}
		}
		return d.Writer.Record(cmd.Context(), d.Writer.ImportRain(from, taken), d.now, f.dry)
	})
	rain.Flags().StringVar(&place, "place", "", "the `NAME` of the field or pivot of rows that name none")
	add("weather", "days or hours of a weather station", func(cmd *cobra.Command, d *desk, file string, text []byte, taken *records.Taken) (records.Receipt, error) {
		return d.ImportWeather(cmd.Context(), file, text, d.now, f.dry, taken)
	})
	passes := add("passes", "the log of a machine's panel", func(cmd *cobra.Command, d *desk, file string, text []byte, taken *records.Taken) (records.Receipt, error) {
		known := d.PivotNames()
		if machine == "" && len(known) == 1 {
			machine = known[0]
		}
		var words []string
		if machine != "" {
			words = []string{machine}
		}
		pivotName, _, err := name("pivot", words, known)
		if err != nil {
			return records.Receipt{}, err
		}
		log := d.Imports.Passes
		from := records.Import{File: file, Text: bytes.NewReader(text), Mapping: log.Mapping, Name: pivotName}
		return d.Writer.Record(cmd.Context(), d.Writer.ImportPasses(from, records.LogWords{TimeFormat: log.TimeFormat, On: log.On, Off: log.Off}, taken), d.now, f.dry)
	})
	passes.Flags().StringVar(&machine, "pivot", "", "the `NAME` of the machine that the log is of")
	must(rain.RegisterFlagCompletionFunc("place", p.completeRecordNames(rainPlaces)))
	must(passes.RegisterFlagCompletionFunc("pivot", p.completeRecordNames(func(r *fields.Recording) []string { return r.PivotNames() })))
	return cmd
}

// counted is "1 row" or "3 rows".
func counted(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}
