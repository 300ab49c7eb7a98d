// When zones run dry, by hand.

package fields

import (
	"math"
	"strings"
	"testing"

	"github.com/golang-sql/civil"

	"sandwick/et/spells"
)

func TestSpread(t *testing.T) {
	inf := math.Inf(1)
	for _, tt := range []struct {
		days                        []float64
		early, likely, late, within float64
	}{
		{[]float64{10, 9, 8, 7, 6, 5, 4, 3, 2, 1}, 1, 5, 9, 1},
		{[]float64{3, inf, 5, inf}, 3, 5, inf, 0.5},
		{[]float64{Already, 2, 4}, Already, 2, 4, 1},
		{[]float64{7}, 7, 7, 7, 1},
		{[]float64{inf}, inf, inf, inf, 0},
	} {
		s := spread(tt.days)
		if s.Early != tt.early || s.Likely != tt.likely || s.Late != tt.late || s.Within != tt.within {
			t.Errorf("%v: %+v", tt.days, s)
		}
	}
	if s := spread(nil); !math.IsNaN(s.Likely) || !math.IsNaN(s.Within) {
		t.Errorf("no scenarios: %+v", s)
	}
}

// One bucket of 80 mm, a crop of Kc 0.4, a trigger of 50 %: the day it is due
// follows from adding up 0.4 ETo, the day of stress, Ks below 0.95, from FAO-56 Eqs. 83 and 84
// with p adjusted for ETc (FAO-56 Table 22, note 2).
func TestDryoutsByHand(t *testing.T) {
	f := mustLoad(t, smallFarm(t, HistoryFile, "", juneHistory(), "farm.toml", `crop = "sward"`, "crop = \"sward\"\ntrigger_pct = 50"))
	today := date(t, "2025-06-08")
	s := mustWalk(t, f, today, WalkOptions{})
	y := yearsOf(t, f, today)
	const days = 60
	dry := s.DryScenario(y, days, f.Outlook.Rule)
	zones := s.Dryouts(f.StartOfDay(today), []Scenario{dry})
	if len(zones) != 2 {
		t.Fatal("want two zones")
	}
	east := &zones[0]
	account := s.Account(s.Days()-1, 0)
	if math.Abs(east.DepletMM-account.DepletMax) > 1e-9 || math.Abs(east.TriggerMM-40) > 1e-9 {
		t.Errorf("now: %g gone, trigger %g; the books have %g", east.DepletMM, east.TriggerMM, account.DepletMax)
	}
	p := f.Fields[0].Crop.P
	gone, due, stress := account.DepletMax, math.Inf(1), math.Inf(1)
	for d := range days {
		etc := 0.4 * dry.Skies[d].EToMM
		adjusted := min(0.8, max(0.1, p+0.04*(5-etc))) // FAO-56 Table 22, note 2
		ks := min(1, (80-gone)/((1-adjusted)*80))      // FAO-56 Eq. 84, at the depletion of the morning
		gone += ks * etc
		if math.IsInf(due, 1) && gone >= 40 {
			due = float64(d)
		}
		if math.IsInf(stress, 1) && ks < 0.95 { // short of water as the plan has it
			stress = float64(d)
		}
	}
	if math.IsInf(due, 1) || math.IsInf(stress, 1) {
		t.Fatal("the hand calculation finds no day")
	}
	if east.Due.Likely != due || east.Stress.Likely != stress {
		t.Errorf("due on day %g and short of water on day %g; by hand %g and %g", east.Due.Likely, east.Stress.Likely, due, stress)
	}
	if east.Due.Within != 1 || len(east.Due.ByScenario) != 1 {
		t.Errorf("%+v", east.Due)
	}
}

// More rain never makes a zone due sooner; nothing happens before it is due;
// and with rain enough it is never due.
func TestDryoutsOrder(t *testing.T) {
	f := mustLoad(t, smallFarm(t, HistoryFile, "", juneHistory()))
	today := date(t, "2025-06-08")
	s := mustWalk(t, f, today, WalkOptions{})
	y := yearsOf(t, f, today)
	now := f.StartOfDay(today)
	const days = 45
	var list []Scenario
	for _, mm := range []float64{0, 0.5, 1, 2, 5} {
		sc := s.DryScenario(y, days, f.Outlook.Rule)
		for d := range days {
			sc.Fields[0].RainMM[d] = mm
		}
		list = append(list, sc)
	}
	for _, z := range s.Dryouts(now, list) {
		for k := range list {
			due, stress := z.Due.ByScenario[k], z.Stress.ByScenario[k]
			if stress < due {
				t.Errorf("zone %d, scenario %d: stressed on %g, due on %g", z.Zone, k, stress, due)
			}
			if k > 0 && due < z.Due.ByScenario[k-1] {
				t.Errorf("zone %d: with more rain due sooner: %v", z.Zone, z.Due.ByScenario)
			}
		}
		if !math.IsInf(z.Due.ByScenario[4], 1) {
			t.Errorf("zone %d: due in spite of 5 mm a day", z.Zone)
		}
	}
	if s.Dryouts(now, nil) != nil {
		t.Error("zones run dry without a scenario")
	}
}

func TestDryOutlook(t *testing.T) {
	today := date(t, "2025-06-08")
	outlook := func(dry bool, changes ...string) *DryOutlook {
		t.Helper()
		f := mustLoad(t, smallFarm(t, changes...))
		s := mustWalk(t, f, today, WalkOptions{})
		o, problems, err := s.DryOutlook(f.StartOfDay(today), 20, dry)
		if err != nil || len(problems) > 0 {
			t.Fatal(err, problems)
		}
		return o
	}
	o := outlook(false, HistoryFile, "", juneHistory())
	if len(o.Ensemble.Scenarios) != 4 || len(o.Zones) != 2 || len(o.Zones[0].Due.ByScenario) != 4 {
		t.Errorf("%d scenarios, %d zones", len(o.Ensemble.Scenarios), len(o.Zones))
	}
	if o.SeasonEnd != date(t, "2025-09-30") || o.Missing != 5 { // no year has the rain of June to September
		t.Errorf("to %v, %d years missing", o.SeasonEnd, o.Missing)
	}
	if len(o.Pumps.Wells) != 1 || o.Pumps.Wells[0].Name != "North" || len(o.Chances) == 0 || len(o.Returns) == 0 {
		t.Errorf("%+v", o.Pumps)
	}
	for _, c := range o.Chances {
		// Two Julys of five are all dry: spells that had lasted a day at this time of
		// the year are few, so a chain or nothing answers.
		if c.To != today.AddDays(c.More-1) || c.Method == spells.Counted && c.Cases < 10 {
			t.Errorf("%+v", c)
		}
	}
	o = outlook(true, HistoryFile, "", juneHistory())
	if o.Ensemble != nil || len(o.Zones[0].Due.ByScenario) != 1 {
		t.Errorf("without rain: %+v", o.Zones[0])
	}
	o = outlook(false) // no history.csv
	if o.First != (civil.Date{}) || len(o.Ensemble.Scenarios) != 0 || len(o.Zones[0].Due.ByScenario) != 1 {
		t.Errorf("without earlier years: %+v", o)
	}
	for _, r := range o.Returns {
		if !math.IsNaN(r.Days) {
			t.Errorf("a spell from no years: %+v", r)
		}
	}

	f := mustLoad(t, smallFarm(t, HistoryFile, "", strings.Replace(juneHistory(), "2021-06-01,21", "2021-06-01,x", 1)))
	s := mustWalk(t, f, today, WalkOptions{})
	if _, problems, err := s.DryOutlook(f.StartOfDay(today), 20, false); len(problems) != 1 || err != nil {
		t.Errorf("a broken history: %v, %v", problems, err)
	}
}

func BenchmarkDryouts(b *testing.B) {
	f := mustLoad(b, bigFarm(b))
	today := date(b, "2025-08-30")
	s := mustWalk(b, f, today, WalkOptions{})
	list := make([]Scenario, 15)
	for k := range list {
		list[k] = s.DryScenario(&Years{}, 30, f.Outlook.Rule)
	}
	now := f.StartOfDay(today)
	b.ReportAllocs()
	for b.Loop() {
		if z := s.Dryouts(now, list); len(z) != 3 {
			b.Fatal(len(z))
		}
	}
}
