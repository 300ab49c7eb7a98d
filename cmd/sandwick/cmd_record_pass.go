// sandwick record pass: what a machine did, or has just begun to do.
package main

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"sandwick/cmd/sandwick/internal/report"
	"sandwick/cmd/sandwick/internal/units"
	"sandwick/et/input"
	"sandwick/fields"
	"sandwick/fields/records"
	"sandwick/fields/settings"
	"sandwick/pivot"
	"sandwick/pivot/runplan"

	"github.com/golang-sql/civil"
	"github.com/spf13/cobra"
)

const passLong = `What a machine did, or has just begun to do. What is not said is taken so: it starts now,
from where its last recorded pass left the arm, goes the whole way round (on a part
circle to the stop ahead), clockwise, with water, and ends when the timer has brought it
there.

Forms:
  sandwick record pass North pivot --timer 42              started now, a full circle
  sandwick record pass North pivot --timer 42 --start 06:00 --to 195
  sandwick record pass North pivot --timer 42 --start 06:00 --end 14:20
                                 stopped half way: where follows from time and timer
  sandwick record pass North pivot --start 06:00 --end 14:20 --to 195 --dry
  sandwick record pass North pivot --start 06:00 --leg "to 120 at 42" --leg "to 210 at 90 dry"
                                 --leg "to 90 at 42"       timer or water changed on the way
  sandwick record pass North pivot --from-plan             the next pass of the run plan
  sandwick record pass North pivot --from-plan --start 07:30 --to 200

A leg is "to DEGREES at PERCENT", with dry, and "until TIME" where its end is known. Times
are 06:00, "yesterday 18:30" or 2025-06-14T06:00; an end of 02:00 is the first after the
start. With --from-plan the other flags correct what was planned. A pass of several legs
is a row for each in records/passes.csv; all are written or none.`

type passFlags struct {
	recordFlags
	start, end, direction string
	from, to, timer       float64
	dryLeg                bool
	legs                  []string
	plan                  bool
	wrong                 faults // what was typed into the fields of numbers and is none
}

func (p *program) recordPassCommand() *cobra.Command {
	f := passFlags{from: math.NaN(), to: math.NaN(), timer: math.NaN()}
	cmd := p.reading("pass PIVOT", "what a machine did, or has just begun to do", passLong,
		"  sandwick record pass North pivot --timer 42 --farm myfarm", &f.recordFlags,
		func(r *fields.Recording) []string { return r.PivotNames() },
		func(ctx context.Context, d *desk, args []string) (deed, error) { return d.pass(ctx, &f, args) })
	flags := cmd.Flags()
	flags.StringVar(&f.start, "start", "", "the `TIME` it started (default now)")
	flags.StringVar(&f.end, "end", "", "the `TIME` it ended or was stopped (default: as the timer has it)")
	flags.Var(degrees{&f.from}, "from", "where it started, `DEGREES` from north (default where the arm stands)")
	flags.Var(degrees{&f.to}, "to", "where it ended or was stopped, `DEGREES` from north (default the whole way)")
	flags.StringVar(&f.direction, "direction", "", "`cw|ccw`, seen from above (default cw, or away from the stop it stands at)")
	flags.Var(number{&f.timer}, "timer", "the timer, `PERCENT`")
	flags.BoolVar(&f.dryLeg, "dry", false, "without water")
	flags.StringArrayVar(&f.legs, "leg", nil, "a part with its own timer, `\"to DEGREES at PERCENT\"`; may be given again")
	flags.BoolVar(&f.plan, "from-plan", false, "take the next pass of the run plan; other flags correct it")
	must(cmd.RegisterFlagCompletionFunc("direction", cobra.FixedCompletions([]cobra.Completion{"cw", "ccw"}, cobra.ShellCompDirectiveNoFileComp)))
	for _, flag := range []string{"start", "end", "from", "to", "timer", "leg"} {
		must(cmd.RegisterFlagCompletionFunc(flag, cobra.NoFileCompletions))
	}
	return cmd
}

// number is a flag that holds a number, NaN until it is given.
type number struct{ v *float64 }

func (n number) String() string {
	if n.v == nil || math.IsNaN(*n.v) {
		return ""
	}
	return fmt.Sprint(*n.v)
}
func (n number) Type() string { return "number" }
func (n number) Set(text string) (err error) {
	*n.v, err = input.ParseNumber(strings.TrimSuffix(text, "%"))
	return err
}

// degrees is a flag that holds an azimuth.
type degrees struct{ v *float64 }

func (d degrees) String() string { return number(d).String() }
func (d degrees) Type() string   { return "degrees" }
func (d degrees) Set(text string) (err error) {
	if *d.v, err = input.ParseNumber(strings.TrimSuffix(text, "deg")); err == nil && !(*d.v >= 0 && *d.v <= 360) {
		err = errors.New("out of range; 0 to 360 is accepted")
	}
	return err
}

// pass understands what a machine did.
func (d *desk) pass(ctx context.Context, f *passFlags, args []string) (deed, error) {
	pivotName, rest, err := f.name("pivot", args, d.PivotNames())
	if err != nil { // little else can be judged without the machine
		wrong := f.wrong
		wrong.add(err)
		return deed{}, wrong.err()
	}
	if len(rest) > 0 {
		return deed{}, usage(fmt.Errorf("%q is not understood after the pivot", strings.Join(rest, " ")), "`sandwick record pass --help` lists the flags")
	}
	trip, notes, err := d.trip(ctx, f, pivotName)
	if err != nil {
		return deed{}, err
	}
	stretches, err := trip.Stretches()
	if err != nil {
		return deed{}, about("leg", usage(err, `write it like --leg "to 120 at 42" or --leg "to 120 until 14:20"`))
	}
	var echo []string
	for _, s := range stretches {
		echo = append(echo, d.stretch(trip, s))
	}
	what := "the " + echo[0]
	if n := len(echo) - 1; n > 0 {
		what += fmt.Sprintf(" and %d more", n)
	}
	for _, n := range notes {
		echo = append(echo, "  "+n)
	}
	return deed{records.Batch{File: records.PassesFile, What: what, Rows: trip.Entries(stretches)}, echo}, nil
}

// farAhead is how far ahead a planned pass is recorded without a word: a day, in
// which the pump is set for the night or the next morning.
const farAhead = 24 * time.Hour

// trip puts together what was said and what is known. notes tell what was
// worked out rather than said.
func (d *desk) trip(ctx context.Context, f *passFlags, pivotName string) (t *records.Trip, notes []string, err error) {
	m := &d.Pivots[d.PivotIndex(pivotName)].Machine
	wrong := f.wrong
	t = &records.Trip{Machine: m, Location: d.Location, Clockwise: true, Note: f.note}
	if f.plan {
		if len(f.legs) > 0 {
			return nil, nil, about("leg", usage(errors.New("--from-plan and --leg exclude each other"), "give one of them"))
		}
		if err := d.planned(ctx, t); err != nil {
			return nil, nil, err
		}
	} else {
		t.Start = d.now.Truncate(time.Minute)
		deg, problems := d.Arm(pivotName)
		if len(problems) > 0 && math.IsNaN(f.from) {
			return nil, nil, d.received(records.Receipt{}, problems)
		}
		t.From = pivot.Azimuth(deg)
	}
	if f.start != "" {
		start, err := d.when("--start", f.start, f.date, time.Time{})
		if wrong.add(err) {
			t.Start = start
		}
	} else if f.date != "" && !f.plan {
		wrong.add(about("start", usage(errors.New("--date needs --start"), "say when it started that day")))
	}
	if !f.plan && t.Start.After(d.now) {
		wrong.add(about("start", usage(fmt.Errorf("--start: %s is after now, %s", records.Clock(t.Start, d.Location), records.Clock(d.now, d.Location)),
			"records are of what has happened; --today takes another moment for now")))
	}
	if ahead := t.Start.Sub(d.now); ahead > farAhead {
		d.warn("the plan has it begin %s, %d hours from now: recorded ahead it is settled for every plan made until then; `sandwick record undo` takes it back, --start corrects it",
			records.Clock(t.Start, d.Location), int(ahead.Hours()))
	}
	if !math.IsNaN(f.from) {
		t.From = pivot.Azimuth(f.from).Norm()
	}
	switch f.direction {
	case "cw", "ccw":
		t.Clockwise = f.direction == "cw"
	case "":
		// At a stop there is only one way to go.
		if !f.plan && m.Stops != nil && !m.Stops.Full() && t.From == m.Stops.To.Norm() {
			t.Clockwise = false
		}
	default:
		wrong.add(about("direction", usage(fmt.Errorf("--direction: unknown word %q", f.direction), "want cw or ccw")))
	}
	if f.end != "" {
		t.End, err = d.when("--end", f.end, f.date, t.Start)
		wrong.add(err)
	}
	wrong.add(d.legs(f, t))
	if !f.plan {
		d.judgeLegs(&wrong, f, t)
	}
	if len(wrong) > 0 {
		return nil, nil, wrong.err()
	}
	if !f.plan || f.start != "" || !math.IsNaN(f.timer) {
		t.Stands = d.stands(t)
	}
	if !math.IsNaN(f.to) {
		to := pivot.Azimuth(f.to).Norm()
		if len(f.legs) == 0 && !f.plan {
			t.Legs[0].To = to
		} else if !t.StopAt(to) {
			return nil, nil, about("to", usage(fmt.Errorf("--to: the arm does not come to %g degrees on its way from %g", float64(to), float64(t.From)), "is the direction right?"))
		}
		if !t.End.IsZero() { // where and when are both told
			t.Stands = nil
		}
		return t, d.stood(t), nil
	}
	if t.End.IsZero() {
		return t, d.stood(t), nil
	}
	if math.IsNaN(t.Hours()) {
		return t, nil, nil
	}
	// Stopped at a time: where follows from the timer.
	there, whole := t.ArmAt(t.End), t.Hours()
	took := t.End.Sub(t.Start).Hours()
	if slack, stood := max(0.02*whole, 0.1), standing(t); took > whole+slack+stood {
		return nil, nil, about("end", usage(fmt.Errorf("it would have been there after %.1f hours and ended after %.1f", whole+stood, took),
			"is the timer right? say with --to where it ended, and leave the timer out if it is not known"))
	} else if took >= whole+stood-slack {
		return t, d.stood(t), nil
	} else if took >= whole-slack {
		t.Stands = nil // it ran on through them
		return t, nil, nil
	}
	notes = append(notes, d.stood(t)...)
	t.StopAt(pivot.Azimuth(math.Round(float64(there))).Norm())
	notes = append(notes, fmt.Sprintf("stopped at %g degrees by time and timer; if the arm stands elsewhere give --to", math.Round(float64(there))))
	return t, notes, nil
}

// judgeLegs adds what the reader of the passes has against the timers and the way
// of a trip. It stops at the first fault of a row, so each leg is shown to it twice,
// with its timer and with its way: the rest of the row is such as it takes.
func (d *desk) judgeLegs(wrong *faults, f *passFlags, t *records.Trip) {
	m := t.Machine
	from, to := pivot.Azimuth(0), pivot.Azimuth(0)
	if s := m.Stops; s != nil && !s.Full() {
		from, to = s.From.Norm(), s.To.Norm()
	}
	row := func(from, to pivot.Azimuth, clockwise bool, timerPct float64) records.Entry {
		way := "ccw"
		if clockwise {
			way = "cw"
		}
		return records.Entry{
			"pivot": records.Word(m.Name), "start": records.Word(records.Clock(d.now, d.Location)), "from": records.Degrees(float64(from)), "to": records.Degrees(float64(to)),
			"direction": records.Word(way), "timer": records.Percent(timerPct), "water": records.Word("yes"),
		}
	}
	legs := t.Legs
	if len(legs) == 0 { // they could not be read; the timer for all of them can
		legs = []records.Leg{{To: to, TimerPct: f.timer}}
	}
	at := t.From
	for _, leg := range legs {
		if !math.IsNaN(leg.TimerPct) && !wrong.about("timer") {
			d.alone(wrong, records.PassesFile, row(from, to, true, leg.TimerPct))
		}
		end := leg.To
		if len(f.legs) == 0 && !math.IsNaN(f.to) {
			end = pivot.Azimuth(f.to).Norm()
		}
		if !wrong.about("from", "to", "direction", "leg") {
			d.alone(wrong, records.PassesFile, row(at, end, t.Clockwise, m.TimerMaxPct))
		}
		at = end
	}
}

// standing is how long the trip stood still before its end.
func standing(t *records.Trip) (h float64) {
	wet := slices.ContainsFunc(t.Legs, func(l records.Leg) bool { return l.Water })
	for _, s := range t.Stands {
		from, to := s.From, s.To
		if from.Before(t.Start) {
			from = t.Start
		}
		if to.After(t.End) {
			to = t.End
		}
		if to.After(from) && (wet || !s.WetOnly) {
			h += to.Sub(from).Hours()
		}
	}
	return h
}

// longest is how long after its start the hours of no running of a trip are looked at.
const longest = 15 * 24 * time.Hour

// stands are the hours in which the machine may not run, or not with water,
// while a trip may last.
func (d *desk) stands(t *records.Trip) []records.Stand {
	end := t.End
	if end.IsZero() {
		end = t.Start.Add(longest)
	}
	for _, l := range t.Legs {
		if l.TimerPct < t.Machine.TimerMinPct || l.TimerPct > t.Machine.TimerMaxPct {
			return nil // to be refused
		}
	}
	var out []records.Stand
	add := func(list []settings.Window, wetOnly bool) {
		for i := range list {
			for _, w := range list[i].Unroll(t.Start.In(d.Location), end.In(d.Location)) {
				out = append(out, records.Stand{From: w.From, To: w.To, WetOnly: wetOnly, Why: w.Why})
			}
		}
	}
	add(d.Pivots[d.PivotIndex(t.Machine.Name)].NoRun, false)
	for i := range d.Wells {
		if d.Wells[i].Name == t.Machine.Well {
			add(d.Wells[i].NoRun, true)
		}
	}
	slices.SortStableFunc(out, func(a, b records.Stand) int { return a.From.Compare(b.From) })
	return out
}

// stood tells of the stands that a trip's rows are split at.
func (d *desk) stood(t *records.Trip) []string {
	rows, err := t.Stretches()
	if err != nil || len(t.Stands) == 0 || len(rows) == 0 {
		return nil
	}
	var notes []string
	tell := func(from, to time.Time) {
		why := ""
		for _, s := range t.Stands {
			if !s.From.After(from) && s.To.After(from) {
				why = report.Because(s.Why)
			}
		}
		notes = append(notes, fmt.Sprintf("taken to stand still %s to %s%s; if it ran on, say with --end when it was there",
			report.MomentText(from.In(d.Location)), report.UntilText(from.In(d.Location), to.In(d.Location)), why))
	}
	if rows[0].Start.After(t.Start) {
		tell(t.Start, rows[0].Start)
	}
	for i := 1; i < len(rows); i++ {
		if rows[i].Start.After(rows[i-1].End) {
			tell(rows[i-1].End, rows[i].Start)
		}
	}
	return notes
}

// legs fills in the legs: as said, as planned, or one for the whole way.
func (d *desk) legs(f *passFlags, t *records.Trip) error {
	switch {
	case len(f.legs) > 0:
		start := t.Start
		for _, text := range f.legs {
			leg, err := d.leg(f, text, start)
			if err != nil {
				return about("leg", usage(fmt.Errorf("--leg: %w (got %q)", err, text), `write it like --leg "to 120 at 42", --leg "to 210 at 90 dry" or --leg "to 120 until 14:20"`))
			}
			if !leg.Until.IsZero() {
				start = leg.Until
			}
			t.Legs = append(t.Legs, leg)
		}
	case !f.plan:
		to := t.From
		if s := t.Machine.Stops; s != nil && !s.Full() {
			if to = s.From.Norm(); t.Clockwise {
				to = s.To.Norm()
			}
		}
		t.Legs = []records.Leg{{To: to, TimerPct: f.timer, Water: !f.dryLeg}}
	default:
		for i := range t.Legs {
			if !math.IsNaN(f.timer) {
				t.Legs[i].TimerPct = f.timer
			}
			t.Legs[i].Water = t.Legs[i].Water && !f.dryLeg
		}
	}
	return nil
}

// leg reads "to 120 at 42 dry until 14:20".
func (d *desk) leg(f *passFlags, text string, after time.Time) (records.Leg, error) {
	leg := records.Leg{To: pivot.Azimuth(math.NaN()), TimerPct: f.timer, Water: !f.dryLeg}
	words := strings.Fields(text)
	for i := 0; i < len(words); i++ {
		word := strings.ToLower(words[i])
		switch word {
		case "dry", "wet":
			leg.Water = word == "wet"
			continue
		case "to", "at", "until":
		default:
			return leg, fmt.Errorf("%q is not understood", words[i])
		}
		i++
		if i == len(words) {
			return leg, fmt.Errorf("nothing follows %q", word)
		}
		var err error
		switch word {
		case "to":
			v := 0.0
			err = degrees{&v}.Set(words[i])
			leg.To = pivot.Azimuth(v).Norm()
		case "at":
			err = number{&leg.TimerPct}.Set(words[i])
		case "until":
			leg.Until, err = d.when("until", words[i], f.date, after)
		}
		if err != nil {
			return leg, err
		}
	}
	if math.IsNaN(float64(leg.To)) {
		return leg, errors.New("it does not say to where")
	}
	return leg, nil
}

// when reads a time: 06:00 of the record's day, yesterday 06:00, or a whole
// one. A time of day that must come after another is the first that does.
func (d *desk) when(flag, text, date string, after time.Time) (time.Time, error) {
	fail := func(err error) error {
		return about(strings.TrimPrefix(flag, "--"), usage(fmt.Errorf("%s: %w (got %q)", flag, err, text), `write it like 06:00, "yesterday 18:30" or 2025-06-14T06:00`))
	}
	if text == "now" {
		return d.now.Truncate(time.Minute), nil
	}
	day, err := d.day(date)
	if err != nil {
		return time.Time{}, err
	}
	clock := text
	for word, back := range map[string]int{"today ": 0, "yesterday ": -1} {
		if rest, ok := strings.CutPrefix(text, word); ok {
			day, clock, after = civil.DateOf(d.now).AddDays(back), strings.TrimSpace(rest), time.Time{}
		}
	}
	if len(clock) == 4 && clock[1] == ':' {
		clock = "0" + clock
	}
	whole := len(clock) > 5
	if !whole {
		if !after.IsZero() {
			day = civil.DateOf(after)
		}
		clock = day.String() + "T" + clock
	}
	c, err := input.ParseClock(clock)
	if err != nil {
		return time.Time{}, fail(err)
	}
	t, again, err := c.In(d.Location)
	if err == nil && !whole && !after.IsZero() && !t.After(after) {
		if again.After(after) { // the clocks were put back in between
			return again, nil
		}
		c.Date = c.Date.AddDays(1)
		t, again, err = c.In(d.Location)
	}
	if err != nil {
		return time.Time{}, fail(err)
	}
	if !again.IsZero() {
		d.warn("%s: %s comes twice that night; the first is meant, the second would be %s", flag, clock, records.Clock(again, d.Location))
	}
	return t, nil
}

// planned makes the run plan and takes the machine's next pass from it.
func (d *desk) planned(ctx context.Context, t *records.Trip) error {
	done := d.p.progress("planning")
	defer done()
	v, err := d.p.open()
	if err != nil {
		return err
	}
	season, err := v.current()
	if err != nil {
		return err
	}
	plan, err := runplan.Make(ctx, season.Problem(v.now, defaultDays))
	if err != nil {
		return &failure{fmt.Errorf("planning: %w", err), ""}
	}
	for i := range plan.Passes {
		pass := &plan.Passes[i]
		if pass.Pivot != t.Machine.Name {
			continue
		}
		t.Start, t.From, t.Clockwise = pass.Start.Truncate(time.Minute), pass.StartDeg, pass.Clockwise
		for _, s := range pass.Pauses {
			t.Stands = append(t.Stands, records.Stand{From: s.From, To: s.To})
		}
		for _, l := range pass.Legs {
			t.Legs = append(t.Legs, records.Leg{To: l.ToDeg, TimerPct: l.TimerPct, Water: l.Water})
		}
		return nil
	}
	return &failure{fmt.Errorf("the run plan of %v has no pass of %s in the next %d days", civil.DateOf(v.now), t.Machine.Name, defaultDays), "`sandwick plan` says why; record what was run without --from-plan"}
}

// stretch words one row.
func (d *desk) stretch(t *records.Trip, s records.Stretch) string {
	var b strings.Builder
	fmt.Fprintf(&b, "pass of %s: %s to ", t.Machine.Name, s.Start.In(d.Location).Format("2006-01-02 15:04"))
	switch {
	case !s.End.IsZero():
		b.WriteString(s.End.In(d.Location).Format("2006-01-02 15:04"))
	case math.IsNaN(s.TimerPct):
		b.WriteString("?")
	default:
		end := s.Start.Add(time.Duration(t.Machine.PassHours(pivot.Swept(s.From, s.To, t.Clockwise), s.TimerPct) * float64(time.Hour)))
		fmt.Fprintf(&b, "%s by the timer", end.In(d.Location).Format("2006-01-02 15:04"))
	}
	way := "ccw"
	if t.Clockwise {
		way = "cw"
	}
	fmt.Fprintf(&b, ", %.4g to %.4g deg %s", float64(s.From), float64(s.To), way)
	if pivot.Swept(s.From, s.To, t.Clockwise).Full() {
		b.WriteString(", the whole circle")
	}
	if !math.IsNaN(s.TimerPct) {
		fmt.Fprintf(&b, ", timer %.4g %%", s.TimerPct)
	}
	switch {
	case !s.Water:
		b.WriteString(", dry")
	case math.IsNaN(s.TimerPct):
		b.WriteString(", wet")
	default:
		fmt.Fprintf(&b, ", wet, %s gross", units.Depth.Text(d.units, t.Machine.GrossMM(s.TimerPct, s.From)))
	}
	return b.String()
}
