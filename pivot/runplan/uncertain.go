package runplan

// This file plans for weather that is not known: what is decided now is chosen
// by what it costs on average over the scenarios, with all later passes decided
// anew in each of them as the weather has shown itself by then. That is the
// two-stage form of a plan under uncertainty: a first stage that is the same for
// all, and a recourse for each. The recourse knows its scenario to the end, as
// the sample average of two-stage programmes has it, so the expected cost is a
// little too good.

import (
	"math"
	"slices"
)

// Expected is the cost of a plan over the scenarios.
type Expected struct {
	Cost      float64   // mean by weight
	Scenarios []Outcome // those that it was worked out for
	// Of is how many scenarios those stand for: near ones are taken as one, with
	// the weight of both.
	Of int
}

// Outcome is what a plan comes to in one scenario.
type Outcome struct {
	Name   string
	Weight float64 // of all: they sum to 1
	Cost   float64
}

// plus adds what another well's plan costs in the same scenarios.
func (e *Expected) plus(o *Expected) *Expected {
	switch {
	case e == nil:
		return o
	case o == nil:
		return e
	}
	sum := Expected{Cost: e.Cost + o.Cost, Scenarios: slices.Clone(e.Scenarios)}
	for i := range sum.Scenarios {
		sum.Scenarios[i].Cost += o.Scenarios[i].Cost
	}
	return &sum
}

// mostScenarios is how many scenarios a plan is weighed over.
const mostScenarios = 4

// recourseWork bounds the work on the later passes of one scenario, for each
// machine.
const recourseWork = 6_000

// lessSure are by how many hours what is firm is put off to see whether waiting
// for the weather is worth it.
var lessSure = [...]float64{24}

// surely is the least gain in expected cost, as a share of it, for another
// beginning to be taken: less may come from how well the later passes were found.
const surely = 0.003

// hedge weighs ways to begin over the scenarios and keeps the best.
func (x *searcher) hedge() {
	p := x.w.p
	if len(p.Scenarios) == 0 || x.timedOut() {
		return
	}
	few := p.Scenarios // few by now
	var ways []*searcher
	for i := range few {
		q := p.under(&few[i])
		w, err := newWorld(&q)
		if err != nil {
			return // newWorld has checked the scenarios before
		}
		pl := newPlanner(x.ctx, w)
		pl.grid = x.grid
		ways = append(ways, newSearcher(pl))
	}
	days := p.FirmDays
	if days <= 0 {
		days = DefaultFirmDays
	}
	opens := x.w.dayEnd[min(days, p.Days)-1]
	var out *Expected
	var best, bestLater []job
	var tried [][]job // firm
	changed := false
	try := func(jobs []job, start func(k int) float64) {
		var firm, later []job
		for k := range jobs {
			j := jobs[k]
			if h := start(k); h < opens {
				j.after = h
				firm = append(firm, j)
			} else {
				later = append(later, j)
			}
		}
		if slices.ContainsFunc(tried, func(t []job) bool { return slices.EqualFunc(t, firm, sameJob) }) {
			return // it begins like one that has been weighed
		}
		tried = append(tried, firm)
		e := x.expect(few, ways, firm, later, opens)
		if e != nil && (out == nil || e.Cost < out.Cost-surely*math.Abs(out.Cost)) {
			changed = out != nil
			out, best, bestLater = e, firm, later
		}
	}
	whole := x.best
	try(whole.jobs, func(k int) float64 { return whole.flown[k].start })
	if len(few) > 1 {
		for _, h := range lessSure {
			for i := range x.w.machs {
				jobs := x.putOff(whole, i, h)
				try(jobs, func(k int) float64 { return jobs[k].after })
			}
		}
		// As the driest and the wettest scenario would have it.
		for _, i := range extremes(few, p.Days) {
			y := ways[i]
			y.firm, y.opens, y.light = 0, 0, true
			y.limit = y.work + 2*recourseWork*len(x.w.machs)
			if !y.from(whole.jobs) {
				break
			}
			s := y.best
			y.best = nil
			try(s.jobs, func(k int) float64 { return s.flown[k].start })
			y.drop(s)
		}
	}
	if out == nil {
		return
	}
	pl := x.planner
	pl.expected = out
	if !changed {
		return
	}
	// The later passes as the weather expected would have them.
	x.back(known{jobs: slices.Concat(best, bestLater)})
	x.firm, x.opens, x.light, x.limit = len(best), opens, true, x.work+recourseWork*len(x.w.machs)
	x.descend()
}

func sameJob(a, b job) bool {
	return a.mach == b.mach && a.cw == b.cw && math.Abs(a.after-b.after) < timeTol && slices.Equal(a.set, b.set)
}

// putOff starts what machine i does some hours later.
func (x *searcher) putOff(s *score, i int, h float64) []job {
	out := slices.Clone(s.jobs)
	for k := range out {
		out[k].after = s.flown[k].start
		if out[k].mach == i {
			out[k].after += h
		}
	}
	slices.SortStableFunc(out, func(a, b job) int { return cmpFloat(a.after, b.after) })
	return out
}

// expect is what firm jobs come to over the scenarios, the later ones decided
// anew in each; nil when the time is over.
func (x *searcher) expect(few []Scenario, ways []*searcher, firm, later []job, opens float64) *Expected {
	e := &Expected{}
	for i, y := range ways {
		y.firm, y.opens, y.light = len(firm), opens, true
		y.limit = y.work + recourseWork*len(x.w.machs)
		s, ok := y.run(slices.Concat(firm, later), nil, 0)
		if !ok {
			return nil
		}
		y.best = s
		y.descend()
		e.Scenarios = append(e.Scenarios, Outcome{few[i].Name, few[i].Weight, y.best.total})
		e.Cost += few[i].Weight * y.best.total
		x.tried += y.tried
		y.tried = 0
		y.drop(y.best)
		y.best = nil
	}
	return e
}

// rain is the rain of a scenario, mean over its zones, mm by day.
func (s *Scenario) rain(days int) []float64 {
	out := make([]float64, days)
	n := 0.0
	for i := range s.Zones {
		for z := range s.Zones[i] {
			n++
			for k := range days {
				out[k] += s.Zones[i][z].RainMM[k]
			}
		}
	}
	for k := range out {
		out[k] /= max(n, 1)
	}
	return out
}

// few are at most mostScenarios of the problem's scenarios with weights that sum
// to 1: each time the one is taken whose addition brings all nearest to one that
// is taken, by rain up to each day, and each then gives its weight to the
// nearest (forward selection, Heitsch and Römisch 2003, Comput. Optim. Appl.
// 24:187-206, from memory).
func (p *Problem) few() []Scenario {
	n := len(p.Scenarios)
	far := make([][]float64, n)
	sums := make([][]float64, n)
	var all float64
	for i := range n {
		sums[i] = p.Scenarios[i].rain(p.Days)
		for k := 1; k < p.Days; k++ {
			sums[i][k] += sums[i][k-1]
		}
		all += p.Scenarios[i].Weight
	}
	for i := range n {
		far[i] = make([]float64, n)
		for j := range n {
			for k := range sums[i] {
				far[i][j] += math.Abs(sums[i][k] - sums[j][k])
			}
		}
	}
	var taken []int
	near := slices.Repeat([]float64{math.Inf(1)}, n)
	for len(taken) < min(n, mostScenarios) {
		pick, least := -1, math.Inf(1)
		for i := range n {
			if slices.Contains(taken, i) {
				continue
			}
			sum := 0.0
			for j := range n {
				sum += p.Scenarios[j].Weight * min(near[j], far[i][j])
			}
			if sum < least-1e-12*math.Abs(least) || pick < 0 {
				pick, least = i, sum
			}
		}
		taken = append(taken, pick)
		for j := range n {
			near[j] = min(near[j], far[pick][j])
		}
	}
	slices.Sort(taken)
	out := make([]Scenario, len(taken))
	for i, t := range taken {
		out[i] = p.Scenarios[t]
		out[i].Weight = 0
	}
	for j := range n {
		to := 0
		for i, t := range taken {
			if far[t][j] < far[taken[to]][j] {
				to = i
			}
		}
		out[to].Weight += p.Scenarios[j].Weight / all
	}
	return slices.DeleteFunc(out, func(s Scenario) bool { return s.Weight == 0 }) // twins of one that is taken
}

// extremes are the scenarios of least and most rain.
func extremes(few []Scenario, days int) []int {
	sum := func(i int) (mm float64) {
		for _, r := range few[i].rain(days) {
			mm += r
		}
		return mm
	}
	dry, wet := 0, 0
	for i := range few {
		if sum(i) < sum(dry) {
			dry = i
		}
		if sum(i) > sum(wet) {
			wet = i
		}
	}
	if dry == wet {
		return []int{dry}
	}
	return []int{dry, wet}
}
