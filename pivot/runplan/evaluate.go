package runplan

// This file is the one judge: whether a plan can be run, and what it costs.

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"sandwick/soilwater"
)

// flowTol is the relative excess of a flow, a volume or a depth that is taken
// for rounding.
const flowTol = 1e-6

// Evaluate judges a plan: whether every hard constraint holds, with the first
// that does not, and every term of its cost.
//
// It uses only what decides a pass (see [Plan]); what the plan itself says of
// volumes, depths, later clock times and costs is ignored and worked out again
// in Result.Passes. Water lands on the calendar day on which the arm passes,
// shared by time where midnight falls within a slice; a slice passed in part
// gets the mean over its ground. Every cell is stepped through the horizon by
// soilwater.
//
// The cost of stress is area × crop value × Ky × unmet ET over seasonal ET
// (Doorenbos and Kassam 1979, as FAO-56 Eq. 101 has it); where crop value or Ky is
// not known it is not priced, see ZoneResult.Priced. Ground past its trigger is
// priced as if stress began there (Late, beyond Stress). The carry is what each
// slice owes at the end, and the stress until it can be given. A cell owes its
// depletion as it would be after the machine's next trip could have reached it,
// less what the crop asks for until then, so that water which the table repays
// is not owed; a slice owes what its driest cell does, because the machine
// cannot water a part of it (slivers apart). It is priced at the mean price of
// energy and the share of a start.
//
// The error is for a problem that makes no sense or a plan for another farm.
// A plan that breaks a constraint is no error: its cost is given as far as its
// passes can be followed.
func Evaluate(p Problem, plan Plan) (Result, error) {
	w, err := newWorld(&p)
	if err != nil {
		return Result{}, err
	}
	return w.evaluate(&plan)
}

func (w *world) evaluate(plan *Plan) (Result, error) {
	trips := make([]trip, len(plan.Passes))
	for i := range plan.Passes {
		t, err := w.read(&plan.Passes[i])
		if err != nil {
			return Result{}, fmt.Errorf("runplan: pass %d: %w", i+1, err)
		}
		trips[i] = t
	}
	order := make([]int, len(trips))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmpFloat(trips[a].start, trips[b].start) })

	var r Result
	r.Passes = slices.Clone(plan.Passes)
	j := newJudge(w)
	for _, i := range order {
		ps := &r.Passes[i]
		v := j.pass(ps, &trips[i])
		if v != nil && r.Violation == nil {
			v.Pass, v.Pivot, v.Well = i, ps.Pivot, w.machs[trips[i].mach].Well
			r.Violation = v
		}
		r.WaterM3 += ps.VolumeM3
		r.Hours += ps.PumpHours
		r.EnergyKWh += ps.EnergyKWh
	}
	if v := j.wells(); v != nil && r.Violation == nil {
		r.Violation = v
		v.Pass = slices.IndexFunc(r.Passes, func(ps Pass) bool {
			return ps.Pivot == v.Pivot && !v.At.Before(ps.Start) && v.At.Before(ps.End)
		})
	}
	r.Cost.Pumping, r.Cost.Labour, r.Cost.Preference = j.pumping, j.labour, j.preference
	j.ground(&r)
	c := &r.Cost
	c.Total = c.Pumping + c.Labour + c.Stress + c.Late + c.Percolation + c.Carry + c.Preference
	return r, nil
}

// read turns a pass into a trip.
func (w *world) read(ps *Pass) (trip, error) {
	k := slices.IndexFunc(w.machs, func(m mach) bool { return m.Name == ps.Pivot })
	if k < 0 {
		return trip{}, fmt.Errorf("there is no machine %q", ps.Pivot)
	}
	if math.IsNaN(float64(ps.StartDeg)) || ps.Start.IsZero() {
		return trip{}, fmt.Errorf("%s: where and when it starts is not given", ps.Pivot)
	}
	t := trip{mach: k, start: w.hours(ps.Start), from: float64(ps.StartDeg.Norm()), cw: ps.Clockwise}
	for i := range ps.Legs {
		l := &ps.Legs[i]
		if !(l.TimerPct > 0) || math.IsNaN(float64(l.FromDeg)) || math.IsNaN(float64(l.ToDeg)) {
			return trip{}, fmt.Errorf("%s: leg %d: from, to and a timer above 0 are needed", ps.Pivot, i+1)
		}
		deg := along(float64(l.FromDeg), float64(l.ToDeg), ps.Clockwise)
		if deg <= degTol {
			deg = 360
		}
		t.legs = append(t.legs, run{deg, l.Water, l.TimerPct})
	}
	for _, s := range ps.Pauses {
		t.pauses = append(t.pauses, span{w.hours(s.From), w.hours(s.To), s.Why})
	}
	slices.SortFunc(t.pauses, func(a, b span) int { return cmpFloat(a.from, b.from) })
	return t, nil
}

// judge keeps the accounts of one plan.
type judge struct {
	w          *world
	arm        []float64   // by machine: where it stands
	free       []float64   // by machine: when it may start
	turned     []float64   // by part-circle machine: degrees from its first stop; NaN where the arm stands on a barrier that is both stops
	net        [][]float64 // by machine: net mm by slice and day, net[s*days+k]; nil until it is run
	draws      [][]draw    // by well
	volume     []float64   // by well
	pumping    float64
	labour     float64
	preference float64
	pieces     []piece
}

// draw is a stretch in which a machine takes water from a well.
type draw struct {
	t0, t1, flow float64
	mach         int
	plan         bool // it is the plan's; else it was running already
}

func newJudge(w *world) *judge {
	j := &judge{
		w:   w,
		arm: make([]float64, len(w.machs)), free: make([]float64, len(w.machs)),
		turned: make([]float64, len(w.machs)),
		net:    make([][]float64, len(w.machs)),
		draws:  make([][]draw, len(w.wells)), volume: make([]float64, len(w.wells)),
	}
	j.reset()
	return j
}

// reset takes all passes out again.
func (j *judge) reset() {
	w := j.w
	j.pumping, j.labour, j.preference = 0, 0, 0
	clear(j.volume)
	for i := range j.draws {
		j.draws[i] = j.draws[i][:0]
	}
	for i := range w.machs {
		m := &w.machs[i]
		j.arm[i], j.free[i] = float64(m.ArmDeg.Norm()), m.free
		j.turned[i] = m.offset(j.arm[i])
		clear(j.net[i])
		if m.RunningM3H > 0 && m.free > 0 {
			j.draws[m.well] = append(j.draws[m.well], draw{0, m.free, m.RunningM3H, i, false})
		}
		for _, d := range m.Recorded {
			if t0, t1 := max(0, w.hours(d.From)), min(w.hours(d.To), w.end()); t1 > t0 {
				j.draws[m.well] = append(j.draws[m.well], draw{t0, t1, d.M3H, i, false})
			}
		}
	}
	for i := range j.draws {
		if len(j.draws[i]) > 1 {
			slices.SortStableFunc(j.draws[i], func(a, b draw) int { return cmpFloat(a.t0, b.t0) })
		}
	}
}

// copyFrom makes j what o is.
func (j *judge) copyFrom(o *judge) {
	j.pumping, j.labour, j.preference = o.pumping, o.labour, o.preference
	copy(j.volume, o.volume)
	copy(j.arm, o.arm)
	copy(j.free, o.free)
	copy(j.turned, o.turned)
	for i := range o.draws {
		j.draws[i] = append(j.draws[i][:0], o.draws[i]...)
	}
	for i := range o.net {
		if o.net[i] != nil {
			copy(j.water(i), o.net[i])
		} else {
			clear(j.net[i])
		}
	}
}

// water is machine i's net water, net[s*days+k].
func (j *judge) water(i int) []float64 {
	if j.net[i] == nil {
		j.net[i] = make([]float64, j.w.machs[i].n*j.w.p.Days)
	}
	return j.net[i]
}

// offset is how far an azimuth lies from the first stop of a part circle, NaN on
// a barrier that is both stops; 0 for a full circle.
func (m *mach) offset(az float64) float64 {
	if math.IsInf(m.reach, 1) {
		return 0
	}
	d := along(m.lo, az, true)
	if m.reach > 360-degTol && d < degTol {
		return math.NaN()
	}
	return d
}

// breach is a violation in the judge's own terms.
type breach struct {
	c              Constraint
	leg            int
	at, got, limit float64
	why            string
}

// booking is what follows from a trip.
type booking struct {
	apart             breach // legs that do not join, as the pass says them; c == 0: none
	first             breach // the first broken constraint; c == 0: none
	end               float64
	volume, pump, kwh float64
	energy            float64 // currency
	cost              float64
	legs              []legBooking
}

type legBooking struct{ t0, t1, area, volume float64 }

func (b *booking) fail(c Constraint, leg int, at, got, limit float64, why string) {
	if b.first.c == 0 {
		b.first = breach{c, leg, at, got, limit, why}
	}
}

// pass follows one pass, books it and fills in what follows from it. It returns
// the first constraint of the pass itself that is broken.
func (j *judge) pass(ps *Pass, t *trip) *Violation {
	w, m := j.w, &j.w.machs[t.mach]
	var b booking
	at := ps.StartDeg
	for i := range ps.Legs {
		l := &ps.Legs[i]
		if d := along(float64(at), float64(l.FromDeg), true); min(d, 360-d) > angleTol && b.apart.c == 0 {
			b.apart = breach{LegsApart, i, t.start, float64(l.FromDeg), float64(at), ""}
		}
		at = l.ToDeg
	}
	j.run(t, &b)
	ps.Well = m.Well
	ps.StopDeg = at.Norm()
	ps.Start, ps.End = w.at(t.start), w.at(b.end)
	ps.VolumeM3, ps.PumpHours, ps.EnergyKWh, ps.Cost = b.volume, b.pump, b.kwh, b.cost
	ps.Legs = slices.Clone(ps.Legs)
	for i := range ps.Legs {
		l, lb := &ps.Legs[i], &b.legs[i]
		l.GrossMM, l.NetMM = 0, 0
		if lb.area > 0 {
			l.GrossMM = lb.volume / lb.area * 1000
			l.NetMM = l.GrossMM * m.Efficiency
		}
		l.Start, l.End = w.at(lb.t0), w.at(lb.t1)
	}
	if f := b.first; f.c != 0 {
		return &Violation{Constraint: f.c, Leg: f.leg, At: w.at(f.at), Got: f.got, Limit: f.limit, Why: f.why}
	}
	return nil
}

// run follows a trip, books its water, flow, hours and money, and notes the
// first constraint of the trip itself that is broken.
func (j *judge) run(t *trip, b *booking) {
	w, m := j.w, &j.w.machs[t.mach]
	ww := &w.wells[m.well]
	if t.start < j.free[t.mach]-timeTol {
		b.fail(Busy, -1, t.start, t.start, j.free[t.mach], "")
	}
	if d := along(j.arm[t.mach], t.from, true); min(d, 360-d) > angleTol {
		b.fail(ArmElsewhere, -1, t.start, t.from, j.arm[t.mach], "")
	}
	if !t.cw && !m.Reversible {
		b.fail(Direction, -1, t.start, 0, 0, "")
	}
	if len(t.legs) == 0 || len(t.legs) > m.MaxLegs {
		b.fail(LegCount, -1, t.start, float64(len(t.legs)), float64(m.MaxLegs), "")
	}
	if b.first.c == 0 {
		b.first = b.apart
	}
	for i := range t.legs {
		if timer := t.legs[i].timer; timer < m.TimerMinPct*(1-flowTol) {
			b.fail(TimerRange, i, t.start, timer, m.TimerMinPct, "")
		} else if timer > m.TimerMaxPct*(1+flowTol) {
			b.fail(TimerRange, i, t.start, timer, m.TimerMaxPct, "")
		}
	}
	j.stops(t, b)

	j.pieces, b.end = m.walk(j.pieces[:0], t)
	starts := 1
	for i, s := range t.pauses {
		if s.to < s.from || s.from < t.start-timeTol || s.to > b.end+timeTol || i > 0 && s.from < t.pauses[i-1].to-timeTol {
			b.fail(BadPause, -1, s.from, s.from, s.to, s.why)
		} else if s.to-s.from > MostStand+timeTol {
			b.fail(LongStand, -1, s.from, s.to-s.from, MostStand, s.why)
		} else if s.to-s.from > timeTol {
			starts++
		}
	}
	if b.end > w.end()+timeTol {
		b.fail(Horizon, -1, b.end, b.end, w.end(), "")
	}
	days, net := w.p.Days, j.water(t.mach)
	pos := t.from
	done := 0
	b.legs = b.legs[:0]
	for i := range t.legs {
		l := &t.legs[i]
		lb := legBooking{t0: t.start, t1: t.start}
		for first := true; done < len(j.pieces) && j.pieces[done].leg == i; done++ {
			pc := &j.pieces[done]
			if first {
				lb.t0, first = pc.t0, false
			}
			lb.t1 = pc.t1
			h := pc.t1 - pc.t0
			if s := hit(m.noRun, pc.t0, pc.t1); s != nil {
				b.fail(MachineNoRun, i, max(s.from, pc.t0), 0, 0, s.why)
			}
			kw := m.DryPowerKW
			if l.wet {
				kw = m.PowerKW
				if gross := m.rate[pc.slice] * 100 / l.timer; gross > m.MaxGrossMM*(1+flowTol) {
					b.fail(PassDepth, i, pc.t0, gross, m.MaxGrossMM, "")
				}
				if s := hit(ww.noRun, pc.t0, pc.t1); s != nil {
					b.fail(WellNoRun, i, max(s.from, pc.t0), 0, 0, s.why)
				}
				if s := hit(m.noWater[pc.slice], pc.t0, pc.t1); s != nil {
					b.fail(NoWaterTime, i, max(s.from, pc.t0), 0, 0, s.why)
				}
				volume := m.flow[pc.slice] * h
				b.volume += volume
				b.pump += h
				j.preference += ww.avoid.cost(pc.t0, pc.t1)
				j.draw(m.well, draw{pc.t0, pc.t1, m.peak[pc.slice], t.mach, true})
				if a := m.SliceM2[pc.slice]; a > 0 {
					land(w, net[pc.slice*days:(pc.slice+1)*days], pc.t0, pc.t1, volume/a*1000*m.Efficiency)
					lb.area += a * pc.deg / m.inside[pc.slice]
					lb.volume += volume
				}
			}
			b.kwh += kw * h
			b.energy += kw * ww.price.cost(pc.t0, pc.t1)
		}
		pos = advance(pos, l.deg, t.cw)
		b.legs = append(b.legs, lb)
	}
	labour := w.p.Prices.LabourPerStart*float64(starts) + w.p.Prices.LabourPerLeg*float64(len(t.legs))
	pumping := b.energy + ww.FuelPerH*b.pump
	b.cost = pumping + labour
	j.pumping += pumping
	j.labour += labour
	j.volume[m.well] += b.volume
	j.arm[t.mach], j.free[t.mach] = pos, max(b.end, j.free[t.mach])
}

// draw books what a machine takes from a well, joined to its last draw if it goes on.
func (j *judge) draw(well int, d draw) {
	list := j.draws[well]
	if n := len(list); n > 0 {
		if l := &list[n-1]; l.mach == d.mach && l.flow == d.flow && l.plan == d.plan && math.Abs(l.t1-d.t0) < timeTol/1000 {
			l.t1 = d.t1
			return
		}
	}
	j.draws[well] = append(list, d)
}

// angleTol is how far apart two azimuths may be that are meant to be the same,
// degrees: a plan that was written with a few digits and read back stays whole.
const angleTol = 1e-3

// stops sees to it that a trip stays on the part circle.
func (j *judge) stops(t *trip, b *booking) {
	m := &j.w.machs[t.mach]
	if math.IsInf(m.reach, 1) {
		return
	}
	at := m.offset(t.from)
	if math.IsNaN(at) {
		// On a barrier that is both stops: the side it stands on is known from the last trip.
		if at = j.turned[t.mach]; math.IsNaN(at) {
			at = 0
			if !t.cw {
				at = m.reach
			}
		}
	} else if at > 180+m.reach/2 {
		at -= 360 // nearer to the first stop, on its far side
	}
	for i := range t.legs {
		if t.cw {
			at += t.legs[i].deg
		} else {
			at -= t.legs[i].deg
		}
		if at < -angleTol || at > m.reach+angleTol {
			b.fail(Stops, i, t.start, at, m.reach, "")
			break
		}
	}
	j.turned[t.mach] = at
}

// land books mm of water that falls evenly over [t0, t1] on its calendar days.
func land(w *world, byDay []float64, t0, t1, mm float64) {
	k := w.day(t0)
	for ; k < len(byDay)-1 && w.dayEnd[k] < t1; k++ {
		part := (w.dayEnd[k] - t0) / (t1 - t0) * mm
		byDay[k] += part
		mm -= part
		t0 = w.dayEnd[k]
	}
	byDay[k] += mm
}

// wells returns the first broken constraint of a well.
func (j *judge) wells() *Violation {
	var best *Violation
	for i := range j.w.wells {
		if v := j.well(i); v != nil && (best == nil || v.At.Before(best.At)) {
			best = v
		}
	}
	return best
}

func (j *judge) well(i int) *Violation {
	w, ww, draws := j.w, &j.w.wells[i], j.draws[i]
	slices.SortStableFunc(draws, func(a, b draw) int { return cmpFloat(a.t0, b.t0) })
	// Flow: at the start of each draw, all that run then. What was running before
	// the plan is not its doing.
	var now []draw
	for _, d := range draws {
		keep := now[:0]
		total := d.flow
		for _, o := range now {
			if o.t1 > d.t0+timeTol {
				keep = append(keep, o)
				if o.mach != d.mach {
					total += o.flow
				}
			}
		}
		now = append(keep, d)
		k := len(now) - 1 // the plan's last to begin
		for k >= 0 && !now[k].plan {
			k--
		}
		if k >= 0 && total > ww.FlowM3H*(1+flowTol) && d.t1-d.t0 > timeTol {
			return &Violation{Constraint: WellFlow, Pass: -1, Leg: -1, Pivot: w.machs[now[k].mach].Name, Well: ww.Name, At: w.at(d.t0), Got: total, Limit: ww.FlowM3H, Why: w.beside(now)}
		}
	}
	if ww.limits {
		used, given := make([]float64, w.p.Days), make([]float64, w.p.Days)
		j.pumped(used, i, true)
		j.pumped(given, i, false)
		for k, h := range used {
			if h > ww.MaxHoursPerDay+timeTol && h > given[k]+timeTol {
				return &Violation{Constraint: DailyHours, Pass: -1, Leg: -1, Well: ww.Name, At: w.at(w.dayStart(k)), Got: h, Limit: ww.MaxHoursPerDay}
			}
		}
	}
	if j.volume[i] > 0 && j.volume[i] > ww.SeasonM3Left*(1+flowTol) {
		return &Violation{Constraint: SeasonVolume, Pass: -1, Leg: -1, Well: ww.Name, At: time.Time{}, Got: j.volume[i], Limit: ww.SeasonM3Left}
	}
	return nil
}

// beside names the machines that draw together.
func (w *world) beside(now []draw) string {
	var names []string
	for _, d := range now {
		if name := w.machs[d.mach].Name; !slices.Contains(names, name) {
			names = append(names, name)
		}
	}
	return strings.Join(names, " and ")
}

// pumped gives a well's pumping hours by day: the time in which any machine
// draws, with or without the plan's own. The draws are in order.
func (j *judge) pumped(dst []float64, well int, plan bool) {
	dst[0] = j.w.wells[well].HoursToday
	until := 0.0
	for _, d := range j.draws[well] {
		if d.plan && !plan {
			continue
		}
		if from := max(d.t0, until); d.t1 > from {
			land(j.w, dst, from, d.t1, d.t1-from)
			until = d.t1
		}
	}
}

// ground steps every cell through the horizon and adds the cost of stress,
// percolation and carry, and the account of each zone.
func (j *judge) ground(r *Result) {
	w := j.w
	for i := range w.machs {
		m := &w.machs[i]
		first := len(r.Zones)
		for z := range m.Zones {
			r.Zones = append(r.Zones, ZoneResult{Machine: i, Zone: z, LateFrom: -1})
		}
		stressed := make([]bool, len(m.Zones)*w.p.Days)
		for s := range m.cells {
			net := j.water(i)[s*w.p.Days : (s+1)*w.p.Days]
			owed := 0.0
			for k := range m.cells[s] {
				c := &m.cells[s][k]
				zr := &r.Zones[first+c.zone]
				var a account
				if c.share >= sliver {
					a.stressed = stressed[c.zone*w.p.Days : (c.zone+1)*w.p.Days]
				}
				w.follow(&a, m, c, net)
				r.Cost.Stress += a.deficit * c.perMM
				r.Cost.Late += a.late * c.perMM
				r.Cost.Percolation += a.percolation * c.leached
				r.Cost.Carry += a.tailDeficit*c.perMM + a.tailLate*c.perMM
				r.Cost.Preference += (c.weight - 1) * c.perMM * (a.deficit + a.late + a.tailDeficit + a.tailLate)
				if c.share >= sliver {
					owed = max(owed, a.owed)
				}
				zr.AreaM2 += c.area
				zr.Priced = c.perMM > 0
				for _, mm := range net {
					zr.NetMM += mm * c.area
				}
				zr.PercolationMM += a.percolation * c.area
				zr.DeficitMM += a.deficit * c.area
				zr.EndMM += a.end * c.area
				if a.lateFrom >= 0 && c.share >= sliver {
					if zr.LateFrom < 0 || a.lateFrom < zr.LateFrom {
						zr.LateFrom = a.lateFrom
					}
					zr.LateM2 += c.area
					zr.WorstMM = max(zr.WorstMM, a.worst)
					zr.past = append(zr.past, past{a.worst, c.area})
				}
			}
			r.Cost.Carry += owed * m.owed[s]
		}
		for z := range m.Zones {
			zr := &r.Zones[first+z]
			if zr.AreaM2 > 0 {
				zr.NetMM /= zr.AreaM2
				zr.PercolationMM /= zr.AreaM2
				zr.DeficitMM /= zr.AreaM2
				zr.EndMM /= zr.AreaM2
			}
			for _, s := range stressed[z*w.p.Days : (z+1)*w.p.Days] {
				if s {
					zr.StressDays++
				}
			}
		}
	}
}

// account is what happens to one cell, in mm.
type account struct {
	deficit, late, percolation  float64
	tailDeficit, tailLate, owed float64
	end                         float64 // depletion at the end of the horizon
	worst                       float64 // furthest past the trigger
	lateFrom                    int     // first day that ends past the trigger; -1 never
	stressed                    []bool  // set on the days with Ks < 1; may be nil
}

// stressTol is the least fall of Ks below 1 that is taken for stress.
const stressTol = 1e-6

// follow steps a cell through the horizon and the tail with net mm of water by day.
func (w *world) follow(a *account, m *mach, c *cell, net []float64) {
	st := c.State
	var f soilwater.Fluxes
	a.lateFrom = -1
	days := w.p.Days
	asked := 0.0
	for k := range days + m.tail {
		d := c.demand(k)
		wa := c.water(k, days)
		if k < days {
			wa.NetMM += net[k]
		}
		c.z.Column.Step(&st, d, &wa, &f)
		unmet := max(0, f.ETcMM-f.ETMM)
		late := c.late(&f, unmet)
		if k < days {
			a.deficit += unmet
			a.late += late
			a.percolation += f.PercolationMM
			if by := f.DepletionMM - trigger(c.z, f.TAWMM, f.RAWMM); by > pastTol {
				if a.lateFrom < 0 {
					a.lateFrom = k
				}
				a.worst = max(a.worst, by)
			}
			if a.stressed != nil && f.Ks < 1-stressTol {
				a.stressed[k] = true
			}
			if k == days-1 {
				a.end = f.DepletionMM
			}
			continue
		}
		a.tailDeficit += unmet
		a.tailLate += late
		asked += f.ETcMM
	}
	a.owed = max(0, f.DepletionMM-asked)
}

// pastTol is the depletion past the trigger that is taken for rounding, mm.
const pastTol = 1e-6

// late is the unmet ET that a day would have had if stress began at the cell's
// trigger, beyond what is unmet as it is, mm. The water stress coefficient falls
// from 1 at the trigger to 0 at TAW, as FAO-56 Eq. 84 has it from RAW on. It is
// what makes a trigger count: one set below RAW, and RAW itself in ground of
// layers, where wet roots stand in for dry ones well beyond it.
func (c *cell) late(f *soilwater.Fluxes, unmet float64) float64 {
	t := trigger(c.z, f.TAWMM, f.RAWMM)
	dep := f.DepletionMM - f.ETMM + f.UpfluxMM // after the day's water, before its ET
	if dep <= t+pastTol || f.TAWMM <= t {
		return 0
	}
	ks := (f.TAWMM - dep) / (f.TAWMM - t) // FAO-56 Eq. 84 with the trigger for RAW
	return max(0, (1-max(0, ks))*(f.ETcMM-f.EvaporationMM)-unmet)
}
