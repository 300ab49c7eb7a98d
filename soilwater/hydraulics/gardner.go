package hydraulics

// Gardner's conductivity forms, for which the steady flux has closed forms.

import "math"

// Conductor is a conductivity curve: m/day at a suction in m. It must be
// positive at 0 and never rise with suction.
type Conductor interface {
	K(suction float64) float64
}

// Gardner is K = a/(ψⁿ+b), Gardner 1958, with ψ in m, a in mⁿ⁺¹/day and b in mⁿ.
type Gardner struct{ A, B, N float64 }

// K is the conductivity in m/day at a suction in m.
func (g Gardner) K(suction float64) float64 {
	return g.A / (math.Pow(max(suction, 0), g.N) + g.B)
}

// DryClimb is the climb in m that a flux in mm/day can reach to a surface dry
// without limit, in closed form for n > 1:
//
//	d = (A/B)^(1/n)/A · π/(n sin(π/n)), A = 1+qb/a, B = q/a
//
// Derived from d = ∫ K/(K+q) dψ over 0..∞; for b = 0 it is Gardner's 1958
// limit E = a [π/(n sin(π/n))]ⁿ d⁻ⁿ.
func (g Gardner) DryClimb(fluxMMPerDay float64) float64 {
	q := fluxMMPerDay / 1000
	a, b := 1+q*g.B/g.A, q/g.A
	return math.Pow(a/b, 1/g.N) / a * math.Pi / (g.N * math.Sin(math.Pi/g.N))
}

// Exponential is K = Ks exp(-cψ), Gardner 1958, with c in 1/m.
type Exponential struct{ KsMPerDay, CPerM float64 }

// K is the conductivity in m/day at a suction in m.
func (e Exponential) K(suction float64) float64 {
	return e.KsMPerDay * math.Exp(-e.CPerM*max(suction, 0))
}

// Flux is the steady upward flux in mm/day in closed form. With
// z = ∫ K/(K+q) dψ = (1/c) ln[(Ks+q)/(Ks e^(-cψ)+q)] it is
// q = Ks (e^(-cz) - e^(-cψ)) / (1 - e^(-cz)).
func (e Exponential) Flux(climb, suction float64) float64 {
	return 1000 * e.KsMPerDay * (math.Exp(-e.CPerM*climb) - math.Exp(-e.CPerM*suction)) / -math.Expm1(-e.CPerM*climb)
}
