package runplan

// This file plans a farm of many narrow slices with slices joined first: a
// change of the joined farm costs a fraction to try, and where to water, when
// and how fast shows on it nearly as well. What it finds is where the search of
// the farm itself begins.

import (
	"math"
	"slices"

	"sandwick/pivot"
)

// fewSlices is how many slices a machine keeps at least when slices are joined.
// Our choice, by trial.
const fewSlices = 12

// joining is how many slices go into one: the same for all machines, or 1.
func (w *world) joining() int {
	by := 0
	for i := range w.machs {
		n := w.machs[i].n
		most := n / fewSlices
		for most > 1 && n%most != 0 {
			most--
		}
		if by == 0 || most < by {
			by = most
		}
	}
	for i := range w.machs {
		if by > 1 && w.machs[i].n%by != 0 {
			return 1
		}
	}
	return max(by, 1)
}

// joined is the problem with every so many slices of each machine made one,
// counted from the slice that the arm stands in: north is a slice like any
// other. Azimuths are turned back by shift slices of the machine, so that
// joined slices begin at north too. Ground of a zone that is nearly alike is
// taken for one, with the water of the widest of it.
func (w *world) joined(by int) (p Problem, shift []int) {
	p = *w.p
	p.Known = nil
	p.Machines = slices.Clone(p.Machines)
	for i := range p.Machines {
		m, from := &p.Machines[i], &w.machs[i]
		off := from.fromArm(0) % by
		shift = append(shift, off)
		back := func(a pivot.Azimuth) pivot.Azimuth { return (a - pivot.Azimuth(float64(off)*from.width)).Norm() }
		m.SliceDeg *= float64(by)
		m.ArmDeg = back(m.ArmDeg)
		if m.Stops != nil {
			m.Stops = &pivot.Arc{From: back(m.Stops.From), To: back(m.Stops.To)}
		}
		m.EndGunArcs = slices.Clone(m.EndGunArcs)
		for k, arc := range m.EndGunArcs {
			m.EndGunArcs[k] = pivot.Arc{From: back(arc.From), To: back(arc.To)}
		}
		to := func(s int) int { return (s - off + from.n) % from.n / by }
		m.SliceM2 = make([]float64, from.n/by)
		for s, area := range w.p.Machines[i].SliceM2 {
			m.SliceM2[to(s)] += area
		}
		m.Zones = slices.Clone(m.Zones)
		for z := range m.Zones {
			m.Zones[z].Ends = nil
		}
		m.Cells = nil
		at := 0 // first cell of the joined slice
		for q := range from.n / by {
			S := (to(from.fromArm(0)) + q) % (from.n / by)
			for b := range by {
				for c := range from.cells[(S*by+b+off)%from.n] {
					one := *from.cells[(S*by+b+off)%from.n][c].Cell
					one.Slice, one.EndStates = S, nil
					m.Cells = append(m.Cells, one)
				}
			}
			// The widest ground first: what is like it takes its water.
			slices.SortStableFunc(m.Cells[at:], func(a, b Cell) int { return cmpFloat(b.AreaM2, a.AreaM2) })
			kept := at
			for _, one := range m.Cells[at:] {
				like := func(o Cell) bool { return alike(&o, &one) }
				if same := slices.IndexFunc(m.Cells[at:kept], like); same >= 0 {
					m.Cells[at+same].AreaM2 += one.AreaM2
					continue
				}
				if same := slices.IndexFunc(m.Cells[:at], like); same >= 0 {
					one.State, one.GivenMM = m.Cells[same].State, m.Cells[same].GivenMM
				}
				m.Cells[kept] = one
				kept++
			}
			m.Cells = m.Cells[:kept]
			at = kept
		}
	}
	return p, shift
}

// alikeMM is how much the water in two cells of a zone may differ for them to be
// taken for one. Our choice: less than a light pass.
const alikeMM = 5

func alike(a, b *Cell) bool {
	if a.Zone != b.Zone {
		return false
	}
	mm := 0.0
	for i := range a.State.Layer {
		mm += a.State.Layer[i] - b.State.Layer[i]
	}
	for d := range max(len(a.GivenMM), len(b.GivenMM)) {
		mm += given(a, d) - given(b, d)
	}
	return math.Abs(mm) < alikeMM
}

func given(c *Cell, day int) float64 {
	if day < len(c.GivenMM) {
		return c.GivenMM[day]
	}
	return 0
}

// parted are jobs of the joined farm as jobs of this one.
func (w *world) parted(jobs []job, by int, shift []int) []job {
	out := slices.Clone(jobs)
	for k := range out {
		n, off := w.machs[out[k].mach].n, shift[out[k].mach]
		set := make([]uint16, n)
		for s := range set {
			set[s] = out[k].set[(s-off+n)%n/by]
		}
		out[k].set = set
	}
	return out
}

// latticeRatio is our choice, by trial.
const latticeRatio = 1.06

// lattice are timers in even ratios, in steps of 1/timerSteps %: the ground then
// gets depths that the search has seen before.
func (w *world) lattice() []uint16 {
	low, high := 0.0, math.Inf(1)
	for i := range w.machs {
		low, high = max(low, w.machs[i].slowest), min(high, w.machs[i].TimerMaxPct)
	}
	var out []uint16
	for t := low; t < high; t *= latticeRatio {
		out = append(out, uint16(math.Ceil(t*timerSteps-1e-8)))
	}
	return slices.Compact(append(out, uint16(math.Round(high*timerSteps))))
}

// join plans the farm with every so many slices joined.
func (pl *planner) join(by int) {
	p, shift := pl.w.joined(by)
	p.Scenarios = nil
	w, err := newWorld(&p)
	if err != nil {
		return // the farm itself has passed the same checks
	}
	less := newPlanner(pl.ctx, w)
	less.grid = pl.grid
	if less.grid.timers == nil {
		less.grid.timers = w.lattice()
	}
	less.start()
	less.attempt()
	x := newSearcher(less)
	x.rough = true
	x.limit = w.shares(joinedWork)
	pl.joined = [][]job{nil}
	if x.explore(x.beginnings()) {
		pl.joined[0] = pl.w.parted(x.best.jobs, by, shift)
	}
	pl.tried += less.tried
}
