package keepup

// This file has the book of one well: hours, water and soil, day by day.

import (
	"cmp"
	"math"
	"slices"
	"time"

	"sandwick/pivot"
	"sandwick/pivot/runplan"
	"sandwick/soilwater"
)

// book is one well with its machines, made ready.
type book struct {
	p        *runplan.Problem
	wellOf   *runplan.Well
	days     int // looked at
	span     int // with the days of one round after them
	machines []machine
	slices   []slice // of all machines
	cells    []cell  // in order of slice
	zones    []zone
	clock    []float64 // hours the well may run, by day
	lead     float64   // days ahead that ground may be watered

	// Scratch of a run.
	state []soilwater.State
	dep   []float64 // depletion of each cell in the morning
	list  []int     // slices to be served today
	due   []float64 // by slice: days until it is due
	need  []float64 // by slice: net mm it lacks
	net   []float64 // by slice: net mm given today
	left  []float64 // by machine: hours left today; carried when overdrawn
	level []float64 // by level: machine hours left to the machines that share it
}

type machine struct {
	*runplan.Machine
	hours []float64 // it may run, by day
	level int       // so many machines of its flow can run at once, less one
}

// slice is what a machine can water by itself.
type slice struct {
	machine  int     // index into machines
	from, to int     // cells
	areaM2   float64 // wetted
	groundM2 float64 // of which with a balance
	flow     float64 // m³/h while the arm is on it
	leastMM  float64 // gross at the fastest timer
	blocked  []bool  // by day: may not be watered
}

type cell struct {
	*runplan.Cell
	z     *runplan.Zone
	zone  int  // index into zones
	drive bool // large enough to ask for water
}

type zone struct {
	machine, zone int
	areaM2        float64
	given         bool // given up: asks for no water
}

func newBook(p *runplan.Problem, well int) *book {
	b := &book{p: p, wellOf: &p.Wells[well], days: p.Days}
	ends := dayEnds(p.Now, p.Days)
	b.clock = b.hours(ends, b.wellOf.NoRun)
	flows := []float64{}
	for i := range p.Machines {
		if p.Machines[i].Well == b.wellOf.Name {
			flows = append(flows, p.Machines[i].FlowM3H)
		}
	}
	for i := range p.Machines {
		m := &p.Machines[i]
		if m.Well != b.wellOf.Name {
			continue
		}
		parallel := int(b.wellOf.FlowM3H / m.FlowM3H * (1 + 1e-6))
		mm := machine{Machine: m, level: min(max(parallel, 1), len(flows)) - 1}
		mm.hours = b.hours(ends, slices.Concat(b.wellOf.NoRun, m.NoRun))
		busy(mm.hours, ends, p.Now, m.FreeAt)
		if m.RunningM3H > 0 && mm.level == 0 {
			busy(b.clock, ends, p.Now, m.FreeAt)
		}
		for _, d := range m.Recorded {
			if mm.level == 0 {
				taken(b.clock, ends, p.Now, d)
			}
		}
		b.addMachine(i, mm, ends)
	}
	limit := b.wellOf.MaxHoursPerDay
	for d := range b.clock {
		if limit < 24 {
			b.clock[d] = min(b.clock[d], limit)
		}
	}
	if limit < 24 {
		b.clock[0] = max(0, min(b.clock[0], limit-b.wellOf.HoursToday))
	}
	n := len(b.slices)
	b.state = make([]soilwater.State, len(b.cells))
	b.dep = make([]float64, len(b.cells))
	b.list = make([]int, 0, n)
	b.due, b.need, b.net = make([]float64, n), make([]float64, n), make([]float64, n)
	b.left = make([]float64, len(b.machines))
	b.level = make([]float64, len(b.machines))
	b.lead = b.leadDays()
	b.extend()
	return b
}

// round is the days of one round, whole.
func (b *book) round() int { return int(math.Ceil(b.lead)) }

// extend adds the days of a round after the last: their hours are those of the
// same day a week before, as no-run hours go by the week; no-water periods end
// with the days looked at.
func (b *book) extend() {
	b.span = b.days + b.round()
	for d := b.days; d < b.span; d++ {
		like := max(min(d-7, b.days-1), 0)
		if d-7 < 1 {
			like = b.days - 1 // the first day has begun already
		}
		b.clock = append(b.clock, b.clock[like])
		for i := range b.machines {
			b.machines[i].hours = append(b.machines[i].hours, b.machines[i].hours[like])
		}
	}
}

// addMachine adds a machine with its slices, cells and zones.
func (b *book) addMachine(index int, m machine, ends []time.Time) {
	at := len(b.machines)
	b.machines = append(b.machines, m)
	firstZone := len(b.zones)
	for z := range m.Zones {
		b.zones = append(b.zones, zone{machine: index, zone: z})
	}
	bySlice := make([][]*runplan.Cell, len(m.SliceM2))
	for i := range m.Cells {
		if c := &m.Cells[i]; c.Zone >= 0 && c.AreaM2 > 0 {
			bySlice[c.Slice] = append(bySlice[c.Slice], c)
			b.zones[firstZone+c.Zone].areaM2 += c.AreaM2
		}
	}
	always := b.blocked(m.NoWater, ends)
	byZone := make([][]bool, len(m.Zones))
	for z := range m.Zones {
		byZone[z] = b.blocked(m.Zones[z].NoWater, ends)
	}
	for s, list := range bySlice {
		if len(list) == 0 || !(m.SliceM2[s] > 0) {
			continue
		}
		arc := pivot.Arc{From: pivot.Azimuth(float64(s) * m.SliceDeg), To: pivot.Azimuth(float64(s+1) * m.SliceDeg)}
		sl := slice{machine: at, from: len(b.cells), areaM2: m.SliceM2[s], blocked: slices.Clone(always)}
		inside, gun := m.SliceDeg, 0.0
		if m.Stops != nil {
			inside = m.Stops.Shared(arc)
		}
		for _, g := range m.EndGunArcs {
			gun = max(gun, g.Shared(arc)/m.SliceDeg)
		}
		sl.flow = m.FlowM3H + m.EndGunM3H*gun
		sl.leastMM = sl.flow * m.HoursAtFull * 100 / m.TimerMaxPct * inside / 360 / sl.areaM2 * 1000
		var ground float64
		for _, c := range list {
			ground += c.AreaM2
		}
		for _, c := range list {
			drive := c.AreaM2 >= sliver*ground
			b.cells = append(b.cells, cell{Cell: c, z: &m.Zones[c.Zone], zone: firstZone + c.Zone, drive: drive})
			for d := range sl.blocked {
				sl.blocked[d] = sl.blocked[d] || drive && byZone[c.Zone][d]
			}
		}
		sl.to, sl.groundM2 = len(b.cells), ground
		b.slices = append(b.slices, sl)
	}
}

func (b *book) zoneOf(machine, zn int) int {
	return slices.IndexFunc(b.zones, func(z zone) bool { return z.machine == machine && z.zone == zn })
}

// dayEnds lists the ends of the days, the first being the day of now.
func dayEnds(now time.Time, days int) []time.Time {
	out := make([]time.Time, days)
	for d := range out {
		out[d] = time.Date(now.Year(), now.Month(), now.Day()+d+1, 0, 0, 0, 0, now.Location())
	}
	return out
}

// hours are those of each day, from now on, outside the windows.
func (b *book) hours(ends []time.Time, off []runplan.Window) []float64 {
	out := make([]float64, len(ends))
	from := b.p.Now
	for d, to := range ends {
		out[d] = to.Sub(from).Hours() - covered(off, from, to)
		from = to
	}
	return out
}

// covered is how many hours of [from, to) lie in any of the windows.
func covered(list []runplan.Window, from, to time.Time) float64 {
	list = slices.Clone(list)
	slices.SortFunc(list, func(a, b runplan.Window) int { return a.From.Compare(b.From) })
	var sum time.Duration
	at := from
	for _, w := range list {
		a, z := w.From, w.To
		if a.Before(at) {
			a = at
		}
		if z.After(to) {
			z = to
		}
		if z.After(a) {
			sum += z.Sub(a)
			at = z
		}
	}
	return sum.Hours()
}

// busy takes the time until free from the hours.
func busy(hours []float64, ends []time.Time, now, free time.Time) {
	from := now
	for d, to := range ends {
		if !free.After(from) {
			return
		}
		hours[d] = max(0, min(hours[d], to.Sub(free).Hours()))
		from = to
	}
}

// taken takes a stretch of pumping off the hours of the days it lies in.
func taken(hours []float64, ends []time.Time, now time.Time, d runplan.Draw) {
	from := now
	for k, to := range ends {
		hours[k] = max(0, hours[k]-covered([]runplan.Window{{From: d.From, To: d.To}}, from, to))
		from = to
	}
}

// blocked are the days of which no-water periods take half or more.
func (b *book) blocked(list []runplan.Window, ends []time.Time) []bool {
	out := make([]bool, len(ends))
	from := b.p.Now
	for d, to := range ends {
		out[d] = covered(list, from, to) >= to.Sub(from).Hours()/2
		from = to
	}
	return out
}

// leadDays is the time in which the well can refill all its ground once,
// within the limits.
func (b *book) leadDays() float64 {
	var m3 float64
	for i := range b.cells {
		c := &b.cells[i]
		_, taw, raw := c.z.Column.Totals(&c.State, &c.z.Demand[0], c.z.TableM[0])
		m := b.p.Machines[b.zones[c.zone].machine]
		m3 += min(trigger(c.z, taw, raw)/m.Efficiency, m.MaxGrossMM) * c.AreaM2 / 1000
	}
	perDay := b.capacityM3() / b.meanEfficiency() / float64(b.days)
	if !(perDay > 0) {
		return MaxLeadDays
	}
	return min(max(m3/perDay, MinLeadDays), MaxLeadDays)
}

func (b *book) meanEfficiency() float64 {
	var sum, flow float64
	for i := range b.machines {
		sum += b.machines[i].Efficiency * b.machines[i].FlowM3H
		flow += b.machines[i].FlowM3H
	}
	return sum / flow
}

// capacityM3 is the net water that the well's hours can give over all days: the
// machines with the greatest flow first, as many at once as the flow allows.
func (b *book) capacityM3() float64 {
	order := make([]int, len(b.machines))
	for i := range order {
		order[i] = i
	}
	net := func(i int) float64 { return b.machines[i].FlowM3H * b.machines[i].Efficiency }
	slices.SortStableFunc(order, func(i, k int) int { return cmp.Compare(net(k), net(i)) })
	var sum, pumped float64
	for d := range b.days {
		b.open(d)
		volume := b.wellOf.FlowM3H * b.clock[d]
		for _, i := range order {
			m := &b.machines[i]
			h := min(b.left[i], b.levelLeft(m.level), volume/m.FlowM3H, max(0, b.wellOf.SeasonM3Left-pumped)/m.FlowM3H)
			if h <= 0 {
				continue
			}
			b.use(i, h)
			volume -= h * m.FlowM3H
			pumped += h * m.FlowM3H
			sum += h * net(i)
		}
		clear(b.left)
		clear(b.level)
	}
	return sum
}

// open begins a day: its hours, less what was overdrawn the day before.
//
// Of the machines of which at most j can run at once, all together have at most
// j times the well's hours: level j-1 has the hours left to the machines of
// level j-1 and below.
func (b *book) open(d int) {
	for i := range b.left {
		b.left[i] = min(0, b.left[i]) + b.machines[i].hours[d]
	}
	for j := range b.level {
		b.level[j] = min(0, b.level[j]) + float64(j+1)*b.clock[d]
	}
}

func (b *book) levelLeft(level int) float64 { return slices.Min(b.level[level:]) }

func (b *book) use(machine int, hours float64) {
	b.left[machine] -= hours
	for j := b.machines[machine].level; j < len(b.level); j++ {
		b.level[j] -= hours
	}
}

func trigger(z *runplan.Zone, taw, raw float64) float64 {
	if z.TriggerMM == nil {
		return raw
	}
	return z.TriggerMM(taw, raw)
}

// run is what came of one way of running.
type run struct {
	zone           []zoneDay // [zone*span+day]
	grossM3, netM3 float64   // water on slices, and what of it reached ground with a balance
	seasonOut      int       // see Well.SeasonOut
}

// zoneDay is one zone at the end of one day.
type zoneDay struct {
	pastM2, stressM2 float64 // ground past its trigger, short of water
	worstMM          float64 // furthest past
	unmetM3          float64 // ET lost
}

func (b *book) newRun() *run { return &run{zone: make([]zoneDay, len(b.zones)*b.span)} }

// run steps all ground through the days, with the well's limits or without
// any. No allocation.
func (b *book) run(r *run, unlimited bool) {
	clear(r.zone)
	r.grossM3, r.netM3, r.seasonOut = 0, 0, -1
	for i := range b.cells {
		c := &b.cells[i]
		b.state[i] = c.State
		b.dep[i], _, _ = c.z.Column.Totals(&c.State, &c.z.Demand[0], c.z.TableM[0])
	}
	clear(b.left)
	clear(b.level)
	season := b.wellOf.SeasonM3Left
	for d := range b.span {
		clear(b.net)
		b.look(d)
		b.open(d)
		season = b.serve(r, d, season, unlimited)
		b.step(r, d)
	}
}

// look finds the slices that want water today, the one due first in front.
func (b *book) look(d int) {
	b.list = b.list[:0]
	var out soilwater.Fluxes
	for s := range b.slices {
		sl := &b.slices[s]
		if d < b.days && sl.blocked[d] {
			continue
		}
		b.due[s], b.need[s] = math.Inf(1), 0
		for i := sl.from; i < sl.to; i++ {
			c := &b.cells[i]
			if !c.drive || b.zones[c.zone].given {
				continue
			}
			// The day without water shows how fast it dries and where its trigger lies.
			st := b.state[i]
			wa := c.water(d, b.days)
			c.z.Column.Step(&st, c.demand(d), &wa, &out)
			t := trigger(c.z, out.TAWMM, out.RAWMM)
			due := math.Inf(1)
			rate := out.DepletionMM - b.dep[i]
			switch {
			case b.dep[i] >= t || out.Ks < 1-stressTol:
				due = (t - b.dep[i]) / max(rate, 1e-3)
				due = min(due, 0)
			case rate > 0:
				due = (t - b.dep[i]) / rate
			}
			b.due[s] = min(b.due[s], due)
			b.need[s] = max(b.need[s], b.dep[i]-wa.NetMM)
		}
		if b.due[s] <= b.lead && b.need[s] > 0 {
			b.list = append(b.list, s)
		}
	}
	slices.SortStableFunc(b.list, func(i, k int) int { return cmp.Compare(b.due[i], b.due[k]) })
}

func (c *cell) demand(d int) *soilwater.Demand { return &c.z.Demand[min(d, len(c.z.Demand)-1)] }

func (c *cell) water(d, days int) soilwater.Water {
	w := soilwater.Water{FwNet: 1, TableM: c.z.TableM[min(d, len(c.z.TableM)-1)]}
	if d < days {
		w.RainMM = c.z.RainMM[d]
		if d < len(c.GivenMM) {
			w.NetMM = c.GivenMM[d]
		}
	}
	return w
}

// serve waters the slices on the list while hours and water last. A slice that
// is begun is finished; what that overdraws is taken from tomorrow.
func (b *book) serve(r *run, d int, season float64, unlimited bool) float64 {
	volume := b.wellOf.FlowM3H * b.clock[d]
	for _, s := range b.list {
		sl := &b.slices[s]
		m := &b.machines[sl.machine]
		gross := min(max(b.need[s]/m.Efficiency, sl.leastMM), m.MaxGrossMM)
		m3 := gross * sl.areaM2 / 1000
		h := m3 / sl.flow
		if !unlimited {
			if b.left[sl.machine] <= 0 || b.levelLeft(m.level) <= 0 || volume <= 0 {
				continue
			}
			if season < m3 {
				if r.seasonOut < 0 && d < b.days {
					r.seasonOut = d
				}
				continue
			}
			b.use(sl.machine, h)
			volume -= m3
			season -= m3
		}
		b.net[s] = gross * m.Efficiency
		if d < b.days {
			r.grossM3 += m3
			r.netM3 += b.net[s] * sl.groundM2 / 1000
		}
	}
	return season
}

// step lets the day pass.
func (b *book) step(r *run, d int) {
	var out soilwater.Fluxes
	for s := range b.slices {
		sl := &b.slices[s]
		for i := sl.from; i < sl.to; i++ {
			c := &b.cells[i]
			wa := c.water(d, b.days)
			wa.NetMM += b.net[s]
			c.z.Column.Step(&b.state[i], c.demand(d), &wa, &out)
			b.dep[i] = out.DepletionMM
			z := &r.zone[c.zone*b.span+d]
			if past := out.DepletionMM - trigger(c.z, out.TAWMM, out.RAWMM); past > behindMM {
				z.pastM2 += c.AreaM2
				z.worstMM = max(z.worstMM, past)
			}
			if out.Ks < 1-stressTol {
				z.stressM2 += c.AreaM2
			}
			z.unmetM3 += max(0, out.ETcMM-out.ETMM) * c.AreaM2 / 1000
		}
	}
}
