package soilwater

// Uptake by suction, tabulated over the water content of a layer.

import "math"

const stressSteps = 64

// stressCurve is uptake (0 to 1) against water above the content at which it
// stops, in even steps up to the content at which all is taken.
type stressCurve struct {
	low    float64 // water content at wilting, as mm per mm of layer
	span   float64 // from there to the onset
	inv    float64 // stressSteps / span
	uptake [stressSteps + 1]float64
}

func newStressCurves(c *Column) []stressCurve {
	out := make([]stressCurve, c.n)
	for i := range c.n {
		// A layer of several horizons takes the mean content at each suction.
		theta := func(suction float64) float64 {
			sum := 0.0
			c.p.pieces(c.top[i], c.base[i], func(j int, top, base float64) {
				h := c.p.Horizons[j]
				if h.Hydraulics != nil {
					sum += h.Hydraulics.Theta(suction) * (base - top)
				} else {
					sum += h.ThetaWP * (base - top)
				}
			})
			return sum / c.thickM
		}
		s := c.p.Stress
		lo, hi := theta(s.WiltM), theta(s.OnsetM)
		k := stressCurve{low: lo, span: hi - lo}
		if k.span <= 0 { // no curve anywhere: a step at the wilting point
			k.span = 1e-6
		}
		k.inv = stressSteps / k.span
		for j := range k.uptake {
			want := lo + (hi-lo)*float64(j)/stressSteps
			a, b := math.Log(s.OnsetM), math.Log(s.WiltM)
			for range 60 {
				m := (a + b) / 2
				if theta(math.Exp(m)) > want {
					a = m
				} else {
					b = m
				}
			}
			k.uptake[j] = (s.WiltM - math.Exp((a+b)/2)) / (s.WiltM - s.OnsetM)
		}
		k.uptake[0], k.uptake[stressSteps] = 0, 1
		out[i] = k
	}
	return out
}

// at is the uptake at a mean water content.
func (k *stressCurve) at(theta float64) float64 {
	x := (theta - k.low) * k.inv
	if !(x > 0) {
		return 0
	}
	if x >= stressSteps {
		return 1
	}
	j := int(x)
	f := x - float64(j)
	return k.uptake[j] + f*(k.uptake[j+1]-k.uptake[j])
}
