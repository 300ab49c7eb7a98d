// Hours joined to civil days.

package et

import (
	"math"
	"time"

	"github.com/golang-sql/civil"
)

// HourlyDay is one civil day made of hours.
type HourlyDay struct {
	Day       Day       // the hours as one day's weather; Day.Filled says what lacks hours
	Reference Reference // the sum of the hours, or the daily equation where hours lack something
	Hours     int       // hours that there are
	Expected  int       // hours that the civil day has: 23 or 25 when the clocks change
}

// Shares of a day that have to be measured.
const (
	// enoughHours is the share of a day's hours that makes a mean or an extreme
	// usable, marked as filled. Common practice, no published source.
	enoughHours = 0.75
	// enoughSun is the share of the day's extraterrestrial radiation that falls
	// in hours with measured radiation: the rest is dawn or dusk and rounding.
	enoughSun = 0.99
)

// RollUp joins hours to the civil days of a location (nil is UTC), by the start
// of each hour. Hours are to be in ascending order; one that begins less than
// an hour after the one before it is passed over. Only days with at least one hour
// appear.
//
// A day's Reference is the sum of its hours (HoursSum tells) when every hour of
// the day is there with temperature, humidity and radiation. Otherwise the
// daily equation takes the day as rolled up: highest and lowest temperature,
// mean vapour pressure (as its dew point), extremes of relative humidity, mean
// wind, sum of radiation and rain. There a value with under three quarters of
// its hours is missing (NaN), with fewer than all of them it is used and marked;
// radiation needs all the sunlit hours; rain is the sum of what there is, marked
// where hours lack it.
func (s Site) RollUp(m Method, loc *time.Location, hours []Hour) []HourlyDay {
	if loc == nil {
		loc = time.UTC
	}
	st := s.Prepare()
	var days []HourlyDay
	var sum daySum
	sky := math.NaN()
	var last time.Time
	for _, h := range hours {
		if sum.hours > 0 && h.Start.Sub(last) < time.Hour {
			continue
		}
		last = h.Start
		date := civil.DateOf(h.Start.In(loc))
		if sum.hours > 0 && date != sum.date {
			days = append(days, sum.day(st, m, loc))
			sum = daySum{}
		}
		h.SkyRatio = sky
		r := s.Hourly(m, h)
		if r.Filled&FilledRadiation == 0 {
			sky = r.SkyRatio
		}
		sum.add(date, h, r)
	}
	if sum.hours > 0 {
		days = append(days, sum.day(st, m, loc))
	}
	return days
}

// daySum gathers the hours of one day.
type daySum struct {
	date           civil.Date
	hours          int
	temp, ea, rh   hourly
	wind, rs, rain hourly
	eto, rn        hourly
	sunMJ          float64 // Ra of the hours that have Rs
	filled         Filled  // of the hours
}

// hourly is the mean, sum and extremes of one quantity over the hours that
// have it.
type hourly struct {
	n             int
	sum, low, top float64
}

func (q *hourly) add(x float64) {
	switch {
	case math.IsNaN(x):
		return
	case q.n == 0:
		q.low, q.top = x, x
	}
	q.n++
	q.sum += x
	q.low, q.top = min(q.low, x), max(q.top, x)
}

func (d *daySum) add(date civil.Date, h Hour, r HourReference) {
	d.date = date
	d.hours++
	d.temp.add(h.TempC)
	d.ea.add(r.EaKPa)
	d.rh.add(h.RHPct)
	d.wind.add(h.WindMPerS)
	d.rs.add(r.RsMJ)
	d.rain.add(h.RainMM)
	d.eto.add(r.EToMM)
	d.rn.add(r.RnMJ)
	if !math.IsNaN(r.RsMJ) {
		d.sunMJ += r.RaMJ
	}
	d.filled |= r.Filled
}

// day closes the sum.
func (d *daySum) day(st *Station, m Method, loc *time.Location) HourlyDay {
	expected := int(d.date.AddDays(1).In(loc).Sub(d.date.In(loc)).Hours())
	out := HourlyDay{Day: MissingDay(d.date), Hours: d.hours, Expected: expected}
	// usable says whether a quantity can stand for the day, and marks it.
	usable := func(q hourly, mark Filled) bool {
		if float64(q.n) < enoughHours*float64(expected) {
			return false
		}
		if q.n < expected {
			out.Day.Filled |= mark
		}
		return true
	}
	if usable(d.temp, FilledTemperature) {
		out.Day.TmaxC, out.Day.TminC = d.temp.top, d.temp.low
	}
	if usable(d.ea, FilledHumidity) {
		out.Day.TdewC = DewPoint(d.ea.sum / float64(d.ea.n))
	}
	if d.rh.n >= expected { // else RHmin follows from the vapour pressure
		out.Day.RHmaxPct, out.Day.RHminPct = d.rh.top, d.rh.low
		out.Day.RHmeanPct = d.rh.sum / float64(d.rh.n)
	}
	if usable(d.wind, FilledWind) {
		out.Day.WindMPerS = d.wind.sum / float64(d.wind.n)
	}
	if d.sunMJ >= enoughSun*st.raMJ[DayOfYear(d.date)] {
		out.Day.RsMJ = d.rs.sum
	}
	if d.rain.n > 0 {
		out.Day.RainMM = d.rain.sum
		if d.rain.n < expected {
			out.Day.Filled |= FilledRain
		}
	}

	out.Reference = st.Daily(m, out.Day)
	if d.eto.n >= expected {
		out.Reference.EToMM = d.eto.sum
		out.Reference.RnMJ = d.rn.sum
		out.Reference.HoursSum = d.eto.n
		out.Reference.Filled |= d.filled
	}
	return out
}
