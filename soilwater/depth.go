package soilwater

// What depends on the depth of the water table, tabulated once per column.

import (
	"math"

	"gonum.org/v1/gonum/integrate/quad"

	"sandwick/soilwater/hydraulics"
)

const (
	depthStepM  = 0.01 // of the table; the limiting flux changes by at most a quarter over it
	depthBelowM = 6.0  // the table ends this far below the column: nothing climbs so high
)

// at is one boundary between layers, and the layer above it, at one depth of
// the water table.
type at struct {
	use   float64 // 1/q at the boundary, day/mm: what a mm taken there uses of the supply
	lnUse float64
	full  float64 // the layer's full content, mm
	low   float64 // how its available water lies: evenly 0, twice as much at the foot 1
}

// depthTable holds rows of boundaries, the surface first, one row each
// depthStepM from a water table at the surface down.
type depthTable struct {
	rows    []at
	width   int     // boundaries in a row
	last    float64 // highest row number, as a float
	uniform bool    // ground of one soil
}

// Bounds of the tabulated flux, mm/day: the unlimited flux at or below the
// water table, and one that is nothing.
const (
	fluxCeiling = 1000.0
	fluxFloor   = 1e-6
)

func newDepthTable(c *Column) *depthTable {
	rows := int(math.Ceil((c.p.RootMaxM+depthBelowM)/depthStepM)) + 1
	t := &depthTable{rows: make([]at, 0, rows*(c.n+1)), width: c.n + 1, last: float64(rows - 1)}
	t.uniform = len(c.p.Horizons) == 1
	held := make([]*heldTable, len(c.p.Horizons))
	stack := make([]hydraulics.Segment, len(c.p.Horizons))
	for i, h := range c.p.Horizons {
		held[i] = newHeldTable(h.Hydraulics, h.ThetaFC)
		stack[i] = hydraulics.Segment{BottomM: h.BottomM, Soil: *h.Hydraulics}
	}
	flux := c.p.Curves.Stack(stack)
	for r := range rows {
		depth := float64(r) * depthStepM
		for i := range c.n + 1 {
			var a at
			q, boundary := fluxFloor, 0.0
			if i > 0 {
				boundary = c.base[i-1]
			}
			if r < rows-1 { // the last row is ground without a table
				q = min(max(flux.Flux(depth, boundary), fluxFloor), fluxCeiling)
			}
			a.use, a.lnUse = 1/q, -math.Log(q)
			if i > 0 && r == rows-1 {
				a.full = c.fc[i-1]
			} else if i > 0 {
				sum := func(top, base float64) (full, wilt float64) {
					c.p.pieces(top, base, func(j int, top, base float64) {
						full += held[j].between(depth-base, depth-top)
						wilt += 1000 * c.p.Horizons[j].ThetaWP * (base - top)
					})
					return full, wilt
				}
				full, wilt := sum(c.top[i-1], c.base[i-1])
				lower, lowerWilt := sum((c.top[i-1]+c.base[i-1])/2, c.base[i-1])
				a.full = full
				a.low = min(max(4*((lower-lowerWilt)/(full-wilt)-0.5), -1), 1)
			}
			t.rows = append(t.rows, a)
		}
	}
	return t
}

// heldTable is the integral of max(drained content, θ(h)) over the height h
// above the water table, mm.
type heldTable struct {
	thetaS, drained float64
	sum             []float64 // at multiples of heldStepM up to where θ(h) is the drained content
}

const heldStepM = 0.0025

func newHeldTable(v *hydraulics.VanGenuchten, drained float64) *heldTable {
	const highest = 20.0 // a field capacity this close to the residual content is as good as it, m
	t := &heldTable{thetaS: v.ThetaS, drained: drained, sum: []float64{0}}
	top := min(v.Suction(drained), highest)
	theta := func(h float64) float64 { return max(drained, v.Theta(h)) }
	for h := 0.0; h < top; h += heldStepM {
		t.sum = append(t.sum, t.sum[len(t.sum)-1]+1000*quad.Fixed(theta, h, h+heldStepM, 3, quad.Legendre{}, 0))
	}
	return t
}

// upTo is what is held between the table and a height above it (negative:
// what lies below the table, taken from 0).
func (t *heldTable) upTo(h float64) float64 {
	if h <= 0 {
		return 1000 * t.thetaS * h
	}
	x := h / heldStepM
	i := int(x)
	if i >= len(t.sum)-1 {
		last := len(t.sum) - 1
		return t.sum[last] + 1000*t.drained*(h-float64(last)*heldStepM)
	}
	return t.sum[i] + (x-float64(i))*(t.sum[i+1]-t.sum[i])
}

func (t *heldTable) between(low, high float64) float64 { return t.upTo(high) - t.upTo(low) }

// foot is the use of supply where roots end within a layer. In ground of one
// soil it depends on the climb alone, and stands at the layer's foot when the
// table is deeper by what is missing to there; otherwise it is taken to fall
// exponentially through the layer, from top by rise.
func (t *depthTable) foot(boundary int, depthM, top, rise float64) float64 {
	if !t.uniform {
		return top * math.Exp(-rise)
	}
	a, b, x := t.look(depthM)
	return a[boundary].use + x*(b[boundary].use-a[boundary].use)
}

// look returns the two rows around a depth and the weight of the second. A
// depth above ground is the table at the surface.
func (t *depthTable) look(depthM float64) (a, b []at, f float64) {
	x := depthM * (1 / depthStepM)
	if !(x > 0) {
		x = 0
	}
	if x > t.last {
		x = t.last
	}
	i := int(x)
	if i >= int(t.last) {
		i--
	}
	n := t.width
	return t.rows[i*n : i*n+n : i*n+n], t.rows[i*n+n : i*n+2*n : i*n+2*n], x - float64(i)
}
