package hydraulics

// The van Genuchten-Mualem curves of one soil.

import (
	"errors"
	"fmt"
	"math"
)

// VanGenuchten is one soil's parameter set. The zero value is not valid; see
// Lookup and Validate.
type VanGenuchten struct {
	Name      string
	ThetaR    float64 // residual water content
	ThetaS    float64 // saturated water content
	AlphaPerM float64 // inverse of the suction scale, 1/m
	N         float64 // shape, above 1; m = 1 - 1/n
	KsMPerDay float64 // saturated conductivity, m/day
	L         float64 // Mualem's pore-connectivity exponent
	Source    string  // where the numbers come from
	Verified  string  // how far the source was checked: text, text-secondary, memory, computed, user
}

// Validate says what is wrong with the parameters, or nil.
func (v VanGenuchten) Validate() error {
	var errs []error
	bad := func(field string, got float64, want string) {
		errs = append(errs, fmt.Errorf("%s: %g is not possible; expected %s", field, got, want))
	}
	if !(v.ThetaR >= 0 && v.ThetaR < 1) {
		bad("theta_r", v.ThetaR, "0 to 1")
	}
	if !(v.ThetaS > v.ThetaR && v.ThetaS <= 1) {
		bad("theta_s", v.ThetaS, "more than theta_r and at most 1")
	}
	if !(v.AlphaPerM > 0 && v.AlphaPerM <= 1000) {
		bad("alpha_per_m", v.AlphaPerM, "more than 0 and at most 1000")
	}
	if !(v.N > 1 && v.N <= 8) { // beyond, the panels of the quadrature are too wide for 1e-6
		bad("n", v.N, "more than 1 and at most 8")
	}
	if !(v.KsMPerDay > 0 && v.KsMPerDay <= 1000) {
		bad("ks_m_per_day", v.KsMPerDay, "more than 0 and at most 1000")
	}
	if !(v.L > -2 && v.L <= 10) {
		bad("l", v.L, "-2 to 10")
	}
	return errors.Join(errs...)
}

// x returns (1+(αh)ⁿ)⁻¹ and its complement, each without cancellation.
func (v VanGenuchten) x(suction float64) (x, complement float64) {
	t := math.Pow(v.AlphaPerM*suction, v.N)
	if math.IsInf(t, 1) {
		return 0, 1
	}
	return 1 / (1 + t), t / (1 + t)
}

// Se is the effective saturation, 0 to 1, at a suction in m; 1 at or below 0.
func (v VanGenuchten) Se(suction float64) float64 {
	if suction <= 0 {
		return 1
	}
	x, _ := v.x(suction)
	return math.Pow(x, 1-1/v.N) // van Genuchten 1980 Eq. 3 (from memory)
}

// Theta is the water content at a suction in m; saturated at or below 0.
func (v VanGenuchten) Theta(suction float64) float64 {
	if suction <= 0 {
		return v.ThetaS
	}
	return v.ThetaR + (v.ThetaS-v.ThetaR)*v.Se(suction)
}

// Suction is the suction in m at which the ground holds theta: 0 at or above
// saturation, +Inf at or below the residual content.
func (v VanGenuchten) Suction(theta float64) float64 {
	se := (theta - v.ThetaR) / (v.ThetaS - v.ThetaR)
	if se >= 1 {
		return 0
	}
	if !(se > 0) {
		if math.IsNaN(se) {
			return math.NaN()
		}
		return math.Inf(1)
	}
	m := 1 - 1/v.N
	return math.Pow(math.Expm1(-math.Log(se)/m), 1/v.N) / v.AlphaPerM
}

// Capacity is -dθ/dh at a suction in m, per m; 0 at or below 0.
func (v VanGenuchten) Capacity(suction float64) float64 {
	if suction <= 0 {
		return 0
	}
	x, cx := v.x(suction)
	m := 1 - 1/v.N
	return (v.ThetaS - v.ThetaR) * m * v.N * math.Pow(x, m) * cx / suction
}

// K is the hydraulic conductivity in m/day at a suction in m; Ks at or below 0.
func (v VanGenuchten) K(suction float64) float64 {
	if suction <= 0 {
		return v.KsMPerDay
	}
	x, cx := v.x(suction)
	if x == 0 {
		return 0
	}
	m := 1 - 1/v.N
	// Mualem 1976 with m = 1-1/n: Ks Seˡ (1-(1-Se^(1/m))^m)².
	var b float64
	if x < 0.5 {
		b = -math.Expm1(m * math.Log1p(-x))
	} else {
		b = 1 - math.Pow(cx, m)
	}
	return v.KsMPerDay * math.Pow(x, m*v.L) * b * b
}

// DefaultDrainedMMPerDay is the conductivity at which free-draining sand is
// called drained. Two to four mm/day is where daily percolation falls below
// daily evapotranspiration; it gives field sand about one inch a foot.
const DefaultDrainedMMPerDay = 3.0

// DrainedSuction is the suction in m at which K has fallen to kMMPerDay, and 0
// if the saturated ground conducts no more than that.
func (v VanGenuchten) DrainedSuction(kMMPerDay float64) float64 {
	k := kMMPerDay / 1000
	if k >= v.KsMPerDay {
		return 0
	}
	if !(k > 0) {
		return math.Inf(1)
	}
	lo, hi := math.Log(1e-9/v.AlphaPerM), math.Log(1e9/v.AlphaPerM)
	u, ok := root(func(u float64) float64 { return math.Log(v.K(math.Exp(u)) / k) }, lo, hi)
	if !ok {
		return math.NaN()
	}
	return math.Exp(u)
}

// Drained is the drained content: what free-draining ground holds once K has
// fallen to kMMPerDay, far above any water table. It stands for field
// capacity where the user gives none.
func (v VanGenuchten) Drained(kMMPerDay float64) float64 {
	return v.Theta(v.DrainedSuction(kMMPerDay))
}

// WiltingSuctionM is the suction of the permanent wilting point, 1.5 MPa, as a
// head of water.
const WiltingSuctionM = 150.0
