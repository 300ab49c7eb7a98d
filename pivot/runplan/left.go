package runplan

// This file has how long ground lasts without more water: as the settings
// stand, and as a range over what is not known of the ground.
//
// Three things are not known well: how far wet roots stand in for dry ones,
// how deep the water table stands, and how far it reaches. Each has two ends.
// The range is that of the ends run one at a time. All three at their worst at
// once are left out: the plus-minus of depth and reach are standard errors that
// know nothing of each other, so both are as far off to the worse in one case
// of forty, and with that the roots would have to be at their end too. A
// warning that holds for all low ground is no warning. Ground is followed under
// each end from the season's start, so that the range holds what the end has
// done to it already.

import (
	"math"
	"slices"

	"sandwick/soilwater"
)

// End is one end of what is not known: the same ground under another
// assumption. What it shares with the zone is not repeated.
type End struct {
	Kind         EndKind
	Compensation float64 // compensation limit
	TableByM     float64 // deeper by, m; negative shallower. Of the first day; TableM has every day
	ReachM       float64 // reach of the soil, m; NaN where it has none
	Column       *soilwater.Column
	TableM       []float64 // as Zone.TableM
}

// EndKind names what an End assumes.
type EndKind uint8

// The kinds of end.
const (
	AsSet        EndKind = iota // no end: the settings as they stand
	RootsAlone                  // no root stands in for another
	RootsJoined                 // wet roots stand in for dry ones without limit
	TableDeeper                 // by its plus-minus
	TableHigher                 // by its plus-minus
	ReachShorter                // by its plus-minus
	ReachLonger                 // by its plus-minus
)

var endNames = [...]string{
	"as_set", "roots_alone", "roots_joined", "table_deeper", "table_higher", "reach_shorter", "reach_longer",
}

// String gives the kind's name as it stands in JSON.
func (k EndKind) String() string {
	if int(k) < len(endNames) {
		return endNames[k]
	}
	return "unknown"
}

// Left is how long the ground of a zone lasts without more water than what is
// on its way already and the rain expected.
type Left struct {
	Due    Span // until the first ground reaches the trigger, or is short of water if that comes sooner
	Stress Span // until the first ground is short of water: takes up less than 95 % of what it wants
}

// ShortKs is how far below 1 Ks must be for ground to count as short of water:
// the first day below 95 % of potential transpiration is what the model was held
// against Richards' equation by. Where no root stands in for another some roots
// are always a little short.
const ShortKs = 0.05

// Span is a time from Now in days, as the settings stand and at the ends. +Inf
// is beyond the days looked at, Problem.Days; a part of a day counts.
type Span struct {
	AsSet    float64
	Min, Max float64   // the least and the most of AsSet and Ends
	Ends     []float64 // by Zone.Ends
	// MinBy and MaxBy are the ends that govern: the first that comes to Min and
	// to Max within a tenth of a day; AsSet where no end changes anything.
	MinBy, MaxBy EndKind
}

// Lasting is how long every zone lasts, [machine][zone]: what the planner goes
// by. The zero Left, without any days, is that of a zone without ground. The
// error is for a problem that makes no sense.
func (p *Problem) Lasting() ([][]Left, error) {
	w, err := newWorld(p)
	if err != nil {
		return nil, err
	}
	out := make([][]Left, len(w.machs))
	for i := range w.machs {
		m := &w.machs[i]
		for z := range m.Zones {
			out[i] = append(out[i], w.left(m, z).Left)
		}
	}
	return out, nil
}

// LeftOf is the same for ground under no machine: one zone with all its cells.
func (p *Problem) LeftOf(z *Zone, cells []Cell) (Left, error) {
	if err := checkZone(z, p.Days); err != nil {
		return Left{}, err
	}
	c := newClock(p.Now, p.Days)
	w := &world{clock: &c, p: p}
	l := newLasting(w, z, p.Days)
	for i := range cells {
		l.add(&cell{Cell: &cells[i], z: z})
	}
	return l.done().Left, nil
}

// lasting is Left in the making.
type lasting struct {
	w    *world
	z    *Zone
	span int // days stepped: the horizon, and with the tail
	Left
	first *cell // that is due first as the settings stand; else nearest to its trigger
	// Hours, also past the horizon; [0] as set, then by end.
	due, stress []float64
	room        float64 // of first
	planned     float64 // hour at which the planner takes the first ground to be due: any stress counts
}

func newLasting(w *world, z *Zone, span int) *lasting {
	l := &lasting{w: w, z: z, span: span, room: math.Inf(1), planned: math.Inf(1)}
	n := 1 + len(z.Ends)
	l.due, l.stress = make([]float64, n), make([]float64, n)
	for i := range n {
		l.due[i], l.stress[i] = math.Inf(1), math.Inf(1)
	}
	return l
}

// left looks at one zone of a machine.
func (w *world) left(m *mach, zone int) *lasting {
	l := newLasting(w, &m.Zones[zone], w.p.Days+m.tail)
	for _, least := range [...]float64{sliver, 0} { // a zone of slivers only has them all
		for s := range m.cells {
			for i := range m.cells[s] {
				if c := &m.cells[s][i]; c.zone == zone && c.share >= least {
					l.add(c)
				}
			}
		}
		if l.first != nil {
			break
		}
	}
	return l.done()
}

// add runs one cell as the settings stand and under every end.
func (l *lasting) add(c *cell) {
	planned, _ := l.w.dry(c, asSet(c), stressTol, nil, l.span, nil)
	l.planned = min(l.planned, planned)
	due, stress := l.w.dry(c, asSet(c), ShortKs, nil, l.span, nil)
	dep, taw, raw := l.z.Column.Totals(&c.State, c.demand(0), l.z.TableM[0])
	room := trigger(l.z, taw, raw) - dep
	if l.first == nil || due < l.due[0] || due == l.due[0] && room < l.room {
		l.first, l.room = c, room
	}
	l.due[0], l.stress[0] = min(l.due[0], due), min(l.stress[0], stress)
	for i := range l.z.Ends {
		due, stress := l.w.dry(c, endGround(c, i), ShortKs, nil, l.span, nil)
		l.due[i+1], l.stress[i+1] = min(l.due[i+1], due), min(l.stress[i+1], stress)
	}
}

func (l *lasting) done() *lasting {
	if l.first != nil {
		l.Due, l.Stress = l.sum(l.due), l.sum(l.stress)
	}
	return l
}

// earliest is the hour at which the ground is due at the soonest of all ends,
// past the horizon too.
func (l *lasting) earliest() float64 { return slices.Min(l.due) }

// riskBy is the first end under which the ground is due about hour h.
func (l *lasting) riskBy(h float64) *End {
	for i := range l.z.Ends {
		if l.due[i+1] <= h+24*sameDays {
			return &l.z.Ends[i]
		}
	}
	return nil
}

// sameDays is how near a single end must come to the range's end to explain it.
const sameDays = 0.1

func (l *lasting) sum(hours []float64) Span {
	days := make([]float64, len(hours))
	for i, h := range hours {
		days[i] = h / 24
		if h > l.w.end() {
			days[i] = math.Inf(1)
		}
	}
	s := Span{AsSet: days[0], Min: days[0], Max: days[0], Ends: days[1:]}
	for _, d := range s.Ends {
		s.Min, s.Max = min(s.Min, d), max(s.Max, d)
	}
	near := func(d, to float64) bool { return d == to || math.Abs(d-to) <= sameDays }
	for _, side := range [...]struct {
		to float64
		by *EndKind
	}{{s.Min, &s.MinBy}, {s.Max, &s.MaxBy}} {
		if near(s.AsSet, side.to) {
			continue
		}
		for i, d := range s.Ends {
			if near(d, side.to) {
				*side.by = l.z.Ends[i].Kind
				break
			}
		}
	}
	return s
}

// ground is what a cell stands on under one assumption.
type ground struct {
	column *soilwater.Column
	tableM []float64
	state  soilwater.State
}

// asSet is the cell's ground as the settings stand.
func asSet(c *cell) ground { return ground{c.z.Column, c.z.TableM, c.State} }

// endGround is the cell's ground under end i.
func endGround(c *cell, i int) ground {
	e := &c.z.Ends[i]
	g := ground{e.Column, e.TableM, c.State}
	if i < len(c.EndStates) {
		g.state = c.EndStates[i]
	}
	return g
}
