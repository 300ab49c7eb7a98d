package hydraulics

// Steady upward flow through ground of several soils.

import (
	"math"
	"sort"
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
	single   *Table
	lnQ      []float64
	heights  []heights // by flux, then by soil
}

// heights is, for one flux, the height each soil's column gains between the
// water table and the suctions of sharedLnH.
type heights struct{ bySoil [][]float64 }

const (
	stackFluxes = 240    // from stackLow to stackHigh, even in ln q
	stackLow    = 1e-7   // mm/day
	stackHigh   = 2000.0 // mm/day
	stackNodes  = 1500   // suctions, even in ln h
)

// StackError is the largest relative error of Stack.Flux in ground of more
// than one soil, for fluxes from 0.001 to 100 mm/day; in ground of one soil it is
// TableError.
const StackError = 0.01

// NewStack prepares a pile of soils; it needs at least one segment.
func NewStack(segments []Segment) *Stack {
	s := &Stack{segments: segments}
	same := true
	for _, g := range segments[1:] {
		a, b := g.Soil, segments[0].Soil
		same = same && a.AlphaPerM == b.AlphaPerM && a.N == b.N && a.KsMPerDay == b.KsMPerDay && a.L == b.L
	}
	if same {
		s.single = NewTable(segments[0].Soil)
		return s
	}
	step := (highestStackLnH - lowestStackLnH) / (stackNodes - 1)
	k := make([][]float64, len(segments))
	for j, g := range segments {
		k[j] = make([]float64, stackNodes)
		for i := range stackNodes {
			k[j][i] = g.Soil.K(math.Exp(lowestStackLnH + float64(i)*step))
		}
	}
	for n := range stackFluxes {
		lnQ := math.Log(stackLow) + float64(n)*(math.Log(stackHigh)-math.Log(stackLow))/(stackFluxes-1)
		q := math.Exp(lnQ) / 1000
		var h heights
		for j, g := range segments {
			z := make([]float64, stackNodes)
			first := math.Exp(lowestStackLnH)
			z[0] = first * g.Soil.KsMPerDay / (g.Soil.KsMPerDay + q)
			before := first * k[j][0] / (k[j][0] + q)
			for i := 1; i < stackNodes; i++ {
				now := math.Exp(lowestStackLnH+float64(i)*step) * k[j][i] / (k[j][i] + q)
				z[i] = z[i-1] + 0.5*step*(before+now)
				before = now
			}
			h.bySoil = append(h.bySoil, z)
		}
		s.lnQ = append(s.lnQ, lnQ)
		s.heights = append(s.heights, h)
	}
	return s
}

const lowestStackLnH, highestStackLnH = -10.0, 16.0 // 0.05 mm to 9e6 m

// reaches tells how far short (positive) of depth a flux ends that climbs from
// the water table, m.
func (s *Stack) reaches(n int, tableM float64) (depth float64) {
	j := sort.Search(len(s.segments)-1, func(j int) bool { return s.segments[j].BottomM >= tableM })
	at, lnH := tableM, math.Inf(-1)
	for ; ; j-- {
		top := math.Inf(-1) // a flux may reach above ground: then it is not the limit
		if j > 0 {
			top = s.segments[j-1].BottomM
		}
		z := s.heights[n].bySoil[j]
		from := interpolateAt(z, lnH)
		if end := z[len(z)-1]; j == 0 || end-from < at-top {
			return at - (end - from)
		}
		lnH = inverse(z, from+(at-top))
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
	n := sort.Search(len(s.lnQ), func(n int) bool { return s.reaches(n, tableM) >= atM })
	switch n {
	case 0:
		return 0
	case len(s.lnQ):
		return stackHigh
	}
	// Between two fluxes the climb is nearly a power of the flux.
	a, b := tableM-s.reaches(n-1, tableM), tableM-s.reaches(n, tableM)
	f := (math.Log(climb) - math.Log(a)) / (math.Log(b) - math.Log(a))
	return math.Exp(s.lnQ[n-1] + f*(s.lnQ[n]-s.lnQ[n-1]))
}
