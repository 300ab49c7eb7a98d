package runplan

// This file shakes a plan that no single change betters: it makes small changes at
// random, the same each time the program runs, and now and then takes one that
// costs more.

import (
	"math"
	"math/rand/v2"
	"slices"
)

// The cooling of the search: it begins by taking one in e of the plans that are
// dearer by a tenth, and ends with those dearer by a thousandth, so many times
// over.
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
