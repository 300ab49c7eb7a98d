// sandwick plan: what to run, and why.
package main

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"time"

	"sandwick/cmd/sandwick/internal/report"
	"sandwick/et/input"
	"sandwick/fields"
	"sandwick/pivot/runplan"

	"github.com/golang-sql/civil"
	"github.com/spf13/cobra"
)

const planLong = `The run plan: which pivot to start, when, in which direction, leg by leg with azimuth, timer
and depth; which ground waits or is left alone, and why; what stands still, and why. It
looks ten days ahead and tells today and tomorrow in full; what comes later will be decided
again with tomorrow's weather. Where history.csv has earlier years, what begins today and
tomorrow is chosen for the weather of all of them; --start and --hold are then told over
them too. --rain and --dry say what the weather is, and --evaluate judges a file by the
weather expected: neither is.

Forms:
  sandwick plan                  all machines
  sandwick plan PIVOT...         show these only (all are planned: they may share a well)
  sandwick plan --field NAME     show the machine and the ground of this field only
  sandwick plan --start PIVOT=TIME, --hold PIVOT[=TIME], --rain DATE=AMOUNT, --dry
                                 what your way costs against the plan, term by term
  sandwick plan --evaluate FILE  judge a plan that --json wrote, edited or not: can it be
                                 run, and what does it cost against the program's; exit
                                 status 1 where it cannot be run
  sandwick plan --json           one document: made_at, passes with legs, zones (depletion_mm and
                                 trigger_mm of the ground nearest to its trigger), cost, idle
  sandwick plan --csv            the legs, one row each
  sandwick plan --html FILE      one page with maps and plots, to read on a phone and to print
  sandwick plan --ics FILE       a calendar of starts, stops and last water before a cut; written
                                 over the one before, it cancels what is not planned any more
  sandwick plan --geojson FILE   a map of legs and zones
  sandwick plan --png FILE --plot NAME   one plot: a zone's soil water, a well's hours, weather

Azimuths are degrees clockwise from true north; cw is clockwise seen from above. The timer
is percent of full travel speed of the outermost drive unit. Gross leaves the nozzles, net
reaches the root zone. The day is the clock's, or --today, or the one that farm.toml pins;
a day without an hour means six in the morning. The plan is advice: local codes and
licensed practice come first.`

// The days a plan may look ahead.
const (
	leastDays   = 3
	defaultDays = 10
	mostDays    = 21
)

var planSpan = span{leastDays, defaultDays, mostDays}

// staleDays is how many days without weather a plan still bridges with the mean
// of the days before. Beyond that the ground's state is a guess: on sand a week
// without a record can be a full root zone or an empty one.
const staleDays = 14

type planFlags struct {
	form    outputFlags
	away    takeawayFlags
	own     ownFlags
	field   string
	days    int
	daysSet bool
	within  time.Duration
	effort  float64
	pivots  []string
}

func (p *program) planCommand() *cobra.Command {
	var f planFlags
	cmd := &cobra.Command{
		Use:               "plan [PIVOT...]",
		Short:             "what to run, and why",
		Long:              planLong,
		Example:           "  sandwick plan --farm myfarm\n  sandwick plan --farm myfarm --today 2025-06-13T18:00 --units si",
		ValidArgsFunction: p.completePivots,
		RunE: func(cmd *cobra.Command, args []string) error {
			f.pivots, f.daysSet = args, cmd.Flags().Changed("days")
			return p.plan(cmd.Context(), f)
		},
	}
	f.form.define(cmd)
	f.away.define(cmd)
	f.own.define(cmd, p)
	p.defineField(cmd, &f.field, "only the field of this `NAME`")
	planSpan.define(cmd, &f.days)
	cmd.Flags().Float64Var(&f.effort, "effort", 1, fmt.Sprintf("search so many `TIMES` as long as usual, 1 to %d, for a plan that may cost a few percent less", runplan.MostEffort))
	cmd.Flags().DurationVar(&f.within, "within", 0, "end the search after this `TIME`, such as 500ms, with the best plan found by then")
	return cmd
}

func (p *program) plan(ctx context.Context, f planFlags) error {
	if err := f.form.check(); err != nil {
		return err
	}
	if err := f.away.check(f.form); err != nil {
		return err
	}
	if err := f.own.check(f.away.any()); err != nil {
		return err
	}
	if err := planSpan.check(f.days); err != nil {
		return err
	}
	if !(f.effort >= 1 && f.effort <= runplan.MostEffort) {
		return usage(fmt.Errorf("--effort: %v is out of range", f.effort), fmt.Sprintf("want 1 to %d", runplan.MostEffort))
	}
	v, done, err := p.openFor("planning", &f.field, fields.HistoryToo)
	if err != nil {
		return err
	}
	defer done()
	f.pivots = slices.Clone(f.pivots)
	for i := range f.pivots {
		if err := checkName("pivot", &f.pivots[i], v.farm.PivotNames()); err != nil {
			if whole, ok := input.Known(strings.Join(f.pivots, " "), v.farm.PivotNames()); ok {
				return usage(err, fmt.Sprintf("a name of several words goes between quotation marks: sandwick plan %q", whole))
			}
			return err
		}
	}
	if len(v.farm.Pivots) == 0 {
		return &failure{fmt.Errorf("the farm has no pivot: there is nothing to run"), "add a [[pivots]] section to farm.toml; `sandwick balance` works without one"}
	}
	if f.within > 0 {
		var cancel context.CancelFunc
		ctx, cancel = context.WithTimeout(ctx, f.within)
		defer cancel()
	}
	if f.own.evaluate != "" {
		return p.evaluate(ctx, f, v, f.daysSet)
	}
	season, err := v.current()
	if err != nil {
		return err
	}
	var ahead fields.Ahead
	var plan runplan.Plan
	var compared *report.Comparison
	if f.own.asks() {
		a, c, err := p.ask(ctx, v, &f, season)
		if err != nil {
			return err
		}
		ahead, plan, compared = a.Ahead, a.Own, c
	} else {
		ahead = season.Planning(v.now, f.days)
		ahead.Problem.Effort = f.effort
		if plan, err = runplan.Make(ctx, ahead.Problem); err != nil {
			return &failure{fmt.Errorf("planning: %w", err), ""}
		}
	}
	answer := report.NewPlan(v.planFacts(season, &ahead, &plan, p.common.today == ""))
	answer.Compared = compared
	answer.Keep(f.keepers(v.farm))
	done()
	if f.away.any() {
		return p.takeAway(v, &f, season, &ahead, &plan, answer)
	}
	if compared == nil {
		return p.write(f.form, answer, answer.LegRows(), answer.Warnings, func() error {
			return answer.WriteText(p.stdout, v.units)
		})
	}
	err = p.write(f.form, answer, compared.TermRows(), answer.Warnings, func() error {
		if err := compared.WriteText(p.stdout, v.units, "your way against the plan"); err != nil {
			return err
		}
		fmt.Fprintln(p.stdout)
		return answer.WriteText(p.stdout, v.units)
	})
	if err == nil && !compared.Feasible {
		return errNo
	}
	return err
}

// fresh refuses to plan from weather that ended too long ago.
func (v view) fresh(today civil.Date) error {
	days := v.farm.Weather.Days
	last := days[len(days)-1].Date
	if gap := today.DaysSince(last) - 1; gap > staleDays {
		return &failure{
			fmt.Errorf("%s ends on %v, %d days before today, %v: the ground may hold anything by now, no plan is made", fields.WeatherFile, last, gap, today),
			fmt.Sprintf("add the days since, or take another day for today: --today %v", last.AddDays(1)),
		}
	}
	return nil
}

// keepers tell which fields and pivots are to be shown.
func (f planFlags) keepers(farm *fields.Farm) (field, pivot func(string) bool) {
	pivots := f.pivots
	if f.field != "" {
		i := farm.FieldIndex(f.field)
		pivots = append(slices.Clone(pivots), farm.Fields[i].Pivot)
	}
	field = func(name string) bool { return f.field == "" || name == f.field }
	pivot = func(name string) bool { return len(pivots) == 0 || slices.Contains(pivots, name) }
	return field, pivot
}
