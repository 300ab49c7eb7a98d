// The scenarios of an ensemble in the form in which the planner weighs them.

package fields

import (
	"strconv"

	"sandwick/pivot/runplan"
)

// For are the scenarios as a problem of the same days has them, each counting
// alike. They share their slices with the ensemble.
func (e *Ensemble) For(f *Farm, p *runplan.Problem) []runplan.Scenario {
	out := make([]runplan.Scenario, len(e.Scenarios))
	for k := range e.Scenarios {
		sc, s := &e.Scenarios[k], &out[k]
		s.Name, s.Weight = strconv.Itoa(sc.Year), 1
		for i := range p.Machines {
			m := &p.Machines[i]
			zones := make([]runplan.Weather, len(m.Zones))
			for z := range m.Zones {
				fc := &sc.Fields[f.FieldIndex(m.Zones[z].Field)]
				zones[z] = runplan.Weather{Demand: fc.Demand, RainMM: fc.RainMM}
			}
			s.Zones = append(s.Zones, zones)
		}
	}
	return out
}
