// sandwick season: the season's water books.
package main

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"slices"

	"sandwick/cmd/sandwick/internal/report"
	"sandwick/fields"
	"sandwick/fields/books"
	"sandwick/fields/settings"

	"github.com/golang-sql/civil"
	"github.com/spf13/cobra"
)

const seasonLong = `What every well gave, month by month, by its meter or by hours × flow of the recorded
passes; what the pumping took in hours, energy and money; where the water went on every
field, with the balance closed; what leaving ground alone saved; how the season's limit
stands; nitrogen; oil by cut; and earlier seasons beside this one as far as the records go
back. What was not measured is marked, with how much of each figure rests on it.

Forms:
  sandwick season                  tables
  sandwick season --field NAME     this field and its well only
  sandwick season --csv            wells, fields and the farm by month and as a whole, in SI
  sandwick season --json           one document by well, field and month, in SI
  sandwick season --html FILE      one page with maps and plots, to read on a phone and to print
  sandwick season --xlsx FILE      a workbook: wells by month, fields, daily, notes

The books run from the season's start to yesterday, or to its end. Days on which weather.csv
is late carry the weather of the days before, marked, for two weeks at most; then the books
end. They are the farm's own and no regulatory filing.`

type seasonFlags struct {
	form      outputFlags
	page      pageFlags
	field     string
	xlsx      string
	tolerance float64
}

func (p *program) seasonCommand() *cobra.Command {
	var f seasonFlags
	cmd := &cobra.Command{
		Use:     "season",
		Short:   "the season's water books",
		Long:    seasonLong,
		Example: "  sandwick season --farm myfarm\n  sandwick season --farm myfarm --xlsx books.xlsx",
		Args:    noArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			return p.season(f, cmd.Flags().Changed("tolerance"))
		},
	}
	f.form.define(cmd)
	f.page.define(cmd)
	p.defineField(cmd, &f.field, "only the field of this `NAME` and its well")
	cmd.Flags().StringVar(&f.xlsx, "xlsx", "", "write a workbook to this `FILE`")
	cmd.Flags().Float64Var(&f.tolerance, "tolerance", 0, "`PCT` by which meter and hours × flow may differ (default: as farm.toml has it, else 10)")
	must(cmd.RegisterFlagCompletionFunc("tolerance", cobra.NoFileCompletions))
	must(cmd.MarkFlagFilename("xlsx", "xlsx"))
	return cmd
}

func (p *program) season(f seasonFlags, toleranceSet bool) error {
	if err := f.form.check(); err != nil {
		return err
	}
	if err := f.page.check(f.form); err != nil {
		return err
	}
	if f.page.any() && f.xlsx != "" {
		return usage(fmt.Errorf("--xlsx excludes --html and --png"), "run the command once for each form")
	}
	if f.xlsx != "" && (f.form.json || f.form.csv) {
		return usage(fmt.Errorf("--xlsx excludes --json and --csv"), "run the command once for each form")
	}
	if toleranceSet && !(f.tolerance > 0 && f.tolerance <= 100) {
		return usage(fmt.Errorf("--tolerance: %g is out of range", f.tolerance), "want percent, above 0 and up to 100")
	}
	v, done, err := p.openFor("keeping the books", &f.field)
	if err != nil {
		return err
	}
	defer done()
	b, notes, err := v.books(f.tolerance / 100)
	if err != nil {
		return err
	}
	answer := report.NewSeason(b, notes)
	if f.field != "" {
		answer.Keep(f.keepers(v.farm))
	}
	done()
	if f.page.any() {
		return p.seasonPage(v, &f, b.Season, answer)
	}
	if f.xlsx == "" {
		rows := answer.CSVRows()
		return p.write(f.form, answer, rows, answer.Warnings, func() error { return answer.WriteText(p.stdout, v.units) })
	}
	var sheet bytes.Buffer
	if err := answer.WriteXLSX(&sheet, v.units); err != nil {
		return &failure{fmt.Errorf("season: making the workbook: %w", err), ""}
	}
	if err := writeWhole(f.xlsx, sheet.Bytes()); err != nil {
		return &failure{fmt.Errorf("season: %w", err), "is there room, and may you write there? Is the workbook open in another program?"}
	}
	fmt.Fprintln(p.stdout, f.xlsx)
	return nil
}

// keepers tell which fields and wells are to be shown.
func (f seasonFlags) keepers(farm *fields.Farm) (field, well func(string) bool) {
	name := ""
	if p := farm.PivotIndex(farm.Fields[farm.FieldIndex(f.field)].Pivot); p >= 0 {
		name = farm.Pivots[p].Well
	}
	return func(n string) bool { return n == f.field }, func(n string) bool { return n == name }
}

// books walks the season and keeps its books. The notes are about its days.
func (v view) books(tolerance float64) (*books.Books, []report.Note, error) {
	end, notes := seasonEnd(v.farm, civil.DateOf(v.now))
	season, err := v.walk(end, fields.WalkOptions{})
	if err != nil {
		return nil, nil, err
	}
	if season.Days() == 0 {
		return nil, nil, usage(fmt.Errorf("the season begins today, %v: there is no day in its books yet", v.farm.Start.Date), "--today takes another day for today")
	}
	o := books.Usual()
	o.Tolerance = tolerance
	notes = slices.Concat(notes, report.OverdrawnNotes(season), report.BookNotes(season))
	return books.Make(season, o), notes, nil
}

// seasonEnd is the day after the last in the season's books: today, or the day
// after the season's last, or where the weather has ended long before.
func seasonEnd(farm *fields.Farm, today civil.Date) (civil.Date, []report.Note) {
	end := today
	if last := farm.Start.End; last.IsValid() && last.Before(end) {
		end = last.AddDays(1)
	}
	days := farm.Weather.Days
	through := days[len(days)-1].Date.AddDays(1)
	if end.DaysSince(through) <= staleDays {
		return end, nil
	}
	if through.Before(farm.Start.Date) {
		through = farm.Start.Date
	}
	late := 0
	from := settings.StartOfDay(through, farm.Location)
	for i := range farm.Records.Passes {
		if pass := &farm.Records.Passes[i]; !pass.Start.Before(from) && civil.DateOf(pass.Start.In(farm.Location)).Before(end) {
			late++
		}
	}
	return through, []report.Note{report.Plain(fmt.Sprintf("%s ends on %v, %d days before %v: the books end with it, and %d later passes are not in them",
		fields.WeatherFile, through.AddDays(-1), end.DaysSince(through), end, late))}
}

// writeWhole writes a file in one go: what stood there before stays until the new
// one is complete.
func writeWhole(name string, data []byte) error {
	dir := filepath.Dir(name)
	tmp, err := os.CreateTemp(dir, ".sandwick-*")
	if err != nil {
		return err
	}
	defer os.Remove(tmp.Name())
	if _, err := tmp.Write(data); err != nil {
		tmp.Close()
		return err
	}
	if err := tmp.Chmod(0o644); err != nil {
		tmp.Close()
		return err
	}
	if err := tmp.Close(); err != nil {
		return err
	}
	return os.Rename(tmp.Name(), name)
}
