package runplan

// This file has the changes of one or two jobs that the search tries.

import (
	"math"
	"slices"
)

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

// placed puts a job among others by its hour.
func (x *searcher) placed(jobs []job, j job) ([]job, int) {
	to := 0
	for to < len(jobs) && jobs[to].after <= j.after {
		to++
	}
	return slices.Insert(slices.Clone(jobs), to, j), to
}
