// Crop coefficients by equation: the climate term, the upper limit, cover, and
// the initial coefficient from how often the ground is wetted.

package crop

import "math"

// KcMin is the coefficient of dry bare ground with no plants, the lower end of
// the cover equation (FAO-56 p. 149: 0.15 to 0.20).
const KcMin = 0.15

// ClimateTerm is what FAO-56 adds to a coefficient of the sub-humid standard
// climate (RHmin 45 %, u2 2 m/s) for another climate: wind at 2 m in m/s,
// lowest relative humidity in %, and plant height in m. The three are held
// within the range of the equation, 1 to 6 m/s, 20 to 80 % and 0.1 to 10 m.
// NaN for NaN.
func ClimateTerm(u2MPerS, rhMinPct, heightM float64) float64 {
	u2, rh, h := clamp(u2MPerS, 1, 6), clamp(rhMinPct, 20, 80), clamp(heightM, 0.1, 10)
	return (0.04*(u2-2) - 0.004*(rh-45)) * math.Pow(h/3, 0.3) // FAO-56 Eqs. 62, 65, 70 and 72
}

// KcMax is the greatest Kc after rain or irrigation, from the crop and the
// climate of the day. Wind or humidity unknown (NaN): the standard climate.
// Unlike the curve it follows each day's weather and each day's height, so the
// height has no lower limit here but 0.
func KcMax(d Day, c Climate) float64 {
	term := 0.0
	if u2, rh := clamp(c.U2MPerS, 1, 6), clamp(c.RHminPct, 20, 80); !math.IsNaN(u2 + rh) {
		term = (0.04*(u2-2) - 0.004*(rh-45)) * math.Pow(clamp(d.HeightM, 0, 10)/3, 0.3)
	}
	return max(1.2+term, d.Kcb+0.05) // FAO-56 Eq. 72
}

// Cover is fc, the fraction of ground covered by the crop, 0 to 0.99.
func Cover(d Day, kcMax float64) float64 {
	x := (d.Kcb - KcMin) / (kcMax - KcMin)
	if !(x > 0) {
		return 0
	}
	return min(math.Pow(x, 1+0.5*d.HeightM), 0.99) // FAO-56 Eq. 76
}

// DegreeDays is the heat of one day in °C d above baseC: the extremes are first
// brought within baseC and upperC, then averaged (McMaster and Wilhelm 1997,
// Agric. Forest Meteorol. 87:291-300, method 2, with an upper limit; from
// memory). NaN temperatures give NaN.
func DegreeDays(tmaxC, tminC, baseC, upperC float64) float64 {
	return (clamp(tmaxC, baseC, upperC)+clamp(tminC, baseC, upperC))/2 - baseC
}

// degreeDays of a row; none where the temperatures are unknown.
func (c Crop) degreeDays(row Climate) float64 {
	if x := DegreeDays(row.TmaxC, row.TminC, c.GDDBaseC, c.GDDUpperC); x > 0 {
		return x
	}
	return 0
}

func clamp(x, lo, hi float64) float64 { return min(max(x, lo), hi) }
