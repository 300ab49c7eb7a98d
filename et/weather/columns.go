// The columns of daily and hourly files.

package weather

import (
	"time"

	"github.com/golang-sql/civil"

	"sandwick/et"
	"sandwick/et/input"
)

// quantity is one measured column, of days or hours.
type quantity int

const (
	tmax quantity = iota
	tmin
	tdew
	tdry
	twet
	rhmax
	rhmin
	rhmean
	wind
	solar
	sunshine
	rain
	chance
	quantities // how many there are

	temp = tmax // hours share the numbers of what is alike
	rh   = rhmean
)

// dayRow is a row of a daily file.
type dayRow struct {
	Date     input.Date   `csv:"date"`
	Tmax     input.Number `csv:"tmax" unit:"temperature" need:"column"`
	Tmin     input.Number `csv:"tmin" unit:"temperature" need:"column"`
	Tdew     input.Number `csv:"tdew" unit:"temperature"`
	Tdry     input.Number `csv:"tdry" unit:"temperature"`
	Twet     input.Number `csv:"twet" unit:"temperature"`
	RHmax    input.Number `csv:"rhmax" unit:"percent"`
	RHmin    input.Number `csv:"rhmin" unit:"percent"`
	RHmean   input.Number `csv:"rhmean" unit:"percent"`
	Wind     input.Number `csv:"wind" unit:"speed"`
	Solar    input.Number `csv:"solar" unit:"radiation"`
	Sunshine input.Number `csv:"sunshine" unit:"hours"`
	Rain     input.Number `csv:"rain" unit:"depth"`
	Chance   input.Number `csv:"rain_chance" unit:"percent"`
}

// cells are the measured cells of a row, by quantity.
func (r *dayRow) cells() [quantities]*input.Number {
	return [...]*input.Number{&r.Tmax, &r.Tmin, &r.Tdew, &r.Tdry, &r.Twet, &r.RHmax, &r.RHmin,
		&r.RHmean, &r.Wind, &r.Solar, &r.Sunshine, &r.Rain, &r.Chance}
}

// dayLimits are the bounds of the columns of a daily file, by quantity.
var dayLimits = [quantities]limit{airLimit, airLimit, dewLimit, airLimit, airLimit, humidityLimit, humidityLimit,
	humidityLimit, windLimit, solarDayLimit, shineDayLimit, rainDayLimit, chanceLimit}

// hourRow is a row of an hourly file.
type hourRow struct {
	Time  input.Time   `csv:"time" need:"cell"`
	Temp  input.Number `csv:"temp" unit:"temperature" need:"column"`
	Tdew  input.Number `csv:"tdew" unit:"temperature"`
	RH    input.Number `csv:"rh" unit:"percent"`
	Wind  input.Number `csv:"wind" unit:"speed"`
	Solar input.Number `csv:"solar" unit:"hourly radiation"`
	Rain  input.Number `csv:"rain" unit:"depth"`
}

// hourColumn is one measured column of an hourly file.
type hourColumn struct {
	q     quantity
	limit limit
}

// hourColumns go with hourRow.cells.
var hourColumns = [...]hourColumn{{temp, airLimit}, {tdew, dewLimit}, {rh, humidityLimit},
	{wind, windLimit}, {solar, solarLimit}, {rain, rainHourLimit}}

func (r *hourRow) cells() [len(hourColumns)]*input.Number {
	return [...]*input.Number{&r.Temp, &r.Tdew, &r.RH, &r.Wind, &r.Solar, &r.Rain}
}

// values are those of a row, by quantity; NaN where there is none.
type values [quantities]float64

// day puts the values of a daily row into a day; the chance of rain stays apart.
func (v *values) day(date civil.Date) et.Day {
	return et.Day{Date: date,
		TmaxC: v[tmax], TminC: v[tmin], TdewC: v[tdew], TdryC: v[tdry], TwetC: v[twet],
		RHmaxPct: v[rhmax], RHminPct: v[rhmin], RHmeanPct: v[rhmean],
		WindMPerS: v[wind], RsMJ: v[solar], SunshineH: v[sunshine], RainMM: v[rain]}
}

// hour puts the values of an hourly row into an hour.
func (v *values) hour(start time.Time) et.Hour {
	h := et.MissingHour(start)
	h.TempC, h.TdewC, h.RHPct = v[temp], v[tdew], v[rh]
	h.WindMPerS, h.RsMJ, h.RainMM = v[wind], v[solar], v[rain]
	return h
}
