// One day: from what was measured to reference evapotranspiration.

package et

import "math"

// unknownSkyRatio is Rs/Rso where the sun cannot tell: a night with no day
// before it, the polar night. FAO-56 p. 75 gives 0.4 to 0.6 for humid and 0.7
// to 0.8 for dry climates; this is between the two.
const unknownSkyRatio = 0.65

// Daily is the reference evapotranspiration of a day by the method m, whole:
// humidity from the best measurement there is, in FAO-56's order (dew point,
// psychrometer, RHmax with RHmin, RHmax, RHmean, then Tmin), radiation
// measured, from sunshine or from the temperature range, wind brought to 2 m
// or taken as 2 m/s. What was estimated is marked in Filled; an estimate of
// radiation is held under the clear-sky radiation.
//
// Without Tmax and Tmin EToMM is NaN; so it is where an estimate needs a site
// constant that is out of range (KRs, WindHeightM). Values are not checked
// against their physical range: reading does that. It allocates nothing. For
// many days of one site use [Site.Prepare].
func (s Site) Daily(m Method, d Day) Reference {
	j := DayOfYear(d.Date)
	φ := Radians(s.LatitudeDeg)
	p := Pressure(s.ElevationM)
	return daily(m, &d, place{
		site:  &s,
		p:     p,
		wind:  WindFactor(s.WindHeightM),
		raMJ:  ExtraterrestrialDaily(φ, j),
		latR:  φ,
		dayOf: j,
	})
}

// Station is a Site with everything worked out that does not change from day
// to day. Make one with [Site.Prepare]; the zero Station is of no use.
type Station struct {
	site Site
	p    float64
	wind float64
	latR float64
	raMJ [367]float64 // by day of the year
}

// Prepare works out what a site's days share.
func (s Site) Prepare() *Station {
	st := &Station{site: s, p: Pressure(s.ElevationM), wind: WindFactor(s.WindHeightM), latR: Radians(s.LatitudeDeg)}
	for j := range st.raMJ {
		st.raMJ[j] = ExtraterrestrialDaily(st.latR, j)
	}
	return st
}

// Site is what the station was prepared from.
func (st *Station) Site() Site { return st.site }

// Daily is [Site.Daily], with the same results to the last bit.
func (st *Station) Daily(m Method, d Day) Reference {
	j := min(max(DayOfYear(d.Date), 0), 366)
	return daily(m, &d, place{site: &st.site, p: st.p, wind: st.wind, raMJ: st.raMJ[j], latR: st.latR, dayOf: j})
}

// place is what daily needs of a site on one day of the year.
type place struct {
	site  *Site
	p     float64 // pressure, kPa
	wind  float64 // factor to 2 m
	raMJ  float64
	latR  float64
	dayOf int
}

func daily(m Method, d *Day, at place) Reference {
	x := ExtremesOf(d.TmaxC, d.TminC)
	r := Reference{
		Date: d.Date, TmaxC: d.TmaxC, TminC: d.TminC,
		EsKPa: x.Mean(), RaMJ: at.raMJ, RainMM: d.RainMM, Filled: d.Filled,
	}
	r.EaKPa, r.Humidity = vapourPressure(d, x, at)
	if r.Humidity == HumidityTmin {
		r.Filled |= FilledHumidity
	}
	r.RHminPct = d.RHminPct
	if math.IsNaN(r.RHminPct) {
		r.RHminPct = min(RelativeHumidity(r.EaKPa, x.E0MaxKPa), 100) // FAO-56 Eq. 10
	}
	r.U2MPerS = d.WindMPerS * at.wind // FAO-56 Eq. 47
	if math.IsNaN(d.WindMPerS) {
		r.U2MPerS = MissingWindMPerS
		r.Filled |= FilledWind
	}
	rso := ClearSky(at.raMJ, at.site.ElevationM)
	r.RsMJ = d.RsMJ
	if math.IsNaN(r.RsMJ) {
		r.RsMJ = estimatedSolar(d, at, rso)
		r.Filled |= FilledRadiation
	}
	if math.IsNaN(r.RainMM) {
		r.RainMM = 0
		r.Filled |= FilledRain
	}

	ratio := unknownSkyRatio
	if rso > 0 {
		ratio = m.rsOverRso(r.RsMJ / rso)
	}
	σ, _ := m.stefan()
	body := (BlackBody(d.TmaxC, σ) + BlackBody(d.TminC, σ)) / 2
	r.RnMJ = NetRadiation(NetShortwave(r.RsMJ), NetLongwave(body, NetEmissivity(r.EaKPa), Cloudiness(ratio)))

	mean := MeanTemperature(d.TmaxC, d.TminC)
	radiation, aerodynamic := Drivers{
		RnMJ: r.RnMJ, GMJ: SoilHeatDaily, TempC: mean, U2MPerS: r.U2MPerS, VPDKPa: r.EsKPa - r.EaKPa,
		SlopeKPa: Slope(mean), GammaKPa: PsychrometricConstant(at.p),
	}.Terms(m.Daily())
	r.EToMM = radiation + aerodynamic // FAO-56 Eq. 6
	return r
}

// vapourPressure takes the first humidity measurement there is, in the order
// of FAO-56 chapter 3.
func vapourPressure(d *Day, x Extremes, at place) (eaKPa float64, from Humidity) {
	if ea := VapourPressureFromDewPoint(d.TdewC); !math.IsNaN(ea) {
		return ea, HumidityDewPoint
	}
	if !math.IsNaN(d.TdryC + d.TwetC) {
		return VapourPressureFromPsychrometer(d.TdryC, d.TwetC, at.site.Psychrometer.Constant(at.p)), HumidityPsychrometer
	}
	if !math.IsNaN(d.RHmaxPct + d.RHminPct) {
		return x.VapourPressureFromRHMaxMin(d.RHmaxPct, d.RHminPct), HumidityRHMaxMin
	}
	if !math.IsNaN(d.RHmaxPct) {
		return x.VapourPressureFromRHMax(d.RHmaxPct), HumidityRHMax
	}
	if !math.IsNaN(d.RHmeanPct) {
		return x.VapourPressureFromRHMean(d.RHmeanPct), HumidityRHMean
	}
	return x.E0MinKPa, HumidityTmin // FAO-56 Eq. 48
}

// estimatedSolar is Rs from sunshine where there is a record of it, else from
// the temperature range, never over the clear-sky radiation.
func estimatedSolar(d *Day, at place, rso float64) float64 {
	if !math.IsNaN(d.SunshineH) {
		n := DaylightHours(SunsetHourAngle(at.latR, Declination(at.dayOf)))
		return min(SolarFromSunshine(d.SunshineH, n, at.raMJ), rso) // FAO-56 Eq. 35
	}
	return min(SolarFromTemperatureRange(d.TmaxC-d.TminC, at.site.KRs, at.raMJ), rso) // FAO-56 Eq. 50
}
