// How fast the arm walks: timer, hours, and where it stands when.

package pivot

import "math"

// Leg is part of a trip with one timer setting. From and To follow the travel;
// From == To is a full turn.
type Leg struct {
	From, To Azimuth
	TimerPct float64
	Water    bool
}

// Trip is one continuous run of the machine: legs end to end, all in one direction.
type Trip struct {
	Clockwise bool
	Legs      []Leg
}

// PassHours is the time the arm takes over an arc at a timer, hours:
// span/360 × HoursAtFull × 100/timer. The timer is not held to the machine's
// limits; a timer of 0 never arrives (+Inf).
func (m *Machine) PassHours(c Arc, timerPct float64) float64 {
	return c.Span() * m.hoursPerDeg(timerPct)
}

func (m *Machine) hoursPerDeg(timerPct float64) float64 {
	return m.HoursAtFull / 360 * 100 / timerPct
}

// SpeedMPerH is the ground speed of the arm at a distance from the pivot point, m/h.
func (m *Machine) SpeedMPerH(timerPct, radiusM float64) float64 {
	return radiusM * deg / m.hoursPerDeg(timerPct)
}

// Clamp says whether and by what a wanted timer was held back.
type Clamp uint8

const (
	NotClamped   Clamp = iota
	AtTimerMax         // wanted faster (less water) than the timer goes
	AtTimerMin         // wanted slower (more water) than the timer goes
	AtMaxGrossMM       // wanted more water than one pass may leave
)

// TimerForHours is the timer that takes the arm over an arc in the given hours,
// held to the timer's range. Hours of 0 or less ask for the fastest; NaN gives NaN.
func (m *Machine) TimerForHours(c Arc, hours float64) (timerPct float64, held Clamp) {
	if hours <= 0 {
		return m.TimerMaxPct, AtTimerMax
	}
	return m.hold(m.PassHours(c, 100)/hours*100, m.TimerMinPct, AtTimerMin)
}

// hold keeps a timer between the slowest allowed, for the stated reason, and
// TimerMaxPct. The fastest wins where the two cross.
func (m *Machine) hold(timerPct, slowest float64, why Clamp) (float64, Clamp) {
	switch {
	case timerPct > m.TimerMaxPct:
		return m.TimerMaxPct, AtTimerMax
	case timerPct < slowest:
		return min(slowest, m.TimerMaxPct), why
	}
	return timerPct, NotClamped
}

// TripHours is how long a trip takes, hours.
func (m *Machine) TripHours(t Trip) float64 {
	var h float64
	for _, l := range t.Legs {
		h += m.PassHours(Swept(l.From, l.To, t.Clockwise), l.TimerPct)
	}
	return h
}

// HoursTo is when the arm first passes an azimuth, hours after the start of the
// trip; false if it does not. The start is passed at 0, the end on arrival. The
// hours are elapsed time: add them to an instant, not to a clock's reading.
func (m *Machine) HoursTo(t Trip, a Azimuth) (hours float64, passed bool) {
	for _, l := range t.Legs {
		off, span := walked(l.From, a, t.Clockwise), Swept(l.From, l.To, t.Clockwise).Span()
		if off > 360-sameDeg {
			off = 0 // a hair behind the start is rounding, not a full turn to come
		}
		if off <= span+sameDeg {
			return hours + off*m.hoursPerDeg(l.TimerPct), true
		}
		hours += span * m.hoursPerDeg(l.TimerPct)
	}
	return 0, false
}

// ArmAfter is where the arm stands so many hours into a trip. Before the start it
// is the start, after the end the end. A trip without legs is nowhere (NaN).
func (m *Machine) ArmAfter(t Trip, hours float64) Azimuth {
	at := Azimuth(math.NaN())
	for _, l := range t.Legs {
		at = l.To.Norm()
		h := m.PassHours(Swept(l.From, l.To, t.Clockwise), l.TimerPct)
		if hours < h {
			turn := max(0, hours) / m.hoursPerDeg(l.TimerPct)
			if !t.Clockwise {
				turn = -turn
			}
			return l.From.Add(turn)
		}
		hours -= h
	}
	return at
}

// CanTravel reports whether the arm can walk from one azimuth to another (from ==
// to: a full turn) in a direction: the way must stay within the stops, and a
// machine that is not reversible walks clockwise only.
func (m *Machine) CanTravel(from, to Azimuth, clockwise bool) bool {
	if !clockwise && !m.Reversible {
		return false
	}
	if m.Stops == nil {
		return true
	}
	if !m.InStops(from) || !m.InStops(to) {
		return false
	}
	// Room to the stop ahead. On a full turn with a barrier the arm at the barrier
	// may stand on either side of it, so it has the whole turn before it.
	ahead := walked(from, m.Stops.To, clockwise)
	if !clockwise {
		ahead = walked(from, m.Stops.From, clockwise)
	}
	if m.Stops.Full() && ahead == 0 {
		ahead = 360
	}
	return Swept(from, to, clockwise).Span() <= ahead+sameDeg
}

// walked is how far the arm turns from one azimuth to another, 0 <= d < 360.
func walked(from, to Azimuth, clockwise bool) float64 {
	if clockwise {
		return from.Clockwise(to)
	}
	return to.Clockwise(from)
}
