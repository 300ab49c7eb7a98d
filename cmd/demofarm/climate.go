// The invented climate: a northern mid-continent summer on paper. All values
// are assumptions of this generator; no station's normals were copied.

package main

import "math"

// chain is the two-state Markov chain of wet and dry days of one month with the
// amount that falls on a wet day.
type chain struct {
	WetAfterDry float64 // P(wet | dry yesterday)
	WetAfterWet float64 // P(wet | wet yesterday)
	MeanMM      float64 // mean rain of a wet day
}

// rainShape is the shape of the gamma law of wet-day rain; under 1 many small
// rains and a few big ones, as in convective summer rain.
const rainShape = 0.75

// wettestMM caps a day's rain.
const wettestMM = 95

// leastMM is the least rain of a wet day: 0.01 in, the least that is measured.
const leastMM = 0.254

// chains by month; the snow of winter is counted as the water in it.
var chains = map[int]chain{
	1:  {0.20, 0.36, 2.6},
	2:  {0.20, 0.36, 2.9},
	3:  {0.22, 0.40, 4.4},
	4:  {0.25, 0.45, 6.8},
	5:  {0.27, 0.47, 7.8},
	6:  {0.28, 0.46, 9.0},
	7:  {0.24, 0.42, 9.2},
	8:  {0.23, 0.42, 9.2},
	9:  {0.22, 0.43, 8.2},
	10: {0.20, 0.42, 6.6},
	11: {0.19, 0.40, 4.4},
	12: {0.20, 0.38, 2.9},
}

// means are the expected values of one day of the year given its state.
type means struct {
	Tmax, TmaxSD float64 // °C
	Tmin, TminSD float64 // °C
	Clear        float64 // solar radiation as a share of the clear sky's
	ClearSD      float64
	DewDrop      float64 // how far the dew point lies under Tmin, °C
	WindMPerS    float64 // at the anemometer
}

// expected gives the annual waves, highest in the second half of July.
func expected(dayOfYear int, wet bool) means {
	wave := math.Cos(2 * math.Pi * float64(dayOfYear-201) / 365.25)
	m := means{
		Tmax: 13.6 + 15.9*wave, TmaxSD: 5.2 - 2.0*wave,
		Tmin: 2.4 + 14.4*wave, TminSD: 4.1 - 1.2*wave,
		Clear: 0.82, ClearSD: 0.12,
		DewDrop:   2.4 - 0.4*wave,
		WindMPerS: 4.4 - 1.3*wave,
	}
	if wet {
		m.Tmax -= 2.6
		m.Tmin += 0.6
		m.Clear, m.ClearSD = 0.52, 0.18
		m.DewDrop = 0.7
	}
	return m
}

// elevationM and latitudeDeg of the farm, for the sun and the air.
const (
	elevationM  = 323.0
	latitudeDeg = 44.33
)

// extraterrestrialMJ is the sun's radiation at the top of the air, MJ m⁻² d⁻¹.
func extraterrestrialMJ(dayOfYear int) float64 {
	j := 2 * math.Pi * float64(dayOfYear) / 365
	phi := latitudeDeg * math.Pi / 180
	near := 1 + 0.033*math.Cos(j)                                                                                                    // FAO-56 Eq. 23
	decl := 0.409 * math.Sin(j-1.39)                                                                                                 // FAO-56 Eq. 24
	sunset := math.Acos(-math.Tan(phi) * math.Tan(decl))                                                                             // FAO-56 Eq. 25
	return 24 * 60 / math.Pi * 0.0820 * near * (sunset*math.Sin(phi)*math.Sin(decl) + math.Cos(phi)*math.Cos(decl)*math.Sin(sunset)) // FAO-56 Eq. 21
}

// clearSkyMJ is the radiation under a cloudless sky, MJ m⁻² d⁻¹.
func clearSkyMJ(dayOfYear int) float64 {
	return (0.75 + 2e-5*elevationM) * extraterrestrialMJ(dayOfYear) // FAO-56 Eq. 37
}

// vapourKPa is the saturation vapour pressure, kPa.
func vapourKPa(tC float64) float64 { return 0.6108 * math.Exp(17.27*tC/(tC+237.3)) } // FAO-56 Eq. 11
