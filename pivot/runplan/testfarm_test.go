package runplan

// This file has the small farms that the tests plan for.

import (
	"fmt"
	"math"
	"testing"
	"time"

	"sandwick/pivot"
	"sandwick/soilwater"
	"sandwick/soilwater/hydraulics"
)

// central is a zone with daylight saving.
func central(t testing.TB) *time.Location {
	t.Helper()
	loc, err := time.LoadLocation("America/Chicago")
	if err != nil {
		t.Skip("no time zone data on this machine")
	}
	return loc
}

// sand is one bucket of 100 mm/m: with 0.6 m of roots TAW is 60 mm.
func sand(t testing.TB) *soilwater.Column {
	t.Helper()
	c, err := soilwater.NewColumn(soilwater.Profile{
		Horizons: []soilwater.Horizon{{TopM: 0, BottomM: 0.6, ThetaFC: 0.15, ThetaWP: 0.05}},
		RootMaxM: 0.6, Layers: 1, CompensationLimit: 1, RootGapM: 0.1, DrainedMMPerDay: 2, ZeM: 0.1,
		TEWMM: 12, REWMM: 6, CurveNumber: math.NaN(),
	})
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// layered is field sand in four layers.
func layered(t testing.TB) *soilwater.Column {
	t.Helper()
	soil, ok := hydraulics.Lookup("field sand")
	if !ok {
		t.Fatal("field sand is missing")
	}
	c, err := soilwater.NewColumn(soilwater.DefaultProfile(soil, 0.6))
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// plain is a demand of et mm a day with RAW at half of TAW, by the single coefficient.
func plain(et float64) soilwater.Demand {
	return soilwater.Demand{EToMM: et, Kcb: 1, KcMax: 1.2, Cover: 1, P: 0.5, RootM: 0.6, Single: true, FixedP: true}
}

func fill[T any](v T, n int) []T {
	s := make([]T, n)
	for i := range s {
		s[i] = v
	}
	return s
}

// zone is a zone of plain sand that uses et mm a day, with the table out of reach.
func zone(t testing.TB, name string, et float64, days int) Zone {
	return Zone{
		Field: "F", Name: name, Column: sand(t),
		Demand: fill(plain(et), days), TableM: fill(math.Inf(1), days), RainMM: make([]float64, days),
		IntakeMMPerH: math.NaN(), YieldValuePerM2: 0.3, Ky: 1, SeasonETMM: 500,
	}
}

// state is ground with dep mm missing.
func state(t testing.TB, z *Zone, dep float64) soilwater.State {
	_, taw, _ := z.Column.Totals(ptr(z.Column.Start(0, z.Demand[0], z.TableM[0])), &z.Demand[0], z.TableM[0])
	return z.Column.Start(dep/taw, z.Demand[0], z.TableM[0])
}

func ptr[T any](v T) *T { return &v }

// machine is a full circle of 400 m with four slices of 90 degrees: 125,664 m² each.
// At timer 100 % a circle takes 20 h; 200 m³/h in 5 h on a slice is 1,000 m³ or
// 7.9577 mm, of which 0.8 reach the ground: 6.3662 mm. Nothing but arithmetic.
func machine(t testing.TB, name string, zones ...Zone) Machine {
	m := Machine{
		Machine: pivot.Machine{
			Name: name, Well: "W", LengthM: 400, FlowM3H: 200, HoursAtFull: 20, TimerMinPct: 5, TimerMaxPct: 100,
			MaxGrossMM: 60, MaxLegs: 4, Efficiency: 0.8, PowerKW: 50, DryPowerKW: 5, Reversible: true,
		},
		SliceDeg: 90,
		Zones:    zones,
	}
	m.SliceM2 = fill(math.Pi*400*400/4, 4)
	return m
}

// under puts zone z with dep mm missing under a whole slice.
func (m *Machine) under(t testing.TB, slice, z int, dep float64) {
	m.Cells = append(m.Cells, Cell{
		Cell:  pivot.Cell{Slice: slice, Zone: z, AreaM2: m.SliceM2[slice]},
		State: state(t, &m.Zones[z], dep),
	})
}

func farm(loc *time.Location, days int, machines ...Machine) Problem {
	return Problem{
		Now: time.Date(2026, 7, 6, 6, 0, 0, 0, loc), Days: days,
		Wells: []Well{{
			Name: "W", FlowM3H: 250, EnergyPerKWh: func(time.Time) float64 { return 0.1 },
			SeasonM3Left: math.Inf(1), MaxHoursPerDay: 24,
		}},
		Machines: machines,
		Prices:   Prices{LabourPerStart: 10, LabourPerLeg: 0.5, LeachedPerMM_ha: 0.5},
	}
}

func show(t testing.TB, p Plan) {
	t.Helper()
	for i := range p.Passes {
		ps := &p.Passes[i]
		s := fmt.Sprintf("%s %s..%s cw=%t %g->%g %.0f m3 %.1f h cost %.2f why %v wait %v", ps.Pivot, ps.Start.Format("01-02 15:04"), ps.End.Format("01-02 15:04"), ps.Clockwise, ps.StartDeg, ps.StopDeg, ps.VolumeM3, ps.PumpHours, ps.Cost, ps.Why, ps.Wait)
		for _, v := range ps.Pauses {
			s += fmt.Sprintf("\n   pause %s..%s %s", v.From.Format("01-02 15:04"), v.To.Format("01-02 15:04"), v.Why)
		}
		for _, l := range ps.Legs {
			s += fmt.Sprintf("\n   %g->%g water=%t %.1f%% gross %.1f net %.1f %s..%s %v %s", l.FromDeg, l.ToDeg, l.Water, l.TimerPct, l.GrossMM, l.NetMM, l.Start.Format("01-02 15:04"), l.End.Format("01-02 15:04"), l.Why.Code, l.Why.Zone)
		}
		t.Log(s)
	}
	for _, z := range p.Zones {
		t.Logf("zone %s/%s %s dep %.1f trig %.1f left %.2f..%.2f first %v why %+v", z.Pivot, z.Zone, z.Decision, z.DepletionMM, z.TriggerMM, z.DaysLeftMin, z.DaysLeftMax, z.FirstWater.Format("01-02 15:04"), z.Why)
	}
	for _, x := range p.Idle {
		t.Logf("idle %s %+v", x.Pivot, x.Why)
	}
	for _, b := range p.Behind {
		t.Logf("behind %+v", b)
	}
	t.Logf("cost %+v search %+v", p.Cost, p.Search)
}

func plan(t testing.TB, p Problem) Plan {
	t.Helper()
	pl, err := Make(t.Context(), p)
	if err != nil {
		t.Fatal(err)
	}
	return pl
}
