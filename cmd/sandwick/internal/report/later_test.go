package report

import (
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"sandwick/cmd/sandwick/internal/units"
	"sandwick/pivot/runplan"

	"github.com/golang-sql/civil"
)

// latePlan has passes of two machines after tomorrow, across midnight, with a
// stand, and on the day of 25 hours, 1 November 2026 in Chicago.
func latePlan(t *testing.T, days int) *Plan {
	t.Helper()
	loc, err := time.LoadLocation("America/Chicago")
	if err != nil {
		t.Fatal(err)
	}
	at := func(day, hour int) Instant { return Instant(time.Date(2026, 10, day, hour, 0, 0, 0, loc)) }
	first := civil.Date{Year: 2026, Month: 10, Day: 28}
	wet := func(from, to Instant) Leg { return Leg{Water: true, Start: from, End: to} }
	why := Reason{Reason: runplan.Reason{Code: runplan.Due, Zone: "Heron ridge", Date: first.AddDays(3), DepletionMM: 20, TriggerMM: 30}, today: first}
	return &Plan{
		From: Day(first), To: Day(first.AddDays(days - 1)), MadeAt: at(28, 6),
		Passes: []Pass{
			{Pivot: "Heron", Start: at(28, 6), End: at(29, 6), Legs: []Leg{wet(at(28, 6), at(29, 6))}}, // told above
			{Pivot: "Heron", Start: at(30, 20), End: at(31, 14), Why: why, Legs: []Leg{
				wet(at(30, 20), at(31, 10)), {Start: at(31, 10), End: at(31, 14)}},
				Pauses: []Pause{{From: at(30, 22), To: at(31, 2)}, {From: at(31, 9), To: at(31, 12)}}},
			{Pivot: "Plover", Start: at(31, 6), End: at(31, 18), Why: why, Legs: []Leg{wet(at(31, 6), at(31, 18))}},
			{Pivot: "Heron", Start: at(32, 0), End: at(33, 0), Why: why, Legs: []Leg{wet(at(32, 0), at(33, 0))}}, // 1 November
		},
	}
}

// Hours by day leave out stands, dry legs and what is told above, and a day has
// the hours that its clock has.
func TestLaterHours(t *testing.T) {
	rows := latePlan(t, 6).later()
	if len(rows) != 2 || rows[0].pivot != "Heron" || rows[1].pivot != "Plover" || len(rows[0].passes) != 2 {
		t.Fatalf("rows: %+v", rows)
	}
	for i, want := range [][]float64{{0, 0, 2, 7, 25, 0}, {0, 0, 0, 12, 0, 0}} {
		if !slices.EqualFunc(rows[i].hours, want, func(a, b float64) bool { return math.Abs(a-b) < 1e-9 }) {
			t.Errorf("%s: %v hours, want %v", rows[i].pivot, rows[i].hours, want)
		}
	}
}

func TestLaterText(t *testing.T) {
	var b strings.Builder
	latePlan(t, 6).writeLater(&b, units.SI)
	const want = `
LATER, to be looked at again each day: hours of pumping by what begins after tomorrow
  pivot   begins        Fri  Sat  Sun  Mon  passes  first for
                         30   31    1    2          depletion/trigger, mm
  Heron   Fri 30 20:00    2    7   25    .       2  ridge due Sat 31, 20.0/30.0
  Plover  Sat 31 06:00    .   12    .    .       1  Heron ridge due Sat 31, 20.0/30.0
  --csv has each of these passes leg by leg.
`
	if b.String() != want {
		t.Errorf("got\n%s\nwant\n%s", b.String(), want)
	}
	// Of more days than fit side by side the rest follow below, without machines
	// that do nothing on them.
	b.Reset()
	p := latePlan(t, 21)
	p.Passes[2].Start, p.Passes[2].End = Instant(time.Time(p.Passes[2].Start).AddDate(0, 0, 12)), Instant(time.Time(p.Passes[2].End).AddDate(0, 0, 12))
	p.Passes[2].Legs[0].Start, p.Passes[2].Legs[0].End = p.Passes[2].Start, p.Passes[2].End
	p.writeLater(&b, units.SI)
	blocks := strings.Split(b.String(), "  pivot ")
	if len(blocks) != 3 || strings.Contains(blocks[1], "Plover") || strings.Contains(blocks[2], "Heron  ") || !strings.Contains(blocks[2], "Plover  Thu 12 06:00") {
		t.Errorf("21 days:\n%s", b.String())
	}
}

// What a day's wait comes to is said in every case, and no more than is known.
func TestDayLater(t *testing.T) {
	for cost, want := range map[Number]string{
		86.4: "would cost $86 on its ground, all else as planned", 0.2: "would cost less than $1 on its ground",
		-3: "would save $3 on its ground, all else as planned", Number(math.Inf(1)) - Number(math.Inf(1)): "has no price: no crop value is set",
	} {
		if got := DayLater(cost, "USD"); got != want {
			t.Errorf("%v: %q, want %q", cost, got, want)
		}
	}
	idle := Idle{Pivot: "Plover", WaitCost: 12, Why: Reason{Reason: runplan.Reason{Code: runplan.WellBusy, Other: "Heron"}}}
	if got := idle.Text(units.SI, "USD"); got != "the well serves Heron first; a day without its water would cost $12 on its ground, all else as planned" {
		t.Error(got)
	}
	day := civil.Date{Year: 2026, Month: 7, Day: 14}
	idle.Why.Zone, idle.Why.today, idle.Why.Date, idle.Why.StressDate = "Plover knoll", day, day.AddDays(1), day.AddDays(2)
	if got := idle.Text(units.SI, "USD"); !strings.HasPrefix(got, "the well serves Heron first; Plover knoll is due Wed 15 Jul; stress from Thu 16; a day without its water would cost $12") {
		t.Error(got)
	}
	idle.Why.Code = runplan.NoGround
	if got := idle.Text(units.SI, "USD"); strings.Contains(got, "cost") {
		t.Error(got)
	}
}

// The depletion of ground that planned water comes to before is that of the day
// the pass comes, and is said to be.
func TestDepletionOnTheDay(t *testing.T) {
	today := civil.Date{Year: 2026, Month: 7, Day: 14}
	r := Reason{Reason: runplan.Reason{Code: runplan.Due, Zone: "Ridge", Date: today.AddDays(6), On: today.AddDays(5), DepletionMM: 18, TriggerMM: 20}, today: today}
	if got, want := r.Text(units.SI), "Ridge is due Mon 20 Jul: depletion 18.0 mm on Sun 19 Jul, trigger 20.0 mm"; got != want {
		t.Errorf("got %q, want %q", got, want)
	}
}
