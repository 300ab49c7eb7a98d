package hydraulics

// The flux curve of one soil, computed once and interpolated.

import (
	"math"

	"gonum.org/v1/gonum/interp"
)

const (
	tableFrom  = 1e-3 // shortest climb tabulated, m
	tableTo    = 50.0 // longest, m
	tableNodes = 600  // even in ln(flux)
	lowestLnQ  = -300 // ln(m/day): nothing

	// TableError is the largest relative error of Table.Flux between a climb of
	// 1 mm and 50 m against SteadyFlux without limit of dryness.
	TableError = 1e-4
)

// Table is the dry-limit flux of one soil against the climb. On sand the flux
// hardly depends on how dry the upper end is (10 and 150 m of suction agree
// within 1.3 % to climbs of 1 m), so one curve serves. It is an upper bound: an
// upper end that is only a little depleted draws less, see SteadyFlux.
type Table struct {
	curve interp.FritschButland // ln flux (mm/day) against ln climb (m); monotone
}

// NewTable tabulates the dry-limit flux of c.
func NewTable(c Conductor) *Table {
	p := newProfile(c, math.Inf(1))
	// Even steps of ln q need no root finding: the climb of a flux is one sum.
	a, b := math.Log(p.flux(tableTo)), math.Log(p.flux(tableFrom))
	a = max(a, lowestLnQ)
	xs, ys := make([]float64, 0, tableNodes), make([]float64, 0, tableNodes)
	for i := range tableNodes {
		lnq := b + (a-b)*float64(i)/(tableNodes-1)
		x := math.Log(p.climb(math.Exp(lnq)))
		if n := len(xs); n > 0 && !(x > xs[n-1]) {
			continue // steeper than a float64 can tell
		}
		xs = append(xs, x)
		ys = append(ys, lnq+math.Log(1000))
	}
	t := new(Table)
	if err := t.curve.Fit(xs, ys); err != nil {
		panic("hydraulics: table nodes out of order")
	}
	return t
}

// Flux is the dry-limit flux in mm/day over a climb in m: +Inf at or below 0,
// 0 beyond 50 m; between 0 and 1 mm it continues the slope at 1 mm. It does
// not allocate.
func (t *Table) Flux(climb float64) float64 {
	switch {
	case climb <= 0:
		return math.Inf(1)
	case climb < tableFrom:
		return t.Flux(tableFrom) * tableFrom / climb // K dominates gravity: q ∝ 1/z
	case climb > tableTo:
		return 0
	}
	return math.Exp(t.curve.Predict(math.Log(climb)))
}
