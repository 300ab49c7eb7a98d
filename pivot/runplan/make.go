package runplan

// This file is the planner's outer loop: it splits the farm by wells, tries
// policies, and hands the cheapest feasible plan back.

import (
	"context"
	"math"
	"runtime"
	"slices"
	"sync"
)

// Make plans the runs of all machines: the cheapest plan it finds that breaks
// no constraint. Machines that share no well do not touch one another, so each
// well is planned by itself. The deadline of ctx is the time budget: the search
// ends with the best plan it has, and Plan.Search.TimedOut says so. Without a
// deadline that falls within the search the same problem gives the same plan.
//
// The error is for a problem that makes no sense.
func Make(ctx context.Context, p Problem) (Plan, error) {
	return makeOn(ctx, p, grid{step: startStep})
}

// makeOn plans with the starts and timers of a grid.
func makeOn(ctx context.Context, p Problem, g grid) (Plan, error) {
	w, err := newWorld(&p)
	if err != nil {
		return Plan{}, err
	}
	of := len(p.Scenarios)
	if of > 0 {
		p.Scenarios = p.few() // the same for all wells
	}
	parts := make([]part, len(p.Wells))
	var wait sync.WaitGroup
	slots := make(chan struct{}, runtime.GOMAXPROCS(0))
	for i := range p.Wells {
		wait.Add(1)
		go func() {
			defer wait.Done()
			slots <- struct{}{}
			defer func() { <-slots }()
			parts[i] = planWell(ctx, &p, i, g)
		}()
	}
	wait.Wait()
	var plan Plan
	for i := range parts {
		if parts[i].err != nil {
			return Plan{}, parts[i].err
		}
		plan.Passes = append(plan.Passes, parts[i].passes...)
		plan.Search.Candidates += parts[i].tried
		plan.Search.Bound += parts[i].bound
		plan.Search.TimedOut = plan.Search.TimedOut || parts[i].timedOut
		plan.Expected = plan.Expected.plus(parts[i].expected)
	}
	if plan.Expected != nil {
		plan.Expected.Of = of
	}
	r, err := w.sound(&plan)
	if err != nil {
		return Plan{}, err
	}
	plan.Passes, plan.Cost = r.Passes, r.Cost
	w.explain(&plan, &r)
	return plan, nil
}

// sound evaluates a plan and takes out what breaks a constraint, should anything.
func (w *world) sound(plan *Plan) (Result, error) {
	for {
		slices.SortStableFunc(plan.Passes, func(a, b Pass) int {
			if c := a.Start.Compare(b.Start); c != 0 {
				return c
			}
			return cmpString(a.Pivot, b.Pivot)
		})
		r, err := w.evaluate(plan)
		if err != nil || r.Violation == nil || len(plan.Passes) == 0 {
			return r, err
		}
		k := r.Violation.Pass
		if k < 0 {
			k = len(plan.Passes) - 1
		}
		// Without this pass the machine's later ones begin elsewhere: they go with it.
		pivot, start := plan.Passes[k].Pivot, plan.Passes[k].Start
		plan.Passes = slices.DeleteFunc(plan.Passes, func(ps Pass) bool { return ps.Pivot == pivot && !ps.Start.Before(start) })
	}
}

// part is the plan of one well.
type part struct {
	passes   []Pass
	tried    int
	timedOut bool
	expected *Expected
	bound    float64
	err      error
}

func planWell(ctx context.Context, p *Problem, k int, g grid) part {
	one := *p
	one.Wells = p.Wells[k : k+1]
	one.Machines, one.Scenarios = nil, slices.Clone(p.Scenarios)
	for i := range one.Scenarios {
		one.Scenarios[i].Zones = nil
	}
	for i := range p.Machines {
		if p.Machines[i].Well != p.Wells[k].Name {
			continue
		}
		one.Machines = append(one.Machines, p.Machines[i])
		for s := range one.Scenarios {
			one.Scenarios[s].Zones = append(one.Scenarios[s].Zones, p.Scenarios[s].Zones[i])
		}
	}
	if len(one.Machines) == 0 {
		return part{}
	}
	w, err := newWorld(&one)
	if err != nil {
		return part{err: err}
	}
	pl := newPlanner(ctx, w)
	pl.grid = g
	if by := w.joining(); by > 1 {
		pl.join(by)
	} else {
		pl.search()
	}
	pl.improve()
	if pl.best == nil { // no time for more than the first policy
		pl.start()
		pl.attempt()
	}
	out := part{passes: pl.best.passes(), tried: pl.tried, timedOut: pl.timedOut(), expected: pl.expected, bound: w.bound()}
	out.passes = w.known(out.passes)
	return out
}

// known is the cheapest of the passes found and the plans known already.
func (w *world) known(found []Pass) []Pass {
	best := math.Inf(1)
	out := found
	for k := -1; k < len(w.p.Known); k++ {
		passes := found
		if k >= 0 {
			passes = slices.DeleteFunc(slices.Clone(w.p.Known[k]), func(ps Pass) bool {
				return !slices.ContainsFunc(w.machs, func(m mach) bool { return m.Name == ps.Pivot })
			})
		} else if len(w.p.Known) == 0 {
			break
		}
		r, err := w.evaluate(&Plan{Passes: passes})
		if err != nil || r.Violation != nil || slices.ContainsFunc(r.Zones, func(z ZoneResult) bool { return !z.Priced && z.AreaM2 > 0 }) {
			continue
		}
		if r.Cost.Total < best {
			best, out = r.Cost.Total, passes
		}
	}
	return out
}

// planner searches the plan of the machines on one well.
type planner struct {
	ctx      context.Context
	w        *world
	base     []float64 // pace of each machine: hours of a usual trip
	look     []*outlook
	prop     []proposer
	pending  []proposal // by machine: what it would do next
	stale    []bool     // by machine: another has been given water from the well since
	other    proposal   // the same in the other direction
	b        booking
	t        trip // scratch
	f        fit
	tried    int
	best     *draft
	bestCost float64
	seeds    []*draft // plans to begin the improvement with
	joined   [][]job  // instead of them, where slices were joined first: what came of that
	grid     grid
	expected *Expected
	pol      []policy
}

func newPlanner(ctx context.Context, w *world) *planner {
	n := len(w.machs)
	pl := &planner{
		ctx: ctx, w: w, bestCost: math.Inf(1), grid: grid{step: startStep},
		look: make([]*outlook, n), prop: make([]proposer, n), pending: make([]proposal, n),
		pol: make([]policy, n), base: make([]float64, n), stale: make([]bool, n),
	}
	return pl
}

// ready prepares machine i for proposals on the ground of o.
func (pl *planner) ready(i int, o *outlook) {
	m := &pl.w.machs[i]
	pl.look[i] = o
	var circle float64
	for _, a := range m.SliceM2 {
		circle += a
	}
	pl.base[i] = max(24, m.typical*circle/1000/m.FlowM3H)
	pl.pol[i] = policy{cw: true, pace: pl.base[i] * usualPace, deep: usualDeep}
}

// start prepares all machines.
func (pl *planner) start() {
	for i := range pl.w.machs {
		pl.ready(i, newOutlook(pl.w, &pl.w.machs[i]))
	}
}

// How a plan is built that the search begins with: the pace as a multiple of a
// usual trip, and how much a refill is favoured.
const (
	usualPace = 1.75
	usualDeep = 1.5
)

func (pl *planner) timedOut() bool { return pl.ctx.Err() != nil }

// search builds a plan by each of a few policies and keeps the cheapest.
func (pl *planner) search() {
	pl.start()
	pl.attempt()
	for i := range pl.pol {
		keep := pl.pol[i]
		pl.vary(i, &keep, func(q *policy) { q.pace = pl.base[i] })
		pl.vary(i, &keep, func(q *policy) { q.lead = math.Inf(1) })
		pl.vary(i, &keep, func(q *policy) { q.early = true })
		if m := &pl.w.machs[i]; m.Reversible && math.IsInf(m.reach, 1) {
			pl.vary(i, &keep, func(q *policy) { q.cw = !q.cw })
		}
	}
}

// vary tries a change to machine i's policy; keep is the best known for it.
func (pl *planner) vary(i int, keep *policy, change func(*policy)) {
	if pl.timedOut() {
		return
	}
	q := *keep
	change(&q)
	if q == *keep {
		return
	}
	pl.pol[i] = q
	if pl.attempt() {
		*keep = q
	}
	pl.pol[i] = *keep
}

// costTol is the relative gain below which two plans cost the same: the first
// found is kept, so that rounding decides nothing.
const costTol = 1e-7

// attempt builds a plan by the present policies and tells whether it is the
// cheapest so far.
func (pl *planner) attempt() bool {
	pl.tried++
	d := pl.construct()
	cost := pl.price(d)
	d.priced = cost
	pl.seeds = append(pl.seeds, d)
	if pl.best == nil || cost < pl.bestCost-costTol*math.Abs(pl.bestCost) {
		pl.best, pl.bestCost = d, cost
		return true
	}
	return false
}

// price is what a draft costs as the planner sees it: as the evaluator does, with
// a value for crops that have none, and with something for every leg.
func (pl *planner) price(d *draft) float64 {
	w := pl.w
	cost := d.pumping + d.labour + d.preference + 1e-6*float64(d.legs)
	for i, o := range pl.look {
		o.refresh(w, &w.machs[i], d.water(i), d.watered(i))
		cost += o.total()
	}
	return cost
}

// legCost is what one more leg must save: what setting it costs, and between
// plans that are as cheap the simpler one.
func (w *world) legCost() float64 { return w.p.Prices.LabourPerLeg + 1e-6 }

// maxTrips bounds the trips of one machine in a plan.
const maxTrips = 40

// construct builds a plan trip by trip: always the trip that must start first,
// as late as its own ground and the other machines of the well allow.
func (pl *planner) construct() *draft {
	w := pl.w
	d := newDraft(w)
	over := make([]bool, len(w.machs))
	last := -1 // the machine that was given the last trip
	for {
		next := -1
		for i := range w.machs {
			if over[i] || len(d.trips[i]) >= maxTrips {
				continue
			}
			if last < 0 || i == last {
				m := &w.machs[i]
				pl.look[i].refresh(w, m, d.water(i), d.watered(i))
				pl.nextTrip(d, i, pl.gridUp(d.free[i]))
				pl.stale[i] = false
			} else {
				pl.stale[i] = true
			}
			if !pl.pending[i].ok {
				over[i] = true
				continue
			}
			if next < 0 || pl.pending[i].latest < pl.pending[next].latest {
				next = i
			}
		}
		if next < 0 {
			return d
		}
		if !pl.place(d, next) {
			over[next] = true
			last = next
			continue
		}
		d.commit(pl.pending[next].t.clone(), &pl.b)
		last = next
	}
}

// gridUp and gridDown move an hour to a quarter of the clock.
func (pl *planner) gridUp(h float64) float64 {
	off := pl.gridOffset()
	return math.Ceil((h-off)/pl.grid.step-1e-6)*pl.grid.step + off
}

func (pl *planner) gridDown(h float64) float64 {
	off := pl.gridOffset()
	return math.Floor((h-off)/pl.grid.step+1e-6)*pl.grid.step + off
}

func (pl *planner) gridOffset() float64 {
	return -math.Mod(-pl.w.midnight, pl.grid.step)
}

// nextTrip sets pending[i] to the better direction's proposal from start on.
func (pl *planner) nextTrip(d *draft, i int, start float64) {
	m := &pl.w.machs[i]
	first := &pl.pending[i]
	if !m.Reversible {
		pl.from(d, i, true, start, first)
		return
	}
	cw := pl.pol[i].cw
	pl.from(d, i, cw, start, first)
	if first.ok && len(d.trips[i]) == 0 && math.IsInf(m.reach, 1) {
		return // the policy decides the first direction
	}
	pl.from(d, i, !cw, start, &pl.other)
	if pl.other.ok && (!first.ok || pl.better(&pl.other, first, m)) {
		*first, pl.other = pl.other, *first
	}
}

// better compares two directions: the one that is less late, then the cheaper,
// then the shorter.
func (pl *planner) better(a, b *proposal, m *mach) bool {
	late := func(p *proposal) float64 { return max(0, p.t.start-p.latest) }
	if la, lb := late(a), late(b); math.Abs(la-lb) > 1 {
		return la < lb
	}
	cost := func(p *proposal) float64 {
		c := p.cost
		for i := range p.t.legs {
			if l := &p.t.legs[i]; !l.wet {
				c += l.deg * m.hPerDeg * 100 / l.timer * m.DryPowerKW * pl.w.wells[m.well].mean
			}
		}
		return c
	}
	ca, cb := cost(a), cost(b)
	if math.Abs(ca-cb) > 1e-3*max(math.Abs(ca), math.Abs(cb)) {
		return ca < cb
	}
	return a.fit.end < b.fit.end-startStep
}

// from proposes from the first start on that the obstacles allow.
func (pl *planner) from(d *draft, i int, cw bool, start float64, out *proposal) {
	for range 12 {
		pl.prop[i].propose(d, pl.look[i], i, cw, start, &pl.pol[i], out)
		if out.ok || math.IsInf(out.retry, 1) || out.retry >= pl.w.end() {
			return
		}
		start = max(pl.gridUp(out.retry), start+pl.grid.step)
		if len(out.t.legs) == 0 {
			continue
		}
		// It was an obstacle: the legs as they are tell when the way is free.
		pl.t.legs = append(pl.t.legs[:0], out.t.legs...)
		pl.t.mach, pl.t.from, pl.t.cw = i, out.t.from, cw
		for range 100 {
			if d.try(&pl.t, start, &pl.f); pl.f.ok || math.IsInf(pl.f.retry, 1) || pl.f.retry >= pl.w.end() {
				break
			}
			start = max(pl.gridUp(pl.f.retry), start+pl.grid.step)
		}
	}
}

// place moves the pending trip of machine i to the start it should have. False
// if no start is left.
func (pl *planner) place(d *draft, i int) bool {
	p := &pl.pending[i]
	earliest, cw := p.t.start, p.t.cw
	for range 5 {
		want := pl.leave(d, i, p.latest-pl.pol[i].lead)
		want = min(want, pl.w.end()-(p.fit.end-p.t.start))
		start := max(earliest, pl.gridDown(want))
		if start == p.t.start && !pl.stale[i] {
			return true
		}
		pl.stale[i] = false
		if !pl.at(d, i, cw, earliest, start) {
			return false
		}
		if p.fit.cut && p.fit.why == TooLate && p.t.start > earliest {
			// The horizon cuts it short: begin sooner.
			p.latest = min(p.latest, p.t.start-12+pl.pol[i].lead)
			continue
		}
		if p.latest >= p.t.start-startStep {
			return true // in time
		}
	}
	return true
}

// at builds the trip for a start, or the nearest one before it that is free
// down to earliest, or the first one after it.
func (pl *planner) at(d *draft, i int, cw bool, earliest, start float64) bool {
	p := &pl.pending[i]
	for s, n := start, 0; n < 3; n++ {
		pl.prop[i].propose(d, pl.look[i], i, cw, s, &pl.pol[i], p)
		if p.ok {
			return true
		}
		if math.IsNaN(p.fit.before) || s <= earliest || len(p.t.legs) == 0 {
			break
		}
		// End before the obstacle begins, by the legs as they are.
		length := pl.length(p)
		pl.t.legs = append(pl.t.legs[:0], p.t.legs...)
		pl.t.mach, pl.t.from, pl.t.cw = i, p.t.from, cw
		before := p.fit.before
		for s > earliest {
			s = max(earliest, min(s-startStep, pl.gridDown(before-length)))
			if d.try(&pl.t, s, &pl.f); pl.f.ok || math.IsNaN(pl.f.before) {
				break
			}
			before = pl.f.before
		}
		if !pl.f.ok {
			break
		}
	}
	pl.from(d, i, cw, max(earliest, pl.gridUp(start)), p)
	if !p.ok && start > earliest {
		pl.from(d, i, cw, earliest, p)
	}
	return p.ok
}

// length is how long a trip runs without pauses.
func (pl *planner) length(p *proposal) float64 {
	m := &pl.w.machs[p.t.mach]
	var h float64
	for i := range p.t.legs {
		h += p.t.legs[i].deg * m.hPerDeg * 100 / p.t.legs[i].timer
	}
	return h
}

// leave gives machine i's latest start when the other machines of the well,
// each by its own latest start, have to follow it one after the other.
func (pl *planner) leave(d *draft, i int, latest float64) float64 {
	w := pl.w
	me := &w.machs[i]
	limit := w.wells[me.well].FlowM3H * (1 + flowTol)
	if slices.Max(me.peak) > limit {
		return latest
	}
	var others []int
	for k := range w.machs {
		if k != i && pl.pending[k].ok && slices.Max(me.peak)+slices.Max(w.machs[k].peak) > limit {
			others = append(others, k)
		}
	}
	slices.SortStableFunc(others, func(a, b int) int { return cmpFloat(pl.pending[a].latest, pl.pending[b].latest) })
	until := math.Inf(1) // when the well must be free for the first of the others
	for _, k := range slices.Backward(others) {
		q := &pl.pending[k]
		until = min(q.latest, until-(q.fit.end-q.t.start))
	}
	return min(latest, until-(pl.pending[i].fit.end-pl.pending[i].t.start))
}

func (t *trip) clone() trip {
	c := *t
	c.legs, c.pauses = slices.Clone(t.legs), slices.Clone(t.pauses)
	return c
}

// passes writes the trips of a draft as passes.
func (d *draft) passes() []Pass {
	var out []Pass
	for i := range d.trips {
		for k := range d.trips[i] {
			out = append(out, d.w.write(&d.trips[i][k]))
		}
	}
	return out
}
