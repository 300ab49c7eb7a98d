package report

import (
	"encoding/json"
	"io"
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"sandwick/cmd/sandwick/internal/units"
	"sandwick/fields"
	"sandwick/pivot/runplan"

	"github.com/golang-sql/civil"
)

var tuesday = civil.Date{Year: 2026, Month: 7, Day: 14}

func TestReasonText(t *testing.T) {
	tests := []struct {
		reason runplan.Reason
		want   string
	}{
		{runplan.Reason{Code: runplan.Due, Zone: "Ridge", Date: tuesday.AddDays(3), StressDate: tuesday.AddDays(4), DepletionMM: 25.4, TriggerMM: 38.1},
			"Ridge is due Fri 17 Jul: depletion 1.00 in now, trigger 1.50 in; short of water from Sat 18 Jul"},
		{runplan.Reason{Code: runplan.Due, Zone: "Ridge", Date: tuesday, DepletionMM: 40, TriggerMM: 38.1},
			"Ridge is due now: depletion 1.57 in, trigger 1.50 in"},
		{runplan.Reason{Code: runplan.TableFed, Zone: "Slough", DepletionMM: 5.08, TriggerMM: 38.1, TableM: 0.9144},
			"Slough is fed by the water table at 3.0 ft: depletion 0.20 in, trigger 1.50 in"},
		{runplan.Reason{Code: runplan.NoRunHours, Other: "load control"}, "no-run hours: load control"},
		{runplan.Reason{Code: runplan.AtRisk, Safe: runplan.TableFed, Zone: "Slough", Date: tuesday.AddDays(6), DepletionMM: 5.08, TriggerMM: 38.1,
			TableM: 0.9144, By: &runplan.End{Kind: runplan.TableDeeper, TableByM: 0.1524}},
			"Slough is fed by the water table at 3.0 ft: depletion 0.20 in, trigger 1.50 in; at risk: due Mon 20 Jul if the water table is 0.5 ft deeper"},
		{runplan.Reason{Code: runplan.NoRunHours, Other: "dry for the cut of 2026-07-13"}, "mown Mon 13 Jul: dry for the cut, with hay and machines in the field"},
		{runplan.Reason{Code: runplan.NoWaterPeriod, Zone: "Ridge", Other: "dry for the cut of 2026-07-20"}, "dry for the cut of Mon 20 Jul"},
		{runplan.Reason{}, ""},
	}
	for _, tt := range tests {
		if got := (Reason{Reason: tt.reason, today: tuesday}).Text(units.US); got != tt.want {
			t.Errorf("%v:\n got %s\nwant %s", tt.reason.Code, got, tt.want)
		}
	}
}

// Every code has words of its own, and JSON is in SI whatever the display.
func TestReasonEveryCode(t *testing.T) {
	seen := map[string]runplan.ReasonCode{}
	for code := runplan.NoReason + 1; code.String() != "unknown"; code++ {
		r := Reason{runplan.Reason{Code: code, Zone: "Ridge", Other: "Heron", Date: tuesday.AddDays(2),
			DepletionMM: 10, TriggerMM: 20, TableM: 1, RainMM: 7}, tuesday, ""}
		text := r.Text(units.SI)
		if text == "" || text == code.String() {
			t.Errorf("%v has no words", code)
		}
		if other, twice := seen[text]; twice {
			t.Errorf("%v and %v read the same: %s", code, other, text)
		}
		seen[text] = code
		if strings.Contains(text, " in,") || strings.HasSuffix(text, ".") {
			t.Errorf("%v: %s", code, text)
		}
		j, err := json.Marshal(r)
		if err != nil || string(j) != `"`+text+`"` {
			t.Errorf("%v: JSON %s, %v", code, j, err)
		}
	}
}

// Every end of what is not known has words of its own.
func TestEndText(t *testing.T) {
	seen := map[string]runplan.EndKind{}
	for kind := runplan.AsSet; kind.String() != "unknown"; kind++ {
		text := endText(&runplan.End{Kind: kind, TableByM: 0.1, ReachM: 0.7}, units.SI)
		if other, twice := seen[text]; twice {
			t.Errorf("%v and %v read the same: %s", kind, other, text)
		}
		seen[text] = kind
	}
}

func TestDegText(t *testing.T) {
	for deg, want := range map[float64]string{0: "0", 359.4: "359", 359.6: "0", -90: "270", 360: "0", 44.5: "45"} {
		if got := degText(deg); got != want {
			t.Errorf("degText(%v) = %s, want %s", deg, got, want)
		}
	}
	if got := degText(math.NaN()); got != "-" {
		t.Errorf("degText(NaN) = %s", got)
	}
}

func TestTimerText(t *testing.T) {
	for pct, want := range map[float64]string{100: "100", 42.7: "42.7", 42.749: "42.7", 8: "8"} {
		if got := timerText(pct); got != want {
			t.Errorf("timerText(%v) = %s, want %s", pct, got, want)
		}
	}
}

func TestDaysText(t *testing.T) {
	inf := math.Inf(1)
	for _, tt := range []struct {
		least, most float64
		want        string
	}{
		{0, 0, "now"}, {0, 0.75, "under 1"}, {0.2, 0.75, "under 1"}, {0.75, 1.75, "0 to 1"}, {0.75, inf, "0 or more"}, {3.2, 3.9, "3"}, {3.2, 5.1, "3 to 5"}, {4, inf, "4 or more"}, {inf, inf, "over 10"}, {math.NaN(), 1, "-"},
	} {
		if got := daysText(tt.least, tt.most, 10); got != tt.want {
			t.Errorf("daysText(%v, %v) = %s, want %s", tt.least, tt.most, got, tt.want)
		}
	}
}

func TestUntilText(t *testing.T) {
	from := time.Date(2026, 7, 14, 14, 0, 0, 0, time.UTC)
	if got := untilText(from, from.Add(4*time.Hour)); got != "18:00" {
		t.Error(got)
	}
	if got := untilText(from, from.Add(14*time.Hour)); got != "Wed 15 Jul 04:00" {
		t.Error(got)
	}
}

// Ground without a crop.
func TestNoCropWords(t *testing.T) {
	r := Reason{Reason: runplan.Reason{Code: runplan.NoCrop, Zone: "Knoll", DepletionMM: 25.4, TriggerMM: math.Inf(1)}}
	for got, want := range map[string]string{
		r.Text(units.US):  "no crop stands on Knoll: it has no trigger; depletion 1.00 in",
		r.Short(units.US): "no crop: no trigger",
		r.Brief(units.US): "Knoll without a crop",
	} {
		if got != want {
			t.Errorf("%q; want %q", got, want)
		}
	}
}

// One morning is told alike by status and plan: the driest ground's depletion
// and its trigger of today.
func TestStatusAndPlanAgree(t *testing.T) {
	season := demoSeason(t, fields.WalkOptions{})
	now := season.Farm.StartOfDay(season.Today).Add(6 * time.Hour)
	standing, err := season.Standing(now, 10)
	if err != nil {
		t.Fatal(err)
	}
	problem := season.Problem(now, 10)
	made, err := runplan.Make(t.Context(), problem)
	if err != nil {
		t.Fatal(err)
	}
	status := NewStatus(season, standing, now, 10)
	plan := NewPlan(PlanFacts{Problem: &problem, Plan: &made})
	if len(plan.Zones) == 0 {
		t.Fatal("no zones")
	}
	for _, z := range plan.Zones {
		i := slices.IndexFunc(status.Zones, func(s ZoneStatus) bool { return s.Zone == z.Zone })
		s := status.Zones[i]
		if s.DriestMM != z.DepletionMM || s.DriestTrigMM != z.TriggerMM || s.DaysLeftMin != z.DaysLeftMin {
			t.Errorf("%s: status has %v of %v mm and %v days, plan %v of %v and %v", z.Zone, s.DriestMM, s.DriestTrigMM, s.DaysLeftMin, z.DepletionMM, z.TriggerMM, z.DaysLeftMin)
		}
		if s.LeftMinBy != z.LeftMinBy || s.LeftMaxBy != z.LeftMaxBy || len(s.Ends) != len(z.Ends) {
			t.Errorf("%s: status ranges from %q to %q over %d ends, plan from %q to %q over %d", z.Zone, s.LeftMinBy, s.LeftMaxBy, len(s.Ends), z.LeftMinBy, z.LeftMaxBy, len(z.Ends))
		}
		if s.DriestMM < s.DepletionMM-3 {
			t.Errorf("%s: driest %v, mean %v", z.Zone, s.DriestMM, s.DepletionMM)
		}
	} // The same words about what makes the days a range, each line once.
	words := func(write func(io.Writer, units.System) error) []string {
		var b strings.Builder
		if err := write(&b, units.US); err != nil {
			t.Fatal(err)
		}
		for i, line := range strings.Split(b.String(), "\n") {
			if n := len([]rune(line)); n > 100 {
				t.Errorf("line %d is %d wide: %s", i+1, n, line)
			}
		}
		_, rest, _ := strings.Cut(b.String(), "\nDAYS that depend on")
		rest, _, _ = strings.Cut(strings.TrimSpace(rest), "\n\n")
		list := strings.Split(rest, "\n  - ")[1:]
		slices.Sort(list)
		return list
	}
	if a, b := words(status.WriteText), words(plan.WriteText); len(a) == 0 || !slices.Equal(a, b) {
		t.Errorf("status tells\n%s\nplan\n%s", strings.Join(a, "\n"), strings.Join(b, "\n"))
	}
}
