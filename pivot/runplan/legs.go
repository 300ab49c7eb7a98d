package runplan

// This file chooses the legs of one trip: dynamic programming over the slices
// that the arm meets, with the timers of the panel and as many legs as it holds.

import (
	"math"
	"slices"
)

// station is a stretch of a trip within one slice.
type station struct {
	slice    int
	deg      float64
	frac     float64 // of the slice's travel
	needs    bool    // due before the machine comes by again
	deadline float64 // hour by which the arm should have left it; +Inf
	arrive   float64 // hour at which the arm comes, as far as known
	leave    float64
}

// stations lists what the arm meets from an azimuth in a direction: one whole
// turn, or up to the stop.
func (m *mach) stations(dst []station, from float64, cw bool, room float64) []station {
	left := min(360, room)
	for left > degTol {
		s, step := m.stretch(from, cw)
		step = min(step, left)
		left -= step
		from = advance(from, step, cw)
		if step <= degTol {
			continue
		}
		frac := 0.0
		if m.inside[s] > 0 {
			frac = step / m.inside[s]
		}
		dst = append(dst, station{slice: s, deg: step, frac: frac})
	}
	return dst
}

// chooser is the scratch space of the dynamic programme.
type chooser struct {
	levels []float64 // timers, falling: more and more water; level 0 is dry
	pen    []float64 // pen[i*len(levels)+l]: cost of passing station i, or later group i, at level l
	best   []float64 // best[k*len(levels)+l]: cheapest so far with k+1 legs, the last at level l
	next   []float64
	from   []int8    // from[(i*legs+k)*len(levels)+l]: level of the leg before if one begins at station i, else -1
	walk   []float64 // by station, or later group: what of its dry cost is the way over it; nil: nothing
	suffix []float64
	deg    []float64 // by group of stations
	low    []float64 // by legs: the cheapest of best, and its level
	lowAt  []int8
}

// maxPlannedLegs bounds the legs of a planned trip however many the panel holds:
// a run card must be read in the cab.
const maxPlannedLegs = 24

// choose fills in the legs of a trip from the penalties: at most maxLegs, each
// new one at legCost; the trip ends with its last wet station. It returns the
// cost, with the ground that is not reached at its dry penalty, and whether any
// station is watered.
func (c *chooser) choose(legs []run, st []station, dryTimer float64, maxLegs int, legCost float64) ([]run, float64, bool) {
	n, nl := c.group(st), len(c.levels)
	k := min(maxLegs, maxPlannedLegs)
	inf := math.Inf(1)
	c.best = grow(c.best, k*nl)
	c.next = grow(c.next, k*nl)
	c.suffix = grow(c.suffix, n+1)
	c.from = growInt(c.from, n*k*nl)
	c.suffix[n] = 0
	for i := n - 1; i >= 0; i-- {
		c.suffix[i] = c.suffix[i+1] + c.pen[i*nl]
		if c.walk != nil {
			c.suffix[i] -= c.walk[i] // beyond its last water the arm does not go
		}
	}
	for i := range c.best {
		c.best[i], c.next[i] = inf, inf
	}
	cost, endAt, endLegs, endLevel := c.suffix[0], -1, 0, 0
	c.low, c.lowAt = grow(c.low, k), growInt(c.lowAt, k)
	for i := range n {
		pen := c.pen[i*nl : (i+1)*nl]
		rest := c.suffix[i+1]
		prev, prevLevel := inf, int8(-1) // the cheapest way to have had g legs before this station
		if i == 0 {
			prev = 0
		}
		for g := range min(k, i+1) {
			row, out := c.best[g*nl:(g+1)*nl], c.next[g*nl:(g+1)*nl]
			back := c.from[(i*k+g)*nl : (i*k+g+1)*nl]
			begin := prev + legCost
			low, lowAt := inf, int8(-1)
			for l, pl := range pen {
				v, from := row[l]+pl, int8(-1)
				if w := begin + pl; w < v && int8(l) != prevLevel {
					v, from = w, prevLevel
				}
				out[l], back[l] = v, from
				if v < low {
					low, lowAt = v, int8(l)
				}
				if l > 0 && v+rest < cost {
					cost, endAt, endLegs, endLevel = v+rest, i, g, l
				}
			}
			// What g+1 legs have cost before this station, for the row that comes next.
			prev, prevLevel = c.low[g], c.lowAt[g]
			if i == 0 {
				prev, prevLevel = inf, -1
			}
			c.low[g], c.lowAt[g] = low, lowAt
		}
		if i+1 < k {
			c.low[i+1], c.lowAt[i+1] = inf, -1
		}
		c.best, c.next = c.next, c.best
	}
	legs = legs[:0]
	if endAt < 0 {
		return legs, cost, false
	}
	// Back along the choices.
	g, l, d := endLegs, endLevel, 0.0
	for i := endAt; i >= 0; i-- {
		d += c.deg[i]
		p := c.from[(i*k+g)*nl+l]
		if p >= 0 || i == 0 {
			timer := c.levels[l]
			if l == 0 {
				timer = dryTimer
			}
			legs = append(legs, run{d, l > 0, timer})
			d = 0
			if p >= 0 {
				g, l = g-1, int(p)
			}
		}
	}
	slices.Reverse(legs)
	return legs, cost, true
}

// group joins stations that follow each other and need no water: no leg gains by
// beginning among them. It adds up their penalties and returns how many groups
// there are.
func (c *chooser) group(st []station) int {
	nl := len(c.levels)
	c.deg = grow(c.deg, len(st))
	n := 0
	for i := range st {
		if i > 0 && !st[i].needs && !st[i-1].needs {
			c.deg[n-1] += st[i].deg
			if c.walk != nil {
				c.walk[n-1] += c.walk[i]
			}
			for l := range nl {
				c.pen[(n-1)*nl+l] += c.pen[i*nl+l]
			}
			continue
		}
		c.deg[n] = st[i].deg
		copy(c.pen[n*nl:(n+1)*nl], c.pen[i*nl:(i+1)*nl])
		if c.walk != nil {
			c.walk[n] = c.walk[i]
		}
		n++
	}
	return n
}

func grow(f []float64, n int) []float64 {
	if cap(f) < n {
		return make([]float64, n)
	}
	return f[:n]
}

func growInt(f []int8, n int) []int8 {
	if cap(f) < n {
		return make([]int8, n)
	}
	return f[:n]
}
