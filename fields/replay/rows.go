// Passes of a plan as rows of the pass record, and the other way about.

package replay

import (
	"cmp"
	"slices"
	"strings"
	"time"

	"sandwick/fields/records"
	"sandwick/pivot"
	"sandwick/pivot/runplan"
)

// Rows writes an evaluated pass as records: a row for each leg, and for each
// part of a leg between two stands.
func Rows(ps *runplan.Pass) []records.Pass {
	var rows []records.Pass
	pauses := slices.Clone(ps.Pauses)
	slices.SortFunc(pauses, func(a, b runplan.Window) int { return a.From.Compare(b.From) })
	for i := range ps.Legs {
		l := &ps.Legs[i]
		arc := pivot.Swept(l.FromDeg, l.ToDeg, ps.Clockwise)
		var parts []runplan.Window
		at, running := l.Start, time.Duration(0)
		add := func(to time.Time) {
			if to.After(at) {
				parts = append(parts, runplan.Window{From: at, To: to})
				running += to.Sub(at)
			}
		}
		for _, w := range pauses {
			if w.To.After(at) && w.From.Before(l.End) {
				add(w.From)
				at = w.To
			}
		}
		add(l.End)
		from, walked := l.FromDeg, time.Duration(0)
		for k, part := range parts {
			walked += part.To.Sub(part.From)
			to := l.ToDeg
			if k < len(parts)-1 {
				deg := arc.Span() * float64(walked) / float64(running)
				if !ps.Clockwise {
					deg = -deg
				}
				to = l.FromDeg.Add(deg)
			}
			rows = append(rows, records.Pass{
				Pivot: ps.Pivot, Start: part.From, End: part.To, From: from, To: to,
				Clockwise: ps.Clockwise, TimerPct: l.TimerPct, Water: l.Water,
			})
			from = to
		}
	}
	return rows
}

// SortRows puts rows into the order in which records stand.
func SortRows(rows []records.Pass) {
	slices.SortStableFunc(rows, func(a, b records.Pass) int {
		return cmp.Or(strings.Compare(a.Pivot, b.Pivot), a.Start.Compare(b.Start))
	})
}

// What rows of the record may lie apart and still be one trip. Common practice,
// no published source: the legs of a trip follow each other at once.
const (
	tripGap    = 15 * time.Minute
	tripGapDeg = 1.0
)

// recorded are the passes that were begun within the replay, rows that follow
// each other at once as legs of one. What lies after the last day is cut off.
func (r *runner) recorded() []runplan.Pass {
	var out []runplan.Pass
	start, end := r.morning(r.from), r.farm.StartOfDay(r.to.AddDays(1))
	for i := range r.farm.Records.Passes {
		row := r.farm.Records.Passes[i]
		if row.Start.Before(start) || !row.Start.Before(end) {
			continue
		}
		m := &r.farm.Pivots[r.farm.PivotIndex(row.Pivot)]
		hours, span := row.Hours(), row.Arc().Span()
		leg := runplan.Leg{
			FromDeg: row.From, ToDeg: row.To, Water: row.Water,
			TimerPct: m.PassHours(row.Arc(), 100) / hours * 100, // the timer that takes the time it took
			Start:    row.Start, End: row.End,
		}
		if row.End.After(end) {
			part := span * end.Sub(row.Start).Hours() / hours
			if !row.Clockwise {
				part = -part
			}
			leg.ToDeg, leg.End = row.From.Add(part), end
		}
		if n := len(out); n > 0 {
			last := &out[n-1]
			tail := &last.Legs[len(last.Legs)-1]
			if last.Pivot == row.Pivot && last.Clockwise == row.Clockwise && near(tail.ToDeg, leg.FromDeg) &&
				leg.Start.Sub(tail.End) <= tripGap && !leg.Start.Before(tail.End) {
				leg.FromDeg = tail.ToDeg
				last.Legs = append(last.Legs, leg)
				last.End = leg.End
				continue
			}
		}
		out = append(out, runplan.Pass{
			Pivot: row.Pivot, Well: m.Well, Start: leg.Start, End: leg.End, Clockwise: row.Clockwise,
			StartDeg: row.From, Legs: []runplan.Leg{leg},
		})
	}
	return out
}

func near(a, b pivot.Azimuth) bool {
	d := a.Clockwise(b)
	return min(d, 360-d) <= tripGapDeg
}
