package runplan

// This file compares the planner with the best plan there is, on farms so small
// that all plans can be gone through.
//
// On these farms time goes by blocks of some hours, with midnight between two
// blocks: an arm needs one block for a sector dry and two, three or more at the
// timers for water, starts lie between blocks, and prices and windows change
// there. So the water of a sector on a day is a whole number of blocks, and what
// a sector comes to under every row of such numbers is tabulated once. Plans are
// gone through block by block, depth first; a branch is left when what is spent,
// with the least that each sector by itself can still come to, is not under the
// best plan known. The planner is held to the same starts, timers and sectors,
// so that its plan is one of those gone through: it can never be below the
// optimum, and that is checked too.

import (
	"context"
	"flag"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"sandwick/pivot"
)

var allOptima = flag.Bool("optima", false, "compare the planner with the optimum on all 340 farms, not on every twentieth")

// blocks is a farm by blocks of time.
type blocks struct {
	p      Problem
	hours  float64 // of a block
	perDay int
	slow   []int // blocks that a sector takes at each timer for water
}

// blockFarm is one or two machines of two to four sectors on one well, for four
// to six days.
func blockFarm(t testing.TB, rng *rand.Rand) blocks {
	days := 4 + rng.IntN(3)
	machines := 1 + rng.IntN(2)
	b := blocks{hours: 6, perDay: 4}
	sectors := 2 + rng.IntN(3)
	b.slow = [][]int{{2, 4}, {2, 5}, {1, 4}, {1, 2, 4}}[rng.IntN(4)]
	// What can be gone through in a second or two.
	switch {
	case machines == 2:
		sectors, days = 2, 4
	case sectors == 4:
		days = 4 + rng.IntN(2)
		b.slow = b.slow[max(0, len(b.slow)-2):]
	}
	deg := 360 / float64(sectors)
	var ms []Machine
	for i := range machines {
		var zones []Zone
		for k := range 2 {
			z := zone(t, fmt.Sprint("zone ", k), 2+5*rng.Float64(), days)
			if rng.IntN(3) == 0 {
				z.RainMM[rng.IntN(days)] = 20 * rng.Float64()
			}
			if rng.IntN(4) == 0 {
				z.TriggerMM = func(taw, _ float64) float64 { return 0.35 * taw }
			}
			zones = append(zones, z)
		}
		m := machine(t, string(rune('A'+i)), zones...)
		m.SliceDeg, m.SliceM2 = deg, fill(math.Pi*400*400/float64(sectors), sectors)
		m.HoursAtFull = b.hours * float64(sectors)
		// A sector at one block takes 5 to 12 mm, whatever its size.
		m.FlowM3H = (5 + 7*rng.Float64()) / 1000 * m.SliceM2[0] / b.hours / m.Efficiency
		m.MaxGrossMM = math.Inf(1)
		m.Reversible = rng.IntN(3) > 0
		m.MaxLegs = 2 + rng.IntN(sectors) // with one leg no machine could walk to where it waters
		m.ArmDeg = pivot.Azimuth(deg * float64(rng.IntN(sectors)))
		for s := range sectors {
			m.under(t, s, rng.IntN(2), 32*rng.Float64())
		}
		ms = append(ms, m)
	}
	b.p = farm(time.UTC, days, ms...)
	b.p.Now = time.Date(2026, 7, 6, 0, 0, 0, 0, time.UTC)
	w := &b.p.Wells[0]
	w.FlowM3H = ms[0].FlowM3H * 1.01
	for _, m := range ms {
		w.FlowM3H = max(w.FlowM3H, m.FlowM3H*1.01)
	}
	if machines == 2 && rng.IntN(3) == 0 {
		w.FlowM3H = ms[0].FlowM3H + ms[1].FlowM3H + 1
	}
	if rng.IntN(2) == 0 {
		high := 0.05 + 0.2*rng.Float64()
		w.EnergyPerKWh = func(at time.Time) float64 {
			if at.Hour() >= 12 && at.Hour() < 18 {
				return high
			}
			return 0.08
		}
	}
	if rng.IntN(4) == 0 {
		from := b.p.Now.Add(time.Duration(6*rng.IntN(4*days)) * time.Hour)
		b.p.Machines[0].NoWater = []Window{{From: from, To: from.Add(time.Duration(6*(1+rng.IntN(5))) * time.Hour), Why: "spray"}}
	}
	return b
}

// onGrid is the planner held to what the enumeration goes through.
func (b *blocks) onGrid() grid {
	g := grid{step: b.hours}
	for _, n := range slices.Backward(b.slow) {
		g.timers = append(g.timers, uint16(math.Ceil(100*timerSteps/float64(n)-1e-9)))
	}
	return g
}

// plan is the planner's cost on the grid, as the evaluator has it.
func (b *blocks) plan(t testing.TB) (float64, Plan) {
	t.Helper()
	pl, err := makeOn(context.Background(), b.p, b.onGrid())
	if err != nil {
		t.Fatal(err)
	}
	r, err := Evaluate(b.p, pl)
	if err != nil || r.Violation != nil {
		t.Fatalf("%v, %v", err, r.Violation)
	}
	return r.Cost.Total, pl
}

// enumerator goes through all plans.
type enumerator struct {
	b    *blocks
	w    *world
	end  int // blocks in the horizon
	days int
	// least[machine][sector][day][row]: what the sector comes to at the least with
	// the water of row up to the end of a day, its pumping from then on included.
	// A row has the blocks of each day, in base perDay+1.
	least [][][][]float64
	pump  [][]float64 // by machine and block: of watering
	walk  [][]float64
	cheap [][]float64 // by machine and block: the least that a block of watering costs in the rest of its day
	dayOf []int
	base  []int      // powers of perDay+1
	bar   [][][]bool // by machine, sector and block: no water
	both  bool       // the well is enough for two
	best  float64
	seen  int
	limit int
	arms  []arm
	spent float64
}

// arm is a machine in the course of a plan.
type arm struct {
	at      int // boundary of sectors that it stands on, or last stood on
	running bool
	cw      bool
	gone    int // sectors of this pass begun
	legs    int
	len     int // blocks that this sector takes; 0 none yet
	wet     bool
	left    int
	sector  int
	row     []int // by sector
}

func newEnumerator(t testing.TB, b *blocks) *enumerator {
	w, err := newWorld(&b.p)
	if err != nil {
		t.Fatal(err)
	}
	e := &enumerator{b: b, w: w, days: b.p.Days, end: b.p.Days * b.perDay, best: math.Inf(1), limit: math.MaxInt}
	e.base = []int{1}
	for range e.days {
		e.base = append(e.base, e.base[len(e.base)-1]*(b.perDay+1))
	}
	for k := range e.end {
		e.dayOf = append(e.dayOf, k/b.perDay)
	}
	var flow float64
	for i := range w.machs {
		m := &w.machs[i]
		ww := &w.wells[m.well]
		flow += m.FlowM3H
		pump, walk := make([]float64, e.end), make([]float64, e.end)
		cheap := make([]float64, e.end)
		for k := range e.end {
			price := ww.price.cost(float64(k)*b.hours, float64(k+1)*b.hours)
			pump[k], walk[k] = m.PowerKW*price, m.DryPowerKW*price
		}
		for k := e.end - 1; k >= 0; k-- {
			cheap[k] = pump[k]
			if k+1 < e.end && e.dayOf[k+1] == e.dayOf[k] {
				cheap[k] = min(cheap[k], cheap[k+1])
			}
		}
		e.pump, e.walk, e.cheap = append(e.pump, pump), append(e.walk, walk), append(e.cheap, cheap)
		var least [][][]float64
		var bar [][]bool
		for s := range m.n {
			least = append(least, e.table(m, s, cheap))
			no := make([]bool, e.end)
			for k := range no {
				no[k] = hit(m.noWater[s], float64(k)*b.hours, float64(k+1)*b.hours) != nil
			}
			bar = append(bar, no)
		}
		e.least, e.bar = append(e.least, least), append(e.bar, bar)
		at := int(math.Round(float64(m.ArmDeg) / m.width))
		e.arms = append(e.arms, arm{at: at, row: make([]int, m.n)})
	}
	e.both = flow <= w.wells[0].FlowM3H
	return e
}

// table is least for one sector. What the ground comes to is the evaluator's word.
func (e *enumerator) table(m *mach, s int, cheap []float64) [][]float64 {
	per := m.rate[s] * m.Efficiency // mm of a block
	n := e.base[e.days]
	out := make([][]float64, e.days)
	last := make([]float64, n)
	net := make([]float64, e.days)
	for row := range n {
		for d := range e.days {
			net[d] = per * float64(row/e.base[d]%(e.b.perDay+1))
		}
		var a account
		c := &m.cells[s][0]
		e.w.follow(&a, m, c, net)
		last[row] = (a.deficit+a.late+a.tailDeficit+a.tailLate)*c.perMM + a.percolation*c.leached + a.owed*m.owed[s]
	}
	out[e.days-1] = last
	for d := e.days - 2; d >= 0; d-- {
		here := make([]float64, e.base[d+1])
		for row := range here {
			here[row] = math.Inf(1)
			for x := range e.b.perDay + 1 {
				v := out[d+1][row+x*e.base[d+1]] + float64(x)*cheap[(d+1)*e.b.perDay]
				here[row] = min(here[row], v)
			}
		}
		out[d] = here
	}
	return out
}

// bound is what the ground comes to at the least from block k on.
func (e *enumerator) bound(k int) float64 {
	d := e.dayOf[k]
	room := (d+1)*e.b.perDay - k
	sum := 0.0
	for i := range e.arms {
		low, dry := 0.0, 0.0
		for s, row := range e.arms[i].row {
			table := e.least[i][s][d]
			best := table[row]
			for x := 1; x <= room; x++ {
				best = min(best, table[row+x*e.base[d]]+float64(x)*e.cheap[i][k])
			}
			low += best
			dry += e.least[i][s][e.days-1][row]
		}
		if !e.arms[i].running {
			low = min(dry, low+e.w.p.Prices.LabourPerStart+e.w.p.Prices.LabourPerLeg) // no more water without another start
		}
		sum += low
	}
	return sum
}

// at goes on from the start of block k.
func (e *enumerator) at(k int) {
	if e.seen++; e.seen > e.limit {
		return
	}
	if k == e.end {
		cost := e.spent
		for i := range e.arms {
			a := &e.arms[i]
			if a.running && (a.left > 0 || !a.wet) {
				return
			}
			for s, row := range a.row {
				cost += e.least[i][s][e.days-1][row]
			}
		}
		e.best = min(e.best, cost)
		return
	}
	if e.spent+e.bound(k) >= e.best-1e-9 {
		return
	}
	e.decide(k, 0)
}

// decide lets machine i and those after it do what they can at block k.
func (e *enumerator) decide(k, i int) {
	if i == len(e.arms) {
		e.pass(k)
		return
	}
	a := &e.arms[i]
	if a.running && a.left > 0 {
		e.decide(k, i+1)
		return
	}
	was := *a
	if a.running {
		if a.gone < len(a.row) {
			e.enter(k, i)
		}
		*a = was
		if !a.wet {
			return // a pass ends with water
		}
		a.running = false
	}
	idle := *a
	e.decide(k, i+1) // stands
	for _, cw := range [...]bool{true, false} {
		if !cw && !e.w.machs[i].Reversible {
			continue
		}
		*a = idle
		a.running, a.cw, a.gone, a.legs, a.len = true, cw, 0, 0, 0
		labour := e.w.p.Prices.LabourPerStart
		e.spent += labour
		e.enter(k, i)
		e.spent -= labour
	}
	*a = was
}

// enter goes into the next sector of a pass in every way.
func (e *enumerator) enter(k, i int) {
	a := &e.arms[i]
	was := *a
	n := len(a.row)
	sector, to := a.at, (a.at+1)%n
	if !a.cw {
		sector, to = (a.at-1+n)%n, (a.at-1+n)%n
	}
	way := func(len int, wet bool) {
		if k+len > e.end {
			return
		}
		if wet {
			for b := k; b < k+len; b++ {
				if e.bar[i][sector][b] {
					return
				}
			}
		}
		legs, leg := was.legs, 0.0
		if was.len != len || was.wet != wet {
			if legs++; legs > e.w.machs[i].MaxLegs {
				return
			}
			leg = e.w.p.Prices.LabourPerLeg
		}
		*a = was
		a.sector, a.at, a.len, a.left, a.wet, a.legs = sector, to, len, len, wet, legs
		a.gone++
		e.spent += leg
		e.decide(k, i+1)
		e.spent -= leg
	}
	way(1, false)
	for _, slow := range e.b.slow {
		way(slow, true)
	}
	*a = was
}

// pass lets block k pass.
func (e *enumerator) pass(k int) {
	wet := 0
	for i := range e.arms {
		if e.arms[i].running && e.arms[i].wet {
			wet++
		}
	}
	if wet > 1 && !e.both {
		return
	}
	spent := e.spent
	move := func(way int) {
		for i := range e.arms {
			a := &e.arms[i]
			if !a.running {
				continue
			}
			a.left -= way
			if a.wet {
				a.row[a.sector] += way * e.base[e.dayOf[k]]
			}
		}
	}
	for i := range e.arms {
		if a := &e.arms[i]; a.running && a.wet {
			e.spent += e.pump[i][k]
		} else if a.running {
			e.spent += e.walk[i][k]
		}
	}
	move(1)
	e.at(k + 1)
	move(-1)
	e.spent = spent
}

// A plan by the evaluator and by the tables cost the same: the tables are true.
func TestTablesAgree(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 17))
	for range 5 {
		b := blockFarm(t, rng)
		e := newEnumerator(t, &b)
		cost, pl := b.plan(t)
		j := newJudge(e.w)
		for i := range pl.Passes {
			tr, err := e.w.read(&pl.Passes[i])
			if err != nil {
				t.Fatal(err)
			}
			j.pass(&Pass{Legs: pl.Passes[i].Legs}, &tr)
		}
		sum := j.pumping + j.labour
		for i := range e.w.machs {
			m := &e.w.machs[i]
			for s := range m.n {
				row := 0
				for d, mm := range j.water(i)[s*e.days : (s+1)*e.days] {
					n := mm / (m.rate[s] * m.Efficiency)
					if math.Abs(n-math.Round(n)) > 1e-6 {
						t.Fatalf("%g blocks of water", n)
					}
					row += int(math.Round(n)) * e.base[d]
				}
				sum += e.least[i][s][e.days-1][row]
			}
		}
		near(t, "cost", sum, cost, 1e-6)
	}
}

// Over 300 farms that could be gone through, of 340: the planner's cost over the optimum's is at most 0.5 % in the
// median, 2 % in the 95th percentile and 5 % at worst.
func TestPlannerNearOptimum(t *testing.T) {
	every := uint64(20)
	if *allOptima {
		every = 1
	}
	var gaps, bounds []float64
	nodes, open := 0, 0
	for seed := uint64(0); seed < 340; seed += every {
		b := blockFarm(t, rand.New(rand.NewPCG(seed, 11)))
		cost, pl := b.plan(t)
		e := newEnumerator(t, &b)
		e.best, e.limit = cost*(1+1e-9), 30_000_000
		e.at(0)
		if e.seen > e.limit {
			open++
			t.Logf("seed %d: %d machines, %d sectors, %d days: not gone through to the end", seed, len(b.p.Machines), e.w.machs[0].n, e.days)
			continue
		}
		nodes += e.seen
		gap := cost/e.best - 1
		if gap < -1e-6 {
			t.Errorf("seed %d: the planner's plan costs %g, the optimum %g", seed, cost, e.best)
		}
		if pl.Search.Bound > e.best*(1+1e-6) {
			t.Errorf("seed %d: the planner's lower bound is %g, the optimum %g", seed, pl.Search.Bound, e.best)
		}
		if gap > 0.02 {
			t.Logf("seed %d: %d machines, %d sectors, %d days: %g over %g", seed, len(b.p.Machines), e.w.machs[0].n, e.days, cost, e.best)
		}
		gaps = append(gaps, gap)
		bounds = append(bounds, pl.Search.Bound/e.best)
	}
	slices.Sort(gaps)
	slices.Sort(bounds)
	mid, high, worst := gaps[len(gaps)/2], gaps[len(gaps)*95/100], gaps[len(gaps)-1]
	t.Logf("%d farms, %d nodes each, %d not gone through to the end: median %.2f %%, 95th percentile %.2f %%, worst %.2f %%; the lower bound is %.0f %% of the optimum in the median", len(gaps), nodes/len(gaps), open, 100*mid, 100*high, 100*worst, 100*bounds[len(bounds)/2])
	if mid > 0.005 || high > 0.02 || worst > 0.05 {
		t.Error("more than 0.5, 2 and 5 %")
	}
	if 5*open > len(gaps) {
		t.Errorf("%d farms were too large to go through", open)
	}
}
