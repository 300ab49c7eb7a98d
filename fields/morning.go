// The ground this morning: one account of depletion and trigger for all who tell
// of them. The trigger is that of today, with today's crop and today's ETo; an
// account of the books has that of its own day.

package fields

import (
	"math"

	"sandwick/et/crop"
	"sandwick/pivot/runplan"
	"sandwick/soilwater"
)

// Morning is the ground of one zone as the day begins. Depths in mm.
type Morning struct {
	NoCrop    bool    // none stands on it today: there is no trigger
	DepletMM  float64 // mean over the zone
	TriggerMM float64 // mean over the zone; +Inf without a crop
	TAWMM     float64 // mean over the zone
	// DriestMM and DriestTriggerMM are of the ground nearest to its trigger, slivers
	// apart: what the planner goes by.
	DriestMM, DriestTriggerMM float64
}

// sliver is the share of a slice below which ground is not looked at by itself,
// as in runplan.
const sliver = 0.01

// morning is the ground of a zone by what is ahead of it.
func (s *Season) morning(z int, zone *runplan.Zone) Morning {
	f := s.Farm
	g := &f.ground.zones[z]
	var m Morning
	for _, least := range [...]float64{sliver, 0} { // a zone of slivers only has them all
		m.DepletMM, m.TriggerMM, m.TAWMM = 0, 0, 0
		room, found := math.Inf(1), false
		for c := g.from; c < g.to; c++ {
			cell := &f.ground.cells[c]
			depletion, taw, raw := zone.Column.Totals(&s.States[c], &zone.Demand[0], zone.TableM[0])
			trigger := raw
			if zone.TriggerMM != nil {
				trigger = zone.TriggerMM(taw, raw)
			}
			w := cell.AreaM2 / g.areaM2
			m.DepletMM += w * depletion
			m.TriggerMM += w * trigger
			m.TAWMM += w * taw
			share := 1.0
			if cell.Slice != NoSlice {
				share = cell.AreaM2 / f.ground.machines[g.pivot].sliceM2[cell.Slice]
			}
			if share < least {
				continue
			}
			if left := trigger - depletion; !found || left < room || math.IsInf(left, 1) && depletion > m.DriestMM {
				room, found = left, true
				m.DriestMM, m.DriestTriggerMM = depletion, trigger
			}
		}
		if found {
			break
		}
	}
	m.NoCrop = math.IsInf(m.TriggerMM, 1)
	return m
}

// Mornings are the zones this morning, in the order of Farm.Zones.
func (s *Season) Mornings(a *Ahead) []Morning {
	f := s.Farm
	out := make([]Morning, len(f.Zones))
	seen := make([]int, len(f.Pivots)) // zones of a machine come in the farm's order
	for z := range f.Zones {
		zone := runplan.Zone{}
		if p := f.ZonePivot(z); p >= 0 {
			zone = a.Problem.Machines[p].Zones[seen[p]]
			seen[p]++
		} else {
			zone = s.rainfed(z, a)
		}
		out[z] = s.morning(z, &zone)
	}
	return out
}

// bare tells whether no crop stands on a field on a day to come: before planting
// or green-up, and after the field's end or the farm's season.
func (f *Farm) bare(c *CropDay) bool {
	end := f.Start.End
	return c.Crop.Stage == crop.Bare || end.IsValid() && c.Crop.Date.After(end)
}

// withoutUptake marks the demand of days without a crop, and counts them. All the
// water in bare ground counts as readily available, p 1, for nothing takes it
// up; crops have a p of 0.8 at most (FAO-56 Table 22, note 2), so that a RAW as
// large as TAW tells the days apart. In single mode ground that is bare on all
// days wants nothing: its Kc is evaporation, which is no stress when it stops.
func (f *Farm) withoutUptake(demand []soilwater.Demand, crops []CropDay) (bare int) {
	for d := range demand {
		if f.bare(&crops[d]) {
			demand[d].P, demand[d].FixedP = 1, true
			bare++
		}
	}
	if bare < len(demand) {
		return bare
	}
	for d := range demand {
		if demand[d].Single {
			demand[d].Kcb = 0
		}
	}
	return bare
}

// withoutCrop takes the trigger from a zone on its days without a crop.
func (s *Season) withoutCrop(zone *runplan.Zone, field int, crops []CropDay) {
	f := s.Farm
	bare := f.withoutUptake(zone.Demand, crops)
	if bare > 0 {
		zone.TriggerMM = func(taw, raw float64) float64 { return f.Trigger(field, taw, raw) }
	}
	if bare == len(zone.Demand) {
		zone.YieldValuePerM2 = 0 // nothing to lose
	}
}
