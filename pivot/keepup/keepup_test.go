// The book against arithmetic, and what must hold for any farm.

package keepup

import (
	"math"
	"math/rand/v2"
	"reflect"
	"slices"
	"strings"
	"testing"
	"time"

	"sandwick/pivot"
	"sandwick/pivot/runplan"
	"sandwick/soilwater"
)

// sand is one bucket: 100 mm of water per metre, 60 mm in the root zone, of
// which half is readily available.
func sand(t testing.TB) *soilwater.Column {
	t.Helper()
	c, err := soilwater.NewColumn(soilwater.Profile{
		Horizons: []soilwater.Horizon{{BottomM: 0.6, ThetaFC: 0.15, ThetaWP: 0.05}},
		RootMaxM: 0.6, Layers: 1, CompensationLimit: 1, RootGapM: 0.1, DrainedMMPerDay: 2, ZeM: 0.1,
		TEWMM: 12, REWMM: 6, CurveNumber: math.NaN(),
	})
	if err != nil {
		t.Fatal(err)
	}
	return c
}

func fill[T any](v T, n int) []T {
	s := make([]T, n)
	for i := range s {
		s[i] = v
	}
	return s
}

// ground is a zone of sand that uses et mm a day, whatever its wetness.
func ground(t testing.TB, name string, et float64, days int) runplan.Zone {
	return runplan.Zone{
		Field: "F", Name: name, Column: sand(t),
		Demand: fill(soilwater.Demand{EToMM: et, Kcb: 1, KcMax: 1.2, Cover: 1, P: 0.5, RootM: 0.6, Single: true, FixedP: true}, days),
		TableM: fill(math.Inf(1), days), RainMM: make([]float64, days),
		IntakeMMPerH: math.NaN(), YieldValuePerM2: 0.3, Ky: 1, SeasonETMM: 500,
	}
}

const circleM2 = math.Pi * 400 * 400

// circle is a machine over n equal slices; slice s lies in zones[of(s)] with
// dep mm missing. In h hours 100 m³/h bring h × 100 × 0.8 / 502,655 m²: 3.82 mm
// net in a day of 24.
func circle(t testing.TB, name string, n int, dep float64, of func(s int) int, zones ...runplan.Zone) runplan.Machine {
	t.Helper()
	m := runplan.Machine{
		Machine: pivot.Machine{
			Name: name, Well: "W", LengthM: 400, FlowM3H: 100, HoursAtFull: 12, TimerMinPct: 5, TimerMaxPct: 100,
			MaxGrossMM: 60, MaxLegs: 8, Efficiency: 0.8, Reversible: true,
		},
		SliceDeg: 360 / float64(n), SliceM2: fill(circleM2/float64(n), n), Zones: zones,
	}
	for s := range n {
		z := &zones[of(s)]
		m.Cells = append(m.Cells, runplan.Cell{
			Cell:  pivot.Cell{Slice: s, Zone: of(s), AreaM2: m.SliceM2[s]},
			State: z.Column.Start(dep/60, z.Demand[0], math.Inf(1)),
		})
	}
	return m
}

func first(int) int { return 0 }

func farm(days int, machines ...runplan.Machine) *runplan.Problem {
	return &runplan.Problem{
		Now: time.Date(2026, 7, 6, 0, 0, 0, 0, time.UTC), Days: days,
		Wells:    []runplan.Well{{Name: "W", FlowM3H: 150, SeasonM3Left: math.Inf(1), MaxHoursPerDay: 24}},
		Machines: machines,
	}
}

func check(t testing.TB, p *runplan.Problem) *Well {
	t.Helper()
	r, err := Check(p)
	if err != nil {
		t.Fatal(err)
	}
	if len(r.Wells) != 1 || r.Days != p.Days {
		t.Fatalf("got %+v", r)
	}
	return &r.Wells[0]
}

// netMM is what 100 m³/h bring to the circle in so many hours.
func netMM(hours float64) float64 { return 100 * hours * 0.8 / circleM2 * 1000 }

func near(a, b float64) bool { return math.Abs(a-b) <= 1e-9*max(1, math.Abs(b)) }

// Use below capacity is kept up with for ever; above it the ground falls
// behind no sooner than the readily available water lasts, and no later than
// when what was used less what was pumped is more than all ground holds.
func TestBetweenBounds(t *testing.T) {
	const days, raw = 60, 30.0
	capacity := netMM(24)
	for _, et := range []float64{2, 3, 3.7, 4.5, 5, 6, 8} {
		w := check(t, farm(days, circle(t, "A", 72, 0, first, ground(t, "Z", et, days))))
		if !near(w.CapacityMM, capacity) || !near(w.AreaM2, circleM2) {
			t.Fatalf("capacity %g mm/day on %g m², want %g", w.CapacityMM, w.AreaM2, capacity)
		}
		if et < capacity {
			if !w.KeepsUp() || !w.Holds || !w.Enough || len(w.GiveUp) > 0 {
				t.Errorf("%g mm a day against %g: %+v", et, capacity, w)
			}
			continue
		}
		// By day d (counted from 1) at most capacity × d has been given.
		soonest := int(math.Floor(raw / et))
		latest := int(math.Ceil((raw + behindMM) / (et - capacity)))
		if len(w.Behind) != 1 {
			if latest < days {
				t.Errorf("%g mm a day against %g: never behind", et, capacity)
			}
			continue
		}
		if g := w.Behind[0]; g.From < soonest || g.From > latest || g.Through != days-1 || w.Holds {
			t.Errorf("%g mm a day: behind from day %d through %d, want from within %d to %d", et, g.From, g.Through, soonest, latest)
		}
		// On all days together the crop goes without what was not pumped, but
		// for what the ground held at first.
		g := w.Behind[0]
		if least, most := (et-capacity)*days-60, (et-capacity)*days; g.UnmetMM < least || g.UnmetMM > most {
			t.Errorf("%g mm a day: %g mm unmet, want %g to %g", et, g.UnmetMM, least, most)
		}
		if g.Stress < soonest || g.WorstMM <= behindMM {
			t.Errorf("%g mm a day: %+v", et, g)
		}
	}
}

// Everything that takes hours or water takes it from the capacity.
func TestCapacity(t *testing.T) {
	const days = 10
	day := func(d, h int) time.Time { return time.Date(2026, 7, 6+d, h, 0, 0, 0, time.UTC) }
	one := func() *runplan.Problem {
		return farm(days, circle(t, "A", 4, 0, first, ground(t, "Z", 3, days)))
	}
	two := func(flow float64) *runplan.Problem {
		p := farm(days, circle(t, "A", 4, 0, first, ground(t, "Z", 3, days)), circle(t, "B", 4, 0, first, ground(t, "Y", 3, days)))
		p.Wells[0].FlowM3H = flow
		return p
	}
	for _, tt := range []struct {
		name  string
		p     *runplan.Problem
		edit  func(*runplan.Problem)
		hours float64 // of one machine, all days together, over its own circle
	}{
		{"whole days", one(), func(*runplan.Problem) {}, 240},
		{"no-run hours of the well", one(), func(p *runplan.Problem) {
			p.Wells[0].NoRun = []runplan.Window{{From: day(1, 14), To: day(1, 19)}, {From: day(1, 18), To: day(1, 20)}, {From: day(-1, 0), To: day(0, 2)}, {From: day(9, 22), To: day(12, 0)}}
		}, 240 - 6 - 2 - 2},
		{"no-run hours of the machine as well", one(), func(p *runplan.Problem) {
			p.Wells[0].NoRun = []runplan.Window{{From: day(1, 14), To: day(1, 19)}}
			p.Machines[0].NoRun = []runplan.Window{{From: day(1, 12), To: day(1, 16)}}
		}, 240 - 7},
		{"hours a day", one(), func(p *runplan.Problem) { p.Wells[0].MaxHoursPerDay = 10 }, 100},
		{"hours a day, some used", one(), func(p *runplan.Problem) { p.Wells[0].MaxHoursPerDay, p.Wells[0].HoursToday = 10, 4 }, 96},
		{"hours a day, too many used", one(), func(p *runplan.Problem) { p.Wells[0].MaxHoursPerDay, p.Wells[0].HoursToday = 10, 14 }, 90},
		{"season's water", one(), func(p *runplan.Problem) { p.Wells[0].SeasonM3Left = 5000 }, 50},
		{"a pass that runs until tomorrow 06:00", one(), func(p *runplan.Problem) {
			p.Machines[0].FreeAt, p.Machines[0].RunningM3H = day(1, 6), 100
		}, 240 - 30},
		{"the day has begun", one(), func(p *runplan.Problem) { p.Now = day(0, 9) }, 240 - 9},
		{"two, one at a time", two(150), func(*runplan.Problem) {}, 240.0 / 2},
		{"two at once", two(200), func(*runplan.Problem) {}, 240},
		{"two, the other runs until tomorrow 06:00", two(150), func(p *runplan.Problem) {
			p.Machines[1].FreeAt, p.Machines[1].RunningM3H = day(1, 6), 100
		}, 210.0 / 2},
	} {
		tt.edit(tt.p)
		w := check(t, tt.p)
		if strings.HasPrefix(tt.name, "hours a day") != (w.Hours <= 10) || (tt.name == "season's water") != (w.SeasonOut >= 0) {
			t.Errorf("%s: %g hours a day, season's water out on day %d", tt.name, w.Hours, w.SeasonOut)
		}
		if want := netMM(tt.hours) / days; !near(w.CapacityMM, want) {
			t.Errorf("%s: capacity %g mm a day, want %g", tt.name, w.CapacityMM, want)
		}
	}
}

// The season's water: 5,000 m³ bring 7.96 mm net to the circle, which uses 3 mm a
// day and is full at first. Slices that get none are due on day 10; no ground
// lasts longer than if all were shared out, to day 13.
func TestSeasonOut(t *testing.T) {
	const days = 20
	p := farm(days, circle(t, "A", 36, 0, first, ground(t, "Z", 3, days)))
	if w := check(t, p); !w.KeepsUp() || w.SeasonOut != -1 {
		t.Errorf("without a limit: %+v", w)
	}
	p.Wells[0].SeasonM3Left = 5000
	w := check(t, p)
	if w.SeasonOut < 2 || w.SeasonOut > 8 || w.Behind[0].From < 10 || w.Behind[0].From > 13 || w.Behind[0].Through != days-1 {
		t.Errorf("with a limit: %+v", w)
	}
}

// A day of 23 hours has 23 hours.
func TestClockChange(t *testing.T) {
	loc, err := time.LoadLocation("America/Chicago")
	if err != nil {
		t.Skip("no time zone data on this machine")
	}
	p := farm(2, circle(t, "A", 4, 0, first, ground(t, "Z", 3, 2)))
	p.Now = time.Date(2026, 3, 7, 0, 0, 0, 0, loc) // clocks go forward on the 8th
	if w := check(t, p); !near(w.CapacityMM, netMM(47)/2) {
		t.Errorf("capacity %g, want %g", w.CapacityMM, netMM(47)/2)
	}
}

// What a no-water period costs is not laid at the pumps' door.
func TestNoWaterIsNotTheirFault(t *testing.T) {
	const days = 20
	p := farm(days, circle(t, "A", 36, 20, first, ground(t, "Z", 3, days)))
	p.Machines[0].Zones[0].NoWater = []runplan.Window{{From: p.Now, To: p.Now.AddDate(0, 0, 8)}}
	p.Wells[0].FlowM3H, p.Machines[0].FlowM3H = 3000, 3000
	if w := check(t, p); !w.KeepsUp() {
		t.Errorf("with pumps that can do anything: %+v", w.Behind)
	}
	p.Machines[0].FlowM3H = 100
	w := check(t, p)
	if w.KeepsUp() || w.Behind[0].From != 8 {
		t.Errorf("behind once the period is over: %+v", w.Behind)
	}
	if day, ok := w.CatchesUp(days); ok && day <= 8 {
		t.Errorf("caught up on day %d", day)
	}
}

// Backlog that the pumps work off is behind, then caught up, and nothing is
// given up for it.
func TestCatchesUp(t *testing.T) {
	const days = 30
	w := check(t, farm(days, circle(t, "A", 36, 32, first, ground(t, "Z", 1, days))))
	day, ok := w.CatchesUp(days)
	// 33 mm on the whole circle less 1 mm a day at 3.82 mm a day: 12 days at most.
	if w.KeepsUp() || !ok || day < 2 || day > 12 || !w.Holds || !w.Enough || len(w.GiveUp) > 0 {
		t.Errorf("caught up on day %d, %v: %+v", day, ok, w)
	}
}

// The ground whose water saves least goes first, and what is left keeps up.
func TestGiveUp(t *testing.T) {
	const days = 40
	third := func(s int) int { return s / 12 }
	make3 := func(values ...float64) *runplan.Problem {
		zones := []runplan.Zone{ground(t, "P", 5, days), ground(t, "Q", 5, days), ground(t, "R", 5, days)}
		for i := range zones {
			zones[i].YieldValuePerM2 = values[i]
		}
		return farm(days, circle(t, "A", 36, 0, third, zones...))
	}
	names := func(w *Well) (out []int) {
		for _, l := range w.GiveUp {
			out = append(out, l.Zone)
		}
		return out
	}
	// 3.82 of 5 mm a day: two thirds of the ground need 3.33.
	w := check(t, make3(0.3, 0.1, 0.2))
	if got := names(w); !slices.Equal(got, []int{1}) || !w.Enough {
		t.Errorf("gives up %v, enough %v", got, w.Enough)
	}
	l := w.GiveUp[0]
	// Ky 1, seasonal ET 500: value × ET lost / 500 on a third of the circle.
	if want := 0.1 * circleM2 / 3 * l.UnmetMM / 500; !near(l.Value, want) || !near(l.PerM3, l.Value/l.WaterM3) {
		t.Errorf("loss %+v, want a value of %g", l, want)
	}
	// It would use 200 mm and holds 60 to give up; what the ground still holds at
	// the end is the difference to the gross water saved.
	third3 := circleM2 / 3 / 1000
	if l.UnmetMM < 140 || l.UnmetMM > 200 || l.WaterM3*0.8 < 170*third3 || l.WaterM3*0.8 > 200*third3 {
		t.Errorf("%g mm lost, %g m³ saved", l.UnmetMM, l.WaterM3)
	}
	if w := check(t, make3(0.1, 0.2, 0.05)); !slices.Equal(names(w), []int{2}) {
		t.Errorf("gives up %v", names(w))
	}
	// Half the flow: two of three.
	p := make3(0.3, 0.1, 0.2)
	p.Machines[0].FlowM3H = 48
	if w := check(t, p); !slices.Equal(names(w), []int{1, 2}) || !w.Enough {
		t.Errorf("gives up %v, enough %v", names(w), w.Enough)
	}
	// One value unknown: all are ranked by the ET that water saves; the zone that
	// a rain reaches loses least by it.
	p = make3(0.3, math.NaN(), 0.2)
	p.Machines[0].Zones[2].RainMM[20] = 40
	if w := check(t, p); !slices.Equal(names(w), []int{2}) || !math.IsNaN(w.GiveUp[0].PerM3) == false && math.IsNaN(w.GiveUp[0].Value) {
		t.Errorf("gives up %v: %+v", names(w), w.GiveUp)
	}
}

// random is a farm of up to three machines on one well.
func random(t testing.TB, rng *rand.Rand) *runplan.Problem {
	const days = 25
	var machines []runplan.Machine
	for i := range 1 + rng.IntN(3) {
		zones := []runplan.Zone{ground(t, "P", 3+3*rng.Float64(), days), ground(t, "Q", 3+3*rng.Float64(), days)}
		for z := range zones {
			for d := range days {
				if rng.IntN(8) == 0 {
					zones[z].RainMM[d] = 15 * rng.Float64()
				}
			}
			zones[z].YieldValuePerM2 = rng.Float64()
		}
		cut := 1 + rng.IntN(22)
		m := circle(t, string(rune('A'+i)), 24, 30*rng.Float64(), func(s int) int {
			if s < cut {
				return 0
			}
			return 1
		}, zones...)
		m.FlowM3H = 40 + 120*rng.Float64()
		machines = append(machines, m)
	}
	p := farm(days, machines...)
	p.Wells[0].FlowM3H = 80 + 250*rng.Float64()
	return p
}

func unmet(w *Well, p *runplan.Problem) float64 {
	var m3 float64
	for _, g := range w.Behind {
		var area float64
		for _, c := range p.Machines[g.Machine].Cells {
			if c.Zone == g.Zone {
				area += c.AreaM2
			}
		}
		m3 += g.UnmetMM * area / 1000
	}
	return m3
}

func TestProperties(t *testing.T) {
	const seed = 17
	rng := rand.New(rand.NewPCG(seed, 0))
	behind := 0
	for round := range 60 {
		p := random(t, rng)
		w := check(t, p)
		again := check(t, p)
		if !reflect.DeepEqual(w, again) {
			t.Fatalf("seed %d, round %d: the same problem, another answer", seed, round)
		}
		if !w.KeepsUp() {
			behind++
		}
		if w.Holds != (len(w.GiveUp) == 0) || w.KeepsUp() && !w.Holds {
			t.Errorf("seed %d, round %d: holds %v, gives up %d, %d behind", seed, round, w.Holds, len(w.GiveUp), len(w.Behind))
		}
		if !w.Enough {
			t.Errorf("seed %d, round %d: with all ground given up something is still behind", seed, round)
		}
		for i := 1; i < len(w.GiveUp); i++ {
			if w.GiveUp[i].PerM3 < w.GiveUp[i-1].PerM3 {
				t.Errorf("seed %d, round %d: given up out of order: %+v", seed, round, w.GiveUp)
			}
		}
		for _, g := range w.Behind {
			if g.From > g.Through || g.Through >= p.Days || g.Late < 1 || g.Late > g.Through-g.From+1 || g.WorstMM <= behindMM {
				t.Errorf("seed %d, round %d: %+v", seed, round, g)
			}
		}
		lost := unmet(w, p)

		// More flow to each machine and from the well: no more is lost.
		q := *p
		q.Wells = slices.Clone(p.Wells)
		q.Machines = slices.Clone(p.Machines)
		q.Wells[0].FlowM3H *= 1.3
		for i := range q.Machines {
			q.Machines[i].FlowM3H *= 1.3
		}
		if more := unmet(check(t, &q), &q); more > lost*(1+1e-9)+1 {
			t.Errorf("seed %d, round %d: %g m³ unmet with more flow, %g before", seed, round, more, lost)
		}

		// Rotated by some slices: the same.
		q = *p
		q.Machines = slices.Clone(p.Machines)
		for i := range q.Machines {
			q.Machines[i].Cells = slices.Clone(p.Machines[i].Cells)
			for c := range q.Machines[i].Cells {
				cl := &q.Machines[i].Cells[c]
				cl.Slice = (cl.Slice + 5) % 24
			}
		}
		if r := check(t, &q); !near(r.NeedMM, w.NeedMM) || !near(r.CapacityMM, w.CapacityMM) {
			t.Errorf("seed %d, round %d: rotated, need %g and capacity %g, were %g and %g", seed, round, r.NeedMM, r.CapacityMM, w.NeedMM, w.CapacityMM)
		}

		// Each zone cut into two of the same kind, slice by slice: the same ground
		// in need of the same water.
		q.Machines = slices.Clone(p.Machines)
		for i := range q.Machines {
			m := &q.Machines[i]
			m.Zones = slices.Concat(m.Zones, m.Zones)
			m.Cells = nil
			for _, c := range p.Machines[i].Cells {
				c.AreaM2 /= 2
				d := c
				d.Zone += 2
				m.Cells = append(m.Cells, c, d)
			}
		}
		r := check(t, &q)
		if !near(r.NeedMM, w.NeedMM) || !near(r.CapacityMM, w.CapacityMM) || len(r.Behind) != 2*len(w.Behind) || math.Abs(unmet(r, &q)-lost) > 1e-6*(1+lost) {
			t.Errorf("seed %d, round %d: halves need %g, whole %g; %d and %d behind", seed, round, r.NeedMM, w.NeedMM, len(r.Behind), len(w.Behind))
		}
	}
	if behind < 10 || behind > 55 {
		t.Errorf("seed %d: %d of 60 farms fall behind; the farms test nothing", seed, behind)
	}
}

// Where the book has a well fall behind, the plan does too: the planner, which
// has to walk, may give up other ground of the well than the book does, which
// goes by the day it is due, but never saves it all.
func TestPlannerDoesNoBetter(t *testing.T) {
	const seed = 23
	rng := rand.New(rand.NewPCG(seed, 0))
	compared := 0
	for round := range 8 {
		p := random(t, rng)
		p.Days = 12
		for i := range p.Machines {
			p.Machines[i].ArmDeg = 0
		}
		plan, err := runplan.Make(t.Context(), *p)
		if err != nil {
			t.Fatal(err)
		}
		for _, g := range check(t, p).Behind {
			if g.UnmetMM < 2 {
				continue // a day's difference in the order of things
			}
			compared++
			m := &p.Machines[g.Machine]
			sameWell := func(b runplan.Behind) bool {
				return slices.ContainsFunc(p.Machines, func(o runplan.Machine) bool { return o.Name == b.Pivot && o.Well == m.Well })
			}
			if !slices.ContainsFunc(plan.Behind, sameWell) {
				t.Errorf("seed %d, round %d: the plan saves all ground of %s, the book does not: %+v", seed, round, m.Well, g)
			}
		}
	}
	if compared < 4 {
		t.Errorf("seed %d: only %d zones compared", seed, compared)
	}
}

// A no-water period that ends just before the last day leaves a round's backlog
// at the end: that is not falling behind.
func TestBacklogAtTheEnd(t *testing.T) {
	const days = 14
	// 32 mm gone at the end; 11.5 mm a day are given from the last day on.
	p := farm(days, circle(t, "A", 36, 0, first, ground(t, "Z", 2.3, days)))
	p.Machines[0].Zones[0].NoWater = []runplan.Window{{From: p.Now, To: p.Now.AddDate(0, 0, days-1)}}
	p.Machines[0].FlowM3H, p.Wells[0].FlowM3H = 300, 300
	w := check(t, p)
	if w.KeepsUp() || w.Behind[0].Through != days-1 || !w.Holds {
		t.Errorf("%+v", w)
	}
	p.Machines[0].FlowM3H = 45 // 1.7 mm a day: never caught up
	if w := check(t, p); w.Holds {
		t.Errorf("%+v", w)
	}
}

func TestUnsound(t *testing.T) {
	for name, edit := range map[string]func(*runplan.Problem){
		"no days":     func(p *runplan.Problem) { p.Days = 0 },
		"no now":      func(p *runplan.Problem) { p.Now = time.Time{} },
		"no well":     func(p *runplan.Problem) { p.Machines[0].Well = "X" },
		"no flow":     func(p *runplan.Problem) { p.Machines[0].FlowM3H = 0 },
		"no column":   func(p *runplan.Problem) { p.Machines[0].Zones[0].Column = nil },
		"short rain":  func(p *runplan.Problem) { p.Machines[0].Zones[0].RainMM = nil },
		"stray cell":  func(p *runplan.Problem) { p.Machines[0].Cells[0].Zone = 7 },
		"stray slice": func(p *runplan.Problem) { p.Machines[0].Cells[0].Slice = 7 },
	} {
		p := farm(5, circle(t, "A", 4, 0, first, ground(t, "Z", 3, 5)))
		edit(p)
		if _, err := Check(p); err == nil {
			t.Errorf("%s is taken", name)
		}
	}
	// A well without ground has nothing to say.
	p := farm(5)
	if r, err := Check(p); err != nil || len(r.Wells) != 0 {
		t.Errorf("got %+v, %v", r, err)
	}
}

func BenchmarkRun(b *testing.B) {
	p := farm(30, circle(b, "A", 72, 0, first, ground(b, "Z", 5, 30)))
	k := newBook(p, 0)
	r := k.newRun()
	b.ReportAllocs()
	for b.Loop() {
		k.run(r, false)
		if r.netM3 == 0 {
			b.Fatal("nothing pumped")
		}
	}
}

func BenchmarkCheck(b *testing.B) {
	p := random(b, rand.New(rand.NewPCG(4, 0)))
	b.ReportAllocs()
	for b.Loop() {
		if r, err := Check(p); err != nil || len(r.Wells) != 1 {
			b.Fatal(err)
		}
	}
}
