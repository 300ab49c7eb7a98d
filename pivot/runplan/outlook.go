package runplan

// This file keeps, for one machine, every cell's path through the horizon under
// the water planned so far: its states, when it is next due, and what it costs.

import (
	"math"
	"slices"

	"sandwick/soilwater"
)

// outlook is the ground of one machine under a given plan.
type outlook struct {
	days, span int       // the horizon, and with the tail
	net        []float64 // the water the paths were made with, net[s*days+k]; NaN before the first refresh
	last       []float64 // by slice: hour of the last planned water; -1 none
	due        []float64 // by slice: hour at which it is next due after that; +Inf not within the span
	cost       []float64 // by slice: stress, percolation and carry of its cells
	paths      [][]path  // by slice and cell
}

// path is one cell through the span; entry k of a list is after k days.
type path struct {
	state []soilwater.State
	dep   []float64 // depletion, mm
	trig  []float64 // trigger of the day, mm; entry 0 unused
	unmet []float64 // unmet ET so far, mm, with what counts as such past the user's trigger
	lost  []float64 // percolation so far, mm
	asked []float64 // ETc so far, mm
	due   float64   // hour; +Inf
	value float64   // currency per mm of unmet ET, for planning
}

func newOutlook(w *world, m *mach) *outlook {
	o := &outlook{
		days: w.p.Days, span: w.p.Days + m.tail,
		net:  slices.Repeat([]float64{math.NaN()}, m.n*w.p.Days),
		last: slices.Repeat([]float64{-1}, m.n),
		due:  make([]float64, m.n), cost: make([]float64, m.n),
		paths: make([][]path, m.n),
	}
	cells := 0
	for s := range m.cells {
		cells += len(m.cells[s])
	}
	n := o.span + 1
	states := make([]soilwater.State, cells*n)
	floats := make([]float64, 5*cells*n)
	take := func() (f []float64) {
		f, floats = floats[:n:n], floats[n:]
		return f
	}
	for s := range m.cells {
		o.due[s] = math.Inf(1)
		o.paths[s] = make([]path, len(m.cells[s]))
		for i := range m.cells[s] {
			c, p := &m.cells[s][i], &o.paths[s][i]
			p.state, states = states[:n:n], states[n:]
			p.dep, p.trig, p.unmet, p.lost, p.asked = take(), take(), take(), take(), take()
			p.state[0] = c.State
			var taw, raw float64
			p.dep[0], taw, raw = c.z.Column.Totals(&c.State, c.demand(0), c.z.TableM[0])
			p.trig[0] = trigger(c.z, taw, raw)
			p.value = c.worth(m, s)
		}
	}
	return o
}

// dayEndX is the end of day k, also past the horizon.
func (w *world) dayEndX(k int) float64 {
	if k < len(w.dayEnd) {
		return w.dayEnd[k]
	}
	return w.end() + 24*float64(k-len(w.dayEnd)+1)
}

// dayX is the day that hour h lies in, also past the horizon, at most last.
func (w *world) dayX(h float64, last int) int {
	for k := range last {
		if h < w.dayEndX(k) {
			return k
		}
	}
	return last
}

// refresh brings the paths up to date with net and last.
func (o *outlook) refresh(w *world, m *mach, net, last []float64) {
	for s := range m.n {
		if len(m.cells[s]) == 0 {
			continue
		}
		old, row := o.net[s*o.days:(s+1)*o.days], net[s*o.days:(s+1)*o.days]
		from := 0
		for from < o.days && old[from] == row[from] {
			from++
		}
		if from == o.days && o.last[s] == last[s] {
			continue
		}
		copy(old, row)
		o.last[s] = last[s]
		o.slice(w, m, s, row, from)
	}
}

// slice brings the cells of a slice up to date from day from on.
func (o *outlook) slice(w *world, m *mach, s int, row []float64, from int) {
	o.cost[s] = 0
	worst := 0.0
	for i := range m.cells[s] {
		c, p := &m.cells[s][i], &o.paths[s][i]
		if from < o.days {
			if q := o.twin(m, s, c, p, row, from); q != nil {
				p.copyFrom(q, from)
			} else {
				o.step(c, p, row, from)
			}
		}
		if c.share >= sliver {
			worst = max(worst, p.dep[o.span]-(p.asked[o.span]-p.asked[o.days]))
		}
		o.cost[s] += p.unmet[o.span]*p.value + p.lost[o.days]*c.leached
		p.due = o.crossing(w, p, o.last[s])
	}
	o.cost[s] += worst * m.owed[s]
	o.due[s] = o.sliceDue(m, s)
}

// twin is the path of a cell of the same zone in the slice before that is as
// wet and gets the same water from day from on; nil if there is none. Most
// slices have one: a machine waters many alike.
func (o *outlook) twin(m *mach, s int, c *cell, p *path, row []float64, from int) *path {
	if s == 0 || !slices.Equal(row[from:], o.net[(s-1)*o.days+from:s*o.days]) {
		return nil
	}
	for i := range m.cells[s-1] {
		d, q := &m.cells[s-1][i], &o.paths[s-1][i]
		if d.zone == c.zone && q.state[from] == p.state[from] && slices.Equal(c.GivenMM, d.GivenMM) {
			return q
		}
	}
	return nil
}

// copyFrom takes over what another cell comes to from day from on.
func (p *path) copyFrom(q *path, from int) {
	copy(p.state[from+1:], q.state[from+1:])
	copy(p.dep[from+1:], q.dep[from+1:])
	copy(p.trig[from+1:], q.trig[from+1:])
	for k := from + 1; k < len(p.unmet); k++ {
		p.unmet[k] = p.unmet[from] + (q.unmet[k] - q.unmet[from])
		p.lost[k] = p.lost[from] + (q.lost[k] - q.lost[from])
		p.asked[k] = p.asked[from] + (q.asked[k] - q.asked[from])
	}
}

// step steps a cell from day from on.
func (o *outlook) step(c *cell, p *path, row []float64, from int) {
	var f soilwater.Fluxes
	st := p.state[from]
	for k := from; k < o.span; k++ {
		wa := c.water(k, o.days)
		if k < o.days {
			wa.NetMM += row[k]
		}
		c.z.Column.Step(&st, c.demand(k), &wa, &f)
		unmet := max(0, f.ETcMM-f.ETMM)
		p.state[k+1], p.dep[k+1] = st, f.DepletionMM
		p.trig[k+1] = trigger(c.z, f.TAWMM, f.RAWMM)
		if f.Ks < 1-stressTol {
			p.trig[k+1] = min(p.trig[k+1], p.dep[k], f.DepletionMM) // stressed: due whatever the depletion of the whole
		}
		p.unmet[k+1] = p.unmet[k] + unmet + c.late(&f, unmet)
		p.lost[k+1] = p.lost[k] + f.PercolationMM
		p.asked[k+1] = p.asked[k] + f.ETcMM
	}
}

// crossing is the hour after last at which a cell's depletion passes its trigger.
func (o *outlook) crossing(w *world, p *path, last float64) float64 {
	first := 0
	if last >= 0 {
		first = w.dayX(last, o.span-1)
	}
	for k := first; k < o.span; k++ {
		t, d0, d1 := p.trig[k+1], p.dep[k], p.dep[k+1]
		if d1 < t-pastTol {
			continue
		}
		from := w.midnight
		if k > 0 {
			from = w.dayEndX(k - 1)
		}
		at := from
		if d0 < t && d1 > d0 {
			at += (t - d0) / (d1 - d0) * (w.dayEndX(k) - from)
		}
		return max(at, last, 0)
	}
	return math.Inf(1)
}

// sliceDue is when the first cell of a slice is due; slivers do not count.
func (o *outlook) sliceDue(m *mach, s int) float64 {
	best := math.Inf(1)
	cells, paths := m.cells[s], o.paths[s]
	for i := range paths {
		if paths[i].due >= best {
			continue
		}
		share := 0.0
		for k := range paths {
			if paths[k].due <= paths[i].due {
				share += cells[k].share
			}
		}
		if share >= sliver {
			best = paths[i].due
		}
	}
	return best
}

// total is the cost of all ground.
func (o *outlook) total() float64 {
	var c float64
	for _, x := range o.cost {
		c += x
	}
	return c
}
