// Ground under no machine in the days to come: what a plot of it shows.

package fields

import (
	"math"

	"sandwick/pivot/runplan"
	"sandwick/soilwater"
)

// RainfedCourse follows a zone that gets no irrigation through the days of ahead:
// means over its ground unless [runplan.CourseDay] says otherwise. It is for ground
// under no machine; water that a machine has given today is not in it.
func (s *Season) RainfedCourse(z int, ahead *Ahead) []runplan.CourseDay {
	f := s.Farm
	days := len(ahead.Skies)
	zone := s.rainfed(z, ahead)
	ends := s.zoneEndsAhead(z, days)
	out := make([]runplan.CourseDay, days)
	from, to := f.ZoneCells(z)
	area := 0.0
	for c := from; c < to; c++ {
		area += f.ground.cells[c].AreaM2
	}
	if !(area > 0) {
		return nil
	}
	walk := func(column *soilwater.Column, st soilwater.State, tableM []float64, day func(*runplan.CourseDay, *soilwater.Fluxes)) {
		var flux soilwater.Fluxes
		for d := range out {
			w := soilwater.Water{FwNet: 1, RainMM: zone.RainMM[d], TableM: tableM[d]}
			column.Step(&st, &zone.Demand[d], &w, &flux)
			day(&out[d], &flux)
		}
	}
	mean := make([][]float64, len(ends.ends)) // depletion under each end, by day
	for c := from; c < to; c++ {
		share := f.ground.cells[c].AreaM2 / area
		walk(zone.Column, s.States[c], zone.TableM, func(d *runplan.CourseDay, x *soilwater.Fluxes) {
			d.DepletionMM += share * x.DepletionMM
			d.DriestMM = math.Max(d.DriestMM, x.DepletionMM)
			d.TriggerMM += share * f.Trigger(f.ZoneField(z), x.TAWMM, x.RAWMM)
			d.TAWMM += share * x.TAWMM
			d.RainMM += share * x.RainMM
			d.ETcMM += share * x.ETcMM
			d.ETMM += share * x.ETMM
			d.UpfluxMM += share * x.UpfluxMM
			d.PercMM += share * x.PercolationMM
		})
		for e := range ends.ends {
			st := s.States[c]
			if states := ends.of(c - from); e < len(states) {
				st = states[e]
			}
			k := 0
			walk(ends.ends[e].Column, st, ends.ends[e].TableM, func(_ *runplan.CourseDay, x *soilwater.Fluxes) {
				if mean[e] == nil {
					mean[e] = make([]float64, days)
				}
				mean[e][k] += share * x.DepletionMM
				k++
			})
		}
	}
	for d := range out {
		out[d].LowMM, out[d].HighMM = out[d].DepletionMM, out[d].DepletionMM
		for e := range mean {
			out[d].LowMM, out[d].HighMM = math.Min(out[d].LowMM, mean[e][d]), math.Max(out[d].HighMM, mean[e][d])
		}
	}
	return out
}
