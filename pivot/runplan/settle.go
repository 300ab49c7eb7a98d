package runplan

// This file chooses a job's timers anew for all slices at once, by dynamic
// programming over the stations of the arm, with the other jobs as they are.

import (
	"math"
	"slices"
)

// maxTimers is how many timers the legs of one job choose from.
const maxTimers = 6

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
