// Package et holds the weather side of the water balance: one day's or one
// hour's weather in, reference evapotranspiration out. Sub-packages read
// weather files (et/weather, on et/input) and draw crop curves (et/crop).
//
// The equations are those of FAO Irrigation and Drainage Paper 56 (Allen,
// Pereira, Raes and Smith 1998), chapters 3 and 4, and of the standardized
// short and tall reference forms of ASCE-EWRI (2005):
//
//	air        Eq. 7 Pressure, 8 PsychrometricConstant, 9 MeanTemperature,
//	           11 SaturationVapourPressure, 12 MeanSaturationVapourPressure,
//	           13 Slope, 14 VapourPressureFromDewPoint, 15-16
//	           VapourPressureFromPsychrometer, 17 VapourPressureFromRHMaxMin,
//	           18 VapourPressureFromRHMax, 19 VapourPressureFromRHMean,
//	           47 WindAt2M, 48 VapourPressureFromTmin, 54 VapourPressureFromRH
//	sun        Eq. 21 ExtraterrestrialDaily, 22 Radians, 23 InverseDistance,
//	           24 Declination, 25 SunsetHourAngle, 28 ExtraterrestrialHourly,
//	           29-31 HourAngle, 32-33 SeasonalCorrection, 34 DaylightHours
//	radiation  Eq. 20 MMFromMJ, 35 SolarFromSunshine, 36-37 ClearSky,
//	           38 NetShortwave, 39 NetLongwave, 40 NetRadiation, 41-46 soil
//	           heat, 50 SolarFromTemperatureRange
//	reference  Eq. 6 and 53 Drivers.Terms, 52 Hargreaves
//
// [Site.Daily] and [Site.Hourly] put them together and mark every input they
// had to estimate; [Site.RollUp] joins hours to days. Left out: Rs and wind
// borrowed from another station (Eqs. 49 and 51), lysimeter and pan methods.
//
// Everything is SI: °C, kPa, m/s at the stated height, MJ m⁻² d⁻¹ (or h⁻¹), mm.
// NaN means "not measured"; zero is always a measurement, and every equation
// gives NaN for NaN. No function here reads a file, a clock or a global, and
// none keeps state.
package et
