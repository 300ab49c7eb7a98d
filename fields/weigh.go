// A plan weighed over earlier years.

package fields

import (
	"sandwick/et/input"
	"sandwick/pivot/runplan"
)

// Weigh gives a problem of the days to come the scenarios of history.csv, so that
// what is begun now is chosen for all of them. Without earlier years of these
// days it stays as it is. The problems are those of history.csv.
func (s *Season) Weigh(p *runplan.Problem) input.Problems {
	years, problems := s.Farm.Years(s.Today)
	if len(problems) > 0 {
		return problems
	}
	e := s.Ensemble(years, p.Days)
	p.Scenarios = e.For(s.Farm, p)
	return nil
}
