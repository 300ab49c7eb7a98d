// What recorded passes took: water, hours, energy and money, by parts of days.

package fields

import (
	"slices"
	"time"

	"github.com/golang-sql/civil"

	"sandwick/fields/records"
	"sandwick/fields/settings"
	"sandwick/pivot"
)

// MorningHour is the hour of a day at which meters are taken to be read: before
// the day's work. A ledger divides its days there.
const MorningHour = 6

// startGap is how long a machine must have stood still for its next pass to be a
// start that costs labour: the legs of one trip follow each other at once.
// Common practice, no published source.
const startGap = 15 * time.Minute

// PumpUse is what a machine's recorded passes took in a stretch of time. All of
// it adds up.
type PumpUse struct {
	VolumeM3   float64 // hours × flow, the end gun's flow where it runs
	Hours      float64 // with water
	DryHours   float64 // walking dry
	TimerHours float64 // of Hours and DryHours: of passes whose end nobody wrote down, it follows from the timer
	EnergyKWh  float64 // hours × power, wet and dry
	EnergyCost float64 // by the price of the hour
	FuelCost   float64
	LabourCost float64 // of starts
	Starts     float64 // after standing still; passes that follow each other at once are one
}

// Add adds v to u.
func (u *PumpUse) Add(v *PumpUse) {
	u.VolumeM3 += v.VolumeM3
	u.Hours += v.Hours
	u.DryHours += v.DryHours
	u.TimerHours += v.TimerHours
	u.EnergyKWh += v.EnergyKWh
	u.EnergyCost += v.EnergyCost
	u.FuelCost += v.FuelCost
	u.LabourCost += v.LabourCost
	u.Starts += v.Starts
}

// Ledger is the use of every machine over a run of days. Each day has two parts,
// before and from [MorningHour] on the farm's clocks.
type Ledger struct {
	First civil.Date
	Days  int
	parts int
	use   []PumpUse // [pivot*parts + 2*day + part]
}

// At is what a machine used in one part, 0 or 1, of a day.
func (l *Ledger) At(pivot, day, part int) *PumpUse { return &l.use[pivot*l.parts+2*day+part] }

// Day is what a machine used on a day.
func (l *Ledger) Day(pivot, day int) PumpUse {
	u := *l.At(pivot, day, 0)
	u.Add(l.At(pivot, day, 1))
	return u
}

// Ledger books the recorded passes of all machines over so many days.
func (f *Farm) Ledger(first civil.Date, days int) *Ledger {
	cal := halves(first, days, f.Location)
	l := &Ledger{First: first, Days: days, parts: cal.days(), use: make([]PumpUse, len(f.Pivots)*cal.days())}
	for p := range f.Pivots {
		f.book(p, cal, l.use[p*l.parts:(p+1)*l.parts])
	}
	return l
}

// WellOf is the index of the well that feeds a pivot.
func (f *Farm) WellOf(pivot int) int {
	return slices.IndexFunc(f.Wells, func(w Well) bool { return w.Name == f.Pivots[pivot].Well })
}

// halves is a calendar of parts of days.
func halves(first civil.Date, days int, loc *time.Location) calendar {
	c := calendar{first, make([]time.Time, 0, 2*days+1)}
	for i := range days {
		d := first.AddDays(i)
		c.start = append(c.start, settings.StartOfDay(d, loc), time.Date(d.Year, d.Month, d.Day, MorningHour, 0, 0, 0, loc))
	}
	c.start = append(c.start, settings.StartOfDay(first.AddDays(days), loc))
	return c
}

// book books the passes of one machine.
func (f *Farm) book(p int, cal calendar, use []PumpUse) {
	m := &f.Pivots[p]
	well := &f.Wells[f.WellOf(p)]
	var rested time.Time // since when the machine has stood still
	passes := f.passes(p)
	from, until := cal.start[0], cal.start[cal.days()]
	for i := range passes {
		pass := &passes[i]
		started := rested.IsZero() || pass.Start.Sub(rested) > startGap
		rested = pass.End
		if !pass.Start.Before(until) || !pass.End.After(from) {
			continue
		}
		if started {
			// The first instant decides the part in which the start falls.
			cal.split(pass.Start, pass.Start.Add(time.Second), func(i int, _ float64) {
				use[i].Starts++
				use[i].LabourCost += f.Prices.LabourPerStart
			})
		}
		f.volumes(p, pass, cal, func(i int, m3 float64) { use[i].VolumeM3 += m3 })
		hours, kw := pass.Hours(), m.DryPowerKW
		if pass.Water {
			kw = m.PowerKW
		}
		cal.split(pass.Start, pass.End, func(i int, share float64) {
			u := &use[i]
			if pass.Water {
				u.Hours += share * hours
				u.FuelCost += share * hours * well.FuelPerH
			} else {
				u.DryHours += share * hours
			}
			if pass.EndByTimer {
				u.TimerHours += share * hours
			}
			u.EnergyKWh += share * hours * kw
		})
		f.priced(well, pass.Start, pass.End, func(a, b time.Time, perKWh float64) {
			cost := b.Sub(a).Hours() * kw * perKWh
			cal.split(a, b, func(i int, share float64) { use[i].EnergyCost += share * cost })
		})
	}
}

// volumes divides what a pass pumped among the parts of a calendar. Without an
// end gun the flow is even in time; with one it follows the slices.
func (f *Farm) volumes(p int, pass *records.Pass, cal calendar, add func(part int, m3 float64)) {
	if !pass.Water {
		return
	}
	m := &f.Pivots[p].Machine
	if m.EndGunM == 0 {
		m3 := pass.Hours() * m.FlowM3H
		cal.split(pass.Start, pass.End, func(i int, share float64) { add(i, share*m3) })
		return
	}
	f.slicesOf(p, pass, func(_ int, m3, _ float64, from, to time.Time) {
		cal.split(from, to, func(i int, share float64) { add(i, share*m3) })
	})
}

// slicesOf calls use for every slice, or part of one, that a pass crosses, in the
// order in which it does: what it pumps there if it is wet, the share of the
// slice, and when.
func (f *Farm) slicesOf(p int, pass *records.Pass, use func(slice int, m3, share float64, from, to time.Time)) {
	m, g := &f.Pivots[p].Machine, &f.ground.machines[p]
	arc := pass.Arc()
	timer := m.PassHours(arc, 100) / pass.Hours() * 100 // the timer that takes the time it took
	perDeg := pass.Hours() / arc.Span()
	walked := 0.0
	crossed(pass, len(g.slices), func(slice int, part pivot.Arc, deg float64, whole bool) {
		m3, share := 0.0, 1.0
		switch {
		case !whole:
			share = 0
			if travel := g.slices[slice].TravelDeg; travel > 0 {
				share = min(deg/travel, 1)
			}
			if pass.Water {
				m3 = m.LegUse(part, timer, true).VolumeM3
			}
		case pass.Water:
			m3 = m.SliceM3(g.slices[slice], timer)
		}
		from := pass.Start.Add(hours(walked * perDeg))
		walked += deg
		use(slice, m3, share, from, pass.Start.Add(hours(walked*perDeg)))
	})
}

// priced divides [from, to) into stretches with one price of energy.
func (f *Farm) priced(w *Well, from, to time.Time, use func(a, b time.Time, perKWh float64)) {
	from, to = from.In(f.Location), to.In(f.Location)
	if len(w.Peak) == 0 {
		use(from, to, w.PerKWh)
		return
	}
	edges := []time.Time{from, to}
	for i := range w.Peak {
		for _, p := range w.Peak[i].Unroll(from, to) {
			for _, t := range [2]time.Time{p.From, p.To} {
				if t.After(from) && t.Before(to) {
					edges = append(edges, t)
				}
			}
		}
	}
	slices.SortFunc(edges, time.Time.Compare)
	for i := 1; i < len(edges); i++ {
		if a, b := edges[i-1], edges[i]; b.After(a) {
			use(a, b, w.EnergyPerKWh(a))
		}
	}
}

// energyCost is the price of running so many kW from one instant to another.
func (f *Farm) energyCost(w *Well, kw float64, from, to time.Time) float64 {
	sum := 0.0
	f.priced(w, from, to, func(a, b time.Time, perKWh float64) { sum += b.Sub(a).Hours() * kw * perKWh })
	return sum
}
