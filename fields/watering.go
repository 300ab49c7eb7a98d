// Recorded passes as water on the ground.
//
// The arm of a pass walks evenly from its start to its end. What it pumps while
// it crosses a slice lies evenly on the wetted ground of that slice, and belongs
// to the calendar day, on the farm's clocks, on which it was pumped: of a slice
// that is crossed at midnight each day gets its share.

package fields

import (
	"math"
	"sort"
	"time"

	"github.com/golang-sql/civil"

	"sandwick/fields/records"
	"sandwick/fields/settings"
	"sandwick/pivot"
)

// Pumping is what a machine did on one day.
type Pumping struct {
	VolumeM3 float64
	Hours    float64 // with water
	DryHours float64 // walking dry
	Starts   int     // passes begun, wet or dry
}

// watering is what recorded passes put on the ground of one machine from a
// first day on.
type watering struct {
	slices  int
	grossMM []float64 // [day*slices+slice], mean over the wetted ground of the slice
	pumped  []Pumping // by day
}

// calendar is a run of days as instants: day i is [start[i], start[i+1]).
type calendar struct {
	first civil.Date
	start []time.Time
}

func newCalendar(first civil.Date, days int, loc *time.Location) calendar {
	c := calendar{first, make([]time.Time, days+1)}
	for i := range c.start {
		c.start[i] = settings.StartOfDay(first.AddDays(i), loc)
	}
	return c
}

func (c calendar) days() int { return len(c.start) - 1 }

// split calls f with each day's share of [from, to); days outside the calendar
// are left out. Shares are of elapsed time.
func (c calendar) split(from, to time.Time, f func(day int, share float64)) {
	whole := to.Sub(from).Seconds()
	i := sort.Search(c.days(), func(i int) bool { return c.start[i+1].After(from) })
	for ; i < c.days() && c.start[i].Before(to); i++ {
		a, b := from, to
		if c.start[i].After(a) {
			a = c.start[i]
		}
		if c.start[i+1].Before(b) {
			b = c.start[i+1]
		}
		if b.After(a) {
			f(i, b.Sub(a).Seconds()/whole)
		}
	}
}

// passes are those of one machine, in order of start.
func (f *Farm) passes(p int) []records.Pass {
	name, all := f.Pivots[p].Name, f.Records.Passes // in order of pivot
	from := sort.Search(len(all), func(i int) bool { return all[i].Pivot >= name })
	to := sort.Search(len(all), func(i int) bool { return all[i].Pivot > name })
	return all[from:to]
}

// water books the first n passes of one machine.
func (f *Farm) water(p int, cal calendar, n int) watering {
	g := &f.ground.machines[p]
	w := watering{len(g.slices), make([]float64, cal.days()*len(g.slices)), make([]Pumping, cal.days())}
	m := &f.Pivots[p].Machine
	passes := f.passes(p)[:n]
	for i := range passes {
		if pass := &passes[i]; pass.End.After(cal.start[0]) {
			w.add(m, g, pass, cal)
		}
	}
	return w
}

func (w *watering) add(m *pivot.Machine, g *machineGround, pass *records.Pass, cal calendar) {
	// A pass of no length of its own: the first instant decides the day it began.
	cal.split(pass.Start, pass.Start.Add(time.Second), func(day int, _ float64) { w.pumped[day].Starts++ })
	if !pass.Water {
		cal.split(pass.Start, pass.End, func(day int, share float64) { w.pumped[day].DryHours += share * pass.Hours() })
		return
	}
	arc := pass.Arc()
	timer := m.PassHours(arc, 100) / pass.Hours() * 100 // the timer that takes the time it took
	hoursPerDeg := pass.Hours() / arc.Span()
	walked := 0.0
	crossed(pass, w.slices, func(slice int, part pivot.Arc, deg float64, whole bool) {
		var m3 float64
		if whole {
			m3 = m.SliceM3(g.slices[slice], timer)
		} else {
			m3 = m.LegUse(part, timer, true).VolumeM3
		}
		from := pass.Start.Add(hours(walked * hoursPerDeg))
		walked += deg
		to := pass.Start.Add(hours(walked * hoursPerDeg))
		cal.split(from, to, func(day int, share float64) {
			w.pumped[day].VolumeM3 += share * m3
			w.pumped[day].Hours += share * deg * hoursPerDeg
			if area := g.sliceM2[slice]; area > 0 {
				w.grossMM[day*w.slices+slice] += 1000 * share * m3 / area
			}
		})
	})
}

func hours(h float64) time.Duration { return time.Duration(h * float64(time.Hour)) }

// crossed calls f for each slice, or part of one, that a pass crosses, in the
// order in which it does.
func crossed(pass *records.Pass, slices int, f func(slice int, part pivot.Arc, deg float64, whole bool)) {
	const hair = 1e-9 // degrees; below it two azimuths are one
	width := 360 / float64(slices)
	left := pass.Arc().Span()
	at := float64(pass.From.Norm())
	for left > hair {
		var slice int
		var step float64 // to the edge of the slice ahead
		if pass.Clockwise {
			slice = int(math.Floor((at + hair) / width))
			step = float64(slice+1)*width - at
		} else {
			slice = int(math.Ceil((at-hair)/width)) - 1
			step = at - float64(slice)*width
		}
		step = min(step, left)
		next := at + step
		if !pass.Clockwise {
			next = at - step
		}
		part := pivot.Swept(pivot.Azimuth(at), pivot.Azimuth(next), pass.Clockwise)
		f((slice%slices+slices)%slices, part, step, step > width-hair)
		at = next
		left -= step
	}
}

// Arm is where a machine stands at a moment and what it is doing.
type Arm struct {
	At      pivot.Azimuth // now; of a trip under way, where it will stop
	FreeAt  time.Time     // when the trip under way ends; zero: parked
	Running bool
	Water   bool // some of what is left of the trip is wet
}

// ArmAt tells where the last recorded trip that began by now leaves the arm.
func (f *Farm) ArmAt(p int, now time.Time) Arm {
	arm := Arm{At: f.Pivots[p].Parked}
	passes := f.passes(p)
	if n := begunBy(passes, now); n > 0 {
		arm.At = passes[n-1].To
	}
	for _, c := range f.Committed(p, now) {
		if c.Begun {
			arm = Arm{At: c.To, FreeAt: c.End, Running: true, Water: c.Water}
		}
	}
	return arm
}

// begunBy is how many passes of a machine have begun by a moment.
func begunBy(passes []records.Pass, at time.Time) int {
	return sort.Search(len(passes), func(i int) bool { return passes[i].Start.After(at) })
}
