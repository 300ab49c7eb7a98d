// Weather that is asked about: what if it rained, what if it did not.

package fields

import (
	"math"
	"slices"

	"github.com/golang-sql/civil"

	"sandwick/et/input"
	"sandwick/pivot/runplan"
)

// Supposing is weather to come as somebody supposes it.
type Supposing struct {
	Dry  bool                   // no rain at all, and the air of rainless days where nothing is forecast
	Rain map[civil.Date]float64 // mm on a day, on all fields
}

// Any tells whether anything is supposed.
func (o *Supposing) Any() bool { return o.Dry || len(o.Rain) > 0 }

// Suppose is a with other weather; a itself is not changed. Days of Rain outside
// the horizon are left out. The problems are those of history.csv.
func (s *Season) Suppose(a Ahead, o Supposing) (Ahead, input.Problems) {
	a.Skies = slices.Clone(a.Skies)
	if o.Any() {
		a.Problem.Scenarios = nil // it is this weather that is asked about
	}
	if o.Dry {
		years, problems := s.Farm.Years(s.Today)
		if len(problems) > 0 {
			return a, problems
		}
		dry := s.DryScenario(years, len(a.Skies), s.Farm.Outlook.Rule)
		a.Problem = dry.Under(s.Farm, a.Problem)
		a.Skies = slices.Clone(dry.Skies)
		for d := range a.Skies {
			a.Skies[d].RainChance = math.NaN()
			a.Skies[d].Basis = Supposed
		}
	}
	if len(o.Rain) == 0 {
		return a, nil
	}
	p := &a.Problem
	p.Machines = slices.Clone(p.Machines)
	for i := range p.Machines {
		m := &p.Machines[i]
		m.Zones = append([]runplan.Zone(nil), m.Zones...)
		for z := range m.Zones {
			m.Zones[z].RainMM = slices.Clone(m.Zones[z].RainMM)
		}
	}
	for day, mm := range o.Rain {
		d := day.DaysSince(s.Today)
		if d < 0 || d >= len(a.Skies) {
			continue
		}
		sky := &a.Skies[d]
		sky.RainMM, sky.RainChance, sky.ForecastMM, sky.Basis = mm, math.NaN(), math.NaN(), Supposed
		for i := range p.Machines {
			for z := range p.Machines[i].Zones {
				p.Machines[i].Zones[z].RainMM[d] = mm
			}
		}
	}
	return a, nil
}
