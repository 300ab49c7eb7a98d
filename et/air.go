// Air: pressure, temperature, humidity and wind (FAO-56 chapter 3).

package et

import "math"

// Pressure is the atmospheric pressure in kPa at elevationM metres above sea
// level, for a standard atmosphere at 20 °C. It is meant for -400 to 5000 m.
func Pressure(elevationM float64) float64 {
	// x^5.26 as exp(5.26 ln x): the base is always near 1, and it is twice as fast.
	return 101.3 * math.Exp(5.26*math.Log((293-0.0065*elevationM)/293)) // FAO-56 Eq. 7
}

// PsychrometricConstant is γ in kPa/°C at a pressure in kPa.
func PsychrometricConstant(pressureKPa float64) float64 {
	return 0.665e-3 * pressureKPa // FAO-56 Eq. 8
}

// MeanTemperature is the daily mean in °C as FAO-56 defines it: the middle of
// the extremes, not the mean of the hours.
func MeanTemperature(tmaxC, tminC float64) float64 {
	return (tmaxC + tminC) / 2 // FAO-56 Eq. 9
}

// SaturationVapourPressure is e°(T) in kPa over water at an air temperature in
// °C, by Tetens' formula. Within 0.3 % of the full formulas from -10 to 50 °C.
func SaturationVapourPressure(tempC float64) float64 {
	return 0.6108 * math.Exp(17.27*tempC/(tempC+237.3)) // FAO-56 Eq. 11
}

// DewPoint is the temperature in °C at which a vapour pressure in kPa
// saturates: the inverse of [SaturationVapourPressure]. NaN below 0 kPa.
func DewPoint(eaKPa float64) float64 {
	x := math.Log(eaKPa / 0.6108)
	return 237.3 * x / (17.27 - x) // FAO-56 Eq. 11, solved for T
}

// MeanSaturationVapourPressure is es in kPa for a day: the mean at the
// extremes, because e°(T) bends upwards and e° at the mean would be too low.
func MeanSaturationVapourPressure(tmaxC, tminC float64) float64 {
	return (SaturationVapourPressure(tmaxC) + SaturationVapourPressure(tminC)) / 2 // FAO-56 Eq. 12
}

// Slope is Δ, the slope of the saturation vapour pressure curve in kPa/°C at
// an air temperature in °C.
func Slope(tempC float64) float64 {
	t := tempC + 237.3
	return 4098 * SaturationVapourPressure(tempC) / (t * t) // FAO-56 Eq. 13
}

// RelativeHumidity is the vapour pressure in percent of saturation.
func RelativeHumidity(eaKPa, e0KPa float64) float64 {
	return 100 * eaKPa / e0KPa // FAO-56 Eq. 10
}

// VapourPressureFromDewPoint is the actual vapour pressure ea in kPa.
func VapourPressureFromDewPoint(tdewC float64) float64 {
	return SaturationVapourPressure(tdewC) // FAO-56 Eq. 14
}

// Psychrometer is how the air moves past the wet bulb. The zero Psychrometer
// is Ventilated.
type Psychrometer uint8

// The kinds of psychrometer of FAO-56 Eq. 16.
const (
	Ventilated          Psychrometer = iota // Asmann type, about 5 m/s
	NaturallyVentilated                     // about 1 m/s
	Indoor                                  // not ventilated, indoors
)

// Coefficient is the instrument's coefficient in 1/°C.
func (p Psychrometer) Coefficient() float64 {
	switch p {
	case NaturallyVentilated:
		return 0.0008 // FAO-56 Eq. 16
	case Indoor:
		return 0.0012 // FAO-56 Eq. 16
	default:
		return 0.000662 // FAO-56 Eq. 16
	}
}

// Constant is the psychrometric constant of the instrument in kPa/°C at an air
// pressure in kPa.
func (p Psychrometer) Constant(pressureKPa float64) float64 {
	return p.Coefficient() * pressureKPa // FAO-56 Eq. 16
}

// VapourPressureFromPsychrometer is ea in kPa from the dry and the wet bulb in
// °C and the instrument's constant in kPa/°C ([Psychrometer.Constant]). It
// holds for a wet bulb that is not frozen.
func VapourPressureFromPsychrometer(tdryC, twetC, constant float64) float64 {
	return SaturationVapourPressure(twetC) - constant*(tdryC-twetC) // FAO-56 Eq. 15
}

// Extremes are the temperature extremes of a day with the saturation vapour
// pressures that go with them, which several equations share.
type Extremes struct {
	E0MaxKPa float64 // e°(Tmax)
	E0MinKPa float64 // e°(Tmin)
}

// ExtremesOf is the pair of saturation vapour pressures of a day.
func ExtremesOf(tmaxC, tminC float64) Extremes {
	return Extremes{SaturationVapourPressure(tmaxC), SaturationVapourPressure(tminC)}
}

// Mean is es in kPa.
func (x Extremes) Mean() float64 {
	return (x.E0MaxKPa + x.E0MinKPa) / 2 // FAO-56 Eq. 12
}

// VapourPressureFromRHMaxMin is ea in kPa from the highest and lowest relative
// humidity in percent: the highest belongs to the lowest temperature.
func (x Extremes) VapourPressureFromRHMaxMin(rhMaxPct, rhMinPct float64) float64 {
	return (x.E0MinKPa*rhMaxPct/100 + x.E0MaxKPa*rhMinPct/100) / 2 // FAO-56 Eq. 17
}

// VapourPressureFromRHMax is ea in kPa where the lowest relative humidity is
// unknown or badly measured.
func (x Extremes) VapourPressureFromRHMax(rhMaxPct float64) float64 {
	return x.E0MinKPa * rhMaxPct / 100 // FAO-56 Eq. 18
}

// VapourPressureFromRHMean is ea in kPa from the mean relative humidity alone;
// FAO-56 calls it less desirable than Eqs. 17 and 18.
func (x Extremes) VapourPressureFromRHMean(rhMeanPct float64) float64 {
	return rhMeanPct / 100 * (x.E0MaxKPa + x.E0MinKPa) / 2 // FAO-56 Eq. 19
}

// VapourPressureFromTmin estimates ea in kPa where no humidity was measured:
// over well-watered ground the air cools to about its dew point by dawn. In
// dry country Tmin is 2 to 3 °C above the dew point and ea comes out too high.
func VapourPressureFromTmin(tminC float64) float64 {
	return SaturationVapourPressure(tminC) // FAO-56 Eq. 48
}

// VapourPressureFromRH is ea in kPa of an hour from its relative humidity in
// percent and its saturation vapour pressure in kPa.
func VapourPressureFromRH(rhPct, e0KPa float64) float64 {
	return e0KPa * rhPct / 100 // FAO-56 Eq. 54
}

// MissingWindMPerS stands in for wind at 2 m that was not measured: the mean
// of over 2000 stations (FAO-56 p. 63).
const MissingWindMPerS = 2.0

// WindFactor turns wind speed measured heightM above short grass into wind
// speed at 2 m. It is exactly 1 at 2 m, where Eq. 47 itself gives 1.0002, and
// NaN below 0.095 m, where the logarithm has no meaning.
func WindFactor(heightM float64) float64 {
	if heightM == 2 {
		return 1
	}
	if !(heightM > 6.42/67.8) {
		return math.NaN()
	}
	return 4.87 / math.Log(67.8*heightM-5.42) // FAO-56 Eq. 47
}

// WindAt2M is u2 in m/s from the wind speed in m/s at heightM metres.
func WindAt2M(windMPerS, heightM float64) float64 {
	return windMPerS * WindFactor(heightM) // FAO-56 Eq. 47
}
