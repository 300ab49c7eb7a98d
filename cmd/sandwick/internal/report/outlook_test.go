// The outlook's words: the verdict on the pumps, what to give up, the spell.

package report

import (
	"math"
	"strings"
	"testing"
	"time"

	"sandwick/cmd/sandwick/internal/units"

	"github.com/golang-sql/civil"
)

func day(month time.Month, d int) Day { return Day(civil.Date{Year: 2025, Month: month, Day: d}) }

func squeezed() *Outlook {
	return &Outlook{
		Farm: "Test farm", MadeAt: Instant(time.Date(2025, 7, 19, 6, 0, 0, 0, time.UTC)),
		From: day(7, 19), To: day(8, 8), Currency: "USD",
		Rain:   UsefulRain{MM: 1, EToPct: Number(math.NaN()), WindowDays: 15},
		DryNow: DryNow{Days: 4, Through: day(7, 18)},
		Years:  Years{First: day(1, 1), Last: day(1, 2), Scenarios: []int{2010, 2011}},
		Pumps: []PumpOutlook{
			{Well: "North", Verdict: fallsBehind, From: day(7, 22), NeedMM: 6, CapacityMM: 4, Hours: 19.5, Enough: true,
				Behind: []LateGround{
					{Zone: "Ridge", Pivot: "Wheel", From: day(7, 22), Stress: day(7, 24)},
					{Zone: "Knoll", Pivot: "Wheel", From: day(7, 23), Stress: day(7, 23)},
					{Zone: "Bench", Pivot: "Wheel", From: day(7, 25)},
					{Zone: "Rise", Pivot: "Wheel", From: day(7, 26)},
				},
				GiveUp: []GiveUp{{Zone: "Bench", Pivot: "Wheel", WaterM3: 1027.9, UnmetMM: 25.4, Value: 400, PerM3: Number(400 / 1027.9)}}},
			{Well: "South", Verdict: keepsUp, NeedMM: 3, CapacityMM: 5, Hours: 24, Enough: true},
		},
		Chances: []StayDry{
			{MoreDays: 3, To: day(7, 21), ChancePct: 60, LowPct: 45, HighPct: 73, Method: "counted", Years: 15, Spells: 30, Held: 18},
			{MoreDays: 28, To: day(8, 15), ChancePct: 0.2, LowPct: 0, HighPct: 0.4, Method: "chain", Years: 15, Spells: 1, DryDays: 600},
			{MoreDays: 30, To: day(8, 17), ChancePct: Number(math.NaN()), LowPct: Number(math.NaN()), HighPct: Number(math.NaN()), Method: "none", Years: 1},
		},
		Longest: LongestSpell{To: day(9, 30), Returns: []OneIn{{2, 12.5, "ranked"}, {20, 23.2, "gumbel"}, {50, Number(math.NaN()), "none"}}},
	}
}

func text(t *testing.T, o *Outlook, s units.System) string {
	t.Helper()
	var b strings.Builder
	if err := o.WriteText(&b, s); err != nil {
		t.Fatal(err)
	}
	// Where a paragraph is broken does not matter here.
	return strings.Join(strings.Fields(b.String()), " ")
}

func TestOutlookText(t *testing.T) {
	got := text(t, squeezed(), units.US)
	for _, want := range []string{
		"1 OF 2 WELLS CANNOT KEEP UP if no rain falls to Fri 8 Aug",
		"North 0.24 0.16 19.5 falls behind: Ridge from Tue 22 Jul, Knoll from Wed 23 Jul, Bench from Fri 25 Jul and 1 zone more; short of water from Wed 23 Jul",
		"South 0.12 0.20 24.0 keeps up",
		"GIVE UP FIRST on North, in this order, so that the rest keeps up",
		// 1 acre-inch is 102.79 m³ (NIST SP 811); $400 for 10 of them.
		"Bench Wheel 10.0 1.00 $400 $40",
		"THE SPELL so far: no rain of 0.04 in or more in a day for 4 days, since Tue 15 Jul",
		"3 days more Mon 21 Jul 60% 45 to 73% 18 of 30 spells that had lasted as long, in 15 years",
		"28 days more Fri 15 Aug <1% 0 to <1% a chain of 600 days in 15 years",
		"30 days more Sun 17 Aug - - too few days known, in 1 year",
		"only 1 spell on record had lasted as long at this time of the year, fewer than 10",
		"Longest dry spell between now and Tue 30 Sep: 13 days in one year of 2, 23 days in one year of 20; the last of these reach beyond the record and are rough.",
	} {
		if !strings.Contains(got, want) {
			t.Errorf("not said: %s\n%s", want, got)
		}
	}
	si := text(t, squeezed(), units.SI)
	for _, want := range []string{"North 6.0 4.0 19.5", "Bench Wheel 1028 25.4 $400 $0.39", "no rain of 1.0 mm or more"} {
		if !strings.Contains(si, want) {
			t.Errorf("not said: %s\n%s", want, si)
		}
	}
}

func TestOutlookVerdicts(t *testing.T) {
	o := squeezed()
	o.Pumps = o.Pumps[1:]
	if got := text(t, o, units.US); !strings.Contains(got, "THE PUMP KEEPS UP if no rain") || strings.Contains(got, "GIVE UP") {
		t.Error(got)
	}
	o = squeezed()
	o.Pumps[0].Verdict, o.Pumps[0].GiveUp, o.Pumps[0].CaughtUp = catchesUp, nil, day(7, 28)
	if got := text(t, o, units.US); !strings.Contains(got, "THE PUMPS KEEP UP, LATE AT TIMES, if no rain") || !strings.Contains(got, "late at times: Ridge") || !strings.Contains(got, "caught up by Mon 28 Jul") {
		t.Error(got)
	}
	o = squeezed()
	o.Pumps = o.Pumps[:1]
	o.Pumps[0].Enough = false
	o.Pumps[0].GiveUp[0].Value = Number(math.NaN())
	o.Pumps[0].SeasonOut = day(8, 1)
	got := text(t, o, units.US)
	for _, want := range []string{"THE PUMP CANNOT KEEP UP", "and even that is not enough", "In order of the crop's water lost for the water saved", "the season's water is used up Fri 1 Aug"} {
		if !strings.Contains(got, want) {
			t.Errorf("not said: %s\n%s", want, got)
		}
	}
	if strings.Contains(got, "crop lost") {
		t.Errorf("a loss without a value:\n%s", got)
	}
}

func TestOutlookSpell(t *testing.T) {
	for _, tt := range []struct {
		edit func(*Outlook)
		want string
	}{
		{func(o *Outlook) { o.DryNow = DryNow{AtLeast: true} }, "THE SPELL is not known: the record has no rain"},
		{func(o *Outlook) { o.DryNow = DryNow{Through: day(7, 18)} }, "THE SPELL has not begun: rain of 0.04 in or more on Fri 18 Jul"},
		{func(o *Outlook) { o.DryNow.AtLeast = true }, "for at least 4 days, to Fri 18 Jul"},
		{func(o *Outlook) { o.Rain.EToPct = 100 }, "no rain of 0.04 in and 100% of the day's ETo or more in a day"},
		{func(o *Outlook) { o.Years = Years{} }, "There is no record of earlier years"},
		{func(o *Outlook) {
			o.Fields = []FieldDry{{"North mint", DryNow{Days: 9, Through: day(7, 18)}}, {"Corn", o.DryNow}}
		}, "dry by the fields' own gauges: North mint 9 days;"},
		{func(o *Outlook) { o.Years.LeftOut = []YearOut{{2012, 3}, {2013, 1}} }, "is not known: 2012 (3 days), 2013 (1 day)"},
		{func(o *Outlook) { o.Years.FilledDays = 2 }, "2 days of the years without measured temperature take the mean"},
	} {
		o := squeezed()
		tt.edit(o)
		if got := text(t, o, units.US); !strings.Contains(got, tt.want) {
			t.Errorf("not said: %s\n%s", tt.want, got)
		}
	}
}
