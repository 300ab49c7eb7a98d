// Radiation at the ground: solar, clear-sky, net, and the heat that goes into
// the soil (FAO-56 Eqs. 20 and 35 to 50).

package et

import "math"

// Albedo of the reference crop (FAO-56 p. 43).
const Albedo = 0.23

// Stefan-Boltzmann constants of FAO-56 p. 52 and 74, and of ASCE-EWRI (from
// memory of its Table of constants).
const (
	StefanDailyMJ      = 4.903e-9  // MJ K⁻⁴ m⁻² d⁻¹
	StefanHourlyMJ     = 2.043e-10 // MJ K⁻⁴ m⁻² h⁻¹
	stefanDailyASCEMJ  = 4.901e-9
	stefanHourlyASCEMJ = 2.042e-10
)

// Radiation coefficients of FAO-56 Eq. 50 (p. 60).
const (
	KRsInterior = 0.16 // land mass dominates
	KRsCoastal  = 0.19 // on or near the coast of a large land mass
)

// mmPerMJ is the inverse of the latent heat of vaporization 2.45 MJ/kg.
const mmPerMJ = 0.408

// MMFromMJ turns radiation in MJ m⁻² into mm of evaporated water.
func MMFromMJ(mj float64) float64 {
	return mmPerMJ * mj // FAO-56 Eq. 20
}

// MJFromMM turns mm of evaporated water into MJ m⁻².
func MJFromMM(mm float64) float64 {
	return mm / mmPerMJ // FAO-56 Eq. 20
}

// SolarFromSunshine is Rs in the unit of Ra from the sunshine duration n and
// the longest possible N, both in hours, with Ångström's as = 0.25 and bs =
// 0.50, which FAO-56 recommends where no calibration exists. More sunshine than
// N counts as N. In the polar night (N = 0) Rs is 0.
func SolarFromSunshine(sunshineH, daylightH, raMJ float64) float64 {
	if daylightH == 0 {
		return 0
	}
	return (0.25 + 0.50*clamp(sunshineH/daylightH, 0, 1)) * raMJ // FAO-56 Eq. 35
}

// ClearSky is Rso in the unit of Ra at elevationM metres; at sea level it is
// Eq. 36, 0.75 Ra.
func ClearSky(raMJ, elevationM float64) float64 {
	return (0.75 + 2e-5*elevationM) * raMJ // FAO-56 Eq. 37
}

// SolarFromTemperatureRange estimates Rs in the unit of Ra from the difference
// Tmax - Tmin in °C and the coefficient kRs. Keep it under [ClearSky]. Not for
// islands of a few tens of kilometres. NaN for a negative difference or where
// kRs is not positive.
func SolarFromTemperatureRange(differenceC, kRs, raMJ float64) float64 {
	if !(kRs > 0) {
		return math.NaN()
	}
	return kRs * math.Sqrt(differenceC) * raMJ // FAO-56 Eq. 50
}

// NetShortwave is Rns in the unit of Rs.
func NetShortwave(rsMJ float64) float64 {
	return (1 - Albedo) * rsMJ // FAO-56 Eq. 38
}

// BlackBody is σT⁴, the radiation of a black body at an air temperature in °C,
// with the Stefan-Boltzmann constant for the period.
func BlackBody(tempC, stefanMJ float64) float64 {
	k := tempC + 273.16
	return stefanMJ * (k * k) * (k * k) // FAO-56 Eq. 39, first factor
}

// NetEmissivity is the share of black-body radiation that clear air of a
// vapour pressure in kPa lets go.
func NetEmissivity(eaKPa float64) float64 {
	return 0.34 - 0.14*math.Sqrt(eaKPa) // FAO-56 Eq. 39, second factor
}

// Cloudiness is fcd, 1 for a clear sky, from the relative radiation Rs/Rso,
// which is held at 1 from above.
func Cloudiness(rsOverRso float64) float64 {
	return 1.35*min(rsOverRso, 1) - 0.35 // FAO-56 Eq. 39, third factor
}

// NetLongwave is Rnl in the unit of the black-body radiation. For a day that
// is the mean of σTmax⁴ and σTmin⁴.
func NetLongwave(blackBodyMJ, netEmissivity, cloudiness float64) float64 {
	return blackBodyMJ * netEmissivity * cloudiness // FAO-56 Eq. 39
}

// NetRadiation is Rn in the unit of its two parts.
func NetRadiation(rnsMJ, rnlMJ float64) float64 {
	return rnsMJ - rnlMJ // FAO-56 Eq. 40
}

// SoilHeat is G in MJ m⁻² d⁻¹ of soil with the heat capacity in MJ m⁻³ °C⁻¹
// that warms by a rate in °C/day to an effective depth in m.
func SoilHeat(capacityMJ, warmingCPerDay, depthM float64) float64 {
	return capacityMJ * warmingCPerDay * depthM // FAO-56 Eq. 41
}

// SoilHeatDaily is G in MJ m⁻² d⁻¹ for one day or up to ten: small beside Rn
// and taken as none.
const SoilHeatDaily = 0.0 // FAO-56 Eq. 42

// SoilHeatMonthly is G in MJ m⁻² d⁻¹ of a month from the mean air temperatures
// in °C of the months before and after.
func SoilHeatMonthly(previousC, nextC float64) float64 {
	return 0.07 * (nextC - previousC) // FAO-56 Eq. 43
}

// SoilHeatMonthSoFar is G in MJ m⁻² d⁻¹ of a month from its own mean air
// temperature in °C and that of the month before.
func SoilHeatMonthSoFar(previousC, thisC float64) float64 {
	return 0.14 * (thisC - previousC) // FAO-56 Eq. 44
}

// SoilHeatHourly is G in MJ m⁻² h⁻¹ under short grass.
func SoilHeatHourly(rnMJ float64, daylight bool) float64 {
	if daylight {
		return 0.1 * rnMJ // FAO-56 Eq. 45
	}
	return 0.5 * rnMJ // FAO-56 Eq. 46
}
