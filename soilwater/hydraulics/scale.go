package hydraulics

// Scaling of a soil to a reach seen in the field.

import "fmt"

// WithReach returns the soil with its heights scaled so that Reach is reach
// (0.02 to 5 m).
//
// What is scaled is the length of similar media (Miller & Miller 1956): alpha
// by reach₀/reach, so that the soil holds at suction h what it held at
// h·reach₀/reach, and every climb that carried a flux becomes reach/reach₀
// times as long. Ks is kept, and with it K as a function of water content.
// That is the reason for the choice: the drained content, the available water
// and the drainage of free-draining ground do not change, so what is learned
// where the crop stays green over a shallow table does not disturb the books
// of the high ground beside it. Scaling Ks instead would need a factor of ten
// thousand to bring a class-mean sand from 0.19 to 0.9 m, and full Miller
// scaling (Ks with the square of the pore width) has no solution at all for
// many soils, for a finer medium soon conducts too little.
func (v VanGenuchten) WithReach(reach float64) (VanGenuchten, error) {
	return new(Curves).WithReach(v, reach)
}

// WithReach is v.WithReach(reach), quicker where a soil like v was asked for before.
func (c *Curves) WithReach(v VanGenuchten, reach float64) (VanGenuchten, error) {
	if err := CheckReach(reach); err != nil {
		return v, err
	}
	if err := v.Validate(); err != nil {
		return v, err
	}
	return v.Lengthened(reach / c.Reach(v)), nil
}

// Between these a reach is possible, m.
const LeastReachM, MostReachM = 0.02, 5.0

// CheckReach says what is wrong with a reach in m, or nil.
func CheckReach(reach float64) error {
	if !(reach >= LeastReachM && reach <= MostReachM) {
		return fmt.Errorf("reach: %g m is not possible; expected %g to %g m", reach, LeastReachM, MostReachM)
	}
	return nil
}

// Lengthened is the soil with its heights, and with them its reach, multiplied
// by factor in the same way.
func (v VanGenuchten) Lengthened(factor float64) VanGenuchten {
	v.AlphaPerM /= factor
	v.Source = fmt.Sprintf("%s; heights scaled by %.3g", v.Source, factor)
	return v
}
