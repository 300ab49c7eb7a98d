// Where the zones stand today: how long each lasts and when it was watered last.

package fields

import (
	"slices"
	"time"

	"github.com/golang-sql/civil"

	"sandwick/pivot"
	"sandwick/pivot/runplan"
)

// Standing is one zone today.
type Standing struct {
	Zone      int
	Morning   Morning
	Left      runplan.Left  // the ground without days in it is zero
	Ends      []runplan.End // what Left is a range over
	LastWater civil.Date    // last day of the season on which irrigation fell on it; zero: none
	LastNetMM float64       // mean net depth of that day and of those right before it
}

// Standing tells where every zone stands at now, in the order of Farm.Zones,
// looking so many days ahead.
func (s *Season) Standing(now time.Time, days int) ([]Standing, error) {
	f := s.Farm
	ahead := s.Ahead(now, days)
	p := &ahead.Problem
	lasting, err := p.Lasting()
	if err != nil {
		return nil, err
	}
	out := make([]Standing, len(f.Zones))
	mornings := s.Mornings(&ahead)
	seen := make([]int, len(f.Pivots)) // zones of a machine come in the farm's order
	for z := range f.Zones {
		out[z].Zone, out[z].Morning = z, mornings[z]
		if pivot := f.ZonePivot(z); pivot >= 0 {
			out[z].Left = lasting[pivot][seen[pivot]]
			out[z].Ends = p.Machines[pivot].Zones[seen[pivot]].Ends
			seen[pivot]++
		} else if out[z].Left, out[z].Ends, err = s.rainfedLeft(z, days, &ahead); err != nil {
			return nil, err
		}
		s.lastWater(&out[z])
	}
	return out, nil
}

// rainfedLeft is how long ground under no machine lasts, and the ends run for it.
func (s *Season) rainfedLeft(z, days int, ahead *Ahead) (runplan.Left, []runplan.End, error) {
	f := s.Farm
	ends := s.zoneEndsAhead(z, days)
	zone := s.rainfed(z, ahead)
	zone.Ends = ends.ends
	from, to := f.ZoneCells(z)
	var cells []runplan.Cell
	for c := from; c < to; c++ {
		cells = append(cells, runplan.Cell{
			Cell: pivot.Cell{AreaM2: f.ground.cells[c].AreaM2}, State: s.States[c], EndStates: ends.of(c - from),
		})
	}
	left, err := ahead.Problem.LeftOf(&zone, cells)
	return left, zone.Ends, err
}

// rainfed is a zone under no machine as a plan would see it.
func (s *Season) rainfed(z int, ahead *Ahead) runplan.Zone {
	days := len(ahead.Skies)
	zone := s.zoneAhead(z, days, ahead.Skies, ahead.crops[s.Farm.ZoneField(z)], s.Farm.gaugeRain(s.Today, days, s.Today))
	zone.YieldValuePerM2 = 0 // nothing is decided for it: its stress has no price
	return zone
}

// lastWater finds the last tour that watered the zone.
func (s *Season) lastWater(st *Standing) {
	f := s.Farm
	p := f.ZonePivot(st.Zone)
	if p < 0 {
		return
	}
	from, to := f.ZoneCells(st.Zone)
	rounds := f.Rounds(p, f.StartOfDay(s.From), f.StartOfDay(s.Today))
	for i := len(rounds) - 1; i >= 0; i-- {
		r := &rounds[i]
		if !slices.ContainsFunc(f.ground.cells[from:to], func(c Cell) bool { return r.Wet[c.Slice] > 0 }) {
			continue
		}
		for day := s.days - 1; day >= 0; day-- {
			a := s.Account(day, st.Zone)
			if a.Date.Before(f.DayOf(r.From)) {
				return
			}
			if a.Date.After(f.DayOf(r.To)) || !(a.NetMM > 0) {
				continue
			}
			if !st.LastWater.IsValid() {
				st.LastWater = a.Date
			}
			st.LastNetMM += a.NetMM
		}
		return
	}
}
