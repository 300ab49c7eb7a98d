package report

import (
	"encoding/json"
	"math"
	"reflect"
	"strings"
	"testing"
	"time"

	"sandwick/cmd/sandwick/internal/units"
	"sandwick/pivot"
	"sandwick/pivot/runplan"

	"github.com/golang-sql/civil"
	"github.com/paulmach/orb"
)

// examplePlan is a plan with every kind of part, round numbers throughout: a
// circle of 1000 m² a degree, 36 m³/h, 36 hours a turn at full timer.
func examplePlan() *Plan {
	now := time.Date(2026, 7, 14, 6, 0, 0, 0, time.UTC)
	radius := math.Sqrt(360_000 / math.Pi)
	heron := pivot.Machine{
		Name: "Heron", Well: "Reed", Center: orb.Point{-95, 44}, LengthM: radius, FlowM3H: 36,
		HoursAtFull: 36, TimerMinPct: 10, TimerMaxPct: 100, MaxLegs: 4, Efficiency: 0.85,
	}
	plover := heron
	plover.Name = "Plover"
	due := runplan.Reason{Code: runplan.Due, Field: "Mint", Zone: "Ridge", Date: tuesday.AddDays(1), DepletionMM: 20, TriggerMM: 30, TableM: math.Inf(1)}
	fed := runplan.Reason{Code: runplan.TableFed, Field: "Mint", Zone: "Slough", DepletionMM: 3, TriggerMM: 30, TableM: 0.9}
	plan := runplan.Plan{
		Passes: []runplan.Pass{
			{
				Pivot: "Heron", Well: "Reed", Start: now, End: now.Add(40 * time.Hour), Clockwise: true,
				StartDeg: 0, StopDeg: 270, VolumeM3: 1296, PumpHours: 36, EnergyKWh: 1440, Cost: 160, Why: due,
				Pauses: []runplan.Window{{From: now.Add(8 * time.Hour), To: now.Add(12 * time.Hour), Why: "load control"}},
				Legs: []runplan.Leg{
					{FromDeg: 0, ToDeg: 180, Water: true, TimerPct: 50, GrossMM: 7.2, NetMM: 6.12, Start: now, End: now.Add(40 * time.Hour), Why: due},
					{FromDeg: 180, ToDeg: 270, TimerPct: 100, Start: now.Add(40 * time.Hour), End: now.Add(49 * time.Hour), Why: fed},
				},
			},
			{Pivot: "Heron", Well: "Reed", Start: now.Add(100 * time.Hour), End: now.Add(120 * time.Hour), StartDeg: 270, StopDeg: 0, Why: due},
		},
		Zones: []runplan.ZoneDecision{
			{Field: "Mint", Zone: "Ridge", Pivot: "Heron", DepletionMM: 20, TriggerMM: 30, TableM: math.Inf(1), Decision: runplan.Water, DaysLeftMin: 1.2, DaysLeftMax: 1.9, FirstWater: now, Why: due},
			{Field: "Mint", Zone: "Slough", Pivot: "Heron", DepletionMM: 3, TriggerMM: 30, TableM: 0.9, Decision: runplan.Skip, DaysLeftMin: math.Inf(1), DaysLeftMax: math.Inf(1), Why: fed},
		},
		Idle:   []runplan.Idle{{Pivot: "Plover", Why: runplan.Reason{Code: runplan.WellBusy, Other: "Heron"}}},
		Behind: []runplan.Behind{{Field: "Mint", Zone: "Ridge", Pivot: "Heron", From: now.Add(48 * time.Hour), AreaM2: 4046.8564224, WorstMM: 2.54, StressDays: 1}},
		Cost:   runplan.Cost{Pumping: 160, Labour: 15, Total: 175},
	}
	return NewPlan(PlanFacts{
		Farm: "Cranefoot Flats", Currency: "USD",
		Problem:  &runplan.Problem{Now: now, Days: 10, Machines: []runplan.Machine{{Machine: heron}, {Machine: plover}}},
		Plan:     &plan,
		Weather:  Weather{Through: Day(tuesday.AddDays(-3)), Beyond: "no forecast: no rain is counted on"},
		Rests:    []Note{Plain("one thing")},
		Warnings: []Note{Plain("another")},
	})
}

func TestPlanJSON(t *testing.T) {
	var b strings.Builder
	if err := WriteJSON(&b, examplePlan()); err != nil {
		t.Fatal(err)
	}
	var got map[string]any
	if err := json.Unmarshal([]byte(b.String()), &got); err != nil {
		t.Fatal(err)
	}
	for _, key := range []string{"made_at", "from", "to", "forecast", "passes", "zones", "cost", "idle", "cautions"} {
		if _, ok := got[key]; !ok {
			t.Errorf("no key %s", key)
		}
	}
	for key, list := range got {
		if list == nil && key != "expected" { // no list: null where no earlier year is weighed
			t.Errorf("%s is null, want []", key)
		}
	}
	pass := got["passes"].([]any)[0].(map[string]any)
	for key, want := range map[string]any{
		"pivot": "Heron", "well": "Reed", "start": "2026-07-14T06:00:00Z", "end": "2026-07-15T22:00:00Z", "direction": "cw",
		"start_deg": 0.0, "stop_deg": 270.0, "volume_m3": 1296.0, "pump_hours": 36.0, "energy_kwh": 1440.0, "cost": 160.0,
	} {
		if pass[key] != want {
			t.Errorf("passes[0].%s = %v, want %v", key, pass[key], want)
		}
	}
	leg := pass["legs"].([]any)[0].(map[string]any)
	for key, want := range map[string]any{
		"from_deg": 0.0, "to_deg": 180.0, "water": true, "timer_pct": 50.0, "gross_mm": 7.2, "net_mm": 6.12,
		"start": "2026-07-14T06:00:00Z", "hours": 36.0,
		"why": "Ridge is due Wed 15 Jul: depletion 20.0 mm now, trigger 30.0 mm",
	} {
		if leg[key] != want {
			t.Errorf("legs[0].%s = %v, want %v", key, leg[key], want)
		}
	}
	if d, want := leg["driver"], map[string]any{"field": "Mint", "zone": "Ridge", "depletion_mm": 20.0, "day": "2026-07-14", "trigger_mm": 30.0, "due": "2026-07-15", "stress_from": nil}; !reflect.DeepEqual(d, want) {
		t.Errorf("legs[0].driver = %v, want %v", d, want)
	}
	if d := got["idle"].([]any)[0].(map[string]any)["driver"]; d != nil {
		t.Errorf("idle[0].driver = %v, want null: its reason is about no ground", d)
	}
	// 180 degrees of 1000 m² each at 36 m³/h for 36 h: 1296 m³, 7.2 mm.
	if v := leg["volume_m3"].(float64); math.Abs(v-1296) > 1e-6 {
		t.Errorf("legs[0].volume_m3 = %v, want 1296", v)
	}
	zone := got["zones"].([]any)[1].(map[string]any)
	if v, ok := zone["days_left_max"]; !ok || v != nil {
		t.Errorf("zones[1].days_left_max = %v, want null: beyond the horizon", v)
	}
	if got["zones"].([]any)[0].(map[string]any)["water_table_m"] != nil {
		t.Error("a table out of reach is not null")
	}
}

func TestPlanCSV(t *testing.T) {
	var b strings.Builder
	if err := WriteCSV(&b, examplePlan().LegRows()); err != nil {
		t.Fatal(err)
	}
	lines := strings.Split(b.String(), "\n")
	const head = "pass,pivot,well,direction,leg,from_deg,to_deg,water,timer_pct,gross_mm,net_mm,hours,volume_m3,start,end,why,wait_cost"
	if lines[0] != head {
		t.Errorf("got  %s\nwant %s", lines[0], head)
	}
	if want := "1,Heron,Reed,cw,2,180,270,no,100,0,0,9,0,2026-07-15T22:00:00Z,2026-07-16T07:00:00Z,"; !strings.HasPrefix(lines[2], want) {
		t.Errorf("got  %s\nwant %s...", lines[2], want)
	}
}

func TestPlanKeep(t *testing.T) {
	p := examplePlan()
	p.Keep(func(string) bool { return true }, func(name string) bool { return name == "Plover" })
	if len(p.Passes) != 0 || len(p.Zones) != 0 || len(p.Idle) != 1 || len(p.Behind) != 0 {
		t.Errorf("kept %d passes, %d zones, %d idle, %d behind", len(p.Passes), len(p.Zones), len(p.Idle), len(p.Behind))
	}
}

// No line of a plan is wider than the sheet it is printed on, and everything a
// grower has to know is on it, in the units asked for.
func TestPlanText(t *testing.T) {
	for system, words := range map[units.System][]string{
		units.US: {"0.79 in", "3.0 ft", "gal", "1.0"},
		units.SI: {"20.0 mm", "0.90 m", "m3", "0.40"},
	} {
		var b strings.Builder
		if err := examplePlan().WriteText(&b, system); err != nil {
			t.Fatal(err)
		}
		text := b.String()
		words = append(words, "START Heron, Tue 14 Jul 06:00, clockwise from 0 to 270", "Stands still Tue 14 Jul 14:00 to 18:00: load control",
			"2 whole days before today", "No forecast: no rain is counted on.", "Plover", "the well serves Heron first",
			"FALLS BEHIND", "$175", "one thing", "another", "over 10", "skip", "local codes")
		for _, w := range words {
			if !strings.Contains(strings.Join(strings.Fields(text), " "), strings.Join(strings.Fields(w), " ")) {
				t.Errorf("%v: no %q in\n%s", system, w, text)
			}
		}
		for i, line := range strings.Split(text, "\n") {
			if n := len([]rune(line)); n > 100 {
				t.Errorf("%v: line %d is %d wide: %s", system, i+1, n, line)
			}
		}
	}
}

func TestStartsSoon(t *testing.T) {
	p := &Plan{From: Day(tuesday)}
	for days, want := range map[int]bool{0: true, 1: true, 2: false} {
		start := civil.DateOf(tuesday.In(time.UTC)).AddDays(days).In(time.UTC).Add(23 * time.Hour)
		if got := p.startsSoon(&Pass{Start: Instant(start)}); got != want {
			t.Errorf("start in %d days: %v", days, got)
		}
	}
}

// The machine's block, or else the list of machines that stand, tells when the
// ground gets its last water before a cut.
func TestPlanTellsLastWater(t *testing.T) {
	now := time.Date(2026, 7, 14, 6, 0, 0, 0, time.UTC)
	cut := func(field, pivot string, inDays, dry int) PlannedCut {
		d := tuesday.AddDays(inDays)
		return PlannedCut{Field: field, Pivot: pivot, Date: Day(d), DryDays: dry, LastWater: Instant(d.AddDays(-dry).In(time.UTC))}
	}
	for _, c := range []struct {
		name string
		cuts []PlannedCut
		want string // after the machine's name, or on a line of its block
		not  string
	}{
		{"none", nil, "", "cut of"},
		// The wet leg from 06:00 takes 40 h, the later pass is over after the dry days begin.
		{"within the days", []PlannedCut{cut("Mint", "Heron", 9, 5)},
			"\n  Last water before the cut of Thu 23 Jul: none after Sat 18 Jul 00:00 (5 days dry); what is planned\n  ends Wed 15 Jul 22:00.\n", ""},
		{"the next one only", []PlannedCut{cut("Mint", "Heron", 30, 1), cut("Mint", "Heron", 60, 1)},
			"\n  Last water before the cut of Thu 13 Aug: none after Wed 12 Aug 00:00 (1 day dry).\n", "Sep"},
		{"dry already", []PlannedCut{cut("Mint", "Heron", 2, 4)},
			"\n  No water before the cut of Thu 16 Jul: dry since Sun 12 Jul 00:00.\n", "Last water"},
		{"a machine that stands", []PlannedCut{cut("Hay", "Plover", 12, 3)},
			"\n  Plover: Last water before the cut of Sun 26 Jul: none after Thu 23 Jul 00:00 (3 days dry).\n", ""},
	} {
		p := examplePlan()
		if !time.Time(p.MadeAt).Equal(now) {
			t.Fatal("the example was made at another moment")
		}
		p.Cuts = c.cuts
		var b strings.Builder
		if err := p.WriteText(&b, units.US); err != nil {
			t.Fatal(err)
		}
		if !strings.Contains(b.String(), c.want) || c.not != "" && strings.Contains(b.String(), c.not) {
			t.Errorf("%s: want %q, and no %q, in\n%s", c.name, c.want, c.not, b.String())
		}
		p.Keep(func(string) bool { return false }, func(string) bool { return true })
		if len(p.Cuts) > 0 {
			t.Errorf("%s: a cut of a field not asked for is kept", c.name)
		}
	}
}
