// The types that carry weather in and reference evapotranspiration out.

package et

import (
	"math"

	"github.com/golang-sql/civil"
)

// Day is the weather of one calendar day as it was measured. NaN means not
// measured. The zero Day is not a missing day: use [MissingDay].
type Day struct {
	Date      civil.Date
	TmaxC     float64 // highest air temperature, °C
	TminC     float64 // lowest air temperature, °C
	TdewC     float64 // mean dew point, °C
	TdryC     float64 // dry bulb of a psychrometer, °C
	TwetC     float64 // wet bulb of a psychrometer, °C
	RHmaxPct  float64 // highest relative humidity, %
	RHminPct  float64 // lowest relative humidity, %
	RHmeanPct float64 // mean relative humidity, %
	WindMPerS float64 // mean wind speed at Site.WindHeightM, m/s
	RsMJ      float64 // solar radiation, MJ m⁻² d⁻¹
	SunshineH float64 // hours of bright sunshine
	RainMM    float64 // precipitation, mm

	// Filled names the values above that somebody estimated before they came
	// here: a gap filled while reading, a day with hours missing.
	Filled Filled
}

// MissingDay is a day on which nothing was measured.
func MissingDay(date civil.Date) Day {
	n := math.NaN()
	return Day{Date: date,
		TmaxC: n, TminC: n, TdewC: n, TdryC: n, TwetC: n,
		RHmaxPct: n, RHminPct: n, RHmeanPct: n,
		WindMPerS: n, RsMJ: n, SunshineH: n, RainMM: n}
}

// Site is where the weather was measured and how. The zero Site measures
// nothing: its wind height and KRs are out of range and give NaN where used.
type Site struct {
	LatitudeDeg  float64 // north positive
	LongitudeDeg float64 // east positive; only hourly work needs it
	ElevationM   float64 // above sea level
	WindHeightM  float64 // of the anemometer above the ground, over 0.1
	KRs          float64 // radiation coefficient of FAO-56 Eq. 50: KRsInterior or KRsCoastal
	Psychrometer Psychrometer
}

// Reference is one day's reference evapotranspiration with what led to it.
type Reference struct {
	Date     civil.Date
	EToMM    float64
	TmaxC    float64
	TminC    float64
	EaKPa    float64 // actual vapour pressure
	EsKPa    float64 // saturation vapour pressure
	U2MPerS  float64 // wind at 2 m
	RHminPct float64 // lowest relative humidity, measured or from EaKPa at TmaxC (FAO-56 Eq. 10)
	RaMJ     float64 // extraterrestrial radiation
	RsMJ     float64 // solar radiation
	RnMJ     float64 // net radiation
	RainMM   float64
	Humidity Humidity // which measurement EaKPa rests on
	HoursSum int      // hourly values summed into EToMM; 0 when the daily equation gave it
	Filled   Filled   // which inputs were estimated
}
