// sandwick plan the grower's own way: --evaluate, --start, --hold, --rain, --dry.
package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"slices"
	"strings"
	"time"

	"sandwick/cmd/sandwick/internal/planfile"
	"sandwick/cmd/sandwick/internal/report"
	"sandwick/cmd/sandwick/internal/units"
	"sandwick/et/input"
	"sandwick/fields"
	"sandwick/fields/whatif"
	"sandwick/pivot/runplan"

	"github.com/golang-sql/civil"
	"github.com/spf13/cobra"
)

// unitSystem is how quantities are shown.
type unitSystem = units.System

// ownFlags ask for a plan of one's own.
type ownFlags struct {
	evaluate string
	starts   []string
	holds    []string
	rain     []string
	dry      bool
}

func (f *ownFlags) define(cmd *cobra.Command, p *program) {
	cmd.Flags().StringVar(&f.evaluate, "evaluate", "", "judge the plan in this `FILE` (- is standard input) and compare it with the program's")
	cmd.Flags().StringArrayVar(&f.starts, "start", nil, "what if this pivot started then: `PIVOT=TIME` (14:00, or 2026-07-14T14:00)")
	cmd.Flags().StringArrayVar(&f.holds, "hold", nil, "what if this pivot did not run, at all or until then: `PIVOT[=TIME]`")
	cmd.Flags().StringArrayVar(&f.rain, "rain", nil, "what if so much rain fell: `DATE=AMOUNT` (2026-07-15=0.8in, or 20mm)")
	cmd.Flags().BoolVar(&f.dry, "dry", false, "what if no rain fell at all")
	must(cmd.MarkFlagFilename("evaluate", "json"))
	pivots := func(cmd *cobra.Command, _ []string, toComplete string) ([]cobra.Completion, cobra.ShellCompDirective) {
		return p.completePivots(cmd, nil, toComplete)
	}
	must(cmd.RegisterFlagCompletionFunc("start", pivots))
	must(cmd.RegisterFlagCompletionFunc("hold", pivots))
	must(cmd.RegisterFlagCompletionFunc("rain", cobra.NoFileCompletions))
}

// asks tells whether a way of one's own is asked for.
func (f *ownFlags) asks() bool {
	return len(f.starts) > 0 || len(f.holds) > 0 || len(f.rain) > 0 || f.dry
}

func (f *ownFlags) check(away bool) error {
	switch {
	case f.evaluate != "" && f.asks():
		return usage(fmt.Errorf("--evaluate excludes --start, --hold, --rain and --dry"), "the file says what is run, the farm what the weather is")
	case f.evaluate != "" && away:
		return usage(fmt.Errorf("--evaluate excludes --html, --png, --ics and --geojson"), "they show the program's own plan")
	}
	return nil
}

// own turns the flags into what is asked, for plans made at now over so many days.
func (f *ownFlags) own(v view, days int) (whatif.Own, error) {
	o := whatif.Own{Supposing: fields.Supposing{Dry: f.dry}}
	end := v.farm.StartOfDay(civil.DateOf(v.now).AddDays(days))
	moment := func(flag, text string) (time.Time, error) {
		t, ok := v.timeOf(text)
		if !ok {
			return t, usage(fmt.Errorf("%s: not a time (got %q)", flag, text), "want 14:00 for today, or 2026-07-14T14:00")
		}
		if t.Before(v.now) || !t.Before(end) {
			return t, usage(fmt.Errorf("%s: %s is outside the days planned", flag, t.Format("2006-01-02T15:04")),
				fmt.Sprintf("want %s to %s; --days looks further, --today plans from another moment", v.now.Format("2006-01-02T15:04"), end.Format("2006-01-02T15:04")))
		}
		return t, nil
	}
	seen := map[string]string{}
	pivot := func(flag string, name *string) error {
		if err := checkName("pivot", name, v.farm.PivotNames()); err != nil {
			return err
		}
		if *name == "" {
			return usage(fmt.Errorf("%s: no pivot named", flag), "known: "+quoteList(v.farm.PivotNames()))
		}
		if before, twice := seen[*name]; twice {
			return usage(fmt.Errorf("%s: %s is named twice (%s before)", flag, *name, before), "one --start or --hold for each pivot")
		}
		seen[*name] = flag
		return nil
	}
	for _, text := range f.starts {
		name, at, ok := strings.Cut(text, "=")
		if !ok {
			return o, usage(fmt.Errorf("--start: no time given (got %q)", text), "want PIVOT=TIME, such as --start "+quoteArg(v.farm.Pivots[0].Name)+"=14:00")
		}
		if err := pivot("--start", &name); err != nil {
			return o, err
		}
		t, err := moment("--start", at)
		if err != nil {
			return o, err
		}
		o.Starts = append(o.Starts, whatif.Start{Pivot: name, At: t})
	}
	for _, text := range f.holds {
		name, until, timed := strings.Cut(text, "=")
		if err := pivot("--hold", &name); err != nil {
			return o, err
		}
		h := whatif.Hold{Pivot: name}
		if timed {
			t, err := moment("--hold", until)
			if err != nil {
				return o, err
			}
			h.Until = t
		}
		o.Holds = append(o.Holds, h)
	}
	for _, text := range f.rain {
		day, mm, err := v.rainOf(text, days)
		if err != nil {
			return o, err
		}
		if o.Rain == nil {
			o.Rain = map[civil.Date]float64{}
		}
		if _, twice := o.Rain[day]; twice {
			return o, usage(fmt.Errorf("--rain: %v is given twice", day), "one amount for each day")
		}
		o.Rain[day] = mm
	}
	return o, nil
}

// quoteArg is a name as it can be typed in a shell.
func quoteArg(name string) string {
	if strings.ContainsAny(name, " '\"$`\\") {
		return "'" + strings.ReplaceAll(name, "'", `'\''`) + "'"
	}
	return name
}

// timeOf reads a time of today, or of a day, on the farm's clocks.
func (v view) timeOf(text string) (time.Time, bool) {
	if t, err := time.Parse("15:04", text); err == nil {
		y, m, d := v.now.Date()
		return time.Date(y, m, d, t.Hour(), t.Minute(), 0, 0, v.farm.Location), true
	}
	for _, layout := range []string{"2006-01-02T15:04", "2006-01-02 15:04", "2006-01-02T15:04:05"} {
		if t, err := time.ParseInLocation(layout, text, v.farm.Location); err == nil {
			return t, true
		}
	}
	t, err := time.Parse(time.RFC3339, text)
	return t.In(v.farm.Location), err == nil
}

// mostRainMM is the most rain that can be supposed of a day: more than any day's
// on record where pivots stand. Common practice, no published source.
const mostRainMM = 500

func (v view) rainOf(text string, days int) (civil.Date, float64, error) {
	const want = "want DATE=AMOUNT, such as --rain 2026-07-15=0.8in or =20mm"
	date, amount, ok := strings.Cut(text, "=")
	if !ok {
		return civil.Date{}, 0, usage(fmt.Errorf("--rain: no amount given (got %q)", text), want)
	}
	day, err := civil.ParseDate(date)
	if err != nil {
		return day, 0, usage(fmt.Errorf("--rain: not a date (got %q)", date), want)
	}
	first := civil.DateOf(v.now)
	if last := first.AddDays(days - 1); day.Before(first) || day.After(last) {
		return day, 0, usage(fmt.Errorf("--rain: %v is outside the days planned", day), fmt.Sprintf("want %v to %v; --days looks further", first, last))
	}
	q, err := input.ParseQuantity(amount, input.Depth)
	if err != nil {
		return day, 0, usage(fmt.Errorf("--rain: %w (got %q)", err, amount), want)
	}
	if !(q.SI >= 0 && q.SI <= mostRainMM) {
		return day, 0, usage(fmt.Errorf("--rain: out of range (got %q)", amount), fmt.Sprintf("want 0 to %d mm", mostRainMM))
	}
	return day, q.SI, nil
}

// asked tells what is done or supposed otherwise.
func asked(o *whatif.Own) []report.Note {
	notes := []report.Note{}
	for _, s := range o.Starts {
		notes = append(notes, report.Plain(fmt.Sprintf("%s starts %s", s.Pivot, report.MomentText(s.At))))
	}
	for _, h := range o.Holds {
		if h.Until.IsZero() {
			notes = append(notes, report.Plain(h.Pivot+" does not run"))
		} else {
			notes = append(notes, report.Plain(fmt.Sprintf("%s does not run before %s", h.Pivot, report.MomentText(h.Until))))
		}
	}
	if o.Dry {
		notes = append(notes, report.Plain("no rain falls; the plan is the one made for the weather expected, your way counts on none"))
	}
	days := []civil.Date{}
	for d := range o.Rain {
		days = append(days, d)
	}
	slices.SortFunc(days, func(a, b civil.Date) int { return a.DaysSince(b) })
	for _, d := range days {
		mm := o.Rain[d]
		notes = append(notes, func(s units.System) string {
			return fmt.Sprintf("%s of rain %s; the plan does not know of it, your way counts on it", units.Depth.Text(s, mm), report.DayText(d))
		})
	}
	return notes
}

// ask answers what a way of one's own would come to: the facts of its plan, with
// the comparison in them.
func (p *program) ask(ctx context.Context, v view, f *planFlags, season *fields.Season) (*whatif.Answer, *report.Comparison, error) {
	o, err := f.own.own(v, f.days)
	if err != nil {
		return nil, nil, err
	}
	o.Effort = f.effort
	a, problems, err := whatif.Ask(ctx, season, v.now, f.days, o)
	if len(problems) > 0 {
		return nil, nil, usage(problems, "--dry takes the air of rainless days from "+fields.HistoryFile)
	}
	if err != nil {
		return nil, nil, &failure{fmt.Errorf("planning: %w", err), ""}
	}
	facts := report.CompareFacts{
		Farm: v.farm.Name, Currency: v.farm.Currency, Problem: &a.Ahead.Problem, Asked: asked(&o), Plan: &a.Pair.Plan, Own: &a.Pair.Own,
	}
	facts.Weighed = a.Weighed
	if a.Expected != nil {
		facts.Expected = &[2]*runplan.Result{&a.Expected.Plan, &a.Expected.Own}
	}
	return a, report.NewComparison(facts), nil
}

// mostPlanBytes is the longest plan that is read: a year of passes is shorter.
const mostPlanBytes = 16 << 20

// readPlan reads the file of --evaluate.
func (p *program) readPlan(name string, farm *fields.Farm) (*planfile.File, error) {
	var text []byte
	var err error
	if name == "-" {
		name = "standard input"
		text, err = io.ReadAll(io.LimitReader(p.stdin, mostPlanBytes+1))
	} else {
		var file *os.File
		if file, err = os.Open(name); err == nil {
			text, err = io.ReadAll(io.LimitReader(file, mostPlanBytes+1))
			err = errors.Join(err, file.Close())
		}
	}
	if err != nil {
		return nil, usage(fmt.Errorf("--evaluate: %w", err), "want a file that `sandwick plan --json` wrote, or - for standard input")
	}
	if len(text) > mostPlanBytes {
		return nil, usage(fmt.Errorf("--evaluate: %s is longer than a plan can be", name), "want a file that `sandwick plan --json` wrote")
	}
	f, problems := planfile.Read(name, text, farm.PivotNames(), farm.Location)
	if len(problems) > 0 {
		return nil, usage(problems, "`sandwick plan --json` writes the form that is read")
	}
	return f, nil
}

// evaluate judges the plan of a file beside the program's own.
func (p *program) evaluate(ctx context.Context, f planFlags, v view, daysSet bool) error {
	file, err := p.readPlan(f.own.evaluate, v.farm)
	if err != nil {
		return err
	}
	// It is judged for the moment it was made, unless another is asked for.
	if p.common.today == "" && !file.MadeAt.IsZero() {
		v.now = file.MadeAt
	}
	if !daysSet && file.To.IsValid() {
		f.days = min(max(file.To.DaysSince(civil.DateOf(v.now))+1, leastDays), mostDays)
	}
	season, err := v.current()
	if err != nil {
		return err
	}
	problem := season.Problem(v.now, f.days)
	problem.Effort = f.effort
	plan, err := runplan.Make(ctx, problem)
	if err != nil {
		return &failure{fmt.Errorf("planning: %w", err), ""}
	}
	theirs, err := runplan.Evaluate(problem, plan)
	if err != nil {
		return &failure{fmt.Errorf("planning: %w", err), ""}
	}
	own, err := runplan.Evaluate(problem, runplan.Plan{Passes: file.Passes})
	if err != nil {
		return &failure{fmt.Errorf("--evaluate: %w", err), ""}
	}
	answer := report.NewComparison(report.CompareFacts{
		Farm: v.farm.Name, Currency: v.farm.Currency, Problem: &problem, File: f.own.evaluate, Plan: &theirs, Own: &own,
		Warnings: append(report.SeenNotes(season), saidOtherwise(file, &own)...),
	})
	if bad := answer.Violation; bad != nil && bad.Pass >= 0 {
		bad.Place = file.Pos[bad.Pass].String()
		if bad.Leg >= 0 {
			bad.Place = file.Legs[bad.Pass][bad.Leg].Pos.String()
		}
	}
	if err := p.write(f.form, answer, answer.TermRows(), answer.Warnings, func() error {
		return answer.WriteText(p.stdout, v.units, "the plan of "+f.own.evaluate)
	}); err != nil {
		return err
	}
	if !answer.Feasible {
		return errNo
	}
	return nil
}

// saidTolMM is how far a depth in a file may be from what its timer gives: more
// was typed.
const saidTolMM = 0.05

// saidOtherwise tells of legs whose depth was edited: the timer decides.
func saidOtherwise(file *planfile.File, own *runplan.Result) []report.Note {
	notes := []report.Note{}
	for i := range file.Passes {
		for k := range file.Legs[i] {
			said, leg := file.Legs[i][k], &own.Passes[i].Legs[k]
			if math.IsNaN(said.GrossMM) || math.Abs(said.GrossMM-leg.GrossMM) <= saidTolMM {
				continue
			}
			at, gross, timer := said.Pos, leg.GrossMM, leg.TimerPct
			wet := leg.Water
			notes = append(notes, func(s units.System) string {
				gives := fmt.Sprintf("timer_pct %.4g gives %s; the timer decides", timer, units.Depth.Text(s, gross))
				if !wet {
					gives = "the leg is dry; water decides"
				}
				return fmt.Sprintf("%v: gross_mm says %s, but %s", at, units.Depth.Text(s, said.GrossMM), gives)
			})
		}
	}
	return notes
}
