// A plan weighed over earlier years.

package fields

import "sandwick/pivot/runplan"

// weigh gives a problem of the days to come the scenarios of history.csv, so that
// what is begun now is chosen for all of them. Without earlier years of these
// days it stays as it is; what is wrong with history.csv is a doubt of the
// season by now.
func (s *Season) weigh(p *runplan.Problem) {
	years, problems := s.Farm.Years(s.Today)
	if len(problems) > 0 {
		return
	}
	e := s.Ensemble(years, p.Days)
	p.Scenarios = e.For(s.Farm, p)
}
