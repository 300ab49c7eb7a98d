package runplan

// This file keeps what any water does to the ground of one machine, so that the
// search need not step the same ground through the same days twice: a tree for
// each kind of ground, one branch for each depth of water that a day may bring.

import (
	"math"
	"slices"

	"sandwick/soilwater"
)

// noValueFactor is what the planner takes a mm of unmet ET to be worth, in mm
// of pumped water, on ground whose crop value is not given: without it such
// ground would never be watered. Our assumption. The evaluator knows nothing of it.
const noValueFactor = 10

// drop is the least depth of water that the search tells apart, mm. The
// evaluator has the last word, and it does not round.
const drop = 1.0 / 4096

// node is one kind of ground after some days. Sums are from the first day on.
// There are hundreds of thousands of them: they hold no pointer, so that the
// garbage collector need not look at them.
type node struct {
	dep   float64 // depletion, mm
	trig  float64 // trigger of the day, mm; at the root that of the first morning
	unmet float64 // unmet ET, with what counts as such past the trigger, mm; at the last day that of the tail too
	lost  float64 // percolation, mm
	from  int32   // number of the day before
	drops int32   // water that the day brought
	dry   int32   // number of the next day without water; 0: not known yet
}

// Nodes and their states are kept in slabs of slabSize.
const (
	slabBits = 9
	slabSize = 1 << slabBits
)

// kind is ground that is alike: one zone, one state, the same water under way.
type kind struct {
	root   int32
	like   *cell
	water  []soilwater.Water // by day of horizon and tail, without the plan's
	demand []*soilwater.Demand
	row    []float64 // the last that was asked for, and where it led
	end    int32     // 0: nothing asked for yet
}

// trees is all ground of one machine.
type trees struct {
	m      *mach
	days   int
	kinds  []kind
	kindOf [][]int32   // by slice and cell
	value  [][]float64 // by slice and cell: currency per mm of unmet ET, as the search counts it
	layers int         // the most that a cell has
	used   int32       // nodes; number 0 is none
	nodes  [][]node
	states [][]float64 // by node: water by layer, then De and Fw; at the last day only what is owed
	wet    []int32     // nodes of days with water, hashed by the day before and the water; 0: free
	inWet  int
}

func newTrees(w *world, m *mach) *trees {
	t := &trees{m: m, days: w.p.Days, kindOf: make([][]int32, m.n), value: make([][]float64, m.n)}
	for s := range m.cells {
		for i := range m.cells[s] {
			t.layers = max(t.layers, m.cells[s][i].z.Column.Profile().Layers)
		}
	}
	t.wet = make([]int32, 1024)
	t.node()
	type same struct {
		zone  int
		state soilwater.State
	}
	known := make(map[same][]int32)
	for s := range m.cells {
		t.kindOf[s] = make([]int32, len(m.cells[s]))
		t.value[s] = make([]float64, len(m.cells[s]))
		for i := range m.cells[s] {
			c := &m.cells[s][i]
			t.value[s][i] = c.worth(m, s)
			key := same{c.zone, c.State}
			at := int32(-1)
			for _, k := range known[key] {
				if slices.Equal(t.kinds[k].like.GivenMM, c.GivenMM) {
					at = k
				}
			}
			if at < 0 {
				at = int32(len(t.kinds))
				known[key] = append(known[key], at)
				t.kinds = append(t.kinds, t.newKind(w, c))
			}
			t.kindOf[s][i] = at
		}
	}
	return t
}

// worth is what a mm of unmet ET on the whole cell costs as the planner sees it.
func (c *cell) worth(m *mach, s int) float64 {
	if c.perMM == 0 && m.SliceM2[s] > 0 {
		return noValueFactor * m.owed[s] * c.area / m.SliceM2[s] * c.weight
	}
	return c.perMM * c.weight
}

func (t *trees) newKind(w *world, c *cell) kind {
	k := kind{like: c}
	span := t.days + t.m.tail
	for d := range span {
		k.water = append(k.water, c.water(d, t.days))
		k.demand = append(k.demand, c.demand(d))
	}
	t.plant(&k)
	return k
}

// plant makes the root of a kind.
func (t *trees) plant(k *kind) {
	c := k.like
	k.root = t.node()
	dep, taw, raw := c.z.Column.Totals(&c.State, k.demand[0], c.z.TableM[0])
	n := t.at(k.root)
	n.dep, n.trig = dep, trigger(c.z, taw, raw)
	t.keep(k.root, &c.State)
}

func (t *trees) at(n int32) *node { return &t.nodes[n>>slabBits][n&(slabSize-1)] }

// node is the number of a new one.
func (t *trees) node() int32 {
	if int(t.used)>>slabBits == len(t.nodes) {
		t.nodes = append(t.nodes, make([]node, slabSize))
		t.states = append(t.states, make([]float64, slabSize*(t.layers+2)))
	}
	t.used++
	return t.used - 1
}

// packed is the state of a node as it is kept.
func (t *trees) packed(n int32) []float64 {
	size := t.layers + 2
	at := int(n&(slabSize-1)) * size
	return t.states[n>>slabBits][at : at+size]
}

func (t *trees) keep(n int32, st *soilwater.State) {
	p := t.packed(n)
	copy(p, st.Layer[:t.layers])
	p[t.layers], p[t.layers+1] = st.De, st.Fw
}

func (t *trees) state(n int32) (st soilwater.State) {
	p := t.packed(n)
	copy(st.Layer[:], p[:t.layers])
	st.De, st.Fw = p[t.layers], p[t.layers+1]
	return st
}

// owed is the depletion of a node of the last day at the end of the tail, less
// what the tail asks for, mm.
func (t *trees) owed(n int32) float64 { return t.packed(n)[0] }

// next is the ground a day on: day d brings so many drops of the plan's water.
func (t *trees) next(k *kind, n int32, d int, drops int32) int32 {
	from := t.at(n)
	if drops == 0 {
		if from.dry == 0 {
			from.dry = t.grow(k, n, d, 0)
		}
		return from.dry
	}
	slot := t.slot(n, drops)
	if t.wet[slot] == 0 {
		to := t.grow(k, n, d, drops)
		t.wet[slot] = to
		if t.inWet++; 2*t.inWet > len(t.wet) {
			t.widen()
		}
		return to
	}
	return t.wet[slot]
}

// slot is where a day with water is, or would be, in the hash table.
func (t *trees) slot(from, drops int32) int {
	last := len(t.wet) - 1                                                       // a power of two less one
	h := (uint64(uint32(from))<<32 | uint64(uint32(drops))) * 0x9e3779b97f4a7c15 // 2^64 over the golden ratio
	for i := int(h >> 32); ; i++ {
		to := t.wet[i&last]
		if to == 0 {
			return i & last
		}
		if n := t.at(to); n.from == from && n.drops == drops {
			return i & last
		}
	}
}

// widen makes the hash table twice as long.
func (t *trees) widen() {
	was := t.wet
	t.wet = make([]int32, 2*len(was))
	for _, to := range was {
		if to != 0 {
			n := t.at(to)
			t.wet[t.slot(n.from, n.drops)] = to
		}
	}
}

func (t *trees) grow(k *kind, from int32, d int, drops int32) int32 {
	number := t.node()
	n, to := t.at(from), t.at(number)
	to.from, to.drops = from, drops
	c := k.like
	st, f := t.state(from), soilwater.Fluxes{}
	wa := k.water[d]
	wa.NetMM += float64(drops) * drop
	c.z.Column.Step(&st, k.demand[d], &wa, &f)
	unmet := max(0, f.ETcMM-f.ETMM)
	to.dep = f.DepletionMM
	to.trig = trigger(c.z, f.TAWMM, f.RAWMM)
	if f.Ks < 1-stressTol {
		to.trig = min(to.trig, n.dep, f.DepletionMM) // stressed: due whatever the depletion of the whole
	}
	to.unmet = n.unmet + unmet + c.late(&f, unmet)
	to.lost = n.lost + f.PercolationMM
	if d < t.days-1 {
		t.keep(number, &st)
	} else {
		asked := 0.0
		for e := t.days; e < len(k.water); e++ {
			wa := k.water[e]
			c.z.Column.Step(&st, k.demand[e], &wa, &f)
			unmet := max(0, f.ETcMM-f.ETMM)
			to.unmet += unmet + c.late(&f, unmet)
			asked += f.ETcMM
		}
		t.packed(number)[0] = f.DepletionMM - asked
	}
	return number
}

// mostNodes is how many nodes a machine's trees may have before all are let go:
// a long search should not fill the memory.
const mostNodes = 1 << 20

// forget lets all nodes go but the roots.
func (t *trees) forget() {
	t.nodes, t.states, t.used, t.inWet = nil, nil, 0, 0
	clear(t.wet)
	t.node()
	for i := range t.kinds {
		t.kinds[i].end = 0
		t.plant(&t.kinds[i])
	}
}

// after is cell i of slice s after so many days with the water in row, mm by day.
func (t *trees) after(s, i, days int, row []float64) int32 {
	if t.used > mostNodes {
		t.forget()
	}
	k := &t.kinds[t.kindOf[s][i]]
	whole := days == t.days
	if whole && k.end != 0 && slices.Equal(k.row, row) {
		return k.end
	}
	n := k.root
	for d := range days {
		n = t.next(k, n, d, drops(row[d]))
	}
	if whole {
		k.row, k.end = append(k.row[:0], row...), n
	}
	return n
}

func drops(mm float64) int32 {
	if mm == 0 {
		return 0
	}
	return int32(mm*(1/drop) + 0.5)
}

// cost is the stress, percolation and carry of slice s with the water in row.
func (t *trees) cost(s int, row []float64) float64 {
	var cost, owed float64
	cells := t.m.cells[s]
	for i := range cells {
		c := &cells[i]
		end := t.after(s, i, t.days, row)
		n := t.at(end)
		cost += n.unmet*t.value[s][i] + n.lost*c.leached
		if c.share >= sliver {
			owed = max(owed, t.owed(end))
		}
	}
	return cost + owed*t.m.owed[s]
}

// due is the hour after from at which slice s passes its trigger with the water
// in row; +Inf not within the horizon. Slivers do not count.
func (t *trees) due(w *world, s int, from float64, row []float64) float64 {
	best := math.Inf(1)
	first := w.dayX(max(from, 0), t.days-1)
	for i := range t.m.cells[s] {
		if t.m.cells[s][i].share < sliver {
			continue
		}
		k := &t.kinds[t.kindOf[s][i]]
		number := t.after(s, i, first, row)
		for d := first; d < t.days; d++ {
			n := t.at(number)
			number = t.next(k, number, d, drops(row[d]))
			to := t.at(number)
			if to.dep >= to.trig-pastTol {
				at := w.dayStart(d)
				if n.dep < to.trig && to.dep > n.dep {
					at += (to.trig - n.dep) / (to.dep - n.dep) * (w.dayEnd[d] - at)
				}
				best = min(best, max(at, from))
				break
			}
		}
	}
	return best
}
