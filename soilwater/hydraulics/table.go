package hydraulics

// The flux curve of one soil, computed once and interpolated.

import (
	"math"

	"gonum.org/v1/gonum/interp"
)

const (
	tableFrom  = 1e-4 // shortest climb tabulated, m
	tableTo    = 1e3  // longest, m
	tableStep  = 0.35 // of ln flux from node to node
	tableLeast = -300 // ln(m/day): nothing

	// TableError is the largest relative error of Table.Flux between a climb of
	// 1 mm and 50 m against SteadyFlux without limit of dryness.
	TableError = 2e-5
)

// Table is the dry-limit flux of one soil against the climb. On sand the flux
// hardly depends on how dry the upper end is (10 and 150 m of suction agree
// within 1.3 % to climbs of 1 m), so one curve serves. It is an upper bound: an
// upper end that is only a little depleted draws less, see SteadyFlux.
type Table struct {
	curve *interp.PiecewiseCubic // ln flux (mm/day) against ln climb (m)
	// Of the climbs in curve: what they are multiplied by, and its ends.
	scale, from, to float64
}

// NewTable tabulates the dry-limit flux of c.
func NewTable(c Conductor) *Table {
	p := newProfile(c, math.Inf(1), tableFrom)
	// Even steps of ln q need no root finding: the climb of a flux is one sum, and
	// so is its slope.
	var xs, ys, slopes []float64
	lnq := math.Log(p.k0)
	for p.climb(math.Exp(lnq)) > tableFrom {
		lnq += 10 * tableStep
	}
	for ; lnq > tableLeast; lnq -= tableStep {
		q := math.Exp(lnq)
		z, slope := p.climbSlope(q)
		x := math.Log(z)
		if n := len(xs); n > 0 && !(x > xs[n-1]) {
			break // steeper than a float64 can tell
		}
		xs = append(xs, x)
		ys = append(ys, lnq+math.Log(1000))
		slopes = append(slopes, z/(q*slope)) // d ln q / d ln z
		if z > tableTo {
			break
		}
	}
	t := &Table{curve: new(interp.PiecewiseCubic), scale: 1, from: math.Exp(xs[0]), to: math.Exp(xs[len(xs)-1])}
	t.curve.FitWithDerivatives(xs, ys, slopes)
	return t
}

// Scaled is the table of the same soil with all heights multiplied by factor
// (see VanGenuchten.WithReach): where z = ∫ K/(K+q) dh, a suction scale longer by
// a factor makes every climb as much longer. It is exact and costs nothing.
func (t *Table) Scaled(factor float64) *Table {
	v := *t
	v.scale *= factor
	return &v
}

// Flux is the dry-limit flux in mm/day over a climb in m: +Inf at or below 0;
// below and above the climbs tabulated (0.1 mm and 1 km, scaled) it continues
// the slope of water that needs no gravity and is 0. It does not allocate.
func (t *Table) Flux(climb float64) float64 {
	if climb <= 0 {
		return math.Inf(1)
	}
	climb /= t.scale
	switch {
	case climb < t.from:
		return t.Flux(t.from*t.scale) * t.from / climb // K dominates gravity: q ∝ 1/z
	case climb > t.to:
		return 0
	}
	return math.Exp(t.curve.Predict(math.Log(climb)))
}
