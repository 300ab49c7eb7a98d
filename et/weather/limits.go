// What values can be: the bounds of every column and their sources.

package weather

import "math"

// limit is the range in which a value can be, in SI. A value over hi by up to
// over, or under lo by up to under, is a sensor's error: it is taken as the
// bound, and told.
type limit struct {
	lo, hi      float64
	under, over float64
}

// Zahumenský is I. Zahumenský (2004), Guidelines on Quality Control Procedures
// for Data from Automatic Weather Stations, WMO: plausible value check (from
// memory). Records are those of the WMO archive of weather and climate extremes
// (from memory). Sensor errors are common practice, no published source, where
// no other is named.
var (
	airLimit      = limit{lo: -80, hi: 60}             // °C; Zahumenský
	dewLimit      = limit{lo: -80, hi: 35}             // °C; Zahumenský
	humidityLimit = limit{lo: 0, hi: 100, over: 5}     // %; Zahumenský
	windLimit     = limit{lo: 0, hi: 75}               // m/s, mean; Zahumenský
	shineDayLimit = limit{lo: 0, hi: 24}               // h; a day
	rainDayLimit  = limit{lo: 0, hi: 1825}             // mm; record for 24 h, Foc-Foc, La Réunion, 1966
	rainHourLimit = limit{lo: 0, hi: 401}              // mm; record for 1 h, Shangdi, Inner Mongolia, 1975
	chanceLimit   = limit{lo: 0, hi: 100}              // %; a probability
	solarDayLimit = limit{lo: 0, hi: 50, under: 0.346} // MJ m⁻² d⁻¹; see below
	solarLimit    = limit{lo: 0, hi: 5.76, under: 0.0144}
)

// Solar radiation by the day: 48.5 MJ m⁻² is what FAO-56 Eq. 21 gives outside
// the air at the pole at midsummer, the most anywhere. By the hour: 1600 W/m²,
// Zahumenský. Below zero: a pyranometer cools at night; -4 W/m² is physically
// possible (Long and Dutton 2002, BSRN recommended tests, from memory).

const (
	// Daily Rs against the clear sky and against outside the air: Geiger, Diabaté,
	// Ménard and Wald (2002), Solar Energy 73(6), 475-480 (from memory).
	clearSkyMost = 1.1
	darkestShare = 0.03

	// dewSlackC is by how much a dew point can read over the air temperature, and
	// a wet bulb over the dry, by the errors of two good thermometers and a
	// hygrometer. Common practice, no published source.
	dewSlackC = 1.0

	// shineSlackH is by how much sunshine can exceed the day length of FAO-56 Eq.
	// 34, which has no refraction. Common practice, no published source.
	shineSlackH = 0.5

	// widestRangeC is the largest difference of a day's temperatures that goes
	// without a doubt. Common practice, no published source.
	widestRangeC = 40

	// fractionMost: a humidity column that never exceeds this holds fractions.
	fractionMost = 1.0
	fractionRows = 3 // so many values are needed to say so
)

// longestFill is how many days of temperature running are filled by linear
// interpolation between the days around: WMO-No. 100, Guide to Climatological
// Practices, on estimating missing data from neighbouring values in time (the
// limit of three days from memory).
const longestFill = 3

// longestGap is how many days may be missing between two rows: a longer gap is
// a mistyped year.
const longestGap = 3660

// stuck tells how many equal values running are doubted, for a value; 0 never.
// That sensors stick is checked as Zahumenský's persistence test does for
// minutes; the numbers for days and hours are common practice, no published source.
func stuckDays(q quantity, v float64) int {
	switch q {
	case tmax, tmin, tdew, tdry, twet:
		return 5
	case rhmax, rhmin, rhmean:
		if v >= 99 { // saturated air for days is weather
			return 0
		}
		return 5
	case wind:
		if v == 0 { // a whole day without any wind is rare, three are a frozen or broken cup
			return 3
		}
		return 5
	case solar:
		if v == 0 { // polar night
			return 0
		}
		return 3
	case rain:
		if v == 0 {
			return 0
		}
		return 4
	}
	return 0
}

func stuckHours(q quantity, v float64) int {
	switch q {
	case temp, tdew:
		return 12
	case rh:
		if v >= 99 {
			return 0
		}
		return 12
	case wind:
		return 24 // calm nights are common and many cups start at 0.5 m/s
	case solar:
		if v == 0 {
			return 0
		}
		return 5
	case rain:
		if v == 0 {
			return 0
		}
		return 6
	}
	return 0
}

// outside tells whether v is beyond the range and the sensor's error.
func (l limit) outside(v float64) bool { return v < l.lo-l.under || v > l.hi+l.over }

// clip brings v into the range; NaN stays NaN.
func (l limit) clip(v float64) float64 { return math.Min(math.Max(v, l.lo), l.hi) }
