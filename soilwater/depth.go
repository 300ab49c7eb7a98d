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

// at is one layer at one depth of the water table.
type at struct {
	full float64 // the layer's full content, mm
	base float64 // 1/q at its bottom, day/mm: what a mm taken there uses of the supply
	top  float64 // the same at its top
	rise float64 // ln(top/base)
	low  float64 // how its available water lies: all evenly 0, twice as much at the foot 1
}

// depthTable holds rows of n layers, one row each depthStepM from a table at
// the surface down.
type depthTable struct {
	rows []at
	last float64 // highest row number, as a float
}

// Bounds of the tabulated flux, mm/day: the unlimited flux at or below the
// water table, and one that is nothing.
const (
	fluxCeiling = 1000.0
	fluxFloor   = 1e-6
)

func newDepthTable(c *Column) *depthTable {
	rows := int(math.Ceil((c.p.RootMaxM+depthBelowM)/depthStepM)) + 1
	t := &depthTable{rows: make([]at, 0, rows*c.n), last: float64(rows - 1)}
	// The soil that lies between the table and a layer is the deepest one of
	// the column: nothing is known of the ground below it but that.
	curves := map[*hydraulics.VanGenuchten]*heldTable{}
	for i := range c.p.Horizons {
		h := c.p.Horizons[i]
		fc, _ := c.p.contents(h)
		curves[h.Hydraulics] = newHeldTable(h.Hydraulics, fc)
	}
	deepest := c.p.Horizons[0]
	for _, h := range c.p.Horizons {
		if h.TopM < c.p.RootMaxM {
			deepest = h
		}
	}
	flux := hydraulics.NewTable(*deepest.Hydraulics)
	for r := range rows {
		depth := float64(r) * depthStepM
		for i := range c.n {
			var a at
			wet := 0.0 // held by the lower half, mm
			if r == rows-1 {
				a = at{full: c.fc[i], base: 1 / fluxFloor, top: 1 / fluxFloor}
			} else {
				c.p.pieces(c.top[i], c.base[i], func(h Horizon, top, base float64) {
					held := curves[h.Hydraulics]
					a.full += held.between(depth-base, depth-top)
				})
				middle := (c.top[i] + c.base[i]) / 2
				dry := 0.0
				c.p.pieces(middle, c.base[i], func(h Horizon, top, base float64) {
					wet += curves[h.Hydraulics].between(depth-base, depth-top)
					_, wp := c.p.contents(h)
					dry += 1000 * wp * (base - top)
				})
				a.low = min(max(4*((wet-dry)/(a.full-c.wp[i])-0.5), -1), 1)
				a.base = 1 / min(max(flux.Flux(depth-c.base[i]), fluxFloor), fluxCeiling)
				a.top = 1 / min(max(flux.Flux(depth-c.top[i]), fluxFloor), fluxCeiling)
				a.rise = math.Log(a.top / a.base)
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
	const highest = 20.0 // above this the content hardly changes any more, m
	t := &heldTable{thetaS: v.ThetaS, drained: max(drained, v.Theta(highest)), sum: []float64{0}}
	top := min(v.Suction(t.drained), highest)
	var x, w [3]float64
	for h := 0.0; h < top; h += heldStepM {
		quad.Legendre{}.FixedLocations(x[:], w[:], h, h+heldStepM)
		s := 0.0
		for j := range x {
			s += w[j] * max(drained, v.Theta(x[j]))
		}
		t.sum = append(t.sum, t.sum[len(t.sum)-1]+1000*s)
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

// look returns the two rows around a depth and the weight of the second. A
// depth above ground is the table at the surface.
func (t *depthTable) look(depthM float64, n int) (a, b []at, f float64) {
	x := depthM * (1 / depthStepM)
	if !(x > 0) {
		x = 0
	}
	if x >= t.last {
		x = t.last - 1e-9
	}
	i := int(x)
	f = x - float64(i)
	if i+1 > int(t.last) {
		i, f = i-1, 1
	}
	return t.rows[i*n : i*n+n : i*n+n], t.rows[(i+1)*n : (i+2)*n : (i+2)*n], f
}
