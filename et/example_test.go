// The worked examples of FAO-56 chapters 3 and 4, end to end.

package et_test

import (
	"fmt"
	"time"

	"github.com/golang-sql/civil"

	"sandwick/et"
)

// Example 2, p. 32.
func ExamplePressure_ex2() {
	p := et.Pressure(1800)
	fmt.Printf("P %.1f kPa, gamma %.3f kPa/°C\n", p, et.PsychrometricConstant(p))
	// Output: P 81.8 kPa, gamma 0.054 kPa/°C
}

// Example 3, p. 36: es is the mean at the extremes, not the value at the mean.
func ExampleMeanSaturationVapourPressure_ex3() {
	fmt.Printf("es %.2f kPa, not %.2f\n", et.MeanSaturationVapourPressure(24.5, 15), et.SaturationVapourPressure(19.75))
	// Output: es 2.39 kPa, not 2.30
}

// Example 4, p. 38.
func ExampleVapourPressureFromPsychrometer_ex4() {
	γpsy := et.Ventilated.Constant(et.Pressure(1200))
	fmt.Printf("ea %.2f kPa\n", et.VapourPressureFromPsychrometer(25.6, 19.5, γpsy))
	// Output: ea 1.91 kPa
}

// Examples 5 and 6, p. 39. The working printed for Example 5 leaves out the
// division by 2; its result does not.
func ExampleExtremes_ex5() {
	x := et.ExtremesOf(25, 18)
	ea := x.VapourPressureFromRHMaxMin(82, 54)
	fmt.Printf("ea %.2f kPa, from the mean %.2f\n", ea, x.VapourPressureFromRHMean(68))
	fmt.Printf("es - ea %.2f kPa\n", x.Mean()-ea)
	// Output:
	// ea 1.70 kPa, from the mean 1.78
	// es - ea 0.91 kPa
}

// Example 7, p. 46: Bangkok and Rio de Janeiro.
func ExampleRadians_ex7() {
	fmt.Printf("%.2f and %.2f rad\n", et.Radians(13+44/60.0), et.Radians(-(22 + 54/60.0)))
	// Output: 0.24 and -0.40 rad
}

// Examples 8 and 9, p. 47 and 49.
func ExampleExtraterrestrialDaily_ex8() {
	j := et.DayOfYear(civil.Date{Year: 1997, Month: time.September, Day: 3})
	φ := et.Radians(-20)
	ra := et.ExtraterrestrialDaily(φ, j)
	fmt.Printf("Ra %.1f MJ or %.1f mm\n", ra, et.MMFromMJ(ra))
	fmt.Printf("N %.1f h\n", et.DaylightHours(et.SunsetHourAngle(φ, et.Declination(j))))
	// Output:
	// Ra 32.2 MJ or 13.1 mm
	// N 11.7 h
}

// Examples 10, 11 and 12, p. 50 to 53: Rio de Janeiro in May.
func ExampleNetRadiation_ex12() {
	φ, j := et.Radians(-22.9), 135
	ra := et.ExtraterrestrialDaily(φ, j)
	rs := et.SolarFromSunshine(220/31.0, et.DaylightHours(et.SunsetHourAngle(φ, et.Declination(j))), ra)
	body := (et.BlackBody(25.1, et.StefanDailyMJ) + et.BlackBody(19.1, et.StefanDailyMJ)) / 2
	rnl := et.NetLongwave(body, et.NetEmissivity(2.1), et.Cloudiness(rs/et.ClearSky(ra, 0)))
	fmt.Printf("Rs %.1f, Rnl %.1f, Rn %.1f MJ\n", rs, rnl, et.NetRadiation(et.NetShortwave(rs), rnl))
	// Output: Rs 14.5, Rnl 3.5, Rn 7.6 MJ
}

// Example 13, p. 55.
func ExampleSoilHeatMonthly_ex13() {
	fmt.Printf("G %.2f MJ\n", et.SoilHeatMonthly(14.1, 18.8))
	// Output: G 0.33 MJ
}

// Example 14, p. 56.
func ExampleWindAt2M_ex14() {
	fmt.Printf("u2 %.1f m/s\n", et.WindAt2M(3.2, 10))
	// Output: u2 2.4 m/s
}

// Example 15, p. 61.
func ExampleSolarFromTemperatureRange_ex15() {
	ra := et.ExtraterrestrialDaily(et.Radians(45.72), 196)
	rs := et.SolarFromTemperatureRange(26.6-14.8, et.KRsInterior, ra)
	fmt.Printf("Rs %.1f MJ or %.1f mm\n", rs, et.MMFromMJ(rs))
	// Output: Rs 22.3 MJ or 9.1 mm
}

// Example 16, p. 62, by way of a whole day: radiation is estimated.
func ExampleSite_Daily_ex16() {
	bangkok := et.Site{LatitudeDeg: 13.73, ElevationM: 2, WindHeightM: 2, KRs: et.KRsCoastal}
	d := et.MissingDay(civil.Date{Year: 1997, Month: time.April, Day: 15})
	d.TmaxC, d.TminC, d.TdewC = 34.8, 25.6, et.DewPoint(2.85)
	r := bangkok.Daily(et.FAO56, d)
	fmt.Printf("Rs %.1f, Rn %.1f MJ; filled: %v\n", r.RsMJ, r.RnMJ, r.Filled.Names())
	// Output: Rs 21.9, Rn 13.9 MJ; filled: [wind radiation rain]
}

// Example 17, p. 70: a month, with soil heat, from its mean day.
func ExampleDrivers_Terms_ex17() {
	φ, j, tmean, ea := et.Radians(13.73), 105, et.MeanTemperature(34.8, 25.6), 2.85
	ra := et.ExtraterrestrialDaily(φ, j)
	rs := et.SolarFromSunshine(8.5, et.DaylightHours(et.SunsetHourAngle(φ, et.Declination(j))), ra)
	body := (et.BlackBody(34.8, et.StefanDailyMJ) + et.BlackBody(25.6, et.StefanDailyMJ)) / 2
	rnl := et.NetLongwave(body, et.NetEmissivity(ea), et.Cloudiness(rs/et.ClearSky(ra, 2)))
	radiation, aerodynamic := et.Drivers{
		RnMJ: et.NetRadiation(et.NetShortwave(rs), rnl), GMJ: et.SoilHeatMonthSoFar(29.2, 30.2),
		TempC: tmean, U2MPerS: 2, VPDKPa: et.MeanSaturationVapourPressure(34.8, 25.6) - ea,
		SlopeKPa: et.Slope(tmean), GammaKPa: et.PsychrometricConstant(et.Pressure(2)),
	}.Terms(et.FAO56.Daily())
	fmt.Printf("%.2f + %.2f = %.2f mm/day\n", radiation, aerodynamic, radiation+aerodynamic)
	// Output: 3.97 + 1.75 = 5.72 mm/day
}

// Example 18, p. 72: Uccle, 6 July.
func ExampleSite_Daily_ex18() {
	uccle := et.Site{LatitudeDeg: 50.80, ElevationM: 100, WindHeightM: 10, KRs: et.KRsInterior}
	d := et.MissingDay(civil.Date{Year: 1997, Month: time.July, Day: 6})
	d.TmaxC, d.TminC, d.RHmaxPct, d.RHminPct = 21.5, 12.3, 84, 63
	d.WindMPerS, d.SunshineH, d.RainMM = 10/3.6, 9.25, 0
	r := uccle.Daily(et.FAO56, d)
	fmt.Printf("ea %.3f, es %.3f kPa; u2 %.3f m/s; Rs %.2f, Rn %.2f MJ\n", r.EaKPa, r.EsKPa, r.U2MPerS, r.RsMJ, r.RnMJ)
	fmt.Printf("ETo %.2f mm; filled: %v\n", r.EToMM, r.Filled.Names())
	// Output:
	// ea 1.409, es 1.997 kPa; u2 2.078 m/s; Rs 22.07, Rn 13.28 MJ
	// ETo 3.88 mm; filled: [radiation]
}

// Example 19, p. 75: N'Diaye, 1 October, two hours. The clock of the example is
// that of 15° west.
func ExampleSite_Hourly_ex19() {
	ndiaye := et.Site{LatitudeDeg: 16.22, LongitudeDeg: -16.25, ElevationM: 8, WindHeightM: 2, KRs: et.KRsCoastal}
	clock := time.FixedZone("", -3600)
	night := et.MissingHour(time.Date(1997, 10, 1, 2, 0, 0, 0, clock))
	night.TempC, night.RHPct, night.WindMPerS, night.RsMJ, night.SkyRatio = 28, 90, 1.9, 0, 0.8
	day := et.MissingHour(time.Date(1997, 10, 1, 14, 0, 0, 0, clock))
	day.TempC, day.RHPct, day.WindMPerS, day.RsMJ = 38, 52, 3.3, 2.45
	for _, h := range []et.Hour{night, day} {
		r := ndiaye.Hourly(et.FAO56, h)
		fmt.Printf("Ra %.3f, Rn %.3f, G %.3f MJ: ETo %.2f mm\n", r.RaMJ, r.RnMJ, r.GMJ, r.EToMM)
	}
	// Output:
	// Ra 0.000, Rn -0.100, G -0.050 MJ: ETo 0.00 mm
	// Ra 3.543, Rn 1.749, G 0.175 MJ: ETo 0.63 mm
}

// Example 20, p. 77: Lyon in July with nothing but temperature.
func ExampleSite_Daily_ex20() {
	lyon := et.Site{LatitudeDeg: 45.72, ElevationM: 200, WindHeightM: 2, KRs: et.KRsInterior}
	d := et.MissingDay(civil.Date{Year: 1997, Month: time.July, Day: 15})
	d.TmaxC, d.TminC = 26.6, 14.8
	r := lyon.Daily(et.FAO56, d)
	fmt.Printf("ETo %.2f mm; filled: %v\n", r.EToMM, r.Filled.Names())
	fmt.Printf("Hargreaves %.1f mm\n", et.Hargreaves(26.6, 14.8, r.RaMJ))
	// Output:
	// ETo 4.56 mm; filled: [humidity wind radiation rain]
	// Hargreaves 5.0 mm
}
