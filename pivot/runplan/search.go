package runplan

// This file improves a plan by changes of one or two jobs, each judged by what
// the whole plan then costs. The strongest of them chooses a job's timers anew
// for all slices at once, by dynamic programming, with the other jobs as they
// are. What gains nothing more is shaken: jobs are taken out and put in again
// where they serve best.

import (
	"math"
	"math/rand/v2"
	"slices"
)

// The search is bounded by work done, not by time, so that the same problem gives
// the same plan: stations passed and slices looked at. Each machine gets its
// share, more where many share a well, for there is more to choose from; farms of
// few slices get more, where it takes no time.
const (
	machineWork = 380_000
	joinedWork  = 150_000   // on the farm with slices joined
	partedWork  = 150_000   // on the farm itself after that
	mostShares  = 4         // of one machine, however many there are
	smallWork   = 5_000_000 // for smallSlices, and by their square less for more
	smallSlices = 8
)

func (w *world) searchWork() int {
	slots := 0
	for i := range w.machs {
		slots += w.machs[i].n
	}
	share := float64(smallSlices) / float64(max(slots, smallSlices))
	return max(w.shares(machineWork), int(smallWork*share*share))
}

// shares is the work for all machines, each of which gets so much.
func (w *world) shares(each int) int {
	n := len(w.machs)
	if n > 2 {
		each = min(each*n*4/5, mostShares*each)
	}
	return n * each
}

// grid is what the search chooses from. A panel takes no other timers than it
// has, and a start is not meant to the second.
type grid struct {
	step   float64  // starts, hours
	timers []uint16 // timers for water, slow to fast, in steps of 1/timerSteps %; nil: all
}

// maxTimers is how many timers the legs of one job choose from.
const maxTimers = 6

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

// with copies the jobs of the best with job k replaced, in order of their hours,
// and tells the first that differs.
func (x *searcher) with(k int, j job) ([]job, int) {
	x.cand = append(x.cand[:0], x.best.jobs...)
	x.cand[k] = j
	at := k
	for at > x.firm && j.after < x.cand[at-1].after {
		x.cand[at], x.cand[at-1] = x.cand[at-1], x.cand[at]
		at--
	}
	if at < k {
		return x.cand, at
	}
	for at+1 < len(x.cand) && j.after > x.cand[at+1].after {
		x.cand[at], x.cand[at+1] = x.cand[at+1], x.cand[at]
		at++
	}
	return x.cand, k
}

// startMoves are by how many hours a start is moved.
var startMoves = [...]float64{-1, 1, -4, 4, -12, 12, -24, 24}

// timerMoves are by what factors a timer is changed.
var timerMoves = [...]float64{0.93, 1.08, 0.8, 1.25}

// ratePrices are what an hour that a job takes is taken to cost the jobs after
// it, as parts of what the job gains an hour. At 1 only that is watered which
// gains more than the whole does on average.
var ratePrices = [...]float64{0, 0.3, 1}

// change tries every change of job k.
func (x *searcher) change(k int) bool {
	better := false
	hit := func(ok bool) bool { better = better || ok; return ok }
	if hit(x.follow(slices.Delete(slices.Clone(x.best.jobs), k, k+1), k)) {
		return true
	}
	rate := 0.0
	for i, part := range ratePrices {
		if x.light && i > 0 {
			break
		}
		for n := 0; n < 4 && k < len(x.best.jobs) && hit(x.relevel(k, x.best.jobs[k], part*rate)); n++ {
		}
		if i == 0 {
			rate = x.gain / x.took
		}
	}
	if k >= len(x.best.jobs) {
		return better
	}
	for _, h := range x.starts(k) {
		j := x.best.jobs[k]
		j.after = h
		if jobs, same := x.with(k, j); hit(x.follow(jobs, same)) {
			return true
		}
	}
	if m := &x.w.machs[x.best.jobs[k].mach]; m.Reversible {
		j := x.best.jobs[k]
		j.cw = !j.cw
		if jobs, same := x.with(k, j); hit(x.follow(jobs, same)) {
			return true
		}
	}
	if !x.light && (hit(x.merge(k)) || hit(x.swap(k)) || hit(x.split(k)) || hit(x.followTwice(k))) {
		return true
	}
	return !x.light && x.timers(k) || better
}

// starts are the hours at which job k might start instead, each once.
func (x *searcher) starts(k int) []float64 {
	f := &x.best.flown[k]
	m := x.best.jobs[k].mach
	out := []float64{0}
	add := func(h float64) {
		h = x.gridUp(max(h, 0))
		if h < x.w.end() && math.Abs(h-f.start) > timeTol && !slices.Contains(out, h) {
			out = append(out, h)
		}
	}
	for _, h := range startMoves {
		if math.Abs(h) < x.grid.step {
			h = math.Copysign(x.grid.step, h)
		}
		add(f.start + h)
	}
	for _, t := range x.turns[x.w.machs[m].well] {
		if math.Abs(t-f.start) < 24 {
			add(t)
		}
		if math.Abs(t-f.end) < 24 {
			add(x.gridDown(t - (f.end - f.start)))
		}
	}
	return out
}

// relevel chooses the timers of job k anew and keeps them if that gains.
func (x *searcher) relevel(k int, j job, price float64) bool {
	if x.done() {
		return false
	}
	f := &x.best.flown[k]
	if !x.choose(x.best, k, &j, f.from, f.start, f.leave, price) {
		return false
	}
	jobs, same := x.with(k, j)
	return x.try(jobs, same)
}

// nearby is how much dearer than the best, as a factor, a plan may be to be worth
// adjusting to its change.
const nearby = 1.05

// adjusted is a changed plan after the job k and those that its machine does
// later have had their timers chosen anew: the arm comes to them from elsewhere,
// or at another hour. It takes s.
func (x *searcher) adjusted(s *score, k int) *score {
	mach := s.jobs[k].mach
	for ; k < len(s.jobs); k++ {
		f := &s.flown[k]
		if s.jobs[k].mach != mach || x.done() || s.plain() > nearby*x.reach {
			continue
		}
		j := s.jobs[k]
		start := f.start
		if f.legs == 0 {
			start = x.gridUp(max(j.after, s.at[k].free[mach]))
		}
		if !x.choose(s, k, &j, f.from, start, f.leave, 0) {
			continue
		}
		jobs := slices.Clone(s.jobs)
		jobs[k] = j
		if again, ok := x.run(jobs, s, k); ok && cheaper(again, s) {
			x.drop(s)
			s = again
		} else if ok {
			x.drop(again)
		}
	}
	return s
}

// plain is the cost of a plan without what its legs too many count for.
func (s *score) plain() float64 {
	cost := s.total
	for k := range s.flown {
		cost -= tooMany * float64(s.flown[k].over)
	}
	return cost
}

// follow plays jobs that differ from the best from job same on, lets what comes
// after adjust to it, and keeps them if they are cheaper.
func (x *searcher) follow(jobs []job, same int) bool {
	if x.done() {
		return false
	}
	s, ok := x.run(jobs, x.best, same)
	if !ok {
		return false
	}
	x.reach = x.best.total
	if same < len(jobs) && !x.light && !cheaper(s, x.best) {
		s = x.adjusted(s, same)
	}
	return x.take(s)
}

// merge does the next job of the machine along with job k.
func (x *searcher) merge(k int) bool {
	if x.done() {
		return false
	}
	next := -1
	for i := k + 1; i < len(x.best.jobs) && next < 0; i++ {
		if x.best.jobs[i].mach == x.best.jobs[k].mach {
			next = i
		}
	}
	if next < 0 {
		return false
	}
	j := x.best.jobs[k]
	j.set = slices.Clone(j.set)
	for s, set := range x.best.jobs[next].set {
		if set > 0 && (j.set[s] == 0 || set < j.set[s]) {
			j.set[s] = set
		}
	}
	jobs := slices.Clone(x.best.jobs)
	jobs[k] = j
	jobs = slices.Delete(jobs, next, next+1)
	return x.follow(jobs, k)
}

// split ends job k before the hour at which the price changes, and does the
// rest of it from then on or after the next change.
func (x *searcher) split(k int) bool {
	f := x.best.flown[k]
	turns := x.turns[x.w.machs[x.best.jobs[k].mach].well]
	for n, t := range turns {
		if t <= f.start+timeTol || t >= f.end-timeTol {
			continue
		}
		for _, u := range turns[n:min(n+2, len(turns))] {
			jobs, same := x.cut(k, t, u)
			if jobs != nil && x.follow(jobs, same) {
				return true
			}
		}
	}
	return false
}

// twice does job k at twice the speed and then once more.
func (x *searcher) twice(k int) ([]job, int) {
	j := x.best.jobs[k]
	m := &x.w.machs[j.mach]
	j.set = slices.Clone(j.set)
	for s, set := range j.set {
		if set == 0 {
			continue
		}
		j.set[s] = m.setOf(min(2*m.timerOf(set), m.TimerMaxPct))
		if x.grid.timers != nil {
			j.set[s] = x.nearest(j.set[s])
		}
	}
	again := j
	again.after = x.best.flown[k].end
	if m.Reversible && !math.IsInf(m.reach, 1) {
		again.cw = !j.cw
	}
	jobs := slices.Clone(x.best.jobs)
	jobs[k] = j
	return slices.Insert(jobs, k+1, again), k
}

func (x *searcher) followTwice(k int) bool { return x.follow(x.twice(k)) }

// cut ends job k with the last slice that it leaves by an hour; a new job does
// the rest, not before another. Nil if there would be nothing in one of them.
func (x *searcher) cut(k int, by, after float64) ([]job, int) {
	f := &x.best.flown[k]
	j := x.best.jobs[k]
	m := &x.w.machs[j.mach]
	rest := j
	rest.set, rest.after = slices.Clone(j.set), after
	j.set = make([]uint16, m.n)
	x.path = m.stations(x.path[:0], f.from, j.cw, x.best.at[k].turn(j.mach, j.cw))
	any := false
	for i := range f.leave {
		if s := x.path[i].slice; f.leave[i] <= by+timeTol {
			j.set[s], rest.set[s] = rest.set[s], 0
			any = any || j.set[s] > 0
		}
	}
	if !any || !slices.ContainsFunc(rest.set, func(set uint16) bool { return set > 0 }) {
		return nil, 0
	}
	jobs := slices.Clone(x.best.jobs)
	jobs[k] = j
	out, same := x.placed(jobs, rest)
	return out, min(same, k)
}

// swap changes places with the job before, of another machine on the well.
func (x *searcher) swap(k int) bool {
	if k <= x.firm || x.best.jobs[k].mach == x.best.jobs[k-1].mach {
		return false
	}
	jobs := slices.Clone(x.best.jobs)
	jobs[k-1], jobs[k] = jobs[k], jobs[k-1]
	jobs[k-1].after, jobs[k].after = jobs[k].after, jobs[k-1].after
	return x.try(jobs, k-1)
}

// timers changes the timer of one setting of job k, everywhere in it.
func (x *searcher) timers(k int) bool {
	better := false
	var sets []uint16
	for _, set := range x.best.jobs[k].set {
		if set > 0 && !slices.Contains(sets, set) {
			sets = append(sets, set)
		}
	}
	slices.Sort(sets)
	m := &x.w.machs[x.best.jobs[k].mach]
	for _, set := range sets {
		for _, f := range timerMoves {
			to := m.setOf(min(max(float64(set)*f/timerSteps, m.slowest), m.TimerMaxPct))
			if x.grid.timers != nil {
				to = x.nearest(to)
			}
			if to == set || k >= len(x.best.jobs) {
				continue
			}
			j := x.best.jobs[k]
			j.set = slices.Clone(j.set)
			for s := range j.set {
				if j.set[s] == set {
					j.set[s] = to
				}
			}
			jobs, same := x.with(k, j)
			if x.try(jobs, same) {
				better = true
				break
			}
		}
	}
	return better
}

// insertAny puts one more job in wherever it gains.
func (x *searcher) insertAny() bool {
	better := false
	for i := range x.w.machs {
		for x.insert(i) {
			better = true
		}
	}
	return better
}

// insert puts one more job of machine i in at the first gap where that gains.
func (x *searcher) insert(i int) bool {
	m := &x.w.machs[i]
	var found *score
	base := x.best
	every, most := 24.0, 4
	if x.fine {
		every, most = max(6, x.grid.step), 40
	}
	for at := x.firm; at <= len(base.jobs) && !x.done() && (found == nil || !cheaper(found, base)); at++ {
		if at > x.firm && base.jobs[at-1].mach != i {
			continue // right after one of its own, or first of all
		}
		d := base.at[at]
		until := x.w.end()
		for k := at; k < len(base.jobs); k++ {
			if base.jobs[k].mach == i {
				until = base.flown[k].start
				break
			}
		}
		for n, after := 0, d.free[i]; n < most && after < x.w.end() && (n == 0 || after < until-m.hPerDeg*m.width); n, after = n+1, after+every {
			for _, cw := range [...]bool{true, false} {
				if !cw && !m.Reversible {
					continue
				}
				rate := 0.0
				for _, part := range [...]float64{0, 1} {
					j := job{mach: i, after: x.gridUp(after), cw: cw, set: make([]uint16, m.n)}
					if !x.choose(base, -1, &j, d.arm[i], j.after, nil, part*rate) {
						break
					}
					if rate = x.gain / x.took; x.gain < -x.w.p.Prices.LabourPerStart {
						break
					}
					// Among the jobs of other machines by its hour.
					to := at
					for to < len(base.jobs) && base.jobs[to].mach != i && base.flown[to].start < j.after {
						to++
					}
					s, ok := x.run(slices.Insert(slices.Clone(base.jobs), to, j), base, to)
					if !ok {
						break
					}
					x.reach = base.total
					if s = x.adjusted(s, to); found == nil || cheaper(s, found) {
						x.drop(found)
						found = s
					} else {
						x.drop(s)
					}
				}
			}
		}
	}
	return found != nil && x.take(found)
}

// The cooling of the search: it begins by taking plans that are dearer by a
// hundredth of the cost for one in e, and ends with a ten-thousandth, so many
// times over.
const (
	hot      = 0.1
	cold     = 1e-3
	coolings = 8
)

// anneal leaves plans that no single change betters: it makes small changes at
// random, but always the same, and takes those that cost more too, fewer and
// fewer of them. What comes of it goes downhill once more. It begins by turns
// with each of the plans given, the cheapest first, and ends with the best seen.
func (x *searcher) anneal(ends []known) {
	ends = cheapest(ends)
	rng := rand.New(rand.NewPCG(1, 2))
	top := ends[0]
	see := func() {
		if x.best.total < top.total-costTol*math.Abs(top.total) {
			top = x.known()
		}
	}
	for round := range coolings {
		if x.done() {
			break
		}
		from := top
		if round%2 == 1 {
			from = ends[(round/2+1)%len(ends)]
		}
		x.back(from)
		first := x.work
		last := first + (x.limit-first)/(coolings-round)*9/10
		for x.work < last && !x.done() {
			heat := hot * math.Pow(cold/hot, float64(x.work-first)/float64(last-first))
			jobs, same := x.jolt(rng)
			if jobs == nil {
				x.work += runWork
				continue
			}
			s, ok := x.run(jobs, x.best, same)
			if !ok {
				break
			}
			// The die is cast for every plan, so that rounding decides nothing.
			if die, up := rng.Float64(), s.total-x.best.total; !(die < math.Exp(-up/(heat*math.Abs(top.total)))) {
				x.drop(s)
				continue
			}
			x.drop(x.best)
			x.best = x.pruned(s)
			see()
		}
		x.descend()
		see()
	}
	x.back(top)
}

// jolt is the best plan with one change at random, and the first job that differs.
func (x *searcher) jolt(rng *rand.Rand) ([]job, int) {
	jobs := x.best.jobs
	if len(jobs) == 0 || rng.IntN(12) == 0 { // one more
		i := rng.IntN(len(x.w.machs))
		m := &x.w.machs[i]
		j := job{mach: i, after: x.gridUp(rng.Float64() * x.w.end()), cw: !m.Reversible || rng.IntN(2) == 0, set: make([]uint16, m.n)}
		x.strew(rng, &j, m)
		return x.placed(jobs, j)
	}
	k := rng.IntN(len(jobs))
	j := jobs[k]
	m := &x.w.machs[j.mach]
	switch rng.IntN(16) {
	case 13, 14, 15: // a slice to the next job, or from it
		return x.handOver(k, rng.IntN(2) == 0, 1+rng.IntN(max(1, m.n/6)))
	case 12: // twice as fast, and once more
		out, same := x.twice(k)
		return out, same
	case 10, 11: // some slices by another of its jobs
		return x.shift(rng, k)
	case 0: // one less
		return slices.Delete(slices.Clone(jobs), k, k+1), k
	case 1:
		if !m.Reversible {
			return nil, 0
		}
		j.cw = !j.cw
	case 2, 3, 4: // another hour
		f := &x.best.flown[k]
		j.after = max(0, x.gridUp(f.start+(rng.Float64()-0.5)*math.Exp2(float64(1+rng.IntN(6)))))
		if rng.IntN(4) == 0 {
			j.after = 0
		}
	case 5: // in two
		f := &x.best.flown[k]
		by := f.start + rng.Float64()*(f.end-f.start)
		after := by
		if turns := x.turns[m.well]; len(turns) > 0 && rng.IntN(2) == 0 {
			after = max(by, turns[rng.IntN(len(turns))])
		}
		return x.cut(k, by, after)
	case 6: // with another machine's, if it is before
		if k == 0 {
			return nil, 0
		}
		jobs = slices.Clone(jobs)
		jobs[k-1], jobs[k] = jobs[k], jobs[k-1]
		return jobs, k - 1
	default:
		x.strew(rng, &j, m)
	}
	return x.with(k, j)
}

// shift lets another job of the machine do some slices in a row that job k does.
func (x *searcher) shift(rng *rand.Rand, k int) ([]job, int) {
	mach, n := x.best.jobs[k].mach, 0
	for i := range x.best.jobs {
		if i != k && x.best.jobs[i].mach == mach {
			n++
		}
	}
	if n == 0 {
		return nil, 0
	}
	n = rng.IntN(n)
	other := -1
	for i := range x.best.jobs {
		if i != k && x.best.jobs[i].mach == mach {
			if n--; n < 0 {
				other = i
				break
			}
		}
	}
	jobs := slices.Clone(x.best.jobs)
	a, b := &jobs[k], &jobs[other]
	a.set, b.set = slices.Clone(a.set), slices.Clone(b.set)
	slots := len(a.set)
	s, long := x.w.machs[mach].fromArm(rng.IntN(slots)), 1+rng.IntN(max(1, slots/2))
	swap := rng.IntN(2) == 0
	for q := range long {
		q = (s + q) % slots
		switch {
		case swap:
			a.set[q], b.set[q] = b.set[q], a.set[q]
		case a.set[q] > 0:
			a.set[q], b.set[q] = 0, a.set[q]
		}
	}
	return jobs, min(k, other)
}

// fromArm counts slices from where the arm stands now: north is a slice like any other.
func (m *mach) fromArm(s int) int { return (int(float64(m.ArmDeg.Norm())/m.width) + s) % m.n }

// handOver lets job k leave its last wet slices to the machine's next job, or do
// the first of that one's too: the arm goes on from where it stopped.
func (x *searcher) handOver(k int, give bool, n int) ([]job, int) {
	mach := x.best.jobs[k].mach
	next := k + 1
	for next < len(x.best.jobs) && x.best.jobs[next].mach != mach {
		next++
	}
	if next >= len(x.best.jobs) {
		return nil, 0
	}
	jobs := slices.Clone(x.best.jobs)
	a, b := &jobs[k], &jobs[next]
	a.set, b.set = slices.Clone(a.set), slices.Clone(b.set)
	order := func(q int) []station {
		j := &x.best.jobs[q]
		x.path = x.w.machs[mach].stations(x.path[:0], x.best.flown[q].from, j.cw, x.best.at[q].turn(mach, j.cw))
		return x.path
	}
	if give {
		st := order(k)
		for i := len(st) - 1; i >= 0 && n > 0; i-- {
			if s := st[i].slice; a.set[s] > 0 {
				b.set[s] = a.set[s]
				a.set[s] = 0
				n--
			}
		}
		return jobs, k
	}
	for _, st := range order(next) {
		if s := st.slice; b.set[s] > 0 && n > 0 {
			a.set[s] = b.set[s]
			b.set[s] = 0
			n--
		}
	}
	return jobs, k
}

// strew sets some slices in a row to one timer, or to none.
func (x *searcher) strew(rng *rand.Rand, j *job, m *mach) {
	j.set = slices.Clone(j.set)
	var to uint16
	if x.grid.timers != nil {
		if q := rng.IntN(len(x.grid.timers) + 1); q > 0 {
			to = x.grid.timers[q-1]
		}
	} else if rng.IntN(3) > 0 {
		to = j.set[m.fromArm(rng.IntN(m.n))]
		if to == 0 {
			to = m.setOf(m.slowest + rng.Float64()*rng.Float64()*(m.TimerMaxPct-m.slowest))
		} else {
			to = m.setOf(min(max(float64(to)/timerSteps*math.Exp(rng.NormFloat64()*0.15), m.slowest), m.TimerMaxPct))
		}
	}
	s, n := m.fromArm(rng.IntN(m.n)), 1+rng.IntN(max(1, m.n/2))
	for q := range n {
		j.set[(s+q)%m.n] = to
	}
}

// placed puts a job among others by its hour.
func (x *searcher) placed(jobs []job, j job) ([]job, int) {
	to := 0
	for to < len(jobs) && jobs[to].after <= j.after {
		to++
	}
	return slices.Insert(slices.Clone(jobs), to, j), to
}

// hurry lets each job that comes late for some of its ground start as soon as
// it can, if that costs no more: the account by days does not feel the hours.
func (x *searcher) hurry() {
	for k := 0; k < len(x.best.jobs); k++ {
		j, f := x.best.jobs[k], x.best.flown[k]
		if f.legs == 0 || f.start <= x.gridUp(x.best.at[k].free[j.mach])+timeTol || !x.late(k) {
			continue
		}
		j.after = 0
		jobs := slices.Clone(x.best.jobs)
		jobs[k] = j
		if s, ok := x.run(jobs, x.best, k); ok && s.total <= x.best.total+costTol*math.Abs(x.best.total) && s.flown[k].start < f.start {
			x.drop(x.best)
			x.best = s
		} else if ok {
			x.drop(s)
		}
	}
}

// A leg under narrowDeg must be worth narrowShare of a start: an arm is not known
// to stand so well, and a run card should be short. Our choice.
const (
	narrowDeg   = 10
	narrowShare = 0.25
)

// smooth gives narrow legs the setting of a neighbour where that costs little.
func (x *searcher) smooth() {
	worth := narrowShare * x.w.p.Prices.LabourPerStart
	for k := 0; k < len(x.best.jobs); k++ {
		// Each turn should take a leg away; two stretches that take turns would go on for ever.
		for again, turns := true, 0; again && turns < maxPlannedLegs; turns++ {
			again = false
			j := x.best.jobs[k]
			m := &x.w.machs[j.mach]
			if m.width >= narrowDeg {
				break
			}
			legs := x.legsOf(&j, x.best.flown[k].from, x.best.at[k].turn(j.mach, j.cw))
			type stretch struct{ from, to int } // stations
			var narrow []stretch
			at := 0
			for l := range legs {
				first, deg := at, 0.0
				for at < len(x.st) && deg < legs[l].deg-degTol {
					deg += x.st[at].deg
					at++
				}
				if legs[l].deg < narrowDeg-degTol {
					narrow = append(narrow, stretch{first, at})
				}
			}
			st := slices.Clone(x.st)
			var found *score
			for _, n := range narrow {
				for _, beside := range [...]int{n.from - 1, n.to} {
					if beside < 0 || beside >= len(st) {
						continue
					}
					c := j
					c.set = slices.Clone(j.set)
					for i := n.from; i < n.to; i++ {
						c.set[st[i].slice] = j.set[st[beside].slice]
					}
					jobs := slices.Clone(x.best.jobs)
					jobs[k] = c
					if s, ok := x.run(jobs, x.best, k); ok && s.total < x.best.total+worth && (found == nil || cheaper(s, found)) {
						x.drop(found)
						found = s
					} else if ok {
						x.drop(s)
					}
				}
			}
			if found != nil {
				x.drop(x.best)
				x.best, again = found, true
			}
		}
	}
}

// late tells whether ground that job k waters is past its trigger when it starts.
func (x *searcher) late(k int) bool {
	j := &x.best.jobs[k]
	t, days := x.tree[j.mach], x.w.p.Days
	start := x.best.flown[k].start
	net := x.best.at[k].water(j.mach)
	for s, set := range j.set {
		if set > 0 && t.due(x.w, s, 0, net[s*days:(s+1)*days]) < start {
			return true
		}
	}
	return false
}

// choose sets the timers of a job by what all slices then cost, with the other
// jobs of s as they are; skip is the job's own number in s, -1 if it is not in
// it. The arm is at from when the job starts; leave has the hours at which it
// leaves each station as far as they are known. False if no water gains.
func (x *searcher) choose(s *score, skip int, j *job, from, start float64, leave []float64, price float64) bool {
	w, m, t := x.w, &x.w.machs[j.mach], x.tree[j.mach]
	whole := s.at[len(s.jobs)]
	x.rows = append(x.rows[:0], whole.water(j.mach)...)
	if skip >= 0 {
		with, without := s.at[skip+1].water(j.mach), s.at[skip].water(j.mach)
		for i := range x.rows {
			if d := with[i] - without[i]; d != 0 {
				if x.rows[i] -= d; math.Abs(x.rows[i]) < drop/2 {
					x.rows[i] = 0
				}
			}
		}
	}
	x.path = m.stations(x.path[:0], from, j.cw, whole.turnFrom(m, from, j.cw))
	st := x.path
	if len(st) == 0 {
		return false
	}
	x.arrivals(m, j, st, start, leave, skip >= 0)
	was := slices.Clone(j.set)
	for round := range 2 {
		if !x.levelsFor(m, t, j, st, skip >= 0) {
			return false
		}
		x.penalties(m, t, st, price)
		x.work += 10 * len(st) * len(x.levels)
		var any bool
		var cost float64
		idle := 0.0
		for i := range st {
			idle += x.pen[i*len(x.levels)] - x.walk[i]
		}
		x.legs, cost, any = x.chooser.choose(x.legs, st, m.TimerMaxPct, m.MaxLegs, w.legCost())
		if !any {
			return false
		}
		set := make([]uint16, m.n)
		leg, in := 0, 0.0
		for i := range st {
			if leg >= len(x.legs) {
				break
			}
			if l := &x.legs[leg]; l.wet {
				if v := m.setOf(l.timer); set[st[i].slice] == 0 || v < set[st[i].slice] {
					set[st[i].slice] = v
				}
			}
			if in += st[i].deg; in >= x.legs[leg].deg-degTol {
				leg, in = leg+1, 0
			}
		}
		j.set = set
		x.took = 0
		for _, l := range x.legs {
			x.took += l.deg * m.hPerDeg * 100 / l.timer
		}
		x.gain = idle - cost + price*x.took
		if leave != nil || round == 1 {
			break
		}
		x.arrivals(m, j, st, start, nil, true)
	}
	return !slices.Equal(was, j.set) || leave == nil
}

// turnFrom is how far a machine can turn from an azimuth.
func (d *draft) turnFrom(m *mach, from float64, cw bool) float64 {
	if math.IsInf(m.reach, 1) {
		return 360
	}
	at := m.offset(from)
	if math.IsNaN(at) {
		return m.reach // on a barrier that is both stops: the side is found out when it is run
	}
	if cw {
		return max(0, m.reach-at)
	}
	return max(0, at)
}

// arrivals sets when the arm comes to each station and leaves it: as known, else
// by the settings of the job.
func (x *searcher) arrivals(m *mach, j *job, st []station, start float64, leave []float64, set bool) {
	now := start
	for i := range st {
		s := &st[i]
		s.arrive = now
		if i < len(leave) {
			s.leave = leave[i]
		} else {
			timer := m.TimerMaxPct
			if set && j.set[s.slice] > 0 {
				timer = m.timerOf(j.set[s.slice])
			}
			s.leave = now + s.deg*m.hPerDeg*100/timer
		}
		now = s.leave
	}
}

// sameTimer is how near timers must come, as a factor, to be taken for one.
const sameTimer = 1.04

// levelsFor lists the timers to choose from; false if none could do anything.
func (x *searcher) levelsFor(m *mach, t *trees, j *job, st []station, own bool) bool {
	x.levels = append(x.levels[:0], 0)
	if n := len(x.grid.timers); n > 0 && n <= maxTimers {
		for i := len(x.grid.timers) - 1; i >= 0; i-- {
			x.levels = append(x.levels, m.timerOf(x.grid.timers[i]))
		}
		return true
	}
	x.wants = x.wants[:0]
	want := func(mm, net100 float64) {
		if mm > 0.5 {
			set := m.setOf(min(max(ceilTimer(net100/mm), m.slowest), m.TimerMaxPct))
			x.wants = append(x.wants, x.faster(set))
		}
	}
	days := x.w.p.Days
	for i := range st {
		s := &st[i]
		if s.arrive >= x.w.end() || s.frac == 0 || m.rate[s.slice] == 0 {
			continue
		}
		row := x.rows[s.slice*days : (s.slice+1)*days]
		from := x.w.day((s.arrive + s.leave) / 2)
		net100 := m.rate[s.slice] * m.Efficiency * 100
		for c := range m.cells[s.slice] {
			if m.cells[s.slice][c].share < sliver {
				continue
			}
			k := &t.kinds[t.kindOf[s.slice][c]]
			n := t.after(s.slice, c, from, row)
			fill := t.at(n).dep - k.water[from].RainMM
			roomy := fill
			for d := from; d < days; d++ {
				n = t.next(k, n, d, drops(row[d]))
				if d+1 < days {
					roomy = min(roomy, t.at(n).dep-k.water[d+1].RainMM-row[d+1])
				}
			}
			want(fill, net100)
			if roomy < 0.97*fill {
				want(roomy, net100)
			}
		}
	}
	if own {
		for i := range st {
			if set := j.set[st[i].slice]; set > 0 && (i == 0 || j.set[st[i-1].slice] != set) {
				x.wants = append(x.wants, set)
			}
		}
	}
	slices.Sort(x.wants)
	x.wants = slices.Compact(x.wants)
	// Fast to slow, near ones joined; of many, some are taken.
	n := 0
	for _, v := range x.wants {
		if n == 0 || float64(v) > sameTimer*float64(x.wants[n-1]) {
			x.wants[n] = v
			n++
		}
	}
	x.wants = x.wants[:n]
	x.levels = append(x.levels, m.TimerMaxPct)
	for q := min(n, maxTimers) - 1; q >= 0; q-- {
		at := q
		if n > maxTimers {
			at = q * (n - 1) / (maxTimers - 1)
		}
		if timer := m.timerOf(x.wants[at]); timer < x.levels[len(x.levels)-1] {
			x.levels = append(x.levels, timer)
		}
	}
	return n > 0
}

// penalties works out what each slice costs at each timer, with the way there.
func (x *searcher) penalties(m *mach, t *trees, st []station, price float64) {
	w, nl, days := x.w, len(x.levels), x.w.p.Days
	ww := &w.wells[m.well]
	hour := price
	x.pen = grow(x.pen, len(st)*nl)
	x.walk = grow(x.walk, len(st))
	x.row = grow(x.row, days)
	for i := range st {
		s := &st[i]
		row := x.rows[s.slice*days : (s.slice+1)*days]
		h := s.deg * m.hPerDeg * 100 / m.TimerMaxPct
		x.walk[i] = m.DryPowerKW*ww.price.cost(s.arrive, s.arrive+h) + hour*h
		x.pen[i*nl] = x.walk[i] + t.cost(s.slice, row)
		s.needs = false
	}
	for l := 1; l < nl; l++ {
		timer := x.levels[l]
		for i := range st {
			s, pen := &st[i], &x.pen[i*nl+l]
			h := s.deg * m.hPerDeg * 100 / timer
			end := min(s.arrive+h, w.end()) // cut short by the horizon
			*pen = math.Inf(1)
			if timer < m.slowest-1e-9 || s.arrive >= w.end() || s.frac == 0 || hit(m.noWater[s.slice], s.arrive, end) != nil {
				continue
			}
			copy(x.row, x.rows[s.slice*days:(s.slice+1)*days])
			land(w, x.row, s.arrive, end, m.rate[s.slice]*100/timer*m.Efficiency*s.frac*(end-s.arrive)/h)
			*pen = t.cost(s.slice, x.row) + m.PowerKW*ww.price.cost(s.arrive, end) + (ww.FuelPerH+hour)*(end-s.arrive) + ww.avoid.cost(s.arrive, end)
			if *pen < x.pen[i*nl] {
				s.needs = true
			}
		}
	}
}

// turns are by well the hours at which its energy, or its hours to avoid, change price.
func (w *world) turns() [][]float64 {
	out := make([][]float64, len(w.wells))
	for i := range w.wells {
		last := math.NaN()
		for h := math.Ceil(-w.midnight/quarter)*quarter + w.midnight; h < w.end(); h += quarter {
			now := w.wells[i].price.cost(h, h+quarter) + w.wells[i].avoid.cost(h, h+quarter)
			if math.Abs(now-last) > 1e-9 && h > 0 {
				out[i] = append(out[i], h)
			}
			last = now
		}
	}
	return out
}
