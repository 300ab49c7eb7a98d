package runplan

// This file tests the planner: small plans that can be checked by hand, and
// what must hold of every plan.

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"sandwick/pivot"
	"sandwick/soilwater"
)

// checked plans and sees to it that the evaluator agrees.
func checked(t testing.TB, p Problem) Plan {
	t.Helper()
	pl := plan(t, p)
	r, err := Evaluate(p, pl)
	if err != nil {
		t.Fatal(err)
	}
	if r.Violation != nil {
		show(t, pl)
		t.Fatalf("infeasible: %v", r.Violation)
	}
	if math.Abs(r.Cost.Total-pl.Cost.Total) > 1e-9*(1+math.Abs(r.Cost.Total)) {
		t.Errorf("the plan says it costs %v, the evaluator %v", pl.Cost.Total, r.Cost.Total)
	}
	return pl
}

// Two quarters of high ground lack 20 mm and use 6 a day, RAW is 30: due 40 hours
// after midnight. The low half uses next to nothing and is not watered. By hand:
// timer 31.9 % leaves 20.0 mm net (6.3662/0.319), all that is missing this
// morning; the arm comes to the second quarter late in the evening, when most of
// its water falls on tomorrow, with 26 mm missing: 24.5 % leaves 25.98. And so on,
// back and forth, every five days. The planner may do no worse.
func TestPlanByHand(t *testing.T) {
	m := machine(t, "A", zone(t, "high", 6, 10), zone(t, "low", 0.5, 10))
	m.under(t, 0, 0, 20)
	m.under(t, 1, 0, 20)
	m.under(t, 2, 1, 5)
	m.under(t, 3, 1, 5)
	p := farm(time.UTC, 10, m)
	pl := checked(t, p)
	hand := judged(t, p, one("A", p.Now, 0, true, wet(90, 31.9), wet(180, 24.5)),
		one("A", p.Now.Add(4*24*time.Hour), 180, false, wet(90, 29), wet(0, 21)))
	if hand.Violation != nil || hand.Cost.Stress > 10 {
		t.Fatalf("the plan by hand: %v, %+v", hand.Violation, hand.Cost)
	}
	if pl.Cost.Total > hand.Cost.Total {
		show(t, pl)
		t.Errorf("costs %g, by hand %+v", pl.Cost.Total, hand.Cost)
	}
	ps := pl.Passes[0]
	if w := ps.Why; w.Code != Due || w.Zone != "high" || w.Date.Day != 7 || w.DepletionMM != 20 || math.Abs(w.TriggerMM-30) > 1e-9 {
		t.Errorf("why: %+v", w)
	}
	hi, lo := pl.Zones[0], pl.Zones[1]
	if hi.Decision != Water || hi.Why.Code != Due || hi.FirstWater.After(p.Now.Add(40*time.Hour)) {
		t.Errorf("high: %+v", hi)
	}
	near(t, "days left", hi.DaysLeftMin, 34./24, 1e-9)
	if lo.Decision != Skip || lo.Why.Code != NotDue || !math.IsInf(lo.DaysLeftMin, 1) {
		t.Errorf("low: %+v", lo)
	}
	for _, ps := range pl.Passes {
		for _, l := range ps.Legs {
			if a := (pivot.Arc{From: 180, To: 0}); l.Water && pivot.Swept(l.FromDeg, l.ToDeg, ps.Clockwise).Shared(a) > 0 {
				t.Errorf("waters low ground: %+v", l)
			}
		}
	}
}

// Nothing is due: nothing is run, and each zone says what keeps it.
func TestPlanNothingToDo(t *testing.T) {
	slow, fed, rain := zone(t, "slow", 1, 6), zone(t, "fed", 6, 6), zone(t, "rain", 4, 6)
	fed.Column = layered(t)
	fed.TableM = fill(0.75, 6)
	rain.RainMM = fill(4.0, 6)
	m := machine(t, "A", slow, fed, rain)
	m.under(t, 0, 0, 5)
	m.Cells = append(m.Cells, Cell{Cell: pivot.Cell{Slice: 1, Zone: 1, AreaM2: m.SliceM2[1]}, State: fed.Column.Start(0, fed.Demand[0], 0.75)})
	m.under(t, 2, 2, 5)
	pl := checked(t, farm(time.UTC, 6, m))
	if len(pl.Passes) != 0 || len(pl.Idle) != 1 || pl.Idle[0].Pivot != "A" {
		show(t, pl)
		t.Fatal("nothing should run")
	}
	for i, want := range []ReasonCode{NotDue, TableFed, RainComes} {
		if z := pl.Zones[i]; z.Decision != Skip || z.Why.Code != want {
			t.Errorf("%s: %s because of %v, want skip because of %v", z.Zone, z.Decision, z.Why.Code, want)
		}
	}
}

// A refill leaves room for the rain that is expected: 22 mm are missing on the
// day of the pass, 12 mm of rain come the day after, 6 are used until then.
func TestPlanLeavesRoomForRain(t *testing.T) {
	p := quarters(t, 6, 6, 22, 22, 22, 22)
	p.Machines[0].Zones[0].RainMM[1] = 12
	pl := checked(t, p)
	if len(pl.Passes) == 0 {
		t.Fatal("no pass")
	}
	r := judged(t, p, pl.Passes...)
	near(t, "percolation", r.Zones[0].PercolationMM, 0, 0.3)
}

// The last slice gets its water long after the first: the pass starts in time
// for both. 60 mm TAW, RAW 30, 5 mm a day, machine slow.
func TestPlanStartsInTime(t *testing.T) {
	for _, dep := range []float64{5, 10, 15} {
		p := quarters(t, 10, 5, dep, dep, dep, dep)
		pl := checked(t, p)
		r := judged(t, p, pl.Passes...)
		if z := r.Zones[0]; z.StressDays != 0 || z.WorstMM > 5.5 {
			show(t, pl)
			t.Errorf("from %g mm missing: stress on %d days, %g mm past the trigger", dep, z.StressDays, z.WorstMM)
		}
	}
}

// One well for two machines, enough for one (checked sees to that): the more
// urgent first. A well for both lets both run.
func TestPlanSharedWell(t *testing.T) {
	a := machine(t, "A", zone(t, "high", 6, 8))
	b := machine(t, "B", zone(t, "high", 6, 8))
	for s := range 2 {
		a.under(t, s, 0, 15)
		b.under(t, s, 0, 29)
	}
	p := farm(time.UTC, 8, a, b)
	pl := checked(t, p)
	if len(pl.Passes) < 2 || pl.Passes[0].Pivot != "B" {
		show(t, pl)
		t.Fatal("B is drier and goes first")
	}
	p.Wells[0].FlowM3H = 400
	pl = checked(t, p)
	if !slices.ContainsFunc(pl.Passes[1:], func(ps Pass) bool { return ps.Start.Before(pl.Passes[0].End) }) {
		show(t, pl)
		t.Error("a well for both lets both run at once")
	}
}

// In no-run hours the machine stands and goes on after.
func TestPlanNoRunHours(t *testing.T) {
	p := quarters(t, 8, 6, 26, 26, 26, 26)
	for k := range 9 {
		day := time.Date(2026, 7, 6+k, 14, 0, 0, 0, time.UTC)
		p.Wells[0].NoRun = append(p.Wells[0].NoRun, Window{From: day, To: day.Add(5 * time.Hour), Why: "load control"})
	}
	pl := checked(t, p)
	if len(pl.Passes) == 0 || len(pl.Passes[0].Pauses) == 0 || pl.Passes[0].Pauses[0].Why != "load control" {
		show(t, pl)
		t.Fatal("the pass should stand through load control")
	}
}

// Before the dry days of a cut the ground is filled, on them nothing is watered,
// and after them it goes on.
func TestPlanDryDaysBeforeCut(t *testing.T) {
	p := quarters(t, 10, 5, 10, 10, 0, 0)
	from, to := time.Date(2026, 7, 9, 0, 0, 0, 0, time.UTC), time.Date(2026, 7, 13, 0, 0, 0, 0, time.UTC)
	p.Machines[0].Zones[0].NoWater = []Window{{From: from, To: to, Why: "cut"}}
	pl := checked(t, p)
	before, after := false, false
	for i := range pl.Passes {
		before = before || pl.Passes[i].Start.Before(from)
		after = after || !pl.Passes[i].End.Before(to)
	}
	if !before || !after {
		show(t, pl)
		t.Errorf("water before the dry days: %t, after: %t", before, after)
	}
}

// A part circle goes to its stop and comes back.
func TestPlanPartCircle(t *testing.T) {
	p := quarters(t, 12, 7, 20, 20, 20, 0)
	m := &p.Machines[0]
	m.Stops = &pivot.Arc{From: 0, To: 270}
	m.SliceM2[3] = 0
	m.Cells = m.Cells[:3]
	pl := checked(t, p)
	cw, ccw := 0, 0
	for i := range pl.Passes {
		if pl.Passes[i].Clockwise {
			cw++
		} else {
			ccw++
		}
	}
	if cw == 0 || ccw == 0 {
		show(t, pl)
		t.Errorf("%d passes clockwise, %d back", cw, ccw)
	}
}

// Too much ground for one machine: what falls behind is said, and when.
func TestPlanSaysWhatFallsBehind(t *testing.T) {
	p := quarters(t, 6, 9, 28, 28, 28, 28)
	pl := checked(t, p)
	if len(pl.Behind) != 1 || pl.Behind[0].Zone != "high" || pl.Behind[0].WorstMM < 5 {
		show(t, pl)
		t.Fatalf("behind: %+v", pl.Behind)
	}
}

// Machines that cannot run say why.
func TestPlanIdleReasons(t *testing.T) {
	rows := []struct {
		name   string
		change func(*Problem)
		want   ReasonCode
	}{
		{"the well gives too little", func(p *Problem) { p.Wells[0].FlowM3H = 150 }, FlowShort},
		{"the season's limit is used up", func(p *Problem) { p.Wells[0].SeasonM3Left = 0 }, SeasonLimit},
		{"no water all the time", func(p *Problem) {
			p.Machines[0].NoWater = []Window{{From: p.Now.Add(-time.Hour), To: p.Now.AddDate(0, 0, 9), Why: "spray"}}
		}, NoWaterPeriod},
		{"no running all the time", func(p *Problem) {
			p.Machines[0].NoRun = []Window{{From: p.Now.Add(-time.Hour), To: p.Now.AddDate(0, 0, 9), Why: "broken"}}
		}, NoRunHours},
		{"no pumping hours", func(p *Problem) { p.Wells[0].MaxHoursPerDay = 0 }, DailyLimit},
		{"no ground", func(p *Problem) { p.Machines[0].Cells = nil }, NoGround},
	}
	for _, row := range rows {
		p := quarters(t, 6, 6, 25, 25, 25, 25)
		row.change(&p)
		pl := checked(t, p)
		if len(pl.Passes) != 0 || len(pl.Idle) != 1 || pl.Idle[0].Why.Code != row.want {
			t.Errorf("%s: %d passes, idle %+v", row.name, len(pl.Passes), pl.Idle)
		}
	}
}

// Ground whose crop has no price is watered by its trigger all the same.
func TestPlanWithoutCropValue(t *testing.T) {
	p := quarters(t, 8, 6, 25, 25, 25, 25)
	p.Machines[0].Zones[0].YieldValuePerM2 = 0
	pl := checked(t, p)
	r := judged(t, p, pl.Passes...)
	if len(pl.Passes) == 0 || r.Zones[0].Priced || r.Cost.Stress != 0 {
		t.Errorf("%d passes, %+v", len(pl.Passes), r.Zones[0])
	}
}

// The same problem gives the same plan, also across a clock change, and the
// context's end ends the search with a plan that can be run.
func TestPlanDeterministicAndAnytime(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 5))
	p := randomFarm(t, rng, central(t))
	a, b := fmt.Sprintf("%+v", checked(t, p)), fmt.Sprintf("%+v", checked(t, p))
	if a != b {
		t.Error("two plans for one problem")
	}
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	pl, err := Make(ctx, p)
	if err != nil || !pl.Search.TimedOut {
		t.Fatalf("timed out: %t, %v", pl.Search.TimedOut, err)
	}
	if r := judged(t, p, pl.Passes...); r.Violation != nil {
		t.Error(r.Violation)
	}
}

// randomFarm is any farm that the planner may meet, small.
func randomFarm(t testing.TB, rng *rand.Rand, loc *time.Location) Problem {
	pick := func(p float64) bool { return rng.Float64() < p }
	days := 3 + rng.IntN(9)
	p := farm(loc, days)
	p.Now = []time.Time{
		time.Date(2026, 3, 5, 6, 7, 0, 0, loc), time.Date(2026, 10, 30, 22, 40, 0, 0, loc), time.Date(2026, 7, 6, 6, 0, 0, 0, loc),
	}[rng.IntN(3)]
	start := func(h float64) time.Time { return p.Now.Add(time.Duration(h * float64(time.Hour))) }
	p.Wells = nil
	for k := range 1 + rng.IntN(2) {
		w := Well{
			Name: fmt.Sprint("W", k), FlowM3H: 230 + 300*rng.Float64(), SeasonM3Left: math.Inf(1), MaxHoursPerDay: 24,
			EnergyPerKWh: func(at time.Time) float64 { return 0.08 + 0.06*float64(at.Hour()/12) },
		}
		if pick(0.3) {
			for d := range days {
				w.NoRun = append(w.NoRun, Window{From: start(float64(24*d) + 8), To: start(float64(24*d) + 12), Why: "load control"})
			}
		}
		if pick(0.2) {
			w.MaxHoursPerDay = 8 + 12*rng.Float64()
			w.HoursToday = 10 * rng.Float64()
		}
		if pick(0.2) {
			w.SeasonM3Left = 12000 * rng.Float64()
		}
		if pick(0.2) {
			w.FuelPerH, w.EnergyPerKWh = 15, nil
		}
		p.Wells = append(p.Wells, w)
	}
	for k := range 1 + rng.IntN(3) {
		var zones []Zone
		for range 1 + rng.IntN(3) {
			z := zone(t, fmt.Sprint("zone ", len(zones)), 2+6*rng.Float64(), days)
			if pick(0.4) {
				z.Column = layered(t)
				z.TableM = fill(0.6+1.5*rng.Float64(), days)
			}
			for d := range days {
				if pick(0.2) {
					z.RainMM[d] = 15 * rng.Float64()
				}
			}
			if pick(0.2) {
				z.TriggerMM = func(taw, raw float64) float64 { return 0.35 * taw }
			}
			if pick(0.15) {
				from := 24 * float64(rng.IntN(days))
				z.NoWater = []Window{{From: start(from), To: start(from + 48), Why: "dry for the cut"}}
			}
			zones = append(zones, z)
		}
		m := machine(t, fmt.Sprint("M", k), zones...)
		m.Well = p.Wells[rng.IntN(len(p.Wells))].Name
		m.SliceDeg = 30
		m.SliceM2 = fill(math.Pi*400*400/12, 12)
		m.FlowM3H = 150 + 80*rng.Float64()
		m.HoursAtFull = 8 + 14*rng.Float64()
		m.MaxLegs = 1 + rng.IntN(8)
		m.MaxGrossMM = 15 + 40*rng.Float64()
		m.TimerMinPct = 4 + 10*rng.Float64()
		m.ArmDeg = pivot.Azimuth(rng.IntN(360))
		m.Reversible = pick(0.7)
		if pick(0.3) {
			m.Reversible = true
			m.Stops = &pivot.Arc{From: 30, To: 300}
			m.ArmDeg = pivot.Azimuth(30 + rng.IntN(270))
			m.SliceM2[0], m.SliceM2[10], m.SliceM2[11] = 0, 0, 0
		}
		if pick(0.3) {
			m.EndGunM3H, m.EndGunM, m.EndGunArcs = 20, 20, []pivot.Arc{{From: 50, To: 100}}
		}
		if pick(0.2) {
			m.FreeAt, m.RunningM3H = start(10*rng.Float64()), 100
		}
		if pick(0.2) {
			m.NoRun = []Window{{From: start(20), To: start(40), Why: "field work"}}
		}
		for s := range 12 {
			if m.SliceM2[s] == 0 {
				continue
			}
			left := 1.0
			for z := range m.Zones {
				share := left
				if z < len(m.Zones)-1 {
					share *= 0.1 + 0.8*rng.Float64()
				}
				left -= share
				zn := &m.Zones[z]
				m.Cells = append(m.Cells, Cell{
					Cell:  pivot.Cell{Slice: s, Zone: z, AreaM2: m.SliceM2[s] * share},
					State: zn.Column.Start(rng.Float64()*0.6, zn.Demand[0], zn.TableM[0]),
				})
			}
		}
		p.Machines = append(p.Machines, m)
	}
	return p
}

// Whatever the farm, the plan breaks no constraint; what it costs is what the
// evaluator says; and all water has a reason.
func TestPlanAlwaysFeasible(t *testing.T) {
	loc := central(t)
	for seed := range uint64(12) {
		rng := rand.New(rand.NewPCG(seed, 1))
		p := randomFarm(t, rng, loc)
		pl := checked(t, p)
		if t.Failed() {
			t.Fatalf("seed %d", seed)
		}
		if pl.Search.Bound > pl.Cost.Total*(1+1e-9) || pl.Search.Bound < 0 {
			t.Errorf("seed %d: costs %g, less than the bound, %g", seed, pl.Cost.Total, pl.Search.Bound)
		}
		for i := range pl.Passes {
			for _, l := range pl.Passes[i].Legs {
				if l.Water && l.Why.Code != Due && l.Why.Code != JoinLegs {
					t.Errorf("seed %d: %s waters %v to %v because of %v", seed, pl.Passes[i].Pivot, l.FromDeg, l.ToDeg, l.Why.Code)
				}
			}
		}
	}
}

// turned is a farm with all that stands on it turned clockwise by so many slices.
func turned(p Problem, by int) Problem {
	p.Machines = slices.Clone(p.Machines)
	for i := range p.Machines {
		m := &p.Machines[i]
		turn := func(a pivot.Azimuth) pivot.Azimuth { return (a + pivot.Azimuth(float64(by)*m.SliceDeg)).Norm() }
		n := len(m.SliceM2)
		m.ArmDeg = turn(m.ArmDeg)
		if m.Stops != nil {
			m.Stops = &pivot.Arc{From: turn(m.Stops.From), To: turn(m.Stops.To)}
		}
		m.EndGunArcs = slices.Clone(m.EndGunArcs)
		for k, arc := range m.EndGunArcs {
			m.EndGunArcs[k] = pivot.Arc{From: turn(arc.From), To: turn(arc.To)}
		}
		m2 := make([]float64, n)
		for s, a := range m.SliceM2 {
			m2[(s+by)%n] = a
		}
		m.SliceM2 = m2
		m.Cells = slices.Clone(m.Cells)
		for k := range m.Cells {
			m.Cells[k].Slice = (m.Cells[k].Slice + by) % n
		}
	}
	return p
}

// Turned by any number of slices, the farm gets the same plan, turned: farms of
// few slices, and of so many that the search joins them.
func TestPlanRotation(t *testing.T) {
	loc := central(t)
	for seed := range uint64(9) {
		rng := rand.New(rand.NewPCG(seed, 2))
		var p Problem
		if seed < 7 {
			p = randomFarm(t, rng, loc)
		} else {
			p = farm(loc, 10, circle72(t, "A", seed), circle72(t, "B", seed+10))
		}
		by := 1 + rng.IntN(len(p.Machines[0].SliceM2)-1)
		turn := pivot.Azimuth(float64(by) * p.Machines[0].SliceDeg)
		a, b := checked(t, p), checked(t, turned(p, by))
		if len(a.Passes) != len(b.Passes) {
			t.Errorf("seed %d: %d passes, turned %d", seed, len(a.Passes), len(b.Passes))
			continue
		}
		near(t, fmt.Sprint("seed ", seed, ": cost"), b.Cost.Total, a.Cost.Total, 1e-6*a.Cost.Total)
		for i := range a.Passes {
			x, y := &a.Passes[i], &b.Passes[i]
			if x.Pivot != y.Pivot || !x.Start.Equal(y.Start) || x.Clockwise != y.Clockwise || len(x.Legs) != len(y.Legs) {
				t.Errorf("seed %d: pass %d differs", seed, i)
				break
			}
			for k := range x.Legs {
				u, v := &x.Legs[k], &y.Legs[k]
				if d := (u.ToDeg + turn).Norm().Clockwise(v.ToDeg); min(d, 360-d) > 1e-6 || u.Water != v.Water || math.Abs(u.TimerPct-v.TimerPct) > 1e-9 {
					t.Errorf("seed %d: pass %d leg %d differs", seed, i, k)
				}
			}
		}
	}
}

// A zone drawn as two halves gets the same plan.
func TestPlanSplitZone(t *testing.T) {
	loc := central(t)
	for seed := range uint64(7) {
		rng := rand.New(rand.NewPCG(seed, 3))
		p := randomFarm(t, rng, loc)
		q := p
		q.Machines = slices.Clone(p.Machines)
		m := &q.Machines[0]
		m.Zones = append(slices.Clone(m.Zones), m.Zones[0])
		m.Zones[len(m.Zones)-1].Name = "other half"
		m.Cells = nil
		for _, c := range p.Machines[0].Cells {
			if c.Zone == 0 {
				c.AreaM2 /= 2
				h := c
				h.Zone = len(m.Zones) - 1
				m.Cells = append(m.Cells, c, h)
				continue
			}
			m.Cells = append(m.Cells, c)
		}
		a, b := checked(t, p), checked(t, q)
		near(t, fmt.Sprint("seed ", seed, ": cost"), b.Cost.Total, a.Cost.Total, 1e-6*a.Cost.Total)
		if len(a.Passes) != len(b.Passes) {
			t.Errorf("seed %d: %d passes, split %d", seed, len(a.Passes), len(b.Passes))
		}
	}
}

// circle72 is a machine of 72 slices over four zones of layered field sand, two
// with a table that feeds them, in states that its last passes left.
func circle72(t testing.TB, name string, seed uint64) Machine {
	rng := rand.New(rand.NewPCG(seed, 9))
	col := layered(t)
	var zones []Zone
	for _, table := range []float64{math.Inf(1), 2.4, 1.5, 0.9} {
		z := zone(t, fmt.Sprint("table ", table), 6.5, 10)
		z.Column, z.TableM = col, fill(table, 10)
		z.Demand = fill(soilwater.Demand{EToMM: 6, Kcb: 1.05, KcMax: 1.2, Cover: 0.9, P: 0.45, RootM: 0.6}, 10)
		z.RainMM[5], z.RainMM[6] = 3, 2
		zones = append(zones, z)
	}
	m := machine(t, name, zones...)
	m.SliceDeg, m.SliceM2, m.MaxLegs, m.HoursAtFull = 5, fill(math.Pi*400*400/72, 72), 8, 14
	for s := range 72 {
		k := s / 18
		for i, share := range [...]float64{0.7, 0.3} {
			if rng.IntN(4) == 0 {
				continue
			}
			z := (k + i) % 4
			zn := &m.Zones[z]
			m.Cells = append(m.Cells, Cell{
				Cell:  pivot.Cell{Slice: s, Zone: z, AreaM2: m.SliceM2[s] * share},
				State: zn.Column.Start(0.1+0.02*float64(s/6), zn.Demand[0], zn.TableM[0]),
			})
		}
	}
	slices.SortFunc(m.Cells, func(a, b Cell) int { return (a.Slice-b.Slice)*10 + a.Zone - b.Zone })
	return m
}

func BenchmarkEvaluate(b *testing.B) {
	p := farm(time.UTC, 10, circle72(b, "A", 1))
	pl := plan(b, p)
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Evaluate(p, pl); err != nil {
			b.Fatal(err)
		}
	}
}

// One machine, 72 slices, ten days.
func BenchmarkMakeOneMachine(b *testing.B) {
	p := farm(time.UTC, 10, circle72(b, "A", 1))
	b.ReportAllocs()
	for b.Loop() {
		plan(b, p)
	}
}

// farmOf is so many machines of so many slices on wells of two to four, for some days.
func farmOf(t testing.TB, machines, wells, slots, days int) Problem {
	var ms []Machine
	for i := range machines {
		m := circle72(t, fmt.Sprint("M", i), uint64(i+1))
		m.Well = fmt.Sprint("W", i%wells)
		if slots != 72 {
			by := 72 / slots
			m.SliceDeg, m.SliceM2 = 360/float64(slots), fill(math.Pi*400*400/float64(slots), slots)
			m.Cells = slices.DeleteFunc(m.Cells, func(c Cell) bool { return c.Slice%by != 0 })
			for k := range m.Cells {
				m.Cells[k].Slice /= by
				m.Cells[k].AreaM2 *= float64(by)
			}
		}
		for z := range m.Zones {
			zn := &m.Zones[z]
			zn.Demand, zn.TableM, zn.RainMM = fill(zn.Demand[0], days), fill(zn.TableM[0], days), make([]float64, days)
			zn.RainMM[days/2] = 5
		}
		ms = append(ms, m)
	}
	p := farm(time.UTC, days, ms...)
	w := p.Wells[0]
	w.FlowM3H = 450
	p.Wells = nil
	for k := range wells {
		w.Name = fmt.Sprint("W", k)
		p.Wells = append(p.Wells, w)
	}
	return p
}

// How time grows with machines, slices and days.
func BenchmarkMake(b *testing.B) {
	for _, size := range [][4]int{
		{1, 1, 72, 10}, {2, 1, 72, 10}, {3, 1, 72, 10}, {12, 4, 72, 10}, {200, 60, 72, 10},
		{1, 1, 12, 10}, {1, 1, 36, 10}, {1, 1, 72, 3}, {1, 1, 72, 21},
	} {
		b.Run(fmt.Sprintf("machines=%d/wells=%d/slices=%d/days=%d", size[0], size[1], size[2], size[3]), func(b *testing.B) {
			p := farmOf(b, size[0], size[1], size[2], size[3])
			b.ReportAllocs()
			for b.Loop() {
				plan(b, p)
			}
		})
	}
}

// A pass does not stand for days over a cut: it ends before the machine must
// stand, and what is left is another pass, whether it is the cut that bars the
// way (nothing said of the days before it) or any hours of more than a day.
func TestNoPassStandsOverACut(t *testing.T) {
	for _, free := range []int{5, 10, 20} { // hours before the machine must stand
		a := machine(t, "A", zone(t, "high", 6, 8))
		for s := range 4 {
			a.under(t, s, 0, 40)
		}
		p := farm(time.UTC, 8, a)
		cut := p.Now.Add(time.Duration(free) * time.Hour)
		p.Machines[0].NoRun = []Window{{From: cut, To: cut.Add(84 * time.Hour), Why: "cut"}}
		p.Machines[0].NoWater = []Window{{From: cut, To: cut.Add(84 * time.Hour), Why: "cut"}}
		pl, err := Make(context.Background(), p)
		if err != nil {
			t.Fatal(err)
		}
		if r := judged(t, p, pl.Passes...); r.Violation != nil {
			t.Error(r.Violation)
		}
		wet := 0
		for _, ps := range pl.Passes {
			if len(ps.Pauses) > 0 {
				t.Errorf("%d h before: %v stands %v", free, ps.Start, ps.Pauses)
			}
			if ps.PumpHours > 0 {
				wet++
			}
		}
		if wet < 2 {
			t.Errorf("%d h before: %d passes with water, want some before and after", free, wet)
		}
	}
}

// A trip tried through a window ends before one of more than a day and stands
// through a shorter one; one that would only walk up to it is tried after it.
func TestTripEndsBeforeALongStand(t *testing.T) {
	a := machine(t, "A", zone(t, "high", 6, 8))
	for s := range 4 {
		a.under(t, s, 0, 20)
	}
	p := farm(time.UTC, 8, a)
	add := func(h float64) time.Time { return p.Now.Add(time.Duration(h * float64(time.Hour))) }
	for _, c := range []struct {
		stand  float64 // hours
		dry    bool    // the first half turn
		ok     bool
		deg    float64
		pauses int
	}{
		{23, false, true, 360, 1},
		{25, false, true, 180, 0},
		{25, true, false, 0, 0},
	} {
		half := p.Machines[0].HoursAtFull / 2 * 100 / 50 // half a turn at half speed
		p.Machines[0].NoRun = []Window{{From: add(half), To: add(half + c.stand), Why: "cut"}}
		w, err := newWorld(&p)
		if err != nil {
			t.Fatal(err)
		}
		tr := trip{cw: true, legs: []run{{180, !c.dry, 50}, {180, true, 50}}}
		var f fit
		newDraft(w).try(&tr, 0, &f)
		deg := 0.0
		for _, l := range tr.legs {
			deg += l.deg
		}
		if f.ok != c.ok || f.ok && (math.Abs(deg-c.deg) > degTol || len(tr.pauses) != c.pauses) {
			t.Errorf("a stand of %g h: %t, %g degrees with %d stands; want %t, %g, %d", c.stand, f.ok, deg, len(tr.pauses), c.ok, c.deg, c.pauses)
		}
		if !f.ok && (math.Abs(f.retry-half-c.stand) > timeTol || f.other != "cut") {
			t.Errorf("a stand of %g h: to be tried again at %g because of %q, want %g", c.stand, f.retry, f.other, half+c.stand)
		}
	}
}
