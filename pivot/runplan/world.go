package runplan

// This file prepares a problem for being looked at many times: names become
// indices, instants become hours since Now, arcs become numbers by slice.

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"sandwick/pivot"
	"sandwick/soilwater"
)

// sliver is the share of a slice below which ground neither drives a pass nor
// forbids one: what is left where a zone's edge grazes a slice.
const sliver = 0.01

// The days of the tail: how long ground waits after the horizon's end for its
// next water is taken as the days of one whole trip, within these limits.
const minTail, maxTail = 1, 5

// maxDays bounds the horizon: what was run in a whole season can be judged too.
const maxDays = 400

// world is a problem made ready.
type world struct {
	*clock
	p     *Problem
	wells []well
	machs []mach
}

type well struct {
	*Well
	noRun  []span
	price  tariff
	avoid  tariff
	mean   float64 // mean price per kWh over the hours of the horizon in which the well may run
	limits bool    // there is a limit on hours a day
}

// mach is one machine made ready. Slices are counted as in pivot.Cell.
type mach struct {
	*Machine
	index     int
	well      int
	n         int       // slices
	width     float64   // of a slice, degrees
	hPerDeg   float64   // hours per degree at timer 100 %
	lo, reach float64   // part circle: azimuth of the first stop and degrees to the second; full circle: 0, +Inf
	free      float64   // hours since Now when it may start
	flow      []float64 // mean flow over the slice, m³/h
	peak      []float64 // highest flow in the slice, m³/h
	rate      []float64 // gross mm at timer 100 % on ground passed
	inside    []float64 // degrees of the slice that the machine may travel
	cells     [][]cell  // by slice
	area      float64   // of all cells, m²
	noRun     []span    // may not move
	noWater   [][]span  // by slice: may not be watered
	tail      int       // days after the horizon until the next water can come
	owed      []float64 // by slice: price of a net mm still to be given after the horizon, with its share of a start
	typical   float64   // gross mm of a usual pass
	slowest   float64   // slowest timer for water: the machine's, or that of the most water in a pass
}

// cell is one cell made ready.
type cell struct {
	*Cell
	z       *Zone
	zone    int
	area    float64
	share   float64 // of its slice's ground
	perMM   float64 // currency lost per mm of unmet ET on the whole cell
	leached float64 // currency per mm of percolation on the whole cell
	weight  float64 // how many times its stress counts
}

// newWorld prepares a problem, or says what is wrong with it.
func newWorld(p *Problem) (*world, error) {
	if p.Days < 1 || p.Days > maxDays {
		return nil, fmt.Errorf("runplan: a horizon of %d days; 1 to %d are possible", p.Days, maxDays)
	}
	if p.Now.IsZero() {
		return nil, errors.New("runplan: Problem.Now is not set")
	}
	c := newClock(p.Now, p.Days)
	w := &world{clock: &c, p: p}
	index := make(map[string]int, len(p.Wells))
	for i := range p.Wells {
		pw := &p.Wells[i]
		if _, twice := index[pw.Name]; twice {
			return nil, fmt.Errorf("runplan: two wells are called %q", pw.Name)
		}
		index[pw.Name] = i
		if !(pw.FlowM3H > 0) {
			return nil, fmt.Errorf("runplan: well %q: flow must be above 0 m³/h (got %g)", pw.Name, pw.FlowM3H)
		}
		ww := well{Well: pw, noRun: c.spans(pw.NoRun), price: newTariff(&c, pw.EnergyPerKWh), avoid: newTariff(&c, pw.AvoidPerH)}
		ww.limits = pw.MaxHoursPerDay < 24
		ww.mean = w.meanPrice(&ww)
		w.wells = append(w.wells, ww)
	}
	names := make(map[string]bool, len(p.Machines))
	w.machs = make([]mach, len(p.Machines))
	for i := range p.Machines {
		pm := &p.Machines[i]
		if names[pm.Name] {
			return nil, fmt.Errorf("runplan: two machines are called %q", pm.Name)
		}
		names[pm.Name] = true
		k, ok := index[pm.Well]
		if !ok {
			return nil, fmt.Errorf("runplan: machine %q: there is no well %q", pm.Name, pm.Well)
		}
		if err := w.prepare(&w.machs[i], pm, k); err != nil {
			return nil, fmt.Errorf("runplan: machine %q: %w", pm.Name, err)
		}
		w.machs[i].index = i
	}
	return w, p.checkScenarios()
}

func (p *Problem) checkScenarios() error {
	for k := range p.Scenarios {
		s := &p.Scenarios[k]
		if !(s.Weight > 0) || math.IsInf(s.Weight, 1) {
			return fmt.Errorf("runplan: scenario %q: weight %g; it must be above 0", s.Name, s.Weight)
		}
		if len(s.Zones) != len(p.Machines) {
			return fmt.Errorf("runplan: scenario %q: weather for %d of %d machines", s.Name, len(s.Zones), len(p.Machines))
		}
		for i := range p.Machines {
			if len(s.Zones[i]) != len(p.Machines[i].Zones) {
				return fmt.Errorf("runplan: scenario %q: machine %q: weather for %d of %d zones", s.Name, p.Machines[i].Name, len(s.Zones[i]), len(p.Machines[i].Zones))
			}
			for z := range s.Zones[i] {
				zone := p.Machines[i].Zones[z]
				zone.Demand, zone.RainMM = s.Zones[i][z].Demand, s.Zones[i][z].RainMM
				if err := checkZone(&zone, p.Days); err != nil {
					return fmt.Errorf("runplan: scenario %q: machine %q: zone %q: %w", s.Name, p.Machines[i].Name, zone.Name, err)
				}
			}
		}
	}
	return nil
}

// meanPrice is the mean price of energy over the hours in which the well may run.
func (w *world) meanPrice(ww *well) float64 {
	var cost, hours float64
	for t := 0.0; t < w.end(); t += quarter {
		if hit(ww.noRun, t, t+quarter) == nil {
			cost += ww.price.cost(t, t+quarter)
			hours += quarter
		}
	}
	if hours == 0 {
		return ww.price.cost(0, w.end()) / w.end()
	}
	return cost / hours
}

func (w *world) prepare(m *mach, pm *Machine, well int) error {
	n := int(math.Round(360 / pm.SliceDeg))
	switch {
	case !(pm.SliceDeg > 0) || n < 1 || math.Abs(float64(n)*pm.SliceDeg-360) > 1e-6:
		return fmt.Errorf("slices of %g degrees do not make up a circle", pm.SliceDeg)
	case len(pm.SliceM2) != n:
		return fmt.Errorf("%d slice areas for %d slices", len(pm.SliceM2), n)
	case !(pm.FlowM3H > 0 && pm.HoursAtFull > 0 && pm.Efficiency > 0):
		return errors.New("flow, hours at full timer and efficiency must be above 0")
	case !(pm.TimerMinPct > 0 && pm.TimerMaxPct >= pm.TimerMinPct):
		return fmt.Errorf("timer range %g to %g %%", pm.TimerMinPct, pm.TimerMaxPct)
	case math.IsNaN(float64(pm.ArmDeg)):
		return errors.New("it is not known where the arm stands")
	}
	*m = mach{
		Machine: pm, well: well, n: n, width: pm.SliceDeg, hPerDeg: pm.HoursAtFull / 360,
		reach: math.Inf(1),
		flow:  make([]float64, n), peak: make([]float64, n), rate: make([]float64, n), inside: make([]float64, n), owed: make([]float64, n),
		cells: make([][]cell, n), noWater: make([][]span, n),
		noRun: w.spans(pm.NoRun),
	}
	if !pm.FreeAt.IsZero() {
		m.free = max(0, w.hours(pm.FreeAt))
	}
	if pm.Stops != nil {
		m.lo, m.reach = float64(pm.Stops.From.Norm()), pm.Stops.Span()
	}
	for s := range n {
		inside := m.width
		arc := pivot.Arc{From: pivot.Azimuth(float64(s) * m.width), To: pivot.Azimuth(float64(s+1) * m.width)}
		if pm.Stops != nil {
			inside = pm.Stops.Shared(arc)
		}
		m.inside[s] = inside
		gun := 0.0
		for _, g := range pm.EndGunArcs {
			gun = max(gun, g.Shared(arc)/m.width)
		}
		m.flow[s] = pm.FlowM3H + pm.EndGunM3H*gun
		m.peak[s] = pm.FlowM3H
		if gun > 1e-9 {
			m.peak[s] += pm.EndGunM3H
		}
		if pm.SliceM2[s] > 0 && inside > 1e-9 {
			// gross depth = flow × time / area
			m.rate[s] = m.flow[s] * m.hPerDeg * inside / pm.SliceM2[s] * 1000
		}
	}
	m.slowest = pm.TimerMinPct
	for _, r := range m.rate {
		m.slowest = max(m.slowest, r*100/pm.MaxGrossMM)
	}
	m.slowest = min(ceilTimer(m.slowest), pm.TimerMaxPct)
	ww := &w.wells[well]
	var usual float64
	for i := range pm.Cells {
		pc := &pm.Cells[i]
		if pc.Zone < 0 || !(pc.AreaM2 > 0) {
			continue // ground in no zone has no water balance
		}
		if pc.Zone >= len(pm.Zones) || pc.Slice < 0 || pc.Slice >= n {
			return fmt.Errorf("cell %d: zone %d of %d, slice %d of %d", i, pc.Zone, len(pm.Zones), pc.Slice, n)
		}
		z := &pm.Zones[pc.Zone]
		if err := checkZone(z, w.p.Days); err != nil {
			return fmt.Errorf("zone %q: %w", z.Name, err)
		}
		c := cell{Cell: pc, z: z, zone: pc.Zone, area: pc.AreaM2, weight: 1}
		if z.Protect > 1 {
			c.weight = z.Protect
		}
		if loss := z.YieldValuePerM2 * z.Ky / z.SeasonETMM; loss > 0 && !math.IsInf(loss, 0) {
			c.perMM = loss * c.area
		}
		c.leached = w.p.Prices.LeachedPerMM_ha * c.area / 1e4
		m.cells[pc.Slice] = append(m.cells[pc.Slice], c)
		m.area += c.area
		_, taw, raw := z.Column.Totals(&pc.State, &z.Demand[0], z.TableM[0])
		usual += c.area * trigger(z, taw, raw)
	}
	for s := range m.cells {
		var ground float64
		for i := range m.cells[s] {
			ground += m.cells[s][i].area
		}
		list := [][]Window{pm.NoWater}
		for i := range m.cells[s] {
			c := &m.cells[s][i]
			c.share = c.area / ground
			if c.share >= sliver {
				list = append(list, c.z.NoWater)
			}
		}
		m.noWater[s] = w.spans(list...)
	}
	if m.area > 0 {
		usual /= m.area
	}
	m.typical = min(max(usual/pm.Efficiency, 1), pm.MaxGrossMM)
	var circle float64
	for _, a := range pm.SliceM2 {
		circle += a
	}
	volume := m.typical * circle / 1000
	m.tail = min(max(int(math.Ceil(volume/pm.FlowM3H/24)), minTail), maxTail)
	energy := (pm.PowerKW*ww.mean + ww.FuelPerH) / pm.FlowM3H
	start := 0.0
	if volume > 0 {
		start = w.p.Prices.LabourPerStart / volume
	}
	use, most := w.use(m)
	for s := range m.owed {
		part := 1.0
		if most > 0 {
			part = use[s] / most
		}
		perM3 := energy*(slowOwes+(1-slowOwes)*part) + start*part
		m.owed[s] = perM3 * pm.SliceM2[s] / 1000 / pm.Efficiency
	}
	return nil
}

// slowOwes is the part of the energy that is counted for water owed to ground
// that uses next to nothing, against ground that uses most: before it is due
// there is time for rain to bring it. Our assumption.
const slowOwes = 0.5

// use is what the crop of each slice, its thirstiest cell, asks for over the
// horizon, mm, and the most of all slices. Ground that uses little calls for no
// start of its own: what it owes is given along with other ground's.
func (w *world) use(m *mach) (use []float64, most float64) {
	use = make([]float64, m.n)
	for s := range m.cells {
		for i := range m.cells[s] {
			if m.cells[s][i].share < sliver {
				continue
			}
			mm := 0.0
			for k := range w.p.Days {
				d := m.cells[s][i].demand(k)
				mm += d.Kcb * d.EToMM
			}
			use[s] = max(use[s], mm)
		}
		most = max(most, use[s])
	}
	return use, most
}

func checkZone(z *Zone, days int) error {
	switch {
	case z.Column == nil:
		return errors.New("no column")
	case len(z.Demand) < days || len(z.TableM) < days || len(z.RainMM) < days:
		return fmt.Errorf("demand, table and rain for %d, %d and %d of %d days", len(z.Demand), len(z.TableM), len(z.RainMM), days)
	case z.YieldValuePerM2 > 0 && !math.IsNaN(z.Ky) && !(z.SeasonETMM > 0):
		return fmt.Errorf("no cost of stress from a seasonal ET of %g mm", z.SeasonETMM)
	}
	for k := range days {
		if d := &z.Demand[k]; math.IsNaN(d.EToMM) || math.IsNaN(d.Kcb) || math.IsNaN(d.RootM) || math.IsNaN(z.RainMM[k]) || math.IsNaN(z.TableM[k]) {
			return fmt.Errorf("day %d: a number is missing", k)
		}
	}
	for i := range z.Ends {
		e := &z.Ends[i]
		if e.Column == nil || len(e.TableM) < days || slices.ContainsFunc(e.TableM[:days], math.IsNaN) {
			return fmt.Errorf("end %s: no column, or no water table for each of %d days", e.Kind, days)
		}
	}
	return nil
}

// trigger is the depletion at which a zone's pass is due.
func trigger(z *Zone, taw, raw float64) float64 {
	if z.TriggerMM == nil {
		return raw
	}
	return z.TriggerMM(taw, raw)
}

// demand, table and rain of day k, which may lie beyond the horizon: then the
// last day's demand and table go on, and no rain is counted on.
func (c *cell) demand(k int) *soilwater.Demand { return &c.z.Demand[min(k, len(c.z.Demand)-1)] }

func (c *cell) water(k, days int) soilwater.Water {
	w := soilwater.Water{FwNet: 1, TableM: c.z.TableM[min(k, days-1)]}
	if k < days {
		w.RainMM = c.z.RainMM[k]
		if k < len(c.GivenMM) {
			w.NetMM = c.GivenMM[k]
		}
	}
	return w
}
