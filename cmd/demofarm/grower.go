// What the grower did: a checkbook of the high ground kept by the rule of
// thumb, and a pass when it runs low. It knows nothing of the program's own
// water balance, so that the two can be compared.

package main

import (
	"math"
	"slices"
	"time"

	"github.com/golang-sql/civil"
)

// trip is one row of the pass record: an arc at one timer setting.
type trip struct {
	Machine    int
	Start, End time.Time
	From, To   int // azimuths; equal: the full circle
	Clockwise  bool
	Timer      float64 // percent
	Water      bool
	Note       string
}

const (
	sandShare    = 1.2 // what he adds to the rule of thumb for bare sand drying after each wetting
	walkTimer    = 100 // percent, walking dry
	stopRainMM   = 14  // a rain that makes him stop a running machine in the morning
	restRainMM   = 6   // a rain after which he starts nothing that day
	shiftHour    = 6   // he starts machines in the morning
	lastStopHour = 21  // nothing that would still run after this hour of the last day
)

// zoneTime is the farm's time zone.
var zoneTime = func() *time.Location {
	loc, err := time.LoadLocation("America/Chicago")
	if err != nil {
		panic("demofarm: no time zone data: " + err.Error())
	}
	return loc
}()

func clock(d civil.Date, hour int) time.Time {
	return time.Date(d.Year, d.Month, d.Day, hour, 0, 0, 0, zoneTime)
}

// checkbook is one machine's state in the grower's head.
type checkbook struct {
	deficitMM float64   // of the high ground
	free      time.Time // when the machine stands still again
	netMM     float64   // credited when it does
	arm       int
	clockwise bool
}

// operate runs the season and returns every trip in order of start.
func operate(days []weather, last civil.Date) []trip {
	var trips []trip
	books := make([]checkbook, len(machines))
	for i, m := range machines {
		books[i] = checkbook{arm: m.ParkedDeg, clockwise: true}
	}
	wellFree := map[string]time.Time{}
	for n, day := range days {
		morning := clock(day.Date, shiftHour)
		for i, m := range machines {
			b := &books[i]
			if b.netMM > 0 && !b.free.After(morning) {
				b.deficitMM = max(0, b.deficitMM-b.netMM)
				b.netMM = 0
			}
			b.deficitMM = max(0, b.deficitMM+m.kc(day.Date)*thumbETo(day)*sandShare-day.RainMM)
		}
		if day.RainMM >= stopRainMM {
			trips = stopFor(trips, day.Date, books, wellFree)
		}
		if day.RainMM >= restRainMM || n+1 == len(days) {
			continue
		}
		for _, i := range thirsty(books) {
			m, b := machines[i], &books[i]
			start := latest(morning, wellFree[m.Well], b.free)
			if start.After(clock(day.Date.AddDays(1), shiftHour-1)) || b.netMM > 0 || b.deficitMM < m.TriggerMM {
				continue
			}
			legs := m.pass(i, day.Date, start, b.arm, b.clockwise)
			end := legs[len(legs)-1]
			if end.End.After(clock(last, lastStopHour)) || m.held(start, end.End) {
				continue
			}
			trips = append(trips, legs...)
			b.arm, b.free = end.To, end.End
			b.netMM = m.GrossIn * mmPerInch * m.EfficiencyPct / 100
			b.clockwise = m.turned(b.arm, b.clockwise)
			wellFree[m.Well] = end.End
		}
	}
	slices.SortStableFunc(trips, func(a, b trip) int { return a.Start.Compare(b.Start) })
	return trips
}

// afterCutDays is how long he leaves mown ground dry: hay lying and hauled.
const afterCutDays = 3

// held tells whether a pass would reach into the days kept dry for a cut.
func (m machine) held(start, end time.Time) bool {
	return !m.Cut.IsZero() && end.After(clock(m.Cut.AddDays(-m.DryDays), 0)) && start.Before(clock(m.Cut.AddDays(afterCutDays+1), 0))
}

// thirsty lists machines, the one farthest past its trigger first.
func thirsty(books []checkbook) []int {
	order := make([]int, len(books))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int {
		x, y := books[a].deficitMM/machines[a].TriggerMM, books[b].deficitMM/machines[b].TriggerMM
		switch {
		case x > y:
			return -1
		case x < y:
			return 1
		}
		return 0
	})
	return order
}

func latest(times ...time.Time) time.Time {
	return slices.MaxFunc(times, time.Time.Compare)
}

// kc is the grower's crop coefficient; nothing before the first corner.
func (m machine) kc(d civil.Date) float64 {
	for i, p := range m.Kc {
		if d.Before(p.Date) {
			if i == 0 {
				return 0.2 // bare ground after spring work
			}
			q := m.Kc[i-1]
			return q.Kc + (p.Kc-q.Kc)*float64(d.DaysSince(q.Date))/float64(p.Date.DaysSince(q.Date))
		}
	}
	return m.Kc[len(m.Kc)-1].Kc
}

// thumbETo is reference ET from the temperature range alone, mm.
func thumbETo(w weather) float64 {
	ra := extraterrestrialMJ(w.Date.DaysSince(civil.Date{Year: w.Date.Year, Month: 1, Day: 1}) + 1)
	return 0.0023 * ((w.TmaxC+w.TminC)/2 + 17.8) * math.Sqrt(w.TmaxC-w.TminC) * 0.408 * ra // FAO-56 Eq. 52, Ra in mm
}

// arc is a stretch of one pass before times are put to it.
type arc struct {
	from, to int // in the sense of travel
	deg      float64
	wet      bool
}

// pass lays out a whole trip from where the arm stands: wet, and dry over the
// low ground once the grower has seen that it stays green.
func (m machine) pass(index int, day civil.Date, start time.Time, arm int, clockwise bool) []trip {
	var arcs []arc
	skips := !day.Before(m.LowFrom)
	at := arm
	for left := m.ahead(arm, clockwise); left > 0; {
		wet := !skips || !m.low(at, clockwise)
		n := 1
		for n < left && (!skips || !m.low(turn(at, n, clockwise), clockwise)) == wet {
			n++
		}
		to := turn(at, n, clockwise)
		arcs = append(arcs, arc{at, to, float64(n), wet})
		at, left = to, left-n
	}
	return m.schedule(index, start, arcs, clockwise)
}

// ahead is how far the machine can go from a in one trip, degrees: once round,
// or to the stop.
func (m machine) ahead(a int, clockwise bool) int {
	switch {
	case m.StartDeg == m.StopDeg:
		return 360
	case clockwise:
		return turn(m.StopDeg, a, false)
	}
	return turn(a, m.StartDeg, false)
}

// turned is the sense of the next trip from a: back at a stop, else as before.
func (m machine) turned(a int, clockwise bool) bool {
	if m.ahead(a, clockwise) == 0 {
		return !clockwise
	}
	return clockwise
}

// low tells whether the degree of circle that starts at a in the sense of
// travel lies in the low ground.
func (m machine) low(a int, clockwise bool) bool {
	if !clockwise {
		a = turn(a, 1, false)
	}
	for _, l := range m.Low {
		if a >= l[0] && a < l[1] {
			return true
		}
	}
	return false
}

// schedule puts times to the arcs, stopping for load control and going on after.
func (m machine) schedule(index int, start time.Time, arcs []arc, clockwise bool) []trip {
	var w well
	for _, w = range wells {
		if w.Name == m.Well {
			break
		}
	}
	var trips []trip
	now := w.running(start)
	for _, a := range arcs {
		t := trip{Machine: index, From: a.from, Clockwise: clockwise, Timer: m.timer(), Water: a.wet}
		if !a.wet {
			t.Timer, t.Note = walkTimer, "low ground, walked dry"
		}
		for left := a.deg; left > 0; {
			t.Start = now
			deg := left
			end := now.Add(roundMinutes(m.hours(t.Timer, deg)))
			if stop := w.nextStop(now); end.After(stop) {
				deg = math.Floor(stop.Sub(now).Hours() / m.hours(t.Timer, 1))
				end = now.Add(roundMinutes(m.hours(t.Timer, deg)))
			}
			if deg > 0 {
				t.End = end
				t.To = turn(t.From, int(deg), clockwise)
				trips = append(trips, t)
				t.From = t.To
				left -= deg
				now = end
			}
			if left > 0 {
				now = w.running(w.nextStop(now))
			}
		}
	}
	return trips
}

func roundMinutes(hours float64) time.Duration {
	return time.Duration(math.Round(hours*60)) * time.Minute
}

// loadControl tells whether the well is stopped on this day.
func (w well) loadControl(t time.Time) bool {
	d := civil.DateOf(t)
	return w.LoadFrom != w.LoadTo && t.Weekday() != time.Saturday && t.Weekday() != time.Sunday &&
		!d.Before(w.LoadStart) && !d.After(w.LoadEnd)
}

// running is t, or the end of the load control that t falls in.
func (w well) running(t time.Time) time.Time {
	d := civil.DateOf(t)
	if w.loadControl(t) && !t.Before(clock(d, w.LoadFrom)) && t.Before(clock(d, w.LoadTo)) {
		return clock(d, w.LoadTo)
	}
	return t
}

// nextStop is the next start of load control at or after t, far off if none.
func (w well) nextStop(t time.Time) time.Time {
	for d := civil.DateOf(t); ; d = d.AddDays(1) {
		at := clock(d, w.LoadFrom)
		if w.LoadFrom == w.LoadTo || d.DaysSince(civil.DateOf(t)) > 5 {
			return clock(d.AddDays(60), 0)
		}
		if w.loadControl(at) && !at.Before(t) {
			return at
		}
	}
}

// stopFor stops every machine that runs on the morning of a heavy rain: what
// lay ahead is dropped, the trip under way is cut at a whole degree.
func stopFor(trips []trip, day civil.Date, books []checkbook, wellFree map[string]time.Time) []trip {
	stop := clock(day, shiftHour)
	var kept []trip
	for _, t := range trips {
		m, b := machines[t.Machine], &books[t.Machine]
		if t.End.After(stop) {
			b.free, b.netMM = stop, 0
			wellFree[m.Well] = stop
			perDeg := m.hours(t.Timer, 1)
			done := int(stop.Sub(t.Start).Hours() / perDeg)
			if done < 1 {
				continue
			}
			t.To = turn(t.From, done, t.Clockwise)
			t.End = t.Start.Add(roundMinutes(float64(done) * perDeg))
			t.Note = "stopped for rain"
		}
		b.arm = t.To
		b.clockwise = m.turned(t.To, t.Clockwise)
		kept = append(kept, t)
	}
	return kept
}

// turn is the azimuth deg degrees on from a in the sense of travel.
func turn(a, deg int, clockwise bool) int {
	if !clockwise {
		deg = -deg
	}
	return ((a+deg)%360 + 360) % 360
}
