// sandwick replay: the season run again in several ways.
package main

import (
	"context"
	"errors"
	"fmt"
	"math"

	"sandwick/cmd/sandwick/internal/report"
	"sandwick/fields/replay"
	"sandwick/pivot/runplan"

	"github.com/spf13/cobra"
)

const replayLong = `The recorded season run again, morning by morning, to see what the planner would have done
with it: by the plan, seeing only what was known each morning; by the same planner told the
weather to come; by refilling whole circles at the trigger; by a fixed calendar; and as the
records have it. Water, energy, stress, drainage, lost yield and cost of each, all by the
same evaluator.

Forms:
  sandwick replay [--from DATE] [--to DATE]
  sandwick replay --look N      the planner looks N days ahead each morning
  sandwick replay --no-limit    leave the wells' season limits out
  sandwick replay --json        totals, pivots and passes of every way
  sandwick replay --csv         one row for each way, and for each of its pivots

A morning is six o'clock. Nothing of the day itself or later is known then, no forecast
either: forecasts are not kept. Each way finds the ground as it has left it itself. A pass
that has begun runs on. The refill and the calendar are what a careful irrigator does
without a map of his ground; the calendar is set with hindsight, from the season's own peak
use. All keep to the wells, the hours and the dry days before a cut. Probe readings are left
out: they were read on the ground as it was really watered. Stress days, ET missed and
depths are means over the ground, and booked alike for every way.`

// The days the planner of a replay may look ahead.
const leastLook, mostLook = 2, 14

type replayFlags struct {
	days    rangeFlags
	form    outputFlags
	look    int
	noLimit bool
}

func (p *program) replayCommand() *cobra.Command {
	var f replayFlags
	cmd := &cobra.Command{
		Use:     "replay",
		Short:   "the season run again, by plan and by rule",
		Long:    replayLong,
		Example: "  sandwick replay --farm myfarm --from 2025-06-01",
		Args:    noArgs,
		RunE:    func(cmd *cobra.Command, _ []string) error { return p.replay(cmd.Context(), f) },
	}
	f.form.define(cmd)
	cmd.Flags().StringVar(&f.days.from, "from", "", "first `DATE` (default: the season's start)")
	cmd.Flags().StringVar(&f.days.to, "to", "", "last `DATE` (default: the last day with weather)")
	cmd.Flags().IntVar(&f.look, "look", replay.DefaultLookDays, fmt.Sprintf("days the planner looks ahead, %d to %d", leastLook, mostLook))
	cmd.Flags().BoolVar(&f.noLimit, "no-limit", false, "leave out what the wells may give in a season")
	for _, name := range []string{"from", "to", "look"} {
		must(cmd.RegisterFlagCompletionFunc(name, cobra.NoFileCompletions))
	}
	return cmd
}

func (p *program) replay(ctx context.Context, f replayFlags) error {
	from, to, err := f.days.parse()
	if err != nil {
		return err
	}
	if err := f.form.check(); err != nil {
		return err
	}
	if f.look < leastLook || f.look > mostLook {
		return usage(fmt.Errorf("--look: %d is out of range", f.look), fmt.Sprintf("want %d to %d", leastLook, mostLook))
	}
	done := p.progress("running the season again")
	defer done()
	v, err := p.open()
	if err != nil {
		return err
	}
	if len(v.farm.Pivots) == 0 {
		return &failure{fmt.Errorf("the farm has no pivot: there is nothing to run"), "add a [[pivots]] section to farm.toml"}
	}
	r, err := replay.Run(ctx, v.farm, replay.Options{From: from, To: to, LookDays: f.look, NoSeasonLimit: f.noLimit})
	var outside replay.ErrRange
	switch {
	case errors.As(err, &outside):
		first, last := replay.Span(v.farm)
		return usage(err, fmt.Sprintf("--from and --to may be %v to %v", first, last))
	case errors.Is(err, context.Canceled):
		return err
	case err != nil:
		return &failure{fmt.Errorf("replay: %w", err), "`sandwick check` tells what is odd in the files"}
	}
	answer := report.NewReplay(r, v.replayRests(f.noLimit), v.replayWarnings(r))
	done()
	return p.write(f.form, answer, answer.Rows(), answer.Warnings, func() error { return answer.WriteText(p.stdout, v.units) })
}

// replayRests is what a replay leans on.
func (v view) replayRests(noLimit bool) []report.Note {
	notes := []report.Note{report.Plain("the ground is the program's own in all ways: what it has wrong of the soil or the water table it has wrong in each")}
	if noLimit {
		notes = append(notes, report.Plain("season limits of the wells are left out"))
	}
	if len(v.farm.Records.Probes) > 0 {
		notes = append(notes, report.Plain("probe readings are left out"))
	}
	for i := range v.farm.Fields {
		if fd := &v.farm.Fields[i]; !(fd.ValuePerM2 > 0) || math.IsNaN(fd.Crop.Ky) {
			notes = append(notes, report.Plain(fd.Name+": stress has no price; crop_value_per_ac under [[fields]] and ky under [[crops]] in farm.toml set it"))
		}
	}
	return notes
}

// replayWarnings tell of a season that was run past what its wells may give.
func (v view) replayWarnings(r *replay.Replay) []report.Note {
	notes := []report.Note{}
	for i := range r.Accounts {
		a := &r.Accounts[i]
		switch {
		case a.Way == replay.Recorded && len(a.Passes) == 0:
			notes = append(notes, report.Plain("no pass is recorded in these days"))
		case a.Violation != nil && a.Violation.Constraint == runplan.SeasonVolume:
			notes = append(notes, func(s unitSystem) string {
				return "as it was run, past " + report.NewViolation(a.Violation, v.now).Text(s)
			})
		}
	}
	return append(notes, report.DoubtNotes(v.farm.Doubts)...)
}
