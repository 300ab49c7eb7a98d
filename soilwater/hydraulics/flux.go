package hydraulics

// Steady upward flow from a water table: Darcy-Buckingham, q = K(h)(dh/dz - 1),
// so that the height reached by a flux q is z = ∫ K/(K+q) dh from 0 to the
// suction at the upper end.

import (
	"math"

	"gonum.org/v1/gonum/integrate/quad"
)

const (
	// The integral is taken over ln h in panels of Gauss-Legendre nodes. K is a
	// smooth function of ln h even where it is not smooth in h (n < 2 at h = 0),
	// and the integrand turns from 1 to K/q over about one unit of ln h.
	panelWidth    = 0.5
	panelNodes    = 16
	shortestClimb = 1e-13 // of Climb, m
	belowLn       = 16.0  // what lies below e⁻¹⁶ of a climb, with K taken as K(0), is 1e-7 of it
	highestLnH    = 25.0  // 7e10 m: from here on K is a power of h or nothing
)

// profile is the quadrature of one conductor up to one suction: nodes of
// suction weight and conductivity.
type profile struct {
	k, w []float64
	k0   float64 // conductivity below the lowest node
	h0   float64 // suction covered by k0
	kEnd float64 // conductivity at the highest suction, and what the rest of a
	tail float64 // power law adds beyond it, as climb times (kEnd+q); 0 when the suction is limited
}

// newProfile is for climbs from shortest (m) on.
func newProfile(c Conductor, suction, shortest float64) profile {
	lo, hi := math.Log(shortest)-belowLn, highestLnH
	if !math.IsInf(suction, 1) {
		hi = min(hi, math.Log(suction))
		lo = min(lo, hi-1)
	}
	panels := int(math.Ceil((hi - lo) / panelWidth))
	p := profile{
		k:  make([]float64, 0, panels*panelNodes),
		w:  make([]float64, 0, panels*panelNodes),
		k0: c.K(0), h0: math.Exp(lo),
	}
	var x, w [panelNodes]float64
	step := (hi - lo) / float64(panels)
	for i := range panels {
		quad.Legendre{}.FixedLocations(x[:], w[:], lo+float64(i)*step, lo+float64(i+1)*step)
		for j := range x {
			h := math.Exp(x[j])
			k := c.K(h)
			if !(k > 0) {
				continue
			}
			p.k = append(p.k, k)
			p.w = append(p.w, w[j]*h) // dh = h d(ln h)
		}
	}
	if math.IsInf(suction, 1) {
		h := math.Exp(hi)
		p.kEnd = c.K(h)
		if slope := math.Log(c.K(h/math.E) / p.kEnd); p.kEnd > 0 && slope > 1 {
			p.tail = h * p.kEnd / (slope - 1)
		}
	}
	return p
}

// climb is the height in m that a flux q (m/day, positive upward) reaches.
func (p *profile) climb(q float64) float64 {
	z := p.h0*p.k0/(p.k0+q) + p.tail/(p.kEnd+q)
	for i, k := range p.k {
		z += p.w[i] * k / (k + q)
	}
	return z
}

// climbSlope is climb and its fall per unit of flux, day.
func (p *profile) climbSlope(q float64) (z, slope float64) {
	inv := 1 / (p.k0 + q)
	z = p.h0 * p.k0 * inv
	slope = -z * inv
	inv = 1 / (p.kEnd + q)
	z += p.tail * inv
	slope -= p.tail * inv * inv
	for i, k := range p.k {
		inv := 1 / (k + q)
		x := p.w[i] * k * inv
		z += x
		slope -= x * inv
	}
	return z, slope
}

// flux is the steady flux in m/day over a climb.
func (p *profile) flux(climb float64) float64 {
	logClimb := math.Log(climb)
	f := func(lnq float64) float64 { return math.Log(p.climb(math.Exp(lnq))) - logClimb }
	// Widen from the saturated conductivity until the root is inside.
	lo := math.Log(p.k0)
	hi := lo
	for f(lo) < 0 && lo > -700 {
		lo -= 4
	}
	for f(hi) > 0 && hi < 700 {
		hi += 4
	}
	if lo <= -700 {
		return 0 // less than 1e-300 m/day
	}
	if lo == hi {
		return math.Exp(lo)
	}
	lnq, ok := root(f, lo, hi)
	if !ok {
		return math.NaN()
	}
	return math.Exp(lnq)
}

// SteadyFlux is the flux in mm/day that rises from a water table to a height
// climb (m) above it, where the suction is held at suction (m; +Inf for the
// limit of dry ground). Relative error below 1e-6. It is +Inf at or below a
// climb of 0 and 0 where suction is at or below climb: water does not rise
// there. NaN in, NaN out.
func SteadyFlux(c Conductor, climb, suction float64) float64 {
	switch {
	case math.IsNaN(climb) || math.IsNaN(suction):
		return math.NaN()
	case climb <= 0:
		return math.Inf(1)
	case suction <= climb || math.IsInf(climb, 1):
		return 0
	}
	p := newProfile(c, suction, climb)
	return 1000 * p.flux(climb)
}

// Climb is the height in m above the water table that a steady upward flux
// (mm/day, above 0) reaches when the upper end is held at suction (m; +Inf
// for the limit of dry ground).
func Climb(c Conductor, fluxMMPerDay, suction float64) float64 {
	if !(fluxMMPerDay > 0) || !(suction > 0) {
		return math.NaN()
	}
	p := newProfile(c, suction, shortestClimb)
	return p.climb(fluxMMPerDay / 1000)
}

// ReachMMPerDay is the flux that defines reach: a full summer day's use.
const ReachMMPerDay = 6.0

// Reach is the climb in m over which the dry-limit flux is 6 mm/day.
func Reach(c Conductor) float64 { return Climb(c, ReachMMPerDay, math.Inf(1)) }
