// One hour: from what was measured to reference evapotranspiration.

package et

import (
	"math"
	"time"
)

// Hour is the weather of one hour. NaN means not measured. The zero Hour is not
// a missing hour: use [MissingHour].
type Hour struct {
	Start     time.Time // the instant at which the hour begins
	TempC     float64   // mean air temperature, °C
	RHPct     float64   // mean relative humidity, %
	TdewC     float64   // mean dew point, °C
	WindMPerS float64   // mean wind speed at Site.WindHeightM, m/s
	RsMJ      float64   // solar radiation, MJ m⁻² h⁻¹
	RainMM    float64   // precipitation, mm

	// SkyRatio is Rs/Rso of the last hour in which the sun stood well up; it
	// stands for the clouds while the sun is low or down. NaN or 0 is unknown.
	// [Site.RollUp] carries it along by itself and ignores this one.
	SkyRatio float64
}

// MissingHour is an hour in which nothing was measured.
func MissingHour(start time.Time) Hour {
	n := math.NaN()
	return Hour{Start: start, TempC: n, RHPct: n, TdewC: n, WindMPerS: n, RsMJ: n, RainMM: n, SkyRatio: n}
}

// HourReference is one hour's reference evapotranspiration with what led to it.
type HourReference struct {
	Start    time.Time
	EToMM    float64 // mm per hour; under 0 where dew forms
	EaKPa    float64 // actual vapour pressure
	EsKPa    float64 // saturation vapour pressure
	U2MPerS  float64 // wind at 2 m
	SunRad   float64 // sun above the horizon in the middle of the hour, radians
	RaMJ     float64 // extraterrestrial radiation
	RsMJ     float64 // solar radiation
	RnMJ     float64 // net radiation
	GMJ      float64 // soil heat
	SkyRatio float64 // Rs/Rso in use, for the next hour's Hour.SkyRatio
	Filled   Filled  // which inputs were estimated
}

// lowSunRad is the sun's height under which Rs/Rso says little about clouds
// (ASCE-EWRI p. 35, from memory: 0.3 rad or about 17°; FAO-56 p. 75 asks for an
// hour two to three hours before sunset, which is much the same).
const lowSunRad = 0.3

// Hourly is the reference evapotranspiration of an hour by the method m. Vapour
// pressure comes from the dew point, else from the relative humidity; wind that
// was not measured is 2 m/s. With the sun low or down the clouds are those of
// h.SkyRatio, and where that is unknown they are assumed and FilledRadiation is
// set. Missing temperature, humidity, or radiation with the sun up: NaN, as
// FAO-56 estimates those for whole days only.
//
// By FAO-56 it is day while any sun is above the horizon; by ASCE-EWRI while
// net radiation is positive.
func (s Site) Hourly(m Method, h Hour) HourReference {
	// Mean solar time of the site: its own meridian is the centre of its zone,
	// so that no clock or time zone comes in.
	solar := h.Start.UTC().Add(time.Duration(s.LongitudeDeg / 15 * float64(time.Hour)))
	j := solar.YearDay()
	clockH := float64(solar.Hour()) + float64(solar.Minute())/60 + float64(solar.Second())/3600 + 0.5
	ω := HourAngle(clockH, Meridians{}, SeasonalCorrection(j))
	φ := Radians(s.LatitudeDeg)

	e0 := SaturationVapourPressure(h.TempC)
	r := HourReference{
		Start: h.Start, EsKPa: e0,
		SunRad: SunElevation(φ, Declination(j), ω),
		RaMJ:   ExtraterrestrialHourly(φ, j, ω),
		RsMJ:   h.RsMJ,
	}
	r.EaKPa = VapourPressureFromDewPoint(h.TdewC)
	if math.IsNaN(r.EaKPa) {
		r.EaKPa = VapourPressureFromRH(h.RHPct, e0) // FAO-56 Eq. 54
	}
	r.U2MPerS = WindAt2M(h.WindMPerS, s.WindHeightM)
	if math.IsNaN(h.WindMPerS) {
		r.U2MPerS = MissingWindMPerS
		r.Filled |= FilledWind
	}
	if math.IsNaN(r.RsMJ) && r.RaMJ == 0 {
		r.RsMJ = 0
	}

	r.SkyRatio = h.SkyRatio
	if rso := ClearSky(r.RaMJ, s.ElevationM); r.SunRad > lowSunRad && !math.IsNaN(r.RsMJ) {
		r.SkyRatio = m.rsOverRso(r.RsMJ / rso)
	} else if !(r.SkyRatio > 0) {
		r.SkyRatio = unknownSkyRatio
		r.Filled |= FilledRadiation
	}
	_, σ := m.stefan()
	rnl := NetLongwave(BlackBody(h.TempC, σ), NetEmissivity(r.EaKPa), Cloudiness(r.SkyRatio))
	r.RnMJ = NetRadiation(NetShortwave(r.RsMJ), rnl)

	daylight := r.RnMJ > 0 // ASCE-EWRI
	if m == FAO56 {
		daylight = r.RaMJ > 0
	}
	r.GMJ = m.soilHeatHourly(r.RnMJ, daylight)
	radiation, aerodynamic := Drivers{
		RnMJ: r.RnMJ, GMJ: r.GMJ, TempC: h.TempC, U2MPerS: r.U2MPerS, VPDKPa: e0 - r.EaKPa,
		SlopeKPa: Slope(h.TempC), GammaKPa: PsychrometricConstant(Pressure(s.ElevationM)),
	}.Terms(m.Hourly(daylight))
	r.EToMM = radiation + aerodynamic // FAO-56 Eq. 53
	return r
}
