package hydraulics

// Steady upward flow through ground of several soils.

import (
	"math"
	"sort"
	"sync"
)

// Segment is a stretch of one soil, given by the depth of its lower end. The
// first begins at the surface; the last goes on below its end.
type Segment struct {
	BottomM float64 // below ground, m
	Soil    VanGenuchten
}

// Stack answers for the dry-limit flux from a water table at any depth to any
// height through a pile of soils. Suction is continuous where soils meet, the
// flux the same throughout.
type Stack struct {
	segments []Segment
	single   *Table    // ground of one soil
	soils    []*climbs // by segment, otherwise
}

// Curves are the flux curves of soils, each made once and shared by all that ask
// for a soil like it: one that differs in the scale of its heights (AlphaPerM) or
// in what it holds is like it. The zero Curves is ready; it may be used from
// several goroutines.
type Curves struct {
	mu     sync.Mutex
	tables map[shape]func() *Table
	climbs map[shape]func() *climbs
	reach  map[shape]func() float64
}

// shape is what a flux curve depends on beside the scale of heights.
type shape struct{ n, ks, l float64 }

// unit is a soil of that shape with an AlphaPerM of 1.
func (s shape) unit() VanGenuchten {
	return VanGenuchten{ThetaS: 1, AlphaPerM: 1, N: s.n, KsMPerDay: s.ks, L: s.l}
}

// shared is the value of a map made by the first that asks.
func shared[T any](mu *sync.Mutex, made *map[shape]func() T, key shape, fresh func() T) T {
	mu.Lock()
	if *made == nil {
		*made = map[shape]func() T{}
	}
	f := (*made)[key]
	if f == nil {
		f = sync.OnceValue(fresh)
		(*made)[key] = f
	}
	mu.Unlock()
	return f()
}

// Table is the flux table of a soil.
func (c *Curves) Table(v VanGenuchten) *Table {
	key := shape{v.N, v.KsMPerDay, v.L}
	return shared(&c.mu, &c.tables, key, func() *Table { return NewTable(key.unit()) }).Scaled(1 / v.AlphaPerM)
}

// Reach is the reach of a soil, m.
func (c *Curves) Reach(v VanGenuchten) float64 {
	key := shape{v.N, v.KsMPerDay, v.L}
	return shared(&c.mu, &c.reach, key, func() float64 { return Reach(key.unit()) }) / v.AlphaPerM
}

// Stack is a pile of soils; it needs at least one segment.
func (c *Curves) Stack(segments []Segment) *Stack {
	s := &Stack{segments: segments}
	same := true
	for _, g := range segments[1:] {
		a, b := g.Soil, segments[0].Soil
		same = same && a.AlphaPerM == b.AlphaPerM && a.N == b.N && a.KsMPerDay == b.KsMPerDay && a.L == b.L
	}
	if same {
		s.single = c.Table(segments[0].Soil)
		return s
	}
	for _, g := range segments {
		key := shape{g.Soil.N, g.Soil.KsMPerDay, g.Soil.L}
		s.soils = append(s.soils, shared(&c.mu, &c.climbs, key, func() *climbs { return newClimbs(key.unit()) }))
	}
	return s
}

// climbs is, for each flux, the height a soil's column gains between the water
// table and a suction, for an AlphaPerM of 1: heights and suctions of another are
// those divided by it.
type climbs [stackFluxes][]float64

const (
	stackFluxes = 240    // from stackLow to stackHigh, even in ln q
	stackLow    = 1e-7   // mm/day
	stackHigh   = 2000.0 // mm/day
	stackNodes  = 1900   // suctions, even in ln h

	// Suctions, times AlphaPerM: of 0.02 mm to 2e8 m in sand.
	lowestStackLnH, highestStackLnH = -12.0, 21.0

	// StackError is the largest relative error of Stack.Flux in ground of more
	// than one soil, for fluxes from 0.001 to 100 mm/day; in ground of one soil it is
	// TableError.
	StackError = 0.01
)

// stackLnQ is the logarithm of flux number n, mm/day.
func stackLnQ(n int) float64 {
	return math.Log(stackLow) + float64(n)*((math.Log(stackHigh)-math.Log(stackLow))/(stackFluxes-1))
}

func newClimbs(v VanGenuchten) *climbs {
	step := (highestStackLnH - lowestStackLnH) / (stackNodes - 1)
	k, h := make([]float64, stackNodes), make([]float64, stackNodes)
	for i := range k {
		h[i] = math.Exp(lowestStackLnH + float64(i)*step)
		k[i] = v.K(h[i])
	}
	c := new(climbs)
	for n := range c {
		q := math.Exp(stackLnQ(n)) / 1000
		z := make([]float64, stackNodes)
		z[0] = h[0] * v.KsMPerDay / (v.KsMPerDay + q)
		before := h[0] * k[0] / (k[0] + q)
		for i := 1; i < stackNodes; i++ {
			now := h[i] * k[i] / (k[i] + q)
			z[i] = z[i-1] + 0.5*step*(before+now)
			before = now
		}
		c[n] = z
	}
	return c
}

// ends is how deep flux number n ends that climbs from the water table, m;
// above ground it is negative, or as far as the uppermost soil reaches.
func (s *Stack) ends(n int, tableM float64) float64 {
	j := sort.Search(len(s.segments)-1, func(j int) bool { return s.segments[j].BottomM >= tableM })
	at, lnH := tableM, math.Inf(-1)
	for ; ; j-- {
		top := math.Inf(-1) // a flux may reach above ground: then it is not the limit
		if j > 0 {
			top = s.segments[j-1].BottomM
		}
		z, alpha := s.soils[j][n], s.segments[j].Soil.AlphaPerM
		lnAlpha := math.Log(alpha)
		from := interpolateAt(z, lnH+lnAlpha)
		if end := z[len(z)-1]; j == 0 || end-from < (at-top)*alpha {
			return at - (end-from)/alpha
		}
		lnH = inverse(z, from+(at-top)*alpha) - lnAlpha
		at = top
	}
}

func interpolateAt(z []float64, lnH float64) float64 {
	if math.IsInf(lnH, -1) {
		return 0
	}
	x := (lnH - lowestStackLnH) / (highestStackLnH - lowestStackLnH) * (stackNodes - 1)
	if x <= 0 {
		return z[0] * math.Exp(lnH-lowestStackLnH)
	}
	i := min(int(x), stackNodes-2)
	return z[i] + (x-float64(i))*(z[i+1]-z[i])
}

func inverse(z []float64, height float64) float64 {
	i := sort.SearchFloat64s(z, height)
	if i == 0 {
		return lowestStackLnH + math.Log(height/z[0])
	}
	i = min(i, len(z)-1)
	f := 0.0
	if d := z[i] - z[i-1]; d > 0 {
		f = (height - z[i-1]) / d
	}
	return lowestStackLnH + (float64(i-1)+f)*(highestStackLnH-lowestStackLnH)/(stackNodes-1)
}

// Flux is the dry-limit flux in mm/day from a water table tableM deep to a
// point atM deep: +Inf at or below the table. It does not allocate.
func (s *Stack) Flux(tableM, atM float64) float64 {
	climb := tableM - atM
	if climb <= 0 {
		return math.Inf(1)
	}
	if s.single != nil {
		return s.single.Flux(climb)
	}
	// The larger the flux the lower it ends.
	n := sort.Search(stackFluxes, func(n int) bool { return s.ends(n, tableM) >= atM })
	switch n {
	case 0:
		return 0
	case stackFluxes:
		return stackHigh
	}
	// Between two fluxes the climb is nearly a power of the flux.
	a, b := tableM-s.ends(n-1, tableM), tableM-s.ends(n, tableM)
	f := (math.Log(climb) - math.Log(a)) / (math.Log(b) - math.Log(a))
	return math.Exp(stackLnQ(n-1) + f*(stackLnQ(n)-stackLnQ(n-1)))
}
