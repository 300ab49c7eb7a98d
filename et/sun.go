// The sun: where it stands and what reaches the top of the atmosphere
// (FAO-56 Eqs. 21 to 34).

package et

import (
	"math"

	"github.com/golang-sql/civil"
)

// SolarConstantMJ is Gsc in MJ m⁻² min⁻¹ (FAO-56 p. 46).
const SolarConstantMJ = 0.0820

// DayOfYear is J, from 1 on 1 January to 365 or 366 (FAO-56 Annex 2 Table 2.5).
func DayOfYear(d civil.Date) int {
	before := [...]int{0, 31, 59, 90, 120, 151, 181, 212, 243, 273, 304, 334}
	j := before[(int(d.Month)+11)%12] + d.Day
	if d.Month > 2 && d.Year%4 == 0 && (d.Year%100 != 0 || d.Year%400 == 0) {
		j++
	}
	return j
}

// Radians turns degrees into radians.
func Radians(deg float64) float64 {
	return math.Pi / 180 * deg // FAO-56 Eq. 22
}

// InverseDistance is dr, the inverse relative distance Earth-Sun on day J.
func InverseDistance(j int) float64 {
	return 1 + 0.033*math.Cos(2*math.Pi/365*float64(j)) // FAO-56 Eq. 23
}

// Declination is δ of the sun in radians on day J. It stays within 1.3° of the
// sun's true place, worst in late September; day length to 50° of latitude is
// then within a quarter of an hour.
func Declination(j int) float64 {
	return 0.409 * math.Sin(2*math.Pi/365*float64(j)-1.39) // FAO-56 Eq. 24
}

// SunsetHourAngle is ωs in radians at a latitude and declination in radians:
// 0 in the polar night, π in the polar day.
func SunsetHourAngle(latRad, declRad float64) float64 {
	return math.Acos(clamp(-math.Tan(latRad)*math.Tan(declRad), -1, 1)) // FAO-56 Eq. 25
}

// ExtraterrestrialDaily is Ra in MJ m⁻² d⁻¹ at a latitude in radians on day J.
// Good between the poles: 0 in the polar night.
func ExtraterrestrialDaily(latRad float64, j int) float64 {
	sinδ := math.Sin(Declination(j))
	sinφ := math.Sin(latRad)
	cosδ, cosφ := math.Sqrt(1-sinδ*sinδ), math.Sqrt(1-sinφ*sinφ) // neither angle leaves ±π/2
	cosωs := clamp(-sinφ*sinδ/(cosφ*cosδ), -1, 1)                // FAO-56 Eq. 25
	ωs, sinωs := math.Acos(cosωs), math.Sqrt(1-cosωs*cosωs)
	return 24 * 60 / math.Pi * SolarConstantMJ * InverseDistance(j) * (ωs*sinφ*sinδ + cosφ*cosδ*sinωs) // FAO-56 Eq. 21
}

// DaylightHours is N, the longest possible sunshine in hours, from the sunset
// hour angle in radians.
func DaylightHours(sunsetRad float64) float64 {
	return 24 / math.Pi * sunsetRad // FAO-56 Eq. 34
}

// SeasonalCorrection is Sc in hours on day J: what a sundial differs from a
// clock by the season.
func SeasonalCorrection(j int) float64 {
	b := 2 * math.Pi * float64(j-81) / 364                               // FAO-56 Eq. 33
	return 0.1645*math.Sin(2*b) - 0.1255*math.Cos(b) - 0.025*math.Sin(b) // FAO-56 Eq. 32
}

// Meridians place a clock and a site: degrees west of Greenwich, as FAO-56
// counts them.
type Meridians struct {
	ZoneWestDeg float64 // Lz, centre of the clock's time zone
	SiteWestDeg float64 // Lm, the site
}

// HourAngle is ω in radians, 0 at solar noon and negative before, at a standard
// clock time in hours (the middle of the period) with the seasonal correction
// Sc in hours.
func HourAngle(clockH float64, m Meridians, seasonalH float64) float64 {
	// FAO-56 prints 1/15 h per degree as 0.06667.
	return math.Pi / 12 * (clockH + (m.ZoneWestDeg-m.SiteWestDeg)/15 + seasonalH - 12) // FAO-56 Eq. 31
}

// SunElevation is β, the angle of the sun above the horizon in radians.
func SunElevation(latRad, declRad, hourAngleRad float64) float64 {
	return math.Asin(clamp(math.Sin(latRad)*math.Sin(declRad)+
		math.Cos(latRad)*math.Cos(declRad)*math.Cos(hourAngleRad), -1, 1)) // spherical astronomy; ASCE-EWRI Eq. 62, from memory
}

// ExtraterrestrialHourly is Ra in MJ m⁻² h⁻¹ over the hour whose middle has the
// hour angle given, at a latitude in radians on day J. Of an hour in which the
// sun rises or sets only the sunlit part counts; FAO-56 leaves that open, ASCE
// cuts it so.
func ExtraterrestrialHourly(latRad float64, j int, hourAngleRad float64) float64 {
	δ := Declination(j)
	sinδ, cosδ := math.Sincos(δ)
	sinφ, cosφ := math.Sincos(latRad)
	ωs := SunsetHourAngle(latRad, δ)
	mid := math.Remainder(hourAngleRad, 2*math.Pi)
	ω1, ω2 := mid-math.Pi/24, mid+math.Pi/24 // FAO-56 Eqs. 29 and 30, period of 1 h
	sum := 0.0
	// The hour can reach over midnight, where in the polar day the sun shines:
	// meet the sunlit arc of the day before and of the day after as well.
	for _, turn := range [...]float64{-2 * math.Pi, 0, 2 * math.Pi} {
		a, b := max(ω1, turn-ωs), min(ω2, turn+ωs)
		if a < b {
			sum += (b-a)*sinφ*sinδ + cosφ*cosδ*(math.Sin(b)-math.Sin(a))
		}
	}
	if math.IsNaN(ω1 + ωs) {
		return math.NaN()
	}
	return 12 * 60 / math.Pi * SolarConstantMJ * InverseDistance(j) * max(sum, 0) // FAO-56 Eq. 28
}

// clamp keeps x within lo and hi; NaN stays NaN.
func clamp(x, lo, hi float64) float64 {
	return min(max(x, lo), hi)
}
