package runplan

// This file tests the evaluator against sums that can be done by hand.

import (
	"math"
	"strings"
	"testing"
	"time"

	"sandwick/pivot"
)

// one is a pass with legs given as degrees to, water, timer.
func one(name string, start time.Time, from float64, cw bool, legs ...Leg) Pass {
	ps := Pass{Pivot: name, Start: start, Clockwise: cw, StartDeg: pivot.Azimuth(from)}
	at := ps.StartDeg
	for _, l := range legs {
		l.FromDeg = at
		at = l.ToDeg
		ps.Legs = append(ps.Legs, l)
	}
	return ps
}

func wet(to, timer float64) Leg { return Leg{ToDeg: pivot.Azimuth(to), Water: true, TimerPct: timer} }
func dry(to, timer float64) Leg { return Leg{ToDeg: pivot.Azimuth(to), TimerPct: timer} }

func judged(t testing.TB, p Problem, passes ...Pass) Result {
	t.Helper()
	r, err := Evaluate(p, Plan{Passes: passes})
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func near(t testing.TB, what string, got, want, tol float64) {
	t.Helper()
	if math.Abs(got-want) > tol || math.IsNaN(got) {
		t.Errorf("%s: got %.9g, want %.9g", what, got, want)
	}
}

// quarters is one machine over four quarters of high ground that lacks dep mm
// and uses et mm a day.
func quarters(t testing.TB, days int, et float64, dep ...float64) Problem {
	m := machine(t, "A", zone(t, "high", et, days))
	for s, d := range dep {
		m.under(t, s, 0, d)
	}
	return farm(time.UTC, days, m)
}

// By arithmetic: 90 degrees at 50 % take 10 h and 2000 m³; on 125,664 m² that is
// 15.9155 mm gross and 12.7324 mm net. Dry at 100 % 90 degrees take 5 h at 5 kW.
func TestEvaluatePass(t *testing.T) {
	p := quarters(t, 5, 6, 20, 20, 20, 20)
	r := judged(t, p, one("A", p.Now, 0, true, wet(90, 50), dry(180, 100), wet(270, 25)))
	if r.Violation != nil {
		t.Fatal(r.Violation)
	}
	ps := r.Passes[0]
	near(t, "volume", ps.VolumeM3, 200*(10+20), 1e-6)
	near(t, "pump hours", ps.PumpHours, 30, 1e-9)
	near(t, "energy", ps.EnergyKWh, 30*50+5*5, 1e-6)
	near(t, "cost", ps.Cost, 152.5+10+3*0.5, 1e-6)
	near(t, "pumping", r.Cost.Pumping, 152.5, 1e-6)
	near(t, "labour", r.Cost.Labour, 10+3*0.5, 1e-9) // a start and three legs
	near(t, "gross", ps.Legs[0].GrossMM, 15.915494309, 1e-6)
	near(t, "net", ps.Legs[0].NetMM, 12.732395447, 1e-6)
	near(t, "gross of the slower leg", ps.Legs[2].GrossMM, 31.830988618, 1e-6)
	for i, want := range []time.Duration{0, 10, 15} {
		if got := ps.Legs[i].Start.Sub(p.Now); got != want*time.Hour {
			t.Errorf("leg %d starts after %v, want %v h", i, got, want)
		}
	}
	if got := ps.End.Sub(p.Now); got != 35*time.Hour || ps.StopDeg != 270 {
		t.Errorf("ends after %v at %v", got, ps.StopDeg)
	}
}

// Two slices begin with 10 mm missing and two full; five days of 6 mm follow, no
// water. TAW is 60 and RAW 30 mm, and Ks of a day is that of the depletion it
// begins with (FAO-56 Eq. 84): the first two begin day 5 with 34 mm, so Ks is
// 26/30 and 0.8 of the 6 mm is not taken up.
func TestEvaluateGround(t *testing.T) {
	p := quarters(t, 5, 6, 10, 10, 0, 0)
	r := judged(t, p)
	z := r.Zones[0]
	near(t, "mean depletion at the end", z.EndMM, (39.2+39.2+30+30)/4, 1e-9)
	near(t, "mean unmet ET", z.DeficitMM, 0.8/2, 1e-9)
	near(t, "percolation", z.PercolationMM, 0, 1e-12)
	if z.StressDays != 1 || z.LateFrom != 3 {
		t.Errorf("stress on %d days, late from day %d; want 1 and 3 (34 mm at the end of the fourth)", z.StressDays, z.LateFrom)
	}
	const slice = math.Pi * 400 * 400 / 4
	const perMM = slice * 0.3 * 1 / 500 // area × value × Ky / seasonal ET
	near(t, "stress", r.Cost.Stress, 2*0.8*perMM, 1e-6)

	// The tail: a usual pass is RAW/0.8 = 37.5 mm gross on 502,655 m², 94 h, so four
	// days. Ks by day: 20.8/30 ... for the first two, 1, 0.8, 0.64, 0.512 for the others.
	unmet := [2]float64{24 - (4.16 + 3.328 + 2.6624 + 2.12992), 24 - (6 + 4.8 + 3.84 + 3.072)}
	owed := [2]float64{51.48032 - 24, 47.712 - 24}
	perM3 := 50*0.1/200 + 10/(37.5*4*slice/1000)
	price := perM3 * slice / 1000 / 0.8 // of a net mm on a slice
	near(t, "late, where RAW is the trigger of a bucket", r.Cost.Late, 0, 1e-6)
	near(t, "carry", r.Cost.Carry, 2*(unmet[0]+unmet[1])*perMM+2*(owed[0]+owed[1])*price, 1e-6)
	near(t, "total", r.Cost.Total, r.Cost.Stress+r.Cost.Carry, 1e-9)
}

// Water beyond the 5 mm missing drains: 12.7324 - 5 = 7.7324 mm, 12.566 ha, 0.5 a mm and hectare.
func TestEvaluatePercolation(t *testing.T) {
	p := quarters(t, 5, 6, 5, 5, 5, 5)
	r := judged(t, p, one("A", p.Now, 0, true, wet(90, 50)))
	near(t, "percolation", r.Cost.Percolation, (12.732395447-5)*12.5663706*0.5, 1e-5)
}

// The crop is stressed from RAW, the user's trigger is at 12 mm: stress as if it
// began there. The third day begins with 18 mm missing, 6 of the 48 mm beyond the
// trigger: 6/48 of its 6 mm.
func TestEvaluateLate(t *testing.T) {
	p := quarters(t, 3, 6, 6, 6, 6, 6)
	p.Machines[0].Zones[0].TriggerMM = func(taw, raw float64) float64 { return 0.2 * taw }
	r := judged(t, p)
	near(t, "late", r.Cost.Late, 4*math.Pi*400*400/4*0.3/500*6*6/48, 1e-6)
	near(t, "stress", r.Cost.Stress, 0, 1e-12)
}

// From 18:00 at 25 %: 20 h a slice. The first slice gets 6 of its 20 hours' water
// on the first day; the second begins at 14:00 on the second day and gets half of
// its water on it. The ET of a day shows what landed on it: Ks is taken after the
// day's water.
func TestEvaluateWaterLandsOnItsDay(t *testing.T) {
	p := quarters(t, 4, 6, 50, 50, 50, 50)
	p.Now = p.Now.Add(12 * time.Hour)
	r := judged(t, p, one("A", p.Now, 0, true, wet(180, 25)))
	d := 50 - 0.3*25.464790895
	d += 6 * (60 - d) / 30
	d += 6 - 0.7*25.464790895
	for range 2 {
		d += 6 * (60 - d) / 30
	}
	e := 50.0
	e += 6 * (60 - e) / 30
	for range 2 {
		e -= 0.5 * 25.464790895
		e += 6 * min(1, (60-e)/30)
	}
	e += 6 * min(1, (60-e)/30)
	f := 50.0 // never watered
	for range 4 {
		f += 6 * (60 - f) / 30
	}
	near(t, "mean depletion", r.Zones[0].EndMM, (d+e+2*f)/4, 1e-9)
}

// A pass that stops half way over a slice gives its ground half on average.
func TestEvaluatePartOfSlice(t *testing.T) {
	p := quarters(t, 1, 0, 50, 50, 50, 50)
	p.Machines[0].ArmDeg = 45
	r := judged(t, p, one("A", p.Now, 45, true, wet(135, 100)))
	if r.Violation != nil {
		t.Fatal(r.Violation)
	}
	near(t, "depletion", r.Zones[0].EndMM, 50-6.3661977237*90/360, 1e-9)
	near(t, "gross of the leg", r.Passes[0].Legs[0].GrossMM, 7.9577471546, 1e-9)
	near(t, "volume", r.Passes[0].VolumeM3, 1000, 1e-9)
}

// Counter-clockwise the slices come the other way round.
func TestEvaluateCounterClockwise(t *testing.T) {
	p := quarters(t, 3, 0, 50, 50, 50, 50)
	r := judged(t, p, one("A", p.Now, 0, false, dry(270, 100), wet(180, 20)))
	if r.Violation != nil {
		t.Fatal(r.Violation)
	}
	if got := r.Passes[0].Legs[1].Start.Sub(p.Now); got != 5*time.Hour {
		t.Errorf("the water starts after %v, want 5 h", got)
	}
	near(t, "depletion", r.Zones[0].EndMM, 50-31.830988618/4, 1e-8)
}

// The price holds by the clock: 10 h from 18:00 are 4 h at 0.2 and 6 h at 0.1.
func TestEvaluatePriceByTheHour(t *testing.T) {
	p := quarters(t, 3, 0, 50, 50, 50, 50)
	p.Wells[0].EnergyPerKWh = func(at time.Time) float64 {
		if h := at.Hour(); h >= 14 && h < 22 {
			return 0.2
		}
		return 0.1
	}
	r := judged(t, p, one("A", p.Now.Add(12*time.Hour), 0, true, wet(90, 50)))
	near(t, "pumping", r.Cost.Pumping, 50*(4*0.2+6*0.1), 1e-6)
	p.Wells[0].EnergyPerKWh, p.Wells[0].FuelPerH = nil, 12
	r = judged(t, p, one("A", p.Now.Add(12*time.Hour), 0, true, wet(90, 50), dry(180, 100)))
	near(t, "fuel", r.Cost.Pumping, 120, 1e-6)
}

// The end gun adds flow where it runs: 40 of the 90 degrees of the first slice.
func TestEvaluateEndGun(t *testing.T) {
	p := quarters(t, 3, 0, 50, 50, 50, 50)
	p.Machines[0].EndGunM3H, p.Machines[0].EndGunM = 18, 20
	p.Machines[0].EndGunArcs = []pivot.Arc{{From: 30, To: 70}}
	r := judged(t, p, one("A", p.Now, 0, true, wet(180, 50)))
	near(t, "volume", r.Passes[0].VolumeM3, 2000+10*18*40./90+2000, 1e-6)
	p.Wells[0].FlowM3H = 210
	if r = judged(t, p, one("A", p.Now, 0, true, wet(90, 50))); r.Violation == nil || r.Violation.Constraint != WellFlow {
		t.Errorf("the gun asks for 218 of 210 m³/h: got %v", r.Violation)
	}
}

// On the night when clocks go forward a day has 23 hours: a pass of 10 h that
// starts at 18:00 ends at 05:00, and 6 of its 10 hours fall on the first day.
func TestEvaluateClockChange(t *testing.T) {
	loc := central(t)
	p := quarters(t, 3, 6, 50, 50, 50, 50)
	p.Now = time.Date(2026, 3, 7, 18, 0, 0, 0, loc)
	r := judged(t, p, one("A", p.Now, 0, true, wet(90, 50)))
	if got, want := r.Passes[0].End, time.Date(2026, 3, 8, 5, 0, 0, 0, loc); !got.Equal(want) {
		t.Errorf("ends %v, want %v", got, want)
	}
	d := 50 - 0.6*12.732395447
	d += 6 * (60 - d) / 30
	d -= 0.4 * 12.732395447
	for range 2 {
		d += 6 * (60 - d) / 30
	}
	f := 50.0
	for range 3 {
		f += 6 * (60 - f) / 30
	}
	near(t, "depletion", r.Zones[0].EndMM, (d+3*f)/4, 1e-9)
	// Three calendar days from the evening of the 7th: to the end of the 9th, 53 hours.
	late := one("A", time.Date(2026, 3, 9, 14, 0, 0, 0, loc), 0, true, wet(90, 50))
	if r := judged(t, p, late); r.Violation != nil {
		t.Errorf("ends with the horizon: got %v", r.Violation)
	}
	late.Start = late.Start.Add(time.Minute)
	if r := judged(t, p, late); r.Violation == nil || r.Violation.Constraint != Horizon {
		t.Errorf("ends a minute after the horizon: got %v", r.Violation)
	}
}

// A pause shifts all that follows; water before it lands before it.
func TestEvaluatePause(t *testing.T) {
	p := quarters(t, 3, 0, 50, 50, 50, 50)
	ps := one("A", p.Now, 0, true, wet(90, 50), dry(180, 100))
	ps.Pauses = []Window{{From: p.Now.Add(4 * time.Hour), To: p.Now.Add(9 * time.Hour), Why: "load control"}}
	p.Wells[0].NoRun = []Window{{From: p.Now.Add(4 * time.Hour), To: p.Now.Add(9 * time.Hour), Why: "load control"}}
	r := judged(t, p, ps)
	if r.Violation != nil {
		t.Fatal(r.Violation)
	}
	near(t, "hours", r.Passes[0].End.Sub(p.Now).Hours(), 20, 1e-9)
	near(t, "pumping", r.Hours, 10, 1e-9)
	near(t, "labour", r.Cost.Labour, 2*10+2*0.5, 1e-9) // started twice, two legs
	near(t, "water", r.Zones[0].NetMM, 12.732395447/4, 1e-8)
}

// What the ground owes at the end is not what the table will bring.
func TestEvaluateTableFedOwesNothing(t *testing.T) {
	z := zone(t, "low", 6, 5)
	z.Column = layered(t)
	z.TableM = fill(0.75, 5)
	m := machine(t, "A", z)
	for s := range 4 {
		m.Cells = append(m.Cells, Cell{Cell: pivot.Cell{Slice: s, AreaM2: m.SliceM2[s]}, State: z.Column.Start(0, z.Demand[0], 0.75)})
	}
	r := judged(t, farm(time.UTC, 5, m))
	if r.Cost.Stress > 1e-9 || r.Cost.Carry > 0.05*4*4 { // a twentieth of a mm on each slice at most
		t.Errorf("fed from below: stress %g, carry %g", r.Cost.Stress, r.Cost.Carry)
	}
}

// Each row's plan breaks one constraint and no other: with the one thing put
// right it is feasible.
func TestConstraints(t *testing.T) {
	type change func(*Problem, *[]Pass)
	base := func() (Problem, []Pass) {
		a := machine(t, "A", zone(t, "high", 6, 4))
		b := machine(t, "B", zone(t, "high", 6, 4))
		for s := range 4 {
			a.under(t, s, 0, 20)
			b.under(t, s, 0, 20)
		}
		p := farm(time.UTC, 4, a, b)
		return p, []Pass{one("A", p.Now.Add(2*time.Hour), 0, true, wet(90, 50), dry(180, 100))}
	}
	add := func(h int) time.Duration { return time.Duration(h) * time.Hour }
	rows := []struct {
		name   string
		want   Constraint
		change change
	}{
		{"before now", Busy, func(p *Problem, ps *[]Pass) { (*ps)[0].Start = p.Now.Add(-time.Minute) }},
		{"still running", Busy, func(p *Problem, ps *[]Pass) { p.Machines[0].FreeAt = p.Now.Add(add(3)) }},
		{"two passes at once", Busy, func(p *Problem, ps *[]Pass) {
			*ps = append(*ps, one("A", p.Now.Add(add(10)), 180, true, dry(270, 100)))
		}},
		{"arm elsewhere", ArmElsewhere, func(p *Problem, ps *[]Pass) { p.Machines[0].ArmDeg = 10 }},
		{"second pass from elsewhere", ArmElsewhere, func(p *Problem, ps *[]Pass) {
			*ps = append(*ps, one("A", p.Now.Add(add(30)), 90, true, dry(270, 100)))
		}},
		{"one way only", Direction, func(p *Problem, ps *[]Pass) {
			p.Machines[0].Reversible = false
			(*ps)[0] = one("A", p.Now.Add(add(2)), 0, false, wet(270, 50))
		}},
		{"too many legs", LegCount, func(p *Problem, ps *[]Pass) { p.Machines[0].MaxLegs = 1 }},
		{"no legs", LegCount, func(p *Problem, ps *[]Pass) { (*ps)[0].Legs = nil }},
		{"legs apart", LegsApart, func(p *Problem, ps *[]Pass) { (*ps)[0].Legs[1].FromDeg = 100 }},
		{"too slow", TimerRange, func(p *Problem, ps *[]Pass) { p.Machines[0].TimerMinPct = 51 }},
		{"too fast", TimerRange, func(p *Problem, ps *[]Pass) { p.Machines[0].TimerMaxPct = 99 }},
		{"past the stop", Stops, func(p *Problem, ps *[]Pass) { p.Machines[0].Stops = &pivot.Arc{From: 0, To: 170} }},
		{"the wrong way from the stop", Stops, func(p *Problem, ps *[]Pass) {
			p.Machines[0].Stops = &pivot.Arc{From: 0, To: 350}
			(*ps)[0] = one("A", p.Now.Add(add(2)), 0, false, wet(270, 50))
		}},
		{"through the barrier", Stops, func(p *Problem, ps *[]Pass) {
			p.Machines[0].Stops = &pivot.Arc{From: 90, To: 90}
		}},
		{"too deep", PassDepth, func(p *Problem, ps *[]Pass) { p.Machines[0].MaxGrossMM = 15.9 }},
		{"pause outside", BadPause, func(p *Problem, ps *[]Pass) {
			(*ps)[0].Pauses = []Window{{From: p.Now, To: p.Now.Add(add(1))}}
		}},
		{"pause backwards", BadPause, func(p *Problem, ps *[]Pass) {
			(*ps)[0].Pauses = []Window{{From: p.Now.Add(add(5)), To: p.Now.Add(add(4))}}
		}},
		{"stands for more than a day", LongStand, func(p *Problem, ps *[]Pass) {
			(*ps)[0].Pauses = []Window{{From: p.Now.Add(add(5)), To: p.Now.Add(add(30))}}
		}},
		{"after the horizon", Horizon, func(p *Problem, ps *[]Pass) { (*ps)[0].Start = p.Now.Add(add(80)) }},
		{"moves in no-run hours", MachineNoRun, func(p *Problem, ps *[]Pass) {
			p.Machines[0].NoRun = []Window{{From: p.Now.Add(add(13)), To: p.Now.Add(add(14)), Why: "geese"}}
		}},
		{"pumps in no-run hours", WellNoRun, func(p *Problem, ps *[]Pass) {
			p.Wells[0].NoRun = []Window{{From: p.Now.Add(add(11)), To: p.Now.Add(add(30)), Why: "load control"}}
		}},
		{"no-water period of the machine", NoWaterTime, func(p *Problem, ps *[]Pass) {
			p.Machines[0].NoWater = []Window{{From: p.Now.Add(add(11)), To: p.Now.Add(add(30)), Why: "spray"}}
		}},
		{"no-water period of the field", NoWaterTime, func(p *Problem, ps *[]Pass) {
			p.Machines[0].Zones[0].NoWater = []Window{{From: p.Now, To: p.Now.Add(add(3)), Why: "cut"}}
		}},
		{"well too small for both", WellFlow, func(p *Problem, ps *[]Pass) {
			*ps = append(*ps, one("B", p.Now.Add(add(11)), 0, true, wet(90, 50)))
		}},
		{"well too small for one", WellFlow, func(p *Problem, ps *[]Pass) { p.Wells[0].FlowM3H = 199 }},
		{"well still serves a running pass", WellFlow, func(p *Problem, ps *[]Pass) {
			p.Machines[1].FreeAt, p.Machines[1].RunningM3H = p.Now.Add(add(3)), 200
		}},
		{"too many hours a day", DailyHours, func(p *Problem, ps *[]Pass) { p.Wells[0].MaxHoursPerDay = 9.5 }},
		{"too many hours with those of this morning", DailyHours, func(p *Problem, ps *[]Pass) {
			p.Wells[0].MaxHoursPerDay, p.Wells[0].HoursToday = 12, 3
		}},
		{"too many hours with those of a trip entered ahead", DailyHours, func(p *Problem, ps *[]Pass) {
			p.Wells[0].MaxHoursPerDay = 11
			p.Machines[1].FreeAt = p.Now.Add(add(16))
			p.Machines[1].Recorded = []Draw{{p.Now.Add(add(13)), p.Now.Add(add(16)), 1}}
		}},
		{"well serves a trip entered ahead", WellFlow, func(p *Problem, ps *[]Pass) {
			p.Machines[1].FreeAt = p.Now.Add(add(16))
			p.Machines[1].Recorded = []Draw{{p.Now.Add(add(3)), p.Now.Add(add(4)), 200}}
		}},
		{"season's limit", SeasonVolume, func(p *Problem, ps *[]Pass) { p.Wells[0].SeasonM3Left = 1999 }},
	}
	p, passes := base()
	if r := judged(t, p, passes...); r.Violation != nil {
		t.Fatalf("the plan that the rows change: %v", r.Violation)
	}
	seen := map[Constraint]bool{}
	for _, row := range rows {
		p, passes := base()
		row.change(&p, &passes)
		r := judged(t, p, passes...)
		if r.Violation == nil || r.Violation.Constraint != row.want {
			t.Errorf("%s: got %v, want %v", row.name, r.Violation, row.want)
			continue
		}
		if r.Violation.Error() == "" || strings.Contains(r.Violation.Error(), "unknown") {
			t.Errorf("%s: message %q", row.name, r.Violation.Error())
		}
		seen[row.want] = true
	}
	for c := Busy; c <= SeasonVolume; c++ {
		if !seen[c] {
			t.Errorf("no row breaks %v", c)
		}
	}
}

// The windows do not bite where they need not: dry walking in the well's no-run
// hours and over ground that may not be watered; a neighbour field's no-water
// period; two machines at once on a well that is large enough.
func TestConstraintsLeaveRoom(t *testing.T) {
	m := machine(t, "A", zone(t, "high", 6, 4), zone(t, "other field", 6, 4))
	m.under(t, 0, 0, 20)
	m.under(t, 1, 1, 20)
	m2 := machine(t, "B", zone(t, "high", 6, 4))
	m2.under(t, 0, 0, 20)
	p := farm(time.UTC, 4, m, m2)
	h := func(h float64) time.Time { return p.Now.Add(time.Duration(h * float64(time.Hour))) }
	p.Wells[0].NoRun = []Window{{From: h(10), To: h(15)}}
	p.Machines[0].Zones[1].NoWater = []Window{{From: h(0), To: h(60)}}
	p.Wells[0].FlowM3H = 400
	p.Wells[0].MaxHoursPerDay = 10
	r := judged(t, p, one("A", p.Now, 0, true, wet(90, 50), dry(180, 100)), one("B", p.Now, 0, true, wet(90, 50)))
	if r.Violation != nil {
		t.Error(r.Violation)
	}
}

// A part circle between two stops, and one that a barrier closes.
func TestPartCircleTurnsBack(t *testing.T) {
	p := quarters(t, 5, 0, 50, 50, 50, 50)
	p.Machines[0].Stops = &pivot.Arc{From: 45, To: 315}
	p.Machines[0].ArmDeg = 45
	r := judged(t, p,
		one("A", p.Now, 45, true, wet(315, 50)),
		one("A", p.Now.Add(40*time.Hour), 315, false, wet(45, 50)))
	if r.Violation != nil {
		t.Error(r.Violation)
	}
	p.Machines[0].Stops = &pivot.Arc{From: 45, To: 45}
	r = judged(t, p,
		one("A", p.Now, 45, true, wet(45, 50)),
		one("A", p.Now.Add(45*time.Hour), 45, false, wet(45, 50)))
	if r.Violation != nil {
		t.Error(r.Violation)
	}
	r = judged(t, p,
		one("A", p.Now, 45, true, wet(45, 50)),
		one("A", p.Now.Add(45*time.Hour), 45, true, wet(90, 50)))
	if r.Violation == nil || r.Violation.Constraint != Stops {
		t.Errorf("on through the barrier: got %v", r.Violation)
	}
}

// Plans and problems that make no sense are errors, not verdicts.
func TestEvaluateErrors(t *testing.T) {
	rows := []struct {
		name   string
		change func(*Problem, *Pass)
		want   string
	}{
		{"another farm's machine", func(p *Problem, ps *Pass) { ps.Pivot = "Z" }, `no machine "Z"`},
		{"no timer", func(p *Problem, ps *Pass) { ps.Legs[0].TimerPct = 0 }, "timer above 0"},
		{"no start", func(p *Problem, ps *Pass) { ps.Start = time.Time{} }, "not given"},
		{"no days", func(p *Problem, ps *Pass) { p.Days = 0 }, "horizon of 0 days"},
		{"no well", func(p *Problem, ps *Pass) { p.Wells = nil }, `no well "W"`},
		{"two wells of a name", func(p *Problem, ps *Pass) { p.Wells = append(p.Wells, p.Wells[0]) }, "two wells"},
		{"two machines of a name", func(p *Problem, ps *Pass) { p.Machines = append(p.Machines, p.Machines[0]) }, "two machines"},
		{"slices that do not fit", func(p *Problem, ps *Pass) { p.Machines[0].SliceDeg = 7 }, "make up a circle"},
		{"too few slices", func(p *Problem, ps *Pass) { p.Machines[0].SliceM2 = fill(1.0, 3) }, "3 slice areas"},
		{"cell of no zone", func(p *Problem, ps *Pass) { p.Machines[0].Cells[0].Zone = 5 }, "zone 5 of 1"},
		{"too few days of demand", func(p *Problem, ps *Pass) { p.Machines[0].Zones[0].Demand = nil }, "demand"},
		{"a hole in the rain", func(p *Problem, ps *Pass) { p.Machines[0].Zones[0].RainMM[1] = math.NaN() }, "number is missing"},
		{"value without ET", func(p *Problem, ps *Pass) { p.Machines[0].Zones[0].SeasonETMM = 0 }, "cost of stress"},
	}
	for _, row := range rows {
		p := quarters(t, 3, 6, 20, 20, 20, 20)
		ps := one("A", p.Now, 0, true, wet(90, 50))
		row.change(&p, &ps)
		_, err := Evaluate(p, Plan{Passes: []Pass{ps}})
		if err == nil || !strings.Contains(err.Error(), row.want) {
			t.Errorf("%s: got %v, want %q", row.name, err, row.want)
		}
	}
}

// With a plan that is fixed, more rain and cheaper energy never cost more.
func TestEvaluateMonotone(t *testing.T) {
	p := quarters(t, 6, 6, 5, 15, 25, 35)
	plan := []Pass{one("A", p.Now.Add(20*time.Hour), 0, true, wet(180, 40), wet(0, 20))}
	p.Prices.LeachedPerMM_ha = 0 // rain that drains takes nitrogen along, whoever plans
	last := math.Inf(1)
	for mm := 0.0; mm < 30; mm += 1.5 {
		p.Machines[0].Zones[0].RainMM[3] = mm
		r := judged(t, p, plan...)
		if r.Cost.Total > last+1e-9 {
			t.Errorf("%g mm of rain cost %g, less rain %g", mm, r.Cost.Total, last)
		}
		last = r.Cost.Total
	}
	for price := 0.10; price > 0; price -= 0.01 {
		p.Wells[0].EnergyPerKWh = func(at time.Time) float64 {
			if at.Hour() >= 20 {
				return price
			}
			return 0.1
		}
		r := judged(t, p, plan...)
		if r.Cost.Total > last+1e-9 {
			t.Errorf("nights at %g cost %g, dearer ones %g", price, r.Cost.Total, last)
		}
		last = r.Cost.Total
	}
}
