// A trip of a machine as rows of passes.csv: one row for every stretch at an
// even speed, so that a timer changed on the way, water shut off for a part of
// the circle and a stand in between all come out right.

package records

import (
	"fmt"
	"math"
	"slices"
	"time"

	"sandwick/pivot"
)

// Trip is one run of a machine as a person tells it.
type Trip struct {
	Machine   *pivot.Machine
	Location  *time.Location
	Start     time.Time
	From      pivot.Azimuth
	Clockwise bool
	Legs      []Leg
	Stands    []Stand   // during which the arm did not move, in order
	End       time.Time // zero: as the timer has it
	Note      string
}

// Leg is a part of a trip with one timer setting.
type Leg struct {
	To       pivot.Azimuth // where it begins: a full turn
	TimerPct float64       // NaN: not known
	Water    bool
	Until    time.Time // zero: as the timer has it
}

// Stand is a stretch of time in which the arm stood still.
type Stand struct {
	From, To time.Time
	WetOnly  bool // it kept from running with water only, as a well shut off does
	Why      string
}

// Stretch is a row of passes.csv.
type Stretch struct {
	Start, End time.Time // End zero: left to the timer
	From, To   pivot.Azimuth
	TimerPct   float64
	Water      bool
}

// Stretches works out the rows. Where neither an end nor a timer is known of a
// leg that others follow, there is no telling when these began: an error.
func (t *Trip) Stretches() ([]Stretch, error) {
	var out []Stretch
	at, from := t.Start, t.From
	for i, leg := range t.Legs {
		last := i == len(t.Legs)-1
		end := leg.Until
		if last && end.IsZero() {
			end = t.End
		}
		s := Stretch{at, end, from, leg.To, leg.TimerPct, leg.Water}
		told := !end.IsZero()
		switch {
		case told && (math.IsNaN(leg.TimerPct) || !t.standsIn(s.Start, end, leg.Water)):
		case math.IsNaN(leg.TimerPct):
			if !last {
				return nil, fmt.Errorf("the leg to %g degrees has neither a timer nor a time at which it ended", float64(leg.To))
			}
		default:
			left := t.Machine.PassHours(pivot.Swept(from, leg.To, t.Clockwise), leg.TimerPct)
			for _, stand := range t.Stands {
				if stand.WetOnly && !leg.Water || !stand.To.After(s.Start) {
					continue
				}
				there := s.Start.Add(hours(left))
				if told && stand.From.Before(end) && stand.From.After(there.Add(-time.Minute)) {
					s.End = there.Round(time.Minute) // it ended standing
					break
				}
				if !stand.From.Before(there) || told && !stand.From.Before(end) {
					break
				}
				if moved := stand.From.Sub(s.Start).Hours(); moved > 0 {
					part := s
					part.End = stand.From
					part.To = t.Machine.ArmAfter(pivot.Trip{Clockwise: t.Clockwise, Legs: []pivot.Leg{{From: s.From, To: s.To, TimerPct: leg.TimerPct}}}, moved)
					out = append(out, part)
					s.From = part.To
					left -= moved
				}
				s.Start = stand.To
			}
			if told {
				if !s.Start.Before(end) { // the stand it ended in began sooner than the timer has it
					out[len(out)-1].To = leg.To
					at, from = end, leg.To
					continue
				}
				break
			}
			end = s.Start.Add(hours(left)).Round(time.Minute)
			if !last || len(out) > 0 {
				s.End = end
			}
		}
		out = append(out, s)
		at, from = end, leg.To
	}
	return out, nil
}

// standsIn tells whether the arm stood in a stretch of time after it had begun to move.
func (t *Trip) standsIn(from, to time.Time, water bool) bool {
	for _, s := range t.Stands {
		if (water || !s.WetOnly) && s.From.After(from) && s.From.Before(to) {
			return true
		}
	}
	return false
}

func hours(h float64) time.Duration { return time.Duration(h * float64(time.Hour)) }

// StopAt ends the trip where the arm first comes to an azimuth; false if it
// does not come there.
func (t *Trip) StopAt(a pivot.Azimuth) bool {
	from := t.From
	for i := range t.Legs {
		leg := &t.Legs[i]
		way := pivot.Swept(from, a, t.Clockwise)
		span := pivot.Swept(from, leg.To, t.Clockwise).Span()
		if way.Span() <= span+1e-9 {
			leg.To, leg.Until = a, time.Time{}
			t.Legs = t.Legs[:i+1]
			return true
		}
		from = leg.To
	}
	return false
}

// Hours is how long the legs take by their timers, stands not counted; NaN
// where one is not known.
func (t *Trip) Hours() float64 { return t.Machine.TripHours(t.walk()) }

func (t *Trip) walk() pivot.Trip {
	w := pivot.Trip{Clockwise: t.Clockwise}
	from := t.From
	for _, l := range t.Legs {
		w.Legs = append(w.Legs, pivot.Leg{From: from, To: l.To, TimerPct: l.TimerPct, Water: l.Water})
		from = l.To
	}
	return w
}

// ArmAt is where the arm stands at an instant, by the timers and the stands; NaN
// where a timer is not known.
func (t *Trip) ArmAt(at time.Time) pivot.Azimuth {
	going := *t
	going.End = time.Time{}
	going.Legs = slices.Clone(t.Legs)
	for i := range going.Legs {
		going.Legs[i].Until = time.Time{}
	}
	arm := t.From
	rows, err := going.Stretches()
	if err != nil {
		return pivot.Azimuth(math.NaN())
	}
	for _, s := range rows {
		if !s.Start.Before(at) {
			break
		}
		arm = t.Machine.ArmAfter(pivot.Trip{Clockwise: t.Clockwise, Legs: []pivot.Leg{{From: s.From, To: s.To, TimerPct: s.TimerPct}}}, at.Sub(s.Start).Hours())
	}
	return arm
}

// Entries are the rows for [Writer.Record].
func (t *Trip) Entries(stretches []Stretch) []Entry {
	direction := "ccw"
	if t.Clockwise {
		direction = "cw"
	}
	var rows []Entry
	for _, s := range stretches {
		row := Entry{
			"pivot": Word(t.Machine.Name), "start": Word(Clock(s.Start, t.Location)),
			"from": Degrees(tenth(s.From)), "to": Degrees(tenth(s.To)),
			"direction": Word(direction), "water": Word("no"),
		}
		if !s.End.IsZero() {
			row["end"] = Word(Clock(s.End, t.Location))
		}
		if !math.IsNaN(s.TimerPct) {
			row["timer"] = Percent(s.TimerPct)
		}
		if s.Water {
			row["water"] = Word("yes")
		}
		if t.Note != "" {
			row["note"] = Word(t.Note)
		}
		rows = append(rows, row)
	}
	return rows
}

// tenth rounds an azimuth to a tenth of a degree, below what any panel shows.
func tenth(a pivot.Azimuth) float64 {
	return float64(pivot.Azimuth(math.Round(float64(a.Norm())*10) / 10).Norm())
}
