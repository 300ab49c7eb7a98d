package runplan

// This file gathers the facts behind a plan: what drives each pass and leg, what
// becomes of each zone, why a machine stands, which ground falls behind.

import (
	"context"
	"math"
	"runtime"
	"slices"
	"sync"

	"sandwick/soilwater"

	"github.com/golang-sql/civil"
)

// behindMM is how far past its trigger ground must come to be reported as
// falling behind, mm: less is a matter of hours within a day.
const behindMM = 0.5

// behindShare is the least share of a zone that counts: a slice or two at its
// edge are no zone that falls behind.
const behindShare = 0.02

// explain fills in everything of a plan that is not a pass's own accounts.
func (w *world) explain(plan *Plan, r *Result) {
	parts := make([]Plan, len(w.machs))
	var wait sync.WaitGroup
	slots := make(chan struct{}, runtime.GOMAXPROCS(0))
	for i := range w.machs {
		wait.Go(func() {
			slots <- struct{}{}
			defer func() { <-slots }()
			// Its own passes are written on, others' are read.
			part := Plan{Passes: slices.Clone(plan.Passes), Cost: plan.Cost, Search: plan.Search}
			for k := range part.Passes {
				if ps := &part.Passes[k]; ps.Pivot == w.machs[i].Name {
					ps.Legs = slices.Clone(ps.Legs)
				}
			}
			w.explainOne(&w.machs[i], &part, r)
			part.Passes = slices.DeleteFunc(part.Passes, func(ps Pass) bool { return ps.Pivot != w.machs[i].Name })
			parts[i] = part
		})
	}
	wait.Wait()
	next := map[string][]Pass{}
	for i := range parts {
		next[w.machs[i].Name] = parts[i].Passes
		plan.Idle = append(plan.Idle, parts[i].Idle...)
		plan.Behind = append(plan.Behind, parts[i].Behind...)
		plan.Zones = append(plan.Zones, parts[i].Zones...)
	}
	for k := range plan.Passes {
		own := next[plan.Passes[k].Pivot]
		plan.Passes[k], next[plan.Passes[k].Pivot] = own[0], own[1:]
	}
}

// explainOne gives the reasons for one machine.
func (w *world) explainOne(m *mach, plan *Plan, r *Result) {
	e := explainer{w: w, m: m, first: make([]float64, len(m.Zones)), soon: make([]bool, len(m.Zones)), wet: make([]bool, m.n)}
	for z := range e.first {
		e.first[z] = math.Inf(1)
	}
	e.passes(plan)
	e.delays(plan)
	idle := Reason{}
	if !e.runs {
		idle = e.stands(plan)
		idle.WaitCost = e.idleDay()
		plan.Idle = append(plan.Idle, Idle{m.Name, idle})
	}
	e.behind(plan, r)
	for z := range m.Zones {
		if d, ok := e.zone(z, idle); ok {
			plan.Zones = append(plan.Zones, d)
		}
	}
}

// delays works out what each pass and leg of the machine would cost if its water
// came a day later and all other water as planned.
func (e *explainer) delays(plan *Plan) {
	w, m, days := e.w, e.m, e.w.p.Days
	t := newTrees(w, m)
	var trips []trip
	var of []int // index into the plan's passes
	j := newJudge(w)
	var b booking
	for k := range plan.Passes {
		if plan.Passes[k].Pivot != m.Name {
			continue
		}
		if tr, err := w.read(&plan.Passes[k]); err == nil {
			b = booking{legs: b.legs[:0]}
			j.run(&tr, &b)
			trips, of = append(trips, tr), append(of, k)
		}
	}
	net := j.water(m.index)
	row := make([]float64, days)
	var pieces []piece
	for i := range trips {
		ps := &plan.Passes[of[i]]
		pieces, _ = m.walk(pieces[:0], &trips[i])
		all, known := 0.0, false
		for l := range trips[i].legs {
			if !trips[i].legs[l].wet {
				continue
			}
			sum, priced := 0.0, false
			for p := range pieces {
				pc := &pieces[p]
				if a := m.SliceM2[pc.slice]; pc.leg == l && a > 0 {
					copy(row, net[pc.slice*days:(pc.slice+1)*days])
					mm := m.flow[pc.slice] * (pc.t1 - pc.t0) / a * 1000 * m.Efficiency
					land(w, row, pc.t0, pc.t1, -mm)
					late := w.day((pc.t0+pc.t1)/2) + 1
					for d := range row {
						row[d] = max(row[d], 0)
					}
					if late < days {
						row[late] += mm
					}
					sum += t.cost(pc.slice, row) - t.cost(pc.slice, net[pc.slice*days:(pc.slice+1)*days])
					if late >= days {
						sum -= mm * m.owed[pc.slice] // given right after the horizon
					}
					priced = priced || m.priced(pc.slice)
				}
			}
			ps.Legs[l].Why.WaitCost = math.NaN()
			if priced {
				ps.Legs[l].Why.WaitCost = sum
				all, known = all+sum, true
			}
		}
		ps.Why.WaitCost = math.NaN()
		if known {
			ps.Why.WaitCost = all
		}
	}
}

// priced tells whether stress has a price anywhere on a slice.
func (m *mach) priced(s int) bool {
	for i := range m.cells[s] {
		if m.cells[s][i].perMM > 0 {
			return true
		}
	}
	return false
}

// idleDay is what it costs a machine that stands to give all ground that comes
// due its fill tomorrow and not today.
func (e *explainer) idleDay() float64 {
	w, m, days := e.w, e.m, e.w.p.Days
	t := newTrees(w, m)
	row := make([]float64, days)
	sum, priced := 0.0, false
	for s := range m.cells {
		clear(row)
		if !(t.due(w, s, 0, row) < w.end()) || days < 2 {
			continue
		}
		worst := 0.0
		for i := range m.cells[s] {
			if m.cells[s][i].share >= sliver {
				worst = max(worst, t.at(t.after(s, i, 0, row)).dep)
			}
		}
		row[0] = worst
		today := t.cost(s, row)
		row[0], row[1] = 0, worst
		sum += max(0, t.cost(s, row)-today)
		priced = priced || m.priced(s)
	}
	if !priced && sum > 0 {
		return math.NaN()
	}
	return sum
}

// behind lists the machine's zones that fall behind, and what keeps it from
// running once more.
func (e *explainer) behind(plan *Plan, r *Result) {
	w, m := e.w, e.m
	var why Reason
	for i := range r.Zones {
		zr := &r.Zones[i]
		if zr.Machine != m.index {
			continue
		}
		worst, area := zr.furthest(behindShare, behindMM)
		if worst <= behindMM || area < behindShare*zr.AreaM2 {
			continue
		}
		if why.Code == NoReason {
			if why = e.stands(plan); why.Code < WellBusy || why.Code == TooLate && e.runs {
				why.Code = Due
			}
		}
		z := &m.Zones[zr.Zone]
		plan.Behind = append(plan.Behind, Behind{
			Field: z.Field, Zone: z.Name, Pivot: m.Name, Why: why,
			From: w.at(w.dayStart(zr.LateFrom)), AreaM2: area, WorstMM: worst, StressDays: zr.StressDays, MissedMM: zr.DeficitMM,
		})
	}
}

// explainer works on one machine.
type explainer struct {
	w     *world
	m     *mach
	runs  bool
	first []float64 // by zone: hour of the first planned water; +Inf none
	soon  []bool    // by zone: from a pass that starts today or tomorrow
	wet   []bool    // by slice: watered by such a pass
}

// passes gives each pass and leg of the machine its reason.
func (e *explainer) passes(plan *Plan) {
	w, m := e.w, e.m
	o := newOutlook(w, m)
	net := make([]float64, m.n*w.p.Days)
	last := make([]float64, m.n)
	for s := range last {
		last[s] = -1
	}
	tomorrow := w.dayEnd[min(1, w.p.Days-1)]
	j := newJudge(w)
	var b booking
	var pieces []piece
	for k := range plan.Passes {
		ps := &plan.Passes[k]
		if ps.Pivot != m.Name {
			continue
		}
		e.runs = true
		o.refresh(w, m, net, last)
		t, err := w.read(ps)
		if err != nil {
			continue // sound has read it before
		}
		b = booking{legs: b.legs[:0]}
		j.run(&t, &b)
		pieces, _ = m.walk(pieces[:0], &t)
		bestPass := math.Inf(1)
		bestLeg := make([]float64, len(t.legs))
		for i := range bestLeg {
			bestLeg[i] = math.Inf(1)
		}
		for i := range pieces {
			pc := &pieces[i]
			wet := t.legs[pc.leg].wet
			c := o.driver(m, pc.slice)
			if c >= 0 {
				// Over dry ground the cell that is due first tells how much time there is.
				slack := o.paths[pc.slice][c].due - pc.t1
				if slack < bestLeg[pc.leg] || ps.Legs[pc.leg].Why.Code == NoReason {
					bestLeg[pc.leg] = slack
					ps.Legs[pc.leg].Why = e.reason(o, pc.slice, c, wet)
					if last[pc.slice] >= 0 { // what it holds now is not what the water comes to
						k := w.day(pc.t0)
						ps.Legs[pc.leg].Why.DepletionMM = o.paths[pc.slice][c].dep[k]
						ps.Legs[pc.leg].Why.On = civil.DateOf(w.at(w.dayStart(k)))
					}
				}
				if wet && (slack < bestPass || ps.Why.Code == NoReason) {
					bestPass = slack
					ps.Why = ps.Legs[pc.leg].Why
				}
			}
			if !wet {
				continue
			}
			last[pc.slice] = max(last[pc.slice], pc.t1)
			e.wet[pc.slice] = e.wet[pc.slice] || t.start < tomorrow
			for q := range m.cells[pc.slice] {
				if c := &m.cells[pc.slice][q]; c.share >= sliver {
					e.first[c.zone] = min(e.first[c.zone], pc.t0)
					e.soon[c.zone] = e.soon[c.zone] || t.start < tomorrow
				}
			}
		}
		copy(net, j.water(m.index))
		e.wait(plan, ps, &t, bestPass < 0)
	}
}

// driver is the cell of a slice that is due first, else the one nearest to its
// trigger; -1 without ground.
func (o *outlook) driver(m *mach, s int) int {
	best, bestDue, bestRoom := -1, math.Inf(1), math.Inf(1)
	for i := range o.paths[s] {
		if m.cells[s][i].share < sliver {
			continue
		}
		p := &o.paths[s][i]
		room := math.Inf(1)
		for k := range o.days {
			room = min(room, p.trig[k+1]-p.dep[k+1])
		}
		if best < 0 || p.due < bestDue || p.due == bestDue && room < bestRoom {
			best, bestDue, bestRoom = i, p.due, room
		}
	}
	return best
}

// reason states the facts of one cell under the water planned so far.
func (e *explainer) reason(o *outlook, s, i int, wet bool) Reason {
	w := e.w
	c, p := &e.m.cells[s][i], &o.paths[s][i]
	r := Reason{Field: c.z.Field, Zone: c.z.Name, DepletionMM: p.dep[0], TriggerMM: p.trig[0], TableM: c.z.TableM[0]}
	for k := range w.p.Days {
		r.RainMM += c.z.RainMM[k]
	}
	if !math.IsInf(p.due, 1) {
		k := w.dayX(p.due, o.span-1)
		r.Date = civil.DateOf(w.at(p.due))
		r.TriggerMM = p.trig[k+1]
		r.TableM = c.z.TableM[min(k, w.p.Days-1)]
		_, stress := w.dry(c, asSet(c), ShortKs, o.net[s*o.days:(s+1)*o.days], o.span, nil)
		if !math.IsInf(stress, 1) {
			r.StressDate = civil.DateOf(w.at(stress))
		}
		r.Code = DueLater
		if wet {
			r.Code = Due
		}
		return r
	}
	r.Code = e.safe(c, o.span)
	if wet {
		r.Code = JoinLegs
	}
	return r
}

// safe says why a cell that does not come due does not.
func (e *explainer) safe(c *cell, span int) ReasonCode {
	due := func(change func(*soilwater.Water)) bool {
		d, _ := e.w.dry(c, asSet(c), stressTol, nil, span, change)
		return !math.IsInf(d, 1)
	}
	_, taw, raw := c.z.Column.Totals(&c.State, c.demand(0), c.z.TableM[0])
	switch {
	case math.IsInf(trigger(c.z, taw, raw), 1):
		return NoCrop
	case due(func(wa *soilwater.Water) { wa.TableM = math.Inf(1) }):
		return TableFed
	case due(func(wa *soilwater.Water) { wa.RainMM = 0 }):
		return RainComes
	}
	return NotDue
}

// dry steps a cell through span days with the water in net (nil: none) and gives
// the hour at which it first passes its trigger and the hour at which its first
// stressed day begins, one with Ks below 1 by more than tol; +Inf for never. change may alter each day's water.
func (w *world) dry(c *cell, g ground, tol float64, net []float64, span int, change func(*soilwater.Water)) (due, stress float64) {
	due, stress = math.Inf(1), math.Inf(1)
	st := g.state
	before, taw, raw := g.column.Totals(&st, c.demand(0), g.tableM[0])
	if before >= trigger(c.z, taw, raw) {
		due = 0
	}
	var f soilwater.Fluxes
	for k := range span {
		wa := c.water(k, w.p.Days)
		wa.TableM = g.tableM[min(k, w.p.Days-1)]
		if k < len(net) {
			wa.NetMM += net[k]
		}
		if change != nil {
			change(&wa)
		}
		g.column.Step(&st, c.demand(k), &wa, &f)
		from := w.midnight
		if k > 0 {
			from = w.dayEndX(k - 1)
		}
		if f.Ks < 1-tol {
			stress = min(stress, max(from, 0))
			due = min(due, max(from, 0))
		}
		if t := trigger(c.z, f.TAWMM, f.RAWMM); f.DepletionMM >= t-pastTol && math.IsInf(due, 1) {
			due = from
			if before < t && f.DepletionMM > before {
				due += (t - before) / (f.DepletionMM - before) * (w.dayEndX(k) - from)
			}
			due = max(due, 0)
		}
		before = f.DepletionMM
	}
	return due, stress
}

// sooner is how much sooner a pass is tried, hours, to see what keeps it.
const sooner = 1

// wait says why a pass does not start sooner: what an earlier start runs into.
// Late is a pass that comes to its driest ground past its trigger.
func (e *explainer) wait(plan *Plan, ps *Pass, t *trip, late bool) {
	w, m := e.w, e.m
	if t.start <= 2*startStep {
		return
	}
	d := newDraft(w)
	var b booking
	for k := range plan.Passes {
		q := &plan.Passes[k]
		if q.Well != m.Well || q.Pivot == m.Name && !q.Start.Before(ps.Start) {
			continue
		}
		if other, err := w.read(q); err == nil {
			d.commit(other, &b)
		}
	}
	if t.start-sooner < d.free[m.index]-timeTol {
		if len(d.trips[m.index]) == 0 {
			ps.Wait = Reason{Code: MachineBusy}
		}
		return // it follows its own last pass
	}
	early := t.clone()
	var f fit
	if d.try(&early, t.start-sooner, &f); !f.ok || len(early.pauses) > len(t.pauses) {
		ps.Wait = Reason{Code: f.why, Other: f.other}
		if f.ok {
			ps.Wait = Reason{Code: NoRunHours, Other: early.pauses[0].why}
		}
		return
	}
	ps.Wait = ps.Why
	ps.Wait.Code = DueLater
	if late {
		// Its ground is due already, nothing is in the way, and yet it waits.
		ps.Wait.Code = DearerSooner
	}
}

// stands says why a machine is not run, or not once more.
func (e *explainer) stands(plan *Plan) Reason {
	w, m := e.w, e.m
	if m.area == 0 {
		return Reason{Code: NoGround, TableM: math.Inf(1)}
	}
	d := newDraft(w)
	for k := range plan.Passes {
		if t, err := w.read(&plan.Passes[k]); err == nil {
			var b booking
			d.commit(t, &b)
		}
	}
	o := newOutlook(w, m)
	o.refresh(w, m, d.water(m.index), d.watered(m.index))
	s, c := e.firstDue(o)
	r := e.reason(o, s, c, false)
	if o.due[s] > w.end() {
		return r
	}
	// Ground comes due: what keeps the machine from running?
	pl := newPlanner(context.Background(), w)
	pl.ready(m.index, o)
	var out proposal
	pl.from(d, m.index, true, pl.gridUp(d.free[m.index]), &out)
	if !out.ok && m.Reversible {
		pl.from(d, m.index, false, pl.gridUp(d.free[m.index]), &out)
	}
	switch {
	case out.ok:
		r.Code = TooLate
	case out.why == NotDue:
		if r.RainMM > 0 {
			r.Code = RainComes
		}
	default:
		r.Code, r.Other = out.why, out.other
	}
	return r
}

// firstDue is the slice and cell that is due first, else nearest to its trigger.
func (e *explainer) firstDue(o *outlook) (slice, cell int) {
	bestDue, bestRoom := math.Inf(1), math.Inf(1)
	slice, cell = -1, -1
	for s := range o.paths {
		i := o.driver(e.m, s)
		if i < 0 {
			continue
		}
		p := &o.paths[s][i]
		room := math.Inf(1)
		for k := range o.days {
			room = min(room, p.trig[k+1]-p.dep[k+1])
		}
		if slice < 0 || p.due < bestDue || p.due == bestDue && room < bestRoom {
			slice, cell, bestDue, bestRoom = s, i, p.due, room
		}
	}
	return slice, cell
}

// zone says what becomes of one zone; false if no ground of it lies under the machine.
func (e *explainer) zone(z int, idle Reason) (ZoneDecision, bool) {
	w, m := e.w, e.m
	zn := &m.Zones[z]
	d := ZoneDecision{Field: zn.Field, Zone: zn.Name, Pivot: m.Name}
	l := w.left(m, z)
	if l.first == nil {
		return d, false
	}
	first := l.first
	d.Left = l.Left
	d.DaysLeftMin, d.DaysLeftMax = l.Due.Min, l.Due.Max
	dep, taw, raw := zn.Column.Totals(&first.State, first.demand(0), zn.TableM[0])
	d.DepletionMM, d.TriggerMM, d.TableM = dep, trigger(zn, taw, raw), zn.TableM[0]
	r := Reason{Field: zn.Field, Zone: zn.Name, DepletionMM: d.DepletionMM, TriggerMM: d.TriggerMM, TableM: d.TableM}
	for k := range w.p.Days {
		r.RainMM += zn.RainMM[k]
	}
	if h := l.planned; !math.IsInf(h, 1) {
		r.Date = civil.DateOf(w.at(h))
	}
	if h := l.stress[0]; !math.IsInf(h, 1) {
		r.StressDate = civil.DateOf(w.at(h))
	}
	if h := e.first[z]; !math.IsInf(h, 1) {
		d.FirstWater = w.at(h)
	}
	var area, wet float64
	for s := range m.cells {
		for i := range m.cells[s] {
			if c := &m.cells[s][i]; c.zone == z {
				area += c.area
				if e.wet[s] {
					wet += c.area
				}
			}
		}
	}
	due := !math.IsInf(l.planned, 1)
	switch {
	case e.soon[z] && due:
		d.Decision, r.Code = Water, Due
	case e.soon[z] && 2*wet > area:
		d.Decision, r.Code = Water, JoinLegs // most of it gets water meant for other ground
	case due:
		d.Decision, r.Code = Wait, DueLater
		if !e.runs && idle.Code > JoinLegs {
			r.Code, r.Other = idle.Code, idle.Other
		}
	default:
		d.Decision, r.Code = Skip, e.safe(first, l.span)
		// Safe as the settings stand. Where it is not safe at every end, that is a
		// risk, and the one to know is the soonest.
		if h := l.earliest(); !math.IsInf(h, 1) {
			d.Risk, r.Safe, r.Code = true, r.Code, AtRisk
			r.Date, r.By = civil.DateOf(w.at(h)), l.riskBy(h)
		}
	}
	d.Why = r
	return d, true
}
