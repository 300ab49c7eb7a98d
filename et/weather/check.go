// Checks of single values and of the values of one row against each other.

package weather

import (
	"fmt"
	"math"
	"strings"
	"time"

	"sandwick/et"
	"sandwick/et/input"
)

// inRange checks a value against its bounds. A value beyond them by no more
// than the sensor's error is brought back and told; any other is a problem.
func (rd *reader) inRange(n *input.Number, l limit) float64 {
	v := n.Value()
	switch {
	case math.IsNaN(v) || (v >= l.lo && v <= l.hi):
		return v
	case !l.outside(v):
		bound := l.clip(v)
		rd.doubts.add("clip", n.Problem("beyond what can be, by no more than a sensor's error; taken as "+inUnit(n, bound)))
		return bound
	}
	msg := fmt.Sprintf("out of range; %s to %s is accepted", number(n.Unit().FromSI(l.lo)), inUnit(n, l.hi))
	if looksLikeCode(n.Text) {
		msg += "; list the code under missing if it stands for nothing measured"
	} else if fit := fitting(n, l); fit != "" {
		msg += "; it would fit in " + fit
	}
	rd.problems = append(rd.problems, n.Problem(msg))
	return math.NaN()
}

// number writes a bound with no more digits than it needs.
func number(v float64) string { return fmt.Sprintf("%.4g", v) }

// inUnit writes a value in SI in the unit of the cell's column.
func inUnit(n *input.Number, si float64) string {
	return number(n.Unit().FromSI(si)) + " " + n.Unit().Name
}

// looksLikeCode tells whether text is one of the usual codes for a missing
// value: at least three nines, or two behind a minus, perhaps with a point or
// zeros.
func looksLikeCode(text string) bool {
	digits, minus := strings.CutPrefix(text, "-")
	nines := strings.Trim(strings.NewReplacer(".", "", ",", "").Replace(digits), "0")
	return strings.Trim(nines, "9") == "" && (len(nines) >= 3 || (len(nines) == 2 && minus))
}

// fitting names the units in which the number as written would be possible,
// other than the one of its column; "" for none and for a zero or less, which
// tells nothing.
func fitting(n *input.Number, l limit) string {
	written := n.Unit().FromSI(n.Value())
	if written <= 0 {
		return ""
	}
	var names []string
	for _, u := range input.UnitsOf(n.Unit().Dimension) {
		if v := u.ToSI(written); u != n.Unit() && v >= l.lo && v <= l.hi {
			names = append(names, u.Name)
		}
	}
	return input.OrList(names)
}

// checkDay checks the values of one daily row against each other and against the sun.
func (rd *reader) checkDay(r *dayRow, v *values) {
	switch {
	case v[tmin] > v[tmax]:
		rd.problem(&r.Tmin, "higher than the highest temperature of the day, %s %s; the two may be swapped", r.Tmax.Column, r.Tmax.Text)
	case v[tmin] == v[tmax]:
		rd.doubt("equal", &r.Tmin, "the same as the highest temperature of the day")
	case v[tmax]-v[tmin] > widestRangeC:
		rd.doubt("range", &r.Tmin, "more than %d °C under the highest temperature of the day, %s %s", widestRangeC, r.Tmax.Column, r.Tmax.Text)
	}
	if v[rhmin] > v[rhmax] {
		rd.problem(&r.RHmin, "higher than the highest humidity of the day, %s %s; the two may be swapped", r.RHmax.Column, r.RHmax.Text)
	}
	if v[rhmean] > v[rhmax] || v[rhmean] < v[rhmin] {
		rd.doubt("mean", &r.RHmean, "not between the lowest and the highest humidity of the day")
	}
	rd.notOver(&r.Tdew, &v[tdew], &r.Tmax, v[tmax], "the dew point is higher than the highest temperature of the day")
	rd.notOver(&r.Twet, &v[twet], &r.Tdry, v[tdry], "the wet bulb is higher than the dry bulb")
	if rd.opt.Site == nil {
		return
	}
	φ, j := et.Radians(rd.opt.Site.LatitudeDeg), et.DayOfYear(r.Date.Value())
	if rs := v[solar]; !math.IsNaN(rs) {
		ra := et.ExtraterrestrialDaily(φ, j)
		rso := et.ClearSky(ra, rd.opt.Site.ElevationM)
		switch {
		case rs > ra+solarDayLimit.under: // the sensor's error, for the polar night
			rd.problem(&r.Solar, "more than the sun gives outside the air on that day, %s; check the unit and the date", inUnit(&r.Solar, ra))
		case rs > clearSkyMost*rso+solarDayLimit.under:
			rd.doubt("clear", &r.Solar, "more than %g times what a clear sky gives on that day, %s; the sensor may read high", clearSkyMost, inUnit(&r.Solar, rso))
		case rs < darkestShare*ra:
			rd.doubt("dark", &r.Solar, "less than the darkest sky gives on that day, %s; the sensor may be covered", inUnit(&r.Solar, darkestShare*ra))
		}
	}
	if n := et.DaylightHours(et.SunsetHourAngle(φ, et.Declination(j))); v[sunshine] > n+shineSlackH {
		rd.doubt("shine", &r.Sunshine, "longer than the day, %.1f h", n)
	}
}

// checkHour checks the values of one hourly row.
func (rd *reader) checkHour(r *hourRow, start time.Time, v *values) {
	rd.notOver(&r.Tdew, &v[tdew], &r.Temp, v[temp], "the dew point is higher than the temperature of the hour")
	rs := v[solar]
	if math.IsNaN(rs) {
		return
	}
	// Long and Dutton (2002), BSRN recommended tests, extremely rare limit (from
	// memory): 1.2 Sa cos^1.2(zenith) + 50 W/m², here of the mean over the hour.
	const perW = 3600e-6 // MJ in an hour for each W
	sa := et.SolarConstantMJ * 60 * et.InverseDistance(start.UTC().YearDay())
	ra := rd.opt.Site.Hourly(et.FAO56, et.MissingHour(start)).RaMJ
	if most := 1.2*sa*math.Pow(ra/sa, 1.2) + 50*perW; rs > most {
		rd.doubt("clear", &r.Solar, "more than the sun can well give in that hour, %s; the clock or the time zone may be wrong", inUnit(&r.Solar, most))
	}
}

// notOver checks a temperature that cannot exceed another.
func (rd *reader) notOver(n *input.Number, v *float64, other *input.Number, top float64, what string) {
	switch {
	case *v > top+dewSlackC:
		rd.problem(n, "%s, %s %s", what, other.Column, other.Text)
	case *v > top:
		rd.doubt("over", n, "%s, %s %s, by no more than a sensor's error; taken as equal", what, other.Column, other.Text)
		*v = top
	}
}

func (rd *reader) problem(n *input.Number, format string, args ...any) {
	rd.problems = append(rd.problems, n.Problem(fmt.Sprintf(format, args...)))
}

func (rd *reader) doubt(kind string, n *input.Number, format string, args ...any) {
	rd.doubts.add(kind, n.Problem(fmt.Sprintf(format, args...)))
}
