// What the record holds of the machines beyond now: the rest of a trip under
// way, and trips entered before they begin.
//
// A trip is one row or several: rows that follow each other with the arm going
// on in the same direction, without a gap or with one that hours of no running
// fill, and that together go round once at most.
//
// Looked back at from later, rows that begin after now are not yet known. A farm
// is looked back at where its station has measured days after the day of now.

package fields

import (
	"sort"
	"time"

	"sandwick/fields/records"
	"sandwick/pivot"
	"sandwick/pivot/runplan"
)

// How near two rows must be to be one trip. Azimuths are recorded to the tenth
// of a degree and times to the minute.
const (
	goesOnDeg  = 0.15
	goesOnTime = time.Minute
)

// Committed is a trip that the record holds beyond now: it cannot be planned any more.
type Committed struct {
	Start, End time.Time
	From, To   pivot.Azimuth
	Clockwise  bool
	Water      bool // some of what is left of it is wet
	Begun      bool // it is under way; else it begins later, as its grower means it to
}

// Committed lists what the record holds of a machine beyond now, in order.
func (f *Farm) Committed(p int, now time.Time) []Committed {
	passes := f.passes(p)
	n := f.known(p, now, now, time.Time{})
	var out []Committed
	for first := 0; first < n; {
		next := min(f.tripEnd(p, first), n)
		a, z := &passes[first], &passes[next-1]
		if z.End.After(now) {
			out = append(out, Committed{
				Start: a.Start, End: z.End, From: a.From, To: z.To, Clockwise: a.Clockwise,
				Water: wetAfter(passes[first:next], now), Begun: !a.Start.After(now),
			})
		}
		first = next
	}
	return out
}

func wetAfter(passes []records.Pass, now time.Time) bool {
	for i := range passes {
		if passes[i].Water && passes[i].End.After(now) {
			return true
		}
	}
	return false
}

// known is how many of a machine's passes count at now: those that have begun by
// then or by begun, the rest of a trip under way, and those entered ahead that
// begin before end; a zero end is no limit.
func (f *Farm) known(p int, now, begun, end time.Time) int {
	passes := f.passes(p)
	n := sort.Search(len(passes), func(i int) bool { return passes[i].Start.After(now) && passes[i].Start.After(begun) })
	if f.LookedBackAt(now) {
		return n
	}
	for n < len(passes) && (end.IsZero() || passes[n].Start.Before(end)) {
		n++
	}
	return n
}

// LookedBackAt tells whether the farm knows more than could be known on the day
// of now: days measured since.
func (f *Farm) LookedBackAt(now time.Time) bool {
	days := f.Weather.Days
	return len(days) > 0 && days[len(days)-1].Date.After(f.DayOf(now))
}

// tripEnd is the index after the last row of the trip that begins with row first.
func (f *Farm) tripEnd(p, first int) int {
	passes := f.passes(p)
	turned := passes[first].Arc().Span()
	i := first + 1
	for ; i < len(passes) && f.goesOn(p, &passes[i-1], &passes[i]); i++ {
		if turned += passes[i].Arc().Span(); turned > 360+goesOnDeg {
			break
		}
	}
	return i
}

// oneTrip tells whether rows from one on, up to the one before end, are of one trip.
func (f *Farm) oneTrip(p, row, end int) bool {
	passes := f.passes(p)
	for i := row + 1; i < end; i++ {
		if !f.goesOn(p, &passes[i-1], &passes[i]) {
			return false
		}
	}
	return true
}

// goesOn tells whether b is the same trip as a.
func (f *Farm) goesOn(p int, a, b *records.Pass) bool {
	if a.Clockwise != b.Clockwise || min(a.To.Clockwise(b.From), b.From.Clockwise(a.To)) > goesOnDeg {
		return false
	}
	if b.Start.Sub(a.End) <= goesOnTime {
		return true
	}
	from, to := a.End.In(f.Location), b.Start.In(f.Location)
	stands := append(unroll(f.Pivots[p].NoRun, from.Add(-goesOnTime), to, ""), unroll(f.Wells[f.WellOf(p)].NoRun, from.Add(-goesOnTime), to, "")...)
	for at, moved := from, true; moved; {
		if to.Sub(at) <= goesOnTime {
			return true
		}
		moved = false
		for _, s := range stands {
			if !s.From.After(at.Add(goesOnTime)) && s.To.After(at) {
				at, moved = s.To, true
			}
		}
	}
	return false
}

// share keeps the machines of a well within its flow while a trip entered ahead
// draws from it: those that cannot run beside it stand.
func (f *Farm) share(p *runplan.Problem, of int, passes []records.Pass) {
	m := &p.Machines[of]
	left := f.Wells[f.WellOf(of)].FlowM3H - m.FlowM3H - m.EndGunM3H
	for k := range p.Machines {
		o := &p.Machines[k]
		if k == of || o.Well != m.Well {
			continue
		}
		if left -= o.FlowM3H + o.EndGunM3H; left >= 0 {
			continue
		}
		left += o.FlowM3H + o.EndGunM3H
		for i := range passes {
			if row := &passes[i]; row.Water && row.End.After(p.Now) {
				o.NoRun = append(o.NoRun, runplan.Window{From: row.Start, To: row.End, Why: "the well serves " + m.Name})
			}
		}
	}
}
