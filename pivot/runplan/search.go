package runplan

// This file has the course of the search: from some beginnings it goes downhill by
// changes of one or two jobs (moves.go, settle.go), each judged by what the whole
// plan then costs; what gains nothing more is shaken (anneal.go) and at last
// tidied (finish.go). Farms of many slices are searched with slices joined first
// (joined.go).

import (
	"math"
	"slices"
)

// The search is bounded by work done, not by time, so that the same problem gives
// the same plan: stations passed and slices looked at. Each machine gets its
// share, more where many share a well, for there is more to choose from; farms of
// few slices get more, where it takes no time.
const (
	machineWork = 380_000
	joinedWork  = 100_000   // on the farm with slices joined
	partedWork  = 130_000   // on the farm itself after that
	mostShares  = 8         // of one machine, however many there are
	smallWork   = 5_000_000 // for smallSlices, and by their square less for more
	smallSlices = 8
)

func (w *world) searchWork() int {
	slots := 0
	for i := range w.machs {
		slots += w.machs[i].n
	}
	share := float64(smallSlices) / float64(max(slots, smallSlices))
	return max(w.shares(machineWork), int(w.effort()*smallWork*share*share))
}

// shares is the work for all machines, each of which gets so much.
func (w *world) shares(each int) int {
	n := len(w.machs)
	if n > 2 {
		each = min(each*n*8/5, mostShares*each)
	}
	return int(w.effort() * float64(n*each))
}

func (w *world) effort() float64 { return min(max(w.p.Effort, 1), MostEffort) }

// grid is what the search chooses from. A panel takes no other timers than it
// has, and a start is not meant to the second.
type grid struct {
	step   float64  // starts, hours
	timers []uint16 // timers for water, slow to fast, in steps of 1/timerSteps %; nil: all
}

// searcher improves one plan.
type searcher struct {
	gain float64 // of the last choice, as it saw it: what the ground gains, less pumping and legs
	took float64 // hours that it takes
	board
	chooser
	best  *score
	rows  []float64 // scratch: by slice, water without the job that is changed
	row   []float64
	path  []station
	wants []uint16
	cand  []job
	turns [][]float64 // by well machine: hours at which the price changes
	light bool        // only changes that cost little to try
	fine  bool        // try jobs at more hours
	rough bool        // leave all that is costly to another search
	limit int
	reach float64 // cost that plans on the way to a better one are held against
}

func newSearcher(pl *planner) *searcher {
	x := &searcher{board: board{planner: pl}}
	for i := range pl.w.machs {
		x.tree = append(x.tree, newTrees(pl.w, &pl.w.machs[i]))
		x.sheetWork += pl.w.machs[i].n * pl.w.p.Days / 16
	}
	x.turns = pl.w.turns()
	return x
}

// improve makes the best draft of the planner better.
func (pl *planner) improve() {
	x := newSearcher(pl)
	x.limit = pl.w.searchWork()
	begin := pl.joined
	if begin == nil {
		begin = x.beginnings()
	} else {
		x.limit = pl.w.shares(partedWork)
	}
	if !x.explore(begin) {
		return // there is no time at all
	}
	x.hurry()
	x.hedge()
	x.smooth()
	pl.best, pl.bestCost = x.draftOf(x.best), x.best.total
}

// beginnings are what policies have built, rounds without end, and nothing.
func (x *searcher) beginnings() [][]job {
	out := [][]job{nil}
	for _, d := range x.seeds {
		out = append(out, x.panel(x.jobsOf(d)))
	}
	return append(out, x.rounds()...)
}

// explore finds the cheapest plan it can from some beginnings; false if there
// is no time for any.
func (x *searcher) explore(beginnings [][]job) bool {
	var begin []known
	for _, jobs := range beginnings {
		s, ok := x.run(jobs, nil, 0)
		if !ok {
			return false
		}
		begin = append(begin, known{jobs, s.total})
		x.drop(s)
	}
	begin = cheapest(begin)
	// First by changes that cost little to try, then by all.
	var ends []known
	x.light = true
	for _, k := range begin[:min(len(begin), lightBegins)] {
		if !x.from(k.jobs) {
			break
		}
		ends = append(ends, x.known())
	}
	if len(ends) == 0 {
		return false
	}
	ends = cheapest(ends)
	x.back(ends[0])
	if !x.rough {
		x.light = false
		x.descend()
		ends[0] = x.known()
		for _, k := range begin[1:] {
			if x.work > x.limit/3 || !x.from(k.jobs) {
				break
			}
			ends = append(ends, x.known())
		}
	}
	x.anneal(ends)
	return true
}

// known is a plan to come back to.
type known struct {
	jobs  []job
	total float64
}

func (x *searcher) known() known { return known{slices.Clone(x.best.jobs), x.best.total} }

// back makes a plan the best again, also when the time is over.
func (x *searcher) back(k known) {
	x.overtime = true
	s, _ := x.run(k.jobs, nil, 0)
	x.overtime = false
	x.drop(x.best)
	x.best = s
}

// lightBegins is from how many beginnings the search goes downhill at first.
const lightBegins = 2

// cheapest sorts plans by cost and leaves one of those that cost the same.
func cheapest(list []known) []known {
	slices.SortStableFunc(list, func(a, b known) int { return cmpFloat(a.total, b.total) })
	return slices.CompactFunc(list, func(a, b known) bool { return math.Abs(a.total-b.total) <= costTol*math.Abs(a.total) })
}

// from goes downhill from some jobs; false when the time is over.
func (x *searcher) from(jobs []job) bool {
	s, ok := x.run(jobs, nil, 0)
	if ok {
		x.drop(x.best)
		x.best = x.pruned(s)
		x.descend()
	}
	return ok
}

// rounds are plans of whole turns one after the other, all machines of the well
// in turn, each at one timer: light and often, and slower.
func (x *searcher) rounds() [][]job {
	var out [][]job
	for _, part := range [...]float64{1, 0.5, 0.25} {
		for _, back := range [...]bool{false, true} {
			var jobs []job
			turned := make([]bool, len(x.w.machs))
			now := 0.0
			for n := 0; now < x.w.end() && n < maxTrips; n++ {
				i := n % len(x.w.machs)
				m := &x.w.machs[i]
				if back && !m.Reversible {
					break
				}
				set := m.setOf(max(m.TimerMaxPct*part, m.slowest))
				if x.grid.timers != nil {
					set = x.nearest(set)
				}
				cw := !turned[i] || !back && math.IsInf(m.reach, 1)
				turned[i] = !turned[i]
				jobs = append(jobs, job{mach: i, after: now, cw: cw, set: slices.Repeat([]uint16{set}, m.n)})
				now += 360 * m.hPerDeg * 100 / m.timerOf(set)
			}
			if len(jobs) > 0 {
				out = append(out, jobs)
			}
		}
	}
	return out
}

// panel sets jobs to timers that the grid has.
func (x *searcher) panel(jobs []job) []job {
	if x.grid.timers == nil {
		return jobs
	}
	for k := range jobs {
		for s, set := range jobs[k].set {
			if set > 0 {
				jobs[k].set[s] = x.nearest(set)
			}
		}
	}
	return jobs
}

func (x *searcher) nearest(set uint16) uint16 {
	best := x.grid.timers[0]
	for _, t := range x.grid.timers {
		if max(t, set)-min(t, set) < max(best, set)-min(best, set) {
			best = t
		}
	}
	return best
}

// faster is the slowest timer of the grid that is not slower than set.
func (x *searcher) faster(set uint16) uint16 {
	if at, _ := slices.BinarySearch(x.grid.timers, set); at < len(x.grid.timers) {
		return x.grid.timers[at]
	}
	return set
}

// done tells that the work allowed is used up, or the time.
func (x *searcher) done() bool { return x.work >= x.limit || x.timedOut() }

// cheaper tells whether a costs less than b, rounding aside.
func cheaper(a, b *score) bool { return a.total < b.total-costTol*math.Abs(b.total) }

// take keeps a score if it is cheaper than the best.
func (x *searcher) take(s *score) bool {
	if x.best != nil && !cheaper(s, x.best) {
		x.drop(s)
		return false
	}
	x.drop(x.best)
	x.best = x.pruned(s)
	return true
}

// pruned is a plan without the jobs that do nothing. It takes s.
func (x *searcher) pruned(s *score) *score {
	if !slices.ContainsFunc(s.flown, func(f flown) bool { return f.legs == 0 }) {
		return s
	}
	var jobs []job
	for k := range s.jobs {
		if s.flown[k].legs > 0 {
			jobs = append(jobs, s.jobs[k])
		}
	}
	less, ok := x.run(jobs, nil, 0)
	if !ok {
		return s
	}
	x.drop(s)
	return less
}

// try plays jobs that differ from the best from job same on, and keeps them if
// they are cheaper.
func (x *searcher) try(jobs []job, same int) bool {
	if x.done() {
		return false
	}
	s, ok := x.run(jobs, x.best, same)
	return ok && x.take(s)
}

// descend tries every change of every job until none gains.
func (x *searcher) descend() {
	for better := true; better && !x.done(); {
		better = !x.light && x.insertAny()
		for k := x.firm; k < len(x.best.jobs) && !x.done(); k++ {
			better = x.change(k) || better
		}
	}
}
