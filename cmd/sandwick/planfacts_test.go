// What a plan rests on, case by case.

package main

import (
	"math"
	"strings"
	"testing"
	"time"

	"sandwick/cmd/sandwick/internal/report"
	"sandwick/cmd/sandwick/internal/units"
	"sandwick/pivot"
	"sandwick/pivot/runplan"
)

// Ponding is told of where the plan puts water: ground that takes in too little
// but is walked dry needs no note.
func TestPondingToldWhereWaterFalls(t *testing.T) {
	m := runplan.Machine{Machine: pivot.Machine{
		Name: "Heron", LengthM: 400, FlowM3H: 200, HoursAtFull: 15, TimerMaxPct: 100, WettedM: 18, Efficiency: 0.85,
	}}
	peak := m.PeakMMPerH()
	m.Zones = []runplan.Zone{
		{Name: "Loam", IntakeMMPerH: peak / 2}, {Name: "Clay", IntakeMMPerH: peak / 4}, {Name: "Sand", IntakeMMPerH: 10 * peak},
		{Name: "Unknown", IntakeMMPerH: math.NaN()},
	}
	for _, c := range []struct {
		watered string // zones, parted by spaces
		want    string
	}{
		{"Loam Clay Sand Unknown", "Loam, Clay takes in"},
		{"Loam Sand", "Loam takes in"},
		{"Sand Unknown", ""},
		{"", ""},
	} {
		plan := runplan.Plan{}
		for _, z := range m.Zones {
			d := runplan.ZoneDecision{Zone: z.Name, Pivot: "Heron"}
			if strings.Contains(c.watered, z.Name) {
				d.FirstWater = time.Date(2025, 7, 19, 6, 0, 0, 0, time.UTC)
			}
			plan.Zones = append(plan.Zones, d)
		}
		got := strings.Join(report.Texts(rateNotes(&runplan.Problem{Machines: []runplan.Machine{m}}, &plan), units.US), "\n")
		if (got == "") != (c.want == "") || !strings.Contains(got, c.want) {
			t.Errorf("watered %q: %q, want %q", c.watered, got, c.want)
		}
	}
}
