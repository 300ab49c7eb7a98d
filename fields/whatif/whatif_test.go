package whatif

import (
	"context"
	"math"
	"testing"
	"time"

	"github.com/golang-sql/civil"

	"sandwick/fields"
	"sandwick/pivot/runplan"
)

func demo(t *testing.T) (*fields.Season, time.Time) {
	t.Helper()
	f, problems := fields.Load("../../testdata/demo")
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	s, err := f.Walk(f.Today, fields.WalkOptions{})
	if err != nil {
		t.Fatal(err)
	}
	return s, f.StartOfDay(f.Today).Add(6 * time.Hour)
}

const days = 4

func ask(t *testing.T, s *fields.Season, now time.Time, o Own) *Answer {
	t.Helper()
	a, problems, err := Ask(context.Background(), s, now, days, o)
	if err != nil || len(problems) > 0 {
		t.Fatal(err, problems)
	}
	return a
}

func first(passes []runplan.Pass, pivot string) *runplan.Pass {
	for i := range passes {
		if passes[i].Pivot == pivot {
			return &passes[i]
		}
	}
	return nil
}

// worse is how much cheaper a constrained way may come out than the plan: the
// planner is near the best, not the best.
const worse = 0.10

// TestHold: a machine that is held does not run, the others do, and holding
// ground that is due costs crop.
func TestHold(t *testing.T) {
	s, now := demo(t)
	a := ask(t, s, now, Own{Holds: []Hold{{Pivot: "Heron"}}})
	if first(a.Own.Passes, "Heron") != nil {
		t.Error("Heron runs although it is held")
	}
	if first(a.Own.Passes, "Bittern") == nil || first(a.Plan.Passes, "Heron") == nil {
		t.Error("Bittern does not run, or the plan does not run Heron")
	}
	if !a.Pair.Own.Feasible() {
		t.Errorf("not feasible: %v", a.Pair.Own.Violation)
	}
	if own, plan := a.Pair.Own.Cost, a.Pair.Plan.Cost; own.Stress <= plan.Stress || own.Pumping >= plan.Pumping || own.Total <= plan.Total {
		t.Errorf("holding due mint: own %+v, plan %+v", own, plan)
	}
	until := now.Add(30 * time.Hour)
	a = ask(t, s, now, Own{Holds: []Hold{{Pivot: "Heron", Until: until}}})
	if p := first(a.Own.Passes, "Heron"); p == nil || p.Start.Before(until) {
		t.Errorf("Heron held until %s: first pass %+v", until, p)
	}
}

// TestStart: the machine starts at its time and not before, and what is planned
// around it can be run; a well that feeds one machine at a time is left to it.
func TestStart(t *testing.T) {
	s, now := demo(t)
	for h, pivots := range map[time.Duration][]string{0: {"Plover"}, 8 * time.Hour: {"Heron", "Bittern"}, 31 * time.Hour: {"Plover"}} {
		for _, pivot := range pivots {
			at := now.Add(h)
			a := ask(t, s, now, Own{Starts: []Start{{Pivot: pivot, At: at}}})
			p := first(a.Own.Passes, pivot)
			if p == nil || !p.Start.Equal(at) {
				t.Errorf("%s at %s: first pass %+v", pivot, at, p)
			}
			if !a.Pair.Own.Feasible() {
				t.Errorf("%s at %s: %v", pivot, at, a.Pair.Own.Violation)
			}
			if a.Pair.Own.Cost.Total < a.Pair.Plan.Cost.Total*(1-worse) {
				t.Errorf("%s at %s: %.0f, far below the plan's %.0f", pivot, at, a.Pair.Own.Cost.Total, a.Pair.Plan.Cost.Total)
			}
			if a.Expected != nil {
				t.Error("no weather was supposed, yet there is another pair")
			}
		}
	}
	// Both at once on a well that feeds one at a time cannot be run, and the
	// evaluator says why.
	a := ask(t, s, now, Own{Starts: []Start{{"Heron", now}, {"Plover", now.Add(time.Hour)}}})
	if v := a.Pair.Own.Violation; v == nil || v.Constraint != runplan.WellFlow {
		t.Errorf("two machines at once on Reed: %v", v)
	}
	// Nor can a start in the hours of load control: Monday 21 July, 15:00.
	a = ask(t, s, now, Own{Starts: []Start{{"Bittern", time.Date(2025, 7, 21, 15, 0, 0, 0, now.Location())}}})
	if v := a.Pair.Own.Violation; v == nil || v.Constraint != runplan.WellNoRun {
		t.Errorf("Bittern in load control: %v", v)
	}
}

// TestWeather: a plan that counts on rain pumps less than one that does not, and
// pays for it when the rain stays away; without rain it is the other way about.
func TestWeather(t *testing.T) {
	s, now := demo(t)
	rain := Own{Supposing: fields.Supposing{Rain: map[civil.Date]float64{s.Today.AddDays(1): 30}}}
	a := ask(t, s, now, rain)
	if a.Expected == nil {
		t.Fatal("rain is supposed, yet there is no pair without it")
	}
	if a.Pair.Own.WaterM3 >= a.Pair.Plan.WaterM3 {
		t.Errorf("counting on 30 mm: %.0f m³, the plan %.0f", a.Pair.Own.WaterM3, a.Pair.Plan.WaterM3)
	}
	if a.Pair.Own.Cost.Total >= a.Pair.Plan.Cost.Total {
		t.Errorf("counting on 30 mm that come: %.0f, the plan %.0f", a.Pair.Own.Cost.Total, a.Pair.Plan.Cost.Total)
	}
	if a.Expected.Own.Cost.Total <= a.Expected.Plan.Cost.Total {
		t.Errorf("counting on 30 mm that do not come: %.0f, the plan %.0f", a.Expected.Own.Cost.Total, a.Expected.Plan.Cost.Total)
	}
	if sky := a.Ahead.Skies[1]; sky.RainMM != 30 || sky.Basis != fields.Supposed {
		t.Errorf("the day of the rain: %.1f mm, %s", sky.RainMM, sky.Basis)
	}
	dry := ask(t, s, now, Own{Supposing: fields.Supposing{Dry: true}})
	for i, sky := range dry.Ahead.Skies {
		if sky.RainMM != 0 {
			t.Errorf("day %d of no rain has %.1f mm", i, sky.RainMM)
		}
	}
	for _, m := range dry.Ahead.Problem.Machines {
		for _, z := range m.Zones {
			for k, mm := range z.RainMM[:days] {
				if mm != 0 {
					t.Errorf("%s, day %d: %.1f mm", z.Name, k, mm)
				}
			}
		}
	}
	// What is judged without supposing is what the program's own plan costs.
	again, err := runplan.Evaluate(s.Problem(now, days), dry.Plan)
	if err != nil || again.Cost != dry.Expected.Plan.Cost {
		t.Errorf("the plan under the weather expected: %+v, want %+v (%v)", dry.Expected.Plan.Cost, again.Cost, err)
	}
}

// TestWeigh: both ways are told over the weather of earlier years. The plan's own
// start asked for costs what the plan does, holding ground that is due costs more,
// and with other weather supposed nothing is weighed.
func TestWeigh(t *testing.T) {
	s, now := demo(t)
	p := ask(t, s, now, Own{Holds: []Hold{{Pivot: "Heron"}}})
	if p.Weighed == nil || p.Weighed.Years != 15 || p.Plan.Expected == nil || p.Weighed.Plan != p.Plan.Expected.Cost || p.Own.Expected.Cost != p.Weighed.Own {
		t.Fatalf("weighed: %+v", p.Weighed)
	}
	if p.Weighed.Own < p.Weighed.Plan*1.05 {
		t.Errorf("holding due mint: %.0f over earlier years, the plan %.0f", p.Weighed.Own, p.Weighed.Plan)
	}
	begun := first(p.Plan.Passes, "Heron")
	if begun == nil {
		t.Fatal("the plan does not run Heron")
	}
	a := ask(t, s, now, Own{Starts: []Start{{Pivot: "Heron", At: begun.Start}}})
	if w := a.Weighed; w == nil || math.Abs(w.Own/w.Plan-1) > 0.03 {
		t.Errorf("as planned: %+v", w)
	}
	// What the pass itself costs is in it: pumping, and what hours by day count for.
	avoided := s.Ahead(now, days).Problem
	for i := range avoided.Wells {
		avoided.Wells[i].AvoidPerH = func(time.Time) float64 { return 10 }
	}
	passes := []runplan.Pass{*begun}
	r, err := runplan.Evaluate(avoided, runplan.Plan{Passes: passes})
	if err != nil {
		t.Fatal(err)
	}
	got, err := costOf(&avoided, passes, &r)
	if want := r.Passes[0].Cost + 10*r.Passes[0].PumpHours; err != nil || math.Abs(got-want) > 1e-6 {
		t.Errorf("the pass costs %g, want %g", got, want)
	}
	if a := ask(t, s, now, Own{Supposing: fields.Supposing{Dry: true}}); a.Weighed != nil {
		t.Error("weighed, though other weather is supposed")
	}
}
