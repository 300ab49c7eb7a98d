package runplan

// This file improves a plan by small changes, each judged by what the whole plan
// then costs: starts, timers, where legs meet, legs dry or wet, trips left out.

import (
	"math"
	"slices"
)

// polishWork bounds the changes that are tried, in slices: so many divided by
// the slices of the well's machines. It is a bound on work, not on time, so that
// the same problem gives the same plan.
const polishWork = 30000

// The sizes of the changes: hours of a start, factors of a timer, slices of a
// boundary between legs.
var (
	startMoves = [...]float64{-1, 1, -4, 4, -12, 12, -24, 24}
	timerMoves = [...]float64{0.93, 1.08, 0.8, 1.25, 0.6, 1.6}
	slideMoves = [...]float64{-1, 1, -3, 3}
)

// polisher tries changes to one plan.
type polisher struct {
	*planner
	trips []trip // in order of start
	cost  float64
	left  int // changes that may still be tried
	cand  []trip
	work  *draft

	hurried bool
}

// polish improves the best plan.
func (pl *planner) polish() {
	w := pl.w
	n := 0
	for i := range w.machs {
		n += w.machs[i].n
	}
	p := polisher{planner: pl, cost: pl.bestCost, work: newDraft(w), left: max(polishWork*len(w.machs)/n, 20)}
	for i := range pl.best.trips {
		for _, t := range pl.best.trips[i] {
			p.trips = append(p.trips, t.clone())
		}
	}
	sortTrips(p.trips)
	for better := true; better && p.left > 0; {
		better = false
		for k := 0; k < len(p.trips) && p.left > 0; k++ {
			better = p.improve(k) || better
		}
	}
	p.hurry()
	if p.cost < pl.bestCost || p.hurried {
		d := newDraft(w)
		for i := range p.trips {
			t := p.trips[i].clone()
			t.from = d.arm[t.mach]
			d.try(&t, t.start, &p.f)
			d.commit(t, &p.b)
		}
		pl.best, pl.bestCost = d, p.cost
	}
}

func sortTrips(ts []trip) {
	slices.SortStableFunc(ts, func(a, b trip) int {
		if a.start != b.start {
			return cmpFloat(a.start, b.start)
		}
		return a.mach - b.mach
	})
}

// improve tries every change of one trip and keeps those that gain.
func (p *polisher) improve(k int) bool {
	better := false
	try := func(change func(t *trip, m *mach) bool) {
		// A change that gains is made again, as long as it does.
		for p.left > 0 && k < len(p.trips) && p.try(k, change) {
			better = true
		}
	}
	try(func(t *trip, m *mach) bool { return p.drop(k) })
	for _, h := range startMoves {
		try(func(t *trip, m *mach) bool { t.start += h; return true })
	}
	try(func(t *trip, m *mach) bool { return turnBack(t, m) })
	for _, f := range timerMoves {
		try(func(t *trip, m *mach) bool { return allTimers(t, m, f) })
	}
	if k >= len(p.trips) {
		return better
	}
	for l := 0; k < len(p.trips) && l < len(p.trips[k].legs); l++ {
		for _, f := range timerMoves {
			try(func(t *trip, m *mach) bool { return l < len(t.legs) && timer(&t.legs[l], m, f) })
		}
		for _, s := range slideMoves {
			try(func(t *trip, m *mach) bool { return slide(t, l, s*m.width) })
		}
		try(func(t *trip, m *mach) bool { return toggle(t, l, m) })
		for _, half := range [...]int{0, 1} {
			for _, f := range [...]float64{0, 0.75, 1.33} {
				try(func(t *trip, m *mach) bool { return split(t, l, half, f, m) })
			}
		}
	}
	return better
}

// try makes a change to trip k in a copy of the plan and keeps the copy if it
// can be run and costs less.
func (p *polisher) try(k int, change func(*trip, *mach) bool) bool {
	if p.timedOut() {
		p.left = 0
		return false
	}
	p.cand = p.cand[:0]
	for i := range p.trips {
		t := p.trips[i]
		if i == k {
			t = t.clone()
		}
		p.cand = append(p.cand, t)
	}
	if !change(&p.cand[k], &p.w.machs[p.cand[k].mach]) {
		return false
	}
	p.cand = slices.DeleteFunc(p.cand, func(t trip) bool { return len(t.legs) == 0 })
	p.trim()
	p.left--
	sortTrips(p.cand)
	cost, ok := p.replay(p.cand)
	if !ok || !(cost < p.cost-costTol*math.Abs(p.cost)) {
		return false
	}
	p.cost = cost
	p.trips, p.cand = p.cand, p.trips
	return true
}

// hurry lets each trip that comes too late for some of its ground start as soon
// as it can, if that costs no more: the account by days does not feel the hours.
func (p *polisher) hurry() {
	var pieces []piece
	for k := range p.trips {
		if p.timedOut() {
			return
		}
		if _, ok := p.replay(p.trips[:k]); !ok {
			return
		}
		t := &p.trips[k]
		m, o := &p.w.machs[t.mach], p.look[t.mach]
		pieces, _ = m.walk(pieces[:0], t)
		late := false
		for i := range pieces {
			late = late || t.legs[pieces[i].leg].wet && o.due[pieces[i].slice] < pieces[i].t1-startStep
		}
		if !late {
			continue
		}
		p.t.mach, p.t.from, p.t.cw, p.t.legs = t.mach, t.from, t.cw, append(p.t.legs[:0], t.legs...)
		start := p.gridUp(p.work.free[t.mach])
		for range 50 {
			if p.work.try(&p.t, start, &p.f); p.f.ok || start >= t.start {
				break
			}
			start = max(start+startStep, p.gridUp(min(p.f.retry, t.start)))
		}
		if start >= t.start {
			continue
		}
		p.cand = append(p.cand[:0], p.trips...)
		p.cand[k].start = start
		sortTrips(p.cand)
		if cost, ok := p.replay(p.cand); ok && cost <= p.cost+costTol*math.Abs(p.cost) {
			p.cost, p.hurried = cost, true
			p.trips, p.cand = p.cand, p.trips
		}
	}
}

// trim takes the dry end off each machine's last trip: it leads nowhere.
func (p *polisher) trim() {
	for i := len(p.cand) - 1; i >= 0; i-- {
		t := &p.cand[i]
		if slices.ContainsFunc(p.cand[i+1:], func(u trip) bool { return u.mach == t.mach }) {
			continue
		}
		for n := len(t.legs); n > 0 && !t.legs[n-1].wet; n-- {
			t.legs = t.legs[:n-1]
		}
	}
	p.cand = slices.DeleteFunc(p.cand, func(t trip) bool { return len(t.legs) == 0 })
}

// replay runs trips, in order of start, and gives what all then costs; false if
// one cannot be run. Where each begins follows from the one before.
func (p *polisher) replay(trips []trip) (float64, bool) {
	p.tried++
	w, d := p.w, p.work
	d.reset()
	for i := range trips {
		src := &trips[i]
		m := &w.machs[src.mach]
		src.from = d.arm[src.mach]
		if len(src.legs) > m.MaxLegs || src.start < d.free[src.mach] {
			return 0, false
		}
		p.t.mach, p.t.from, p.t.cw, p.t.legs = src.mach, src.from, src.cw, append(p.t.legs[:0], src.legs...)
		if d.try(&p.t, src.start, &p.f); !p.f.ok || p.f.cut {
			return 0, false
		}
		if d.book(&p.t, &p.b); p.b.first.c != 0 {
			return 0, false
		}
	}
	return p.price(d), true
}

// drop leaves trip k out. The machine's next trip begins where this one would
// have, and first walks dry to where it was to begin.
func (p *polisher) drop(k int) bool {
	t := &p.cand[k]
	m := &p.w.machs[t.mach]
	end := t.from
	for i := range t.legs {
		end = advance(end, t.legs[i].deg, t.cw)
	}
	t.legs = nil
	for i := k + 1; i < len(p.cand); i++ {
		next := &p.cand[i]
		if next.mach != t.mach {
			continue
		}
		if walk := along(t.from, end, next.cw); walk > degTol {
			next.legs = slices.Insert(slices.Clone(next.legs), 0, run{walk, false, m.TimerMaxPct})
		}
		break
	}
	return true
}

// turnBack runs a whole turn the other way round, so that each place gets what it
// got.
func turnBack(t *trip, m *mach) bool {
	var sum float64
	for i := range t.legs {
		sum += t.legs[i].deg
	}
	if !m.Reversible || !math.IsInf(m.reach, 1) || math.Abs(sum-360) > degTol {
		return false
	}
	t.cw = !t.cw
	slices.Reverse(t.legs)
	return true
}

// timer changes the timer of a wet leg by a factor.
func timer(l *run, m *mach, factor float64) bool {
	if !l.wet {
		return false
	}
	to := min(max(math.Round(l.timer*factor*timerSteps)/timerSteps, m.slowest), m.TimerMaxPct)
	if to == l.timer {
		return false
	}
	l.timer = to
	return true
}

func allTimers(t *trip, m *mach, factor float64) bool {
	any := false
	for i := range t.legs {
		any = timer(&t.legs[i], m, factor) || any
	}
	return any
}

// slide moves the end of leg l; the last leg's end is not for moving.
func slide(t *trip, l int, deg float64) bool {
	if l+1 >= len(t.legs) {
		return false
	}
	deg = min(max(deg, -t.legs[l].deg), t.legs[l+1].deg)
	if math.Abs(deg) < degTol {
		return false
	}
	t.legs[l].deg += deg
	t.legs[l+1].deg -= deg
	t.tidy()
	return true
}

// toggle makes a wet leg dry, or a dry one wet at the timer of a neighbour.
func toggle(t *trip, l int, m *mach) bool {
	if l >= len(t.legs) {
		return false
	}
	leg := &t.legs[l]
	if leg.wet {
		leg.wet, leg.timer = false, m.TimerMaxPct
		t.tidy()
		return true
	}
	for _, k := range [...]int{l - 1, l + 1} {
		if k >= 0 && k < len(t.legs) && t.legs[k].wet {
			leg.wet, leg.timer = true, t.legs[k].timer
			t.tidy()
			return true
		}
	}
	return false
}

// split cuts leg l in two at a slice and gives one half another timer; factor 0
// makes it dry.
func split(t *trip, l, half int, factor float64, m *mach) bool {
	if l >= len(t.legs) || !t.legs[l].wet || len(t.legs) >= m.MaxLegs {
		return false
	}
	first := math.Round(t.legs[l].deg/2/m.width) * m.width
	if first <= degTol || first >= t.legs[l].deg-degTol {
		return false
	}
	t.legs = slices.Insert(t.legs, l+1, t.legs[l])
	t.legs[l].deg = first
	t.legs[l+1].deg -= first
	if factor == 0 {
		t.legs[l+half].wet, t.legs[l+half].timer = false, m.TimerMaxPct
		t.tidy()
		return true
	}
	return timer(&t.legs[l+half], m, factor)
}

// tidy joins legs of one setting and takes out empty ones.
func (t *trip) tidy() {
	out := t.legs[:0]
	for _, l := range t.legs {
		if l.deg <= degTol {
			continue
		}
		if n := len(out); n > 0 && out[n-1].wet == l.wet && out[n-1].timer == l.timer {
			out[n-1].deg += l.deg
			continue
		}
		out = append(out, l)
	}
	t.legs = out
}
