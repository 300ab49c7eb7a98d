// Ground without a crop has no trigger and asks for no water.

package fields

import (
	"context"
	"fmt"
	"math"
	"testing"
	"time"

	"sandwick/pivot/runplan"
)

func TestNoCropNoTrigger(t *testing.T) {
	for _, mode := range []string{"mode = \"single\"\nlayers = 1", "mode = \"single\"\nlayers = 4", "mode = \"dual\"\nlayers = 1", "mode = \"dual\"\nlayers = 4"} {
		for _, c := range []struct {
			name, start, end string
			trigger          string
			bare             bool // on all ten days
		}{
			{"long before planting", "2025-07-15", "2025-09-30", "", true},
			{"after the end", "2025-04-01", "2025-06-05", "", true},
			{"after the end, a trigger set", "2025-04-01", "2025-06-05", "\ntrigger_pct = 5", true},
			{"three days before planting", "2025-06-11", "2025-09-30", "", false},
			{"three days before planting, a trigger set", "2025-06-11", "2025-09-30", "\ntrigger_pct = 30", false},
			{"on the last day", "2025-04-01", "2025-06-08", "", false},
		} {
			t.Run(fmt.Sprintf("%s/%.80q", c.name, mode), func(t *testing.T) {
				// Dry ground: without a rule of its own it would be long due.
				f := mustLoad(t, smallFarm(t, "farm.toml", "mode = \"single\"\nlayers = 1", mode, "farm.toml", "initial_depletion_pct = 10", "initial_depletion_pct = 90",
					"farm.toml", `like = "cover"`, `like = "corn"`, "farm.toml", "start = 2025-05-01", "start = "+c.start, "farm.toml", "end = 2025-09-30", "end = "+c.end+c.trigger,
					"farm.toml", "planned_cuts = [2025-06-20]\n", "", "records/passes.csv", "", "<none>", "records/rain.csv", "", "<none>",
					"weather.csv", "18,30\n", "18,0\n", "weather.csv", "26,12\n", "26,0\n"))
				s := mustWalk(t, f, date(t, "2025-06-08"), WalkOptions{})
				now := f.StartOfDay(s.Today).Add(6 * time.Hour)
				standing, err := s.Standing(now, 10)
				if err != nil {
					t.Fatal(err)
				}
				bareToday := c.bare || c.start > "2025-06-08"
				for z, st := range standing {
					m := st.Morning
					if m.NoCrop != bareToday || math.IsInf(m.TriggerMM, 1) != bareToday || math.IsInf(m.DriestTriggerMM, 1) != bareToday || !(m.DriestMM > 0) {
						t.Errorf("zone %d: %+v", z, m)
					}
					if c.bare && (!math.IsInf(st.Left.Due.Min, 1) || !math.IsInf(st.Left.Stress.AsSet, 1)) {
						t.Errorf("zone %d is due in %+v", z, st.Left)
					}
					if !c.bare && bareToday && z == 0 && !(st.Left.Due.AsSet >= 2.5 && st.Left.Due.AsSet < 4) {
						t.Errorf("zone %d, dry and planted in three days, is due in %g", z, st.Left.Due.AsSet)
					}
				}
				// So it is under other weather.
				dry := s.DryScenario(nil, 10, f.Outlook.Rule)
				for z, o := range s.Dryouts(now, []Scenario{dry}) {
					if c.bare && (!math.IsInf(o.Due.Likely, 1) || !math.IsInf(o.TriggerMM, 1)) {
						t.Errorf("zone %d, no rain: %+v", z, o)
					}
				}
				if !c.bare {
					return
				}
				under := dry.Under(f, s.Problem(now, 10))
				lasting, err := under.Lasting()
				if err != nil {
					t.Fatal(err)
				}
				for z, l := range lasting[0] {
					if !math.IsInf(l.Due.AsSet, 1) {
						t.Errorf("zone %d, no rain: due in %g", z, l.Due.AsSet)
					}
				}
				plan, err := runplan.Make(context.Background(), s.Problem(now, 10))
				if err != nil {
					t.Fatal(err)
				}
				if len(plan.Passes) > 0 || plan.Cost.Total != 0 {
					t.Errorf("%d passes, cost %+v", len(plan.Passes), plan.Cost)
				}
				for _, z := range plan.Zones {
					if z.Decision != runplan.Skip || z.Why.Code != runplan.NoCrop || !math.IsInf(z.TriggerMM, 1) {
						t.Errorf("%s: %v, %v, trigger %g", z.Zone, z.Decision, z.Why.Code, z.TriggerMM)
					}
				}
			})
		}
	}
}

// What is told of the driest ground is what the planner goes by, and the mean is
// that of the cells.
func TestMorningIsThePlanners(t *testing.T) {
	f, problems := Load(demo)
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	for _, day := range []string{"2025-05-20", "2025-07-19"} {
		s := mustWalk(t, f, date(t, day), WalkOptions{})
		now := f.StartOfDay(s.Today).Add(6 * time.Hour)
		standing, err := s.Standing(now, 10)
		if err != nil {
			t.Fatal(err)
		}
		plan, err := runplan.Make(context.Background(), s.Problem(now, 10))
		if err != nil {
			t.Fatal(err)
		}
		told := 0
		for i, st := range standing {
			m := st.Morning
			for _, z := range plan.Zones {
				if z.Zone != f.Zones[i].Name {
					continue
				}
				told++
				if m.DriestMM != z.DepletionMM || m.DriestTriggerMM != z.TriggerMM {
					t.Errorf("%s, %s: %.3f of %.3f mm, the planner has %.3f of %.3f", day, z.Zone, m.DriestMM, m.DriestTriggerMM, z.DepletionMM, z.TriggerMM)
				}
				if z.Left.Due.AsSet != st.Left.Due.AsSet {
					t.Errorf("%s, %s: %g days left, the planner has %g", day, z.Zone, st.Left.Due.AsSet, z.Left.Due.AsSet)
				}
			}
			// The books' depletion of last night is this morning's, but for a table and
			// roots that have moved since.
			if a := s.Account(s.Days()-1, i); math.Abs(a.DepletMM+s.CorrectTodayMM[i]-m.DepletMM) > 3 {
				t.Errorf("%s, %s: mean %.2f mm this morning, %.2f last night", day, f.Zones[i].Name, m.DepletMM, a.DepletMM)
			}
		}
		if told == 0 {
			t.Error("no zone compared")
		}
	}
}
