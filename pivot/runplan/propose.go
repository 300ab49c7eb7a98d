package runplan

// This file proposes one machine's next trip in one direction: which ground
// needs water before the machine comes by again, how much, and how late the
// trip can start.

import (
	"math"
	"slices"

	"sandwick/soilwater"
)

// timerSteps is how many steps of the timer plans use in a percent. Finer than a
// grower needs, coarse enough to be set; more water than wanted is never the
// rounding's fault, because timers are rounded up.
const timerSteps = 10

// startStep is the step of the starts that plans use, hours.
const startStep = 0.25

// maxLevels is how many depths of water the legs of one trip choose from.
const maxLevels = 6

// rounds is how often the legs are chosen anew for the arrivals they lead to.
const rounds = 2

// settled is how little the arrivals of a trip may move, hours, for its legs to
// be left as they are.
const settled = 2

// proposal is a trip that a machine could make next.
type proposal struct {
	ok     bool
	t      trip
	fit    fit
	latest float64 // the latest start at which no cell passes its trigger; below the start: it is too late already
	cost   float64 // of the ground until the next pass, with the pumping
	driver int     // slice that sets latest; -1 none
	need   float64 // share of the ground that needs water
	// Not ok:
	why   ReasonCode
	other string
	retry float64
}

// proposer builds proposals for one machine.
type proposer struct {
	chooser
	st    []station
	wants []bool // by timer, in steps: some ground asks for it
	memo  map[memoKey]*memo
	owed  []float64 // scratch: by level, the most that a cell of the slice owes
	bar   *span     // the no-water period that keeps water from ground that needs it and ends first; nil none
}

// memoKey tells cells apart as far as the choice of legs goes. The final account
// is exact; here cells of one zone that are as dry, to a millimetre in all and to
// two in the top layer, count as one.
type memoKey struct{ zone, from, dep, top int16 }

// fills is into how many parts a refill is cut to see what each is good for.
const fills = 4

// memo is what one m² of such a cell comes to if it gets 0, 1/fills ... all of
// its refill on day from, by the end of each later day.
type memo struct {
	fill float64                 // mm
	by   [][fills + 1]memoAmount // by[to-from]
}

type memoAmount struct{ unmet, percolation, owed float64 } // mm

// policy is what the search varies.
type policy struct {
	cw    bool    // direction of the first trip, where the machine has a choice
	pace  float64 // hours that the machine is taken to need to come by again after a trip
	deep  float64 // how much more water owed at the next trip counts than it costs: over 1 favours a full refill
	lead  float64 // hours that trips start sooner than they must
	early bool    // also water what comes due just after the horizon
}

// propose builds the trip of machine i from start in a direction: the legs fit
// the arrival times that these legs lead to.
func (p *proposer) propose(d *draft, o *outlook, i int, cw bool, start float64, pol *policy, out *proposal) {
	w, m := d.w, &d.w.machs[i]
	*out = proposal{t: trip{legs: out.t.legs[:0], pauses: out.t.pauses[:0]}, fit: fit{station: out.fit.station[:0]}, driver: -1, retry: math.Inf(1)}
	t := &out.t
	t.mach, t.from, t.cw = i, d.arm[i], cw
	room := 360.0
	if !math.IsInf(m.reach, 1) {
		room = d.room(i, cw)
	}
	p.st = m.stations(p.st[:0], t.from, cw, room)
	limit := w.end()
	if pol.early {
		limit = w.dayEndX(o.span - 1)
	}
	p.firstGuess(o, m, start, limit, pol)
	for round := range rounds {
		if !p.needs(d, o, m, pol, limit, round < 2) {
			// Nothing yet: when will it be?
			out.why = NotDue
			for k := range p.st {
				if due := o.due[p.st[k].slice]; due <= limit {
					out.retry = min(out.retry, max(start+24, min(due, w.end())-pol.pace))
				}
			}
			return
		}
		p.penalties(d, o, m, pol)
		var any bool
		t.legs, out.cost, any = p.choose(t.legs, p.st, m.TimerMaxPct, m.MaxLegs, w.legCost())
		if !any {
			out.why, out.retry = NotDue, math.Inf(1)
			if p.bar != nil {
				out.why, out.other, out.retry = NoWaterPeriod, p.bar.why, p.bar.to
			}
			return
		}
		d.try(t, start, &out.fit)
		if !out.fit.ok {
			out.why, out.other, out.retry = out.fit.why, out.fit.other, out.fit.retry
			return
		}
		if !p.arrivals(m, t, &out.fit) {
			break // as before
		}
	}
	out.ok = true
	out.latest = math.Inf(1)
	var need, all float64
	now := 0.0
	leg, inLeg := 0, 0.0
	for k := range p.st {
		s := &p.st[k]
		area := m.SliceM2[s.slice] * s.frac
		all += area
		if s.needs {
			need += area
		}
		if leg >= len(t.legs) || k >= len(out.fit.station) {
			continue
		}
		now = out.fit.station[k]
		if t.legs[leg].wet && s.needs {
			if l := start + s.deadline - now; l < out.latest {
				out.latest, out.driver = l, s.slice
			}
		}
		if inLeg += s.deg; inLeg >= t.legs[leg].deg-degTol {
			leg, inLeg = leg+1, 0
		}
	}
	if all > 0 {
		out.need = need / all
	}
	if out.driver < 0 {
		out.ok, out.why = false, NotDue
	}
}

// room is how far a part-circle machine can go in a direction.
func (d *draft) room(i int, cw bool) float64 {
	m := &d.w.machs[i]
	at := m.offset(d.arm[i])
	if math.IsNaN(at) {
		if at = d.turned[i]; math.IsNaN(at) {
			return m.reach
		}
	}
	if cw {
		return max(0, m.reach-at)
	}
	return max(0, at)
}

// firstGuess sets the arrivals as if all ground due within the pace were given
// a usual pass and the rest walked over.
func (p *proposer) firstGuess(o *outlook, m *mach, start, limit float64, pol *policy) {
	usual := m.TimerMaxPct
	if r := slices.Max(m.rate); r > 0 {
		usual = min(max(r*100/m.typical, m.TimerMinPct), m.TimerMaxPct)
	}
	now := start
	for k := range p.st {
		s := &p.st[k]
		s.arrive = now
		timer := m.TimerMaxPct
		if due := o.due[s.slice]; due <= min(now+pol.pace, limit) {
			timer = usual
		}
		now += s.deg * m.hPerDeg * 100 / timer
		s.leave = now
	}
}

// arrivals takes the arrivals from a trip that was tried; ground beyond its end
// is reached at once after it. It tells whether a station moved by more than
// settled.
func (p *proposer) arrivals(m *mach, t *trip, f *fit) bool {
	moved := false
	now := t.start
	for k := range p.st {
		s := &p.st[k]
		leave := 0.0
		if k < len(f.station) {
			leave = f.station[k]
		} else {
			leave = now + s.deg*m.hPerDeg*100/m.TimerMaxPct
		}
		moved = moved || math.Abs(s.arrive-now) > settled || math.Abs(s.leave-leave) > settled
		s.arrive, s.leave = now, leave
		now = leave
	}
	return moved
}

// next is when a slice would be watered again after an arrival: after the pace,
// and not in a no-water period.
func (m *mach) next(slice int, arrive, pace float64) float64 {
	n := arrive + pace
	for i := range m.noWater[slice] {
		if s := &m.noWater[slice][i]; s.from <= n && n < s.to {
			n = s.to
		}
	}
	return n
}

// needs marks the ground that needs water and, if asked, sets the timers to
// choose from; false if no ground needs any.
func (p *proposer) needs(d *draft, o *outlook, m *mach, pol *policy, limit float64, levels bool) bool {
	w := d.w
	if levels {
		if p.wants == nil {
			p.wants = make([]bool, int(math.Ceil(m.TimerMaxPct*timerSteps))+1)
		}
		clear(p.wants)
	}
	any := false
	for k := range p.st {
		s := &p.st[k]
		due := o.due[s.slice]
		s.deadline = due
		// After the last pass that ends within the horizon there is no next one.
		next := m.next(s.slice, s.leave, pol.pace)
		s.needs = due <= limit && (due <= next || next >= w.end()) && m.rate[s.slice] > 0 && s.frac > 0
		if !s.needs {
			continue
		}
		any = true
		for i := range m.noWater[s.slice] {
			if z := &m.noWater[s.slice][i]; z.from < due && due < z.to && z.from > s.arrive {
				s.deadline = min(s.deadline, z.from)
			}
		}
		if !levels {
			continue
		}
		from := w.dayX((s.arrive+s.leave)/2, o.span-1)
		to := w.dayX(m.next(s.slice, s.leave, pol.pace), o.span-1)
		net100 := m.rate[s.slice] * m.Efficiency * 100 // net mm at timer 1 %
		for i := range m.cells[s.slice] {
			c, q := &m.cells[s.slice][i], &o.paths[s.slice][i]
			if c.share < sliver {
				continue
			}
			fill := q.dep[from] - c.water(from, o.days).RainMM
			if a, b := w.dayX(s.arrive, o.span-1), w.dayX(s.leave, o.span-1); b > a {
				// Midnight falls within the slice: neither day's part may find the ground
				// full, also if the arm turns out quicker than thought.
				fill = q.dep[a] - c.water(a, o.days).RainMM
				if part := (w.dayEndX(a) - s.arrive) / (s.leave - s.arrive); part < 0.5 {
					fill = min(q.dep[a]/part, q.dep[b]) - c.water(a, o.days).RainMM - c.water(b, o.days).RainMM
				}
			}
			roomy := fill
			for j := from + 1; j <= to && j < o.days; j++ {
				roomy = min(roomy, q.dep[j]-c.z.RainMM[j])
			}
			bridge := q.dep[to+1] - q.trig[to+1]
			for _, mm := range [...]float64{fill, roomy, bridge} {
				if mm > 0 {
					t := min(max(ceilTimer(net100/mm), m.slowest), m.TimerMaxPct)
					p.wants[int(math.Round(t*timerSteps))] = true
				}
			}
		}
	}
	if !any || !levels {
		return any
	}
	// Each depth counts once, however many cells ask for it; of many, some are taken.
	n := 0
	for _, w := range p.wants {
		if w {
			n++
		}
	}
	p.levels = append(p.levels[:0], 0)
	if n == 0 {
		p.levels = append(p.levels, m.TimerMaxPct)
	}
	seen, q := 0, 0
	for i := len(p.wants) - 1; i >= 0; i-- {
		if !p.wants[i] {
			continue
		}
		if seen >= (n-1)*q/(maxLevels-1) {
			p.levels = append(p.levels, min(float64(i)/timerSteps, m.TimerMaxPct))
			for q < maxLevels && (n-1)*q/(maxLevels-1) <= seen {
				q++
			}
		}
		seen++
	}
	return true
}

func ceilTimer(t float64) float64 { return math.Ceil(t*timerSteps-1e-8) / timerSteps }

// mustMM is the least that leaving due ground dry is taken to cost, in mm of
// unmet ET: by rule such ground is watered now, not left to the next pass. Our
// choice; it lets a slice go only where so little of it is due that watering the
// rest would cost more.
const mustMM = 5

// penalties works out what each station costs at each level until the machine
// comes by again: stress, percolation, the pumping, and what is then owed. On
// ground that does not need water, water is a loss and brings nothing.
func (p *proposer) penalties(d *draft, o *outlook, m *mach, pol *policy) {
	w, nl := d.w, len(p.levels)
	ww := &w.wells[m.well]
	p.pen = grow(p.pen, len(p.st)*nl)
	p.owed = grow(p.owed, nl)
	p.bar = nil
	for k := range p.st {
		s := &p.st[k]
		pen := p.pen[k*nl : (k+1)*nl]
		bar := hit(m.noWater[s.slice], s.arrive, s.leave)
		if bar != nil && s.needs && (p.bar == nil || bar.to < p.bar.to) {
			p.bar = bar
		}
		for l := range pen {
			pen[l], p.owed[l] = 0, 0
			if l > 0 {
				pen[l] = s.deg * m.hPerDeg * 100 / p.levels[l] * (m.PowerKW*ww.mean + ww.FuelPerH)
				if bar != nil {
					pen[l] = math.Inf(1)
				}
			}
		}
		net100 := m.rate[s.slice] * m.Efficiency * 100 * s.frac // net mm at timer 1 %
		if !s.needs {
			for l := 1; l < nl; l++ {
				for i := range m.cells[s.slice] {
					pen[l] += net100 / p.levels[l] * m.cells[s.slice][i].leached / 2
				}
			}
			continue
		}
		from := w.dayX((s.arrive+s.leave)/2, o.span-1)
		next := m.next(s.slice, s.leave, pol.pace)
		to := w.dayX(next, o.span-1)
		for i := range m.cells[s.slice] {
			c, q := &m.cells[s.slice][i], &o.paths[s.slice][i]
			b := p.look(o, c, q, from)
			by := &b.by[to-from]
			for l := range pen {
				x := 0.0 // in parts of the fill
				over := 0.0
				if l > 0 {
					net := net100 / p.levels[l]
					if b.fill > 0 {
						x = net / b.fill * fills
					}
					over = net - b.fill
				}
				j := min(int(x), fills-1)
				part := min(x-float64(j), 1)
				u, v := &by[j], &by[j+1]
				pen[l] += (u.unmet+part*(v.unmet-u.unmet))*q.value +
					(u.percolation+part*(v.percolation-u.percolation)+max(0, over))*c.leached
				if c.share >= sliver {
					p.owed[l] = max(p.owed[l], u.owed+part*(v.owed-u.owed))
				}
			}
			if q.due <= next && c.share >= sliver {
				pen[0] += max(mustMM, q.unmet[o.span]-q.unmet[from]) * q.value
			}
		}
		for l := range pen {
			pen[l] += p.owed[l] * m.owed[s.slice] * pol.deep
		}
	}
}

// look gives the memo of a cell that is watered on day from.
func (p *proposer) look(o *outlook, c *cell, q *path, from int) *memo {
	given := from < len(c.GivenMM)
	key := memoKey{int16(c.zone), int16(from), int16(math.Round(q.dep[from])), int16(math.Round(q.state[from].Layer[0] / 2))}
	if !given {
		if b := p.memo[key]; b != nil {
			return b
		}
	}
	b := &memo{fill: max(0, q.dep[from]), by: make([][fills + 1]memoAmount, o.span-from)}
	if from < o.days {
		b.fill = max(0, q.dep[from]-c.z.RainMM[from])
	}
	var f soilwater.Fluxes
	for j := range fills + 1 {
		st := q.state[from]
		var sum memoAmount
		asked := 0.0
		for day := from; day < o.span; day++ {
			wa := c.water(day, o.days)
			if day == from {
				wa.NetMM += b.fill * float64(j) / fills
			}
			c.z.Column.Step(&st, c.demand(day), &wa, &f)
			unmet := max(0, f.ETcMM-f.ETMM)
			sum.unmet += unmet + c.late(&f, unmet)
			sum.percolation += f.PercolationMM
			asked += f.ETcMM
			sum.owed = max(0, f.DepletionMM-asked)
			b.by[day-from][j] = sum
		}
	}
	if !given {
		if p.memo == nil {
			p.memo = make(map[memoKey]*memo)
		}
		p.memo[key] = b
	}
	return b
}
