package runplan

// This file turns jobs into a plan that can be run. A job says what a machine
// is to do to which slices, and not before when; the board finds the legs that
// do it from where the arm stands by then, and the first start that nothing
// forbids. So a change of one job leaves the others what they are.

import (
	"math"
	"slices"
)

// job is one trip as the search sees it.
type job struct {
	mach  int
	after float64  // hour before which it does not start
	cw    bool     // direction
	set   []uint16 // by slice: timer in steps of 1/timerSteps %, for water; 0 dry
}

// flown is what became of a job.
type flown struct {
	from, start, end float64
	leave            []float64 // hour at which the arm leaves each station, in order; as far as it goes
	legs             int       // 0: nothing to water, or no way to; the machine stays where it is
	over             int       // legs more than the panel holds
}

// board runs jobs in order.
type board struct {
	*planner
	st        []station
	legs      []run
	tree      []*trees // by machine
	sheetWork int      // of copying a draft
	work      int      // stations passed and slices looked at: what bounds the search

	firm  int     // jobs at the head that are not for changing
	opens float64 // hour before which no other job starts

	overtime bool // run although the time is over: what was found must not be lost

	spare  []*score
	sheets []*draft
}

// score is a plan on the board and all that a change of it builds on.
type score struct {
	jobs  []job
	flown []flown
	at    []*draft // at[k]: before job k; at[len(jobs)]: the whole. Shared by scores that begin alike
	cost  []ledger // by machine
	total float64
}

// ledger is what the ground of one machine costs under a plan.
type ledger struct {
	row  []float64 // net mm by slice and day that the costs were made with
	cost []float64 // by slice
	sum  float64
}

// timerOf is a setting as a timer of the panel.
func (m *mach) timerOf(set uint16) float64 {
	return min(max(float64(set)/timerSteps, m.TimerMinPct), m.TimerMaxPct)
}

func (m *mach) setOf(timer float64) uint16 { return uint16(math.Round(timer * timerSteps)) }

// room is how far a machine can turn in a direction: a whole turn, or to its stop.
func (d *draft) turn(i int, cw bool) float64 {
	if math.IsInf(d.w.machs[i].reach, 1) {
		return 360
	}
	return d.room(i, cw)
}

// legsOf are the legs that do a job from where the arm stands: as far as the
// last water.
func (b *board) legsOf(j *job, from, room float64) []run {
	m := &b.w.machs[j.mach]
	b.st = m.stations(b.st[:0], from, j.cw, room)
	b.legs = b.legs[:0]
	wet, far := 0, 0 // legs and stations up to the last water
	for k := range b.st {
		s := &b.st[k]
		set := j.set[s.slice]
		timer := m.TimerMaxPct
		if set > 0 {
			timer = m.timerOf(set)
		}
		n := len(b.legs)
		if n > 0 && b.legs[n-1].wet == (set > 0) && b.legs[n-1].timer == timer {
			b.legs[n-1].deg += s.deg
		} else {
			b.legs = append(b.legs, run{s.deg, set > 0, timer})
		}
		if set > 0 {
			wet, far = len(b.legs), k+1
		}
	}
	b.legs, b.st = b.legs[:wet], b.st[:far]
	return b.legs
}

// fly runs a job on a draft as early as it can. A job that nothing lets run is
// left out.
func (b *board) fly(d *draft, j *job, out *flown) {
	m := &b.w.machs[j.mach]
	*out = flown{from: d.arm[j.mach], leave: out.leave[:0], start: d.free[j.mach], end: d.free[j.mach]}
	legs := b.legsOf(j, d.arm[j.mach], d.turn(j.mach, j.cw))
	if len(legs) == 0 || !j.cw && !m.Reversible {
		return
	}
	out.over = max(0, len(legs)-min(m.MaxLegs, maxPlannedLegs))
	t := &b.t
	start := b.gridUp(max(j.after, d.free[j.mach]))
	b.f.ok = false
	for range 200 {
		if start >= b.w.end() {
			return
		}
		b.work += len(b.st)
		t.mach, t.from, t.cw, t.legs = j.mach, d.arm[j.mach], j.cw, append(t.legs[:0], legs...)
		if d.try(t, start, &b.f); b.f.ok {
			break
		}
		if math.IsInf(b.f.retry, 1) {
			return
		}
		start = max(b.gridUp(b.f.retry), b.gridUp(start+timeTol))
	}
	if !b.f.ok || len(t.legs) == 0 {
		return
	}
	d.book(t, &b.b)
	out.start, out.end, out.legs = t.start, b.b.end, len(t.legs)
	if c := b.b.first.c; c != 0 && c != LegCount {
		out.over += 100 // a trip that was cut short in a way that is not allowed
	}
	out.leave = append(out.leave, b.f.station...)
}

// tooMany is what a leg that the panel does not hold counts for: more than any
// plan costs, so that a plan with one is only ever on the way to another.
const tooMany = 1e9

// runWork is what a run costs besides, in the same terms.
const runWork = 20

// run plays jobs in order and gives what all then costs; old is a plan whose
// first same jobs are the same. False when the time is over.
func (b *board) run(jobs []job, old *score, same int) (*score, bool) {
	if b.ctx.Err() != nil && !b.overtime {
		return nil, false
	}
	w := b.w
	b.tried++
	b.work += runWork + (len(jobs)-same)*b.sheetWork
	s := b.fresh()
	s.jobs = append(s.jobs[:0], jobs...)
	for len(s.flown) < len(jobs) {
		s.flown = append(s.flown, flown{})
	}
	s.flown = s.flown[:len(jobs)]
	if old == nil {
		same = 0
		d := b.sheet()
		d.reset()
		s.at = append(s.at, d)
	} else {
		for k := range same {
			s.flown[k].copyFrom(&old.flown[k])
		}
		for _, d := range old.at[:same+1] {
			d.users++
			s.at = append(s.at, d)
		}
	}
	for k := same; k < len(jobs); k++ {
		d := b.sheet()
		d.copyFrom(s.at[k])
		s.at = append(s.at, d)
		if k >= b.firm && jobs[k].after < b.opens {
			s.jobs[k].after = b.opens
		}
		b.fly(d, &s.jobs[k], &s.flown[k])
	}
	d := s.at[len(jobs)]
	s.total = d.pumping + d.labour + d.preference + 1e-6*float64(d.legs)
	for k := range jobs {
		s.total += tooMany * float64(s.flown[k].over)
	}
	for len(s.cost) < len(w.machs) {
		n := w.machs[len(s.cost)].n
		s.cost = append(s.cost, ledger{row: make([]float64, n*w.p.Days), cost: make([]float64, n)})
	}
	for i := range w.machs {
		var from *ledger
		if old != nil {
			from = &old.cost[i]
		}
		b.ground(i, d.water(i), from, &s.cost[i])
		s.total += s.cost[i].sum
	}
	return s, true
}

// ground costs the ground of machine i with net water by slice and day; what
// has not changed since from is taken over.
func (b *board) ground(i int, net []float64, from, to *ledger) {
	tr, days := b.tree[i], b.w.p.Days
	to.sum = 0
	for s := range to.cost {
		row := net[s*days : (s+1)*days]
		if from != nil && slices.EqualFunc(row, from.row[s*days:(s+1)*days], sameWater) {
			to.cost[s] = from.cost[s]
		} else if len(tr.kindOf[s]) > 0 {
			to.cost[s] = tr.cost(s, row)
			b.work += 10
		}
		to.sum += to.cost[s]
	}
	copy(to.row, net)
}

// sameWater leaves out what rounding makes of the same azimuths, so that a farm
// turned takes the same work.
func sameWater(a, b float64) bool { return math.Abs(a-b) < drop/1e6 }

func (f *flown) copyFrom(o *flown) {
	leave := append(f.leave[:0], o.leave...)
	*f = *o
	f.leave = leave
}

// fresh is a score to write on.
func (b *board) fresh() *score {
	if n := len(b.spare); n > 0 {
		s := b.spare[n-1]
		b.spare = b.spare[:n-1]
		return s
	}
	return &score{}
}

// sheet is a draft to write on.
func (b *board) sheet() *draft {
	if n := len(b.sheets); n > 0 {
		d := b.sheets[n-1]
		b.sheets = b.sheets[:n-1]
		d.users = 1
		return d
	}
	d := newDraft(b.w)
	d.users = 1
	return d
}

// drop gives a score back; what other scores build on stays.
func (b *board) drop(s *score) {
	if s == nil {
		return
	}
	for _, d := range s.at {
		if d.users--; d.users == 0 {
			b.sheets = append(b.sheets, d)
		}
	}
	s.at = s.at[:0]
	b.spare = append(b.spare, s)
}

// jobsOf are the trips of a draft as jobs, in order of start.
func (b *board) jobsOf(d *draft) []job {
	type timed struct {
		job
		start float64
	}
	var all []timed
	var pieces []piece
	for i := range d.trips {
		m := &b.w.machs[i]
		for k := range d.trips[i] {
			t := &d.trips[i][k]
			j := job{mach: i, after: t.start, cw: t.cw, set: make([]uint16, m.n)}
			pieces, _ = m.walk(pieces[:0], t)
			for p := range pieces {
				if l := &t.legs[pieces[p].leg]; l.wet {
					j.set[pieces[p].slice] = m.setOf(l.timer)
				}
			}
			all = append(all, timed{j, t.start})
		}
	}
	slices.SortStableFunc(all, func(x, y timed) int {
		if x.start != y.start {
			return cmpFloat(x.start, y.start)
		}
		return x.mach - y.mach
	})
	out := make([]job, len(all))
	for k := range all {
		out[k] = all[k].job
	}
	return out
}

// draftOf is a plan on the board with its trips.
func (b *board) draftOf(s *score) *draft {
	d := newDraft(b.w)
	var f flown
	for k := range s.jobs {
		if s.flown[k].legs == 0 {
			continue
		}
		if b.fly(d, &s.jobs[k], &f); f.legs > 0 {
			d.trips[s.jobs[k].mach] = append(d.trips[s.jobs[k].mach], b.t.clone())
		}
	}
	return d
}
