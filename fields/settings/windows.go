// Windows of the clock: whether an instant lies in one, and the stretches they
// make of a range of days in local time.

package settings

import (
	"time"

	"github.com/golang-sql/civil"
)

// on tells whether the window begins on day d.
func (w *Window) on(d civil.Date) bool {
	if w.Start.IsValid() && d.Before(w.Start) || w.End.IsValid() && d.After(w.End) {
		return false
	}
	return w.Days[weekday(d)]
}

func weekday(d civil.Date) time.Weekday {
	return time.Date(d.Year, d.Month, d.Day, 12, 0, 0, 0, time.UTC).Weekday()
}

// span is the stretch that begins on day d, by the clocks in loc.
func (w *Window) span(d civil.Date, loc *time.Location) Period {
	end := d
	if w.To <= w.From {
		end = d.AddDays(1)
	}
	return Period{From: clockOn(d, w.From, loc), To: clockOn(end, w.To, loc), Why: w.Why}
}

// clockOn is when the clocks in loc show a time of day; a time that they skip
// is the moment they skip to or, as time.Date has it, an hour off it.
func clockOn(d civil.Date, minutes int, loc *time.Location) time.Time {
	if minutes == 24*60 {
		return StartOfDay(d.AddDays(1), loc)
	}
	return time.Date(d.Year, d.Month, d.Day, minutes/60, minutes%60, 0, 0, loc)
}

// Holds tells whether t lies in the window, by the clocks of t's location.
func (w *Window) Holds(t time.Time) bool {
	d := civil.DateOf(t)
	for _, begin := range [2]civil.Date{d, d.AddDays(-1)} {
		if w.on(begin) {
			if p := w.span(begin, t.Location()); !t.Before(p.From) && t.Before(p.To) {
				return true
			}
		}
	}
	return false
}

// Unroll lists the window's stretches that touch [from, to), in order.
func (w *Window) Unroll(from, to time.Time) []Period {
	var out []Period
	loc := from.Location()
	last := civil.DateOf(to.In(loc))
	for d := civil.DateOf(from).AddDays(-1); !d.After(last); d = d.AddDays(1) {
		if !w.on(d) {
			continue
		}
		if p := w.span(d, loc); p.From.Before(to) && p.To.After(from) && p.From.Before(p.To) {
			out = append(out, p)
		}
	}
	return out
}
