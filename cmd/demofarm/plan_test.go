// The demo must show the job being done.

package main

import (
	"context"
	"testing"
	"time"

	"sandwick/pivot/runplan"
)

// TestDemoPlan: on the demo's day the low ground is left alone, the high ground
// is watered, and of the two machines on one well one waits for the other; no
// water falls on the mint in the dry days before its cut.
func TestDemoPlan(t *testing.T) {
	farm, season := walkDemo(t)
	now := time.Date(farm.Today.Year, farm.Today.Month, farm.Today.Day, 6, 0, 0, 0, farm.Location)
	problem := season.Problem(now, 10)
	plan, err := runplan.Make(context.Background(), problem)
	if err != nil {
		t.Fatal(err)
	}
	result, err := runplan.Evaluate(problem, plan)
	if err != nil {
		t.Fatal(err)
	}
	if result.Violation != nil {
		t.Fatalf("the plan cannot be run: %v", result.Violation)
	}

	for _, z := range plan.Zones {
		switch {
		case low(z.Zone) && z.Decision != runplan.Skip:
			t.Errorf("%s: %s, want skip", z.Zone, z.Decision)
		case !low(z.Zone) && !between(z.Zone) && z.Decision == runplan.Skip:
			t.Errorf("%s: skipped; high ground needs water within the plan's days", z.Zone)
		}
	}

	first := map[string]time.Time{}
	dry := map[string]bool{}
	cut := machines[0].Cut
	lastWet := clock(cut.AddDays(-machines[0].DryDays), 0)
	for _, p := range plan.Passes {
		if _, ok := first[p.Pivot]; !ok {
			first[p.Pivot] = p.Start
		}
		for _, l := range p.Legs {
			dry[p.Pivot] = dry[p.Pivot] || !l.Water
			if l.Water && p.Pivot == machines[0].Pivot && l.End.After(lastWet) {
				t.Errorf("%s waters until %s; the cut of %s wants dry ground from %s", p.Pivot, l.End, cut, lastWet)
			}
		}
	}
	for _, m := range machines {
		if first[m.Pivot].IsZero() {
			t.Errorf("%s is not run at all", m.Pivot)
		}
		if !dry[m.Pivot] {
			t.Errorf("%s walks dry nowhere", m.Pivot)
		}
	}
	a, b := first["Heron"], first["Plover"]
	if a.After(b) {
		a, b = b, a
	}
	if a.Sub(now) > 24*time.Hour || b.Sub(a) < 6*time.Hour {
		t.Errorf("Reed's machines start %s and %s; want one soon and the other waiting for it", a, b)
	}
}
