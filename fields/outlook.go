// The weather of every day of the season and of the days to come: measured
// where it was, forecast where there is a forecast, and otherwise the closest
// thing to it, always marked.

package fields

import (
	"math"

	"github.com/golang-sql/civil"

	"sandwick/et"
	"sandwick/et/weather"
)

// Basis tells where the weather of a day comes from.
type Basis uint8

const (
	// Measured is a day of weather.csv with temperatures.
	Measured Basis = iota
	// Forecast is a day of forecast.csv.
	Forecast
	// Carried is a day without weather of its own: reference ET, temperature,
	// wind and humidity are the means of the last CarryDays days measured, and
	// no rain falls but what a gauge recorded.
	Carried
	// Normal is a day to come beyond the forecast: the mean of history.csv over
	// all years, of the days within NormalDays of the same calendar day. No rain.
	Normal
	// Past is a day of history.csv in the place of the same day to come; see Ensemble.
	Past
	// Supposed is a day whose rain somebody asks about; see Ahead.Suppose.
	Supposed
)

// String names the basis as outputs do.
func (b Basis) String() string {
	return [...]string{"measured", "forecast", "carried", "normal", "past", "supposed"}[b]
}

const (
	// CarryDays is how many measured days the weather of a carried day is the
	// mean of: long enough to even out single days, short enough to stay in season.
	CarryDays = 7
	// NormalDays is how far from the calendar day history counts, in days either
	// side: with ten years it makes a mean of 70 days.
	NormalDays = 3
)

// Sky is the weather of one day, for all the farm.
type Sky struct {
	et.Reference // RainMM is the station's; in days to come what is expected: amount × chance
	Basis        Basis
	RainChance   float64 // 0..1; NaN unless Forecast gives it
	ForecastMM   float64 // rain amount forecast, before the chance; NaN unless Forecast
}

// skies lists the days [from, through]; weather measured on or after today is
// not looked at. ok is false when not even a day to carry from is known.
func (f *Farm) skies(from, through, today civil.Date, normal func(civil.Date) (et.Reference, bool)) (list []Sky, ok bool) {
	var carry carrier
	// Prime with the measured days before from.
	for d := from.AddDays(-CarryDays); d.Before(from); d = d.AddDays(1) {
		if r, ok := f.measured(d, today); ok {
			carry.add(r)
		}
	}
	for d := from; !d.After(through); d = d.AddDays(1) {
		s := Sky{RainChance: math.NaN(), ForecastMM: math.NaN()}
		r, known := f.measured(d, today)
		switch {
		case known:
			s.Reference = r
			carry.add(r)
		case f.forecast(d, &s):
		default:
			if !d.Before(today) && normal != nil {
				if s.Reference, ok = normal(d); ok {
					s.Basis = Normal
					break
				}
			}
			if carry.n == 0 {
				return list, false
			}
			s.Reference = carry.mean(d)
			s.Basis = Carried
		}
		list = append(list, s)
	}
	return list, true
}

// measured finds a day of weather.csv with a reference ET, as known on the
// morning of today.
func (f *Farm) measured(d, today civil.Date) (et.Reference, bool) {
	r, ok := measured(&f.Weather, f.refs, d)
	if !ok {
		return r, false
	}
	i, _ := f.Weather.Index(d)
	return r, f.Weather.KnownOn(i, today)
}

// measured finds a day with a reference ET.
func measured(rec *weather.Record, refs []et.Reference, d civil.Date) (et.Reference, bool) {
	i, ok := rec.Index(d)
	if !ok || math.IsNaN(refs[i].EToMM) {
		return et.Reference{}, false
	}
	return refs[i], true
}

// forecast fills in a day of forecast.csv. Rain counts with its chance.
func (f *Farm) forecast(d civil.Date, s *Sky) bool {
	r, ok := measured(&f.Forecast, f.fcRefs, d)
	if !ok {
		return false
	}
	i, _ := f.Forecast.Index(d)
	s.Reference, s.Basis = r, Forecast
	s.ForecastMM = r.RainMM
	if chance := f.Forecast.RainChance[i]; !math.IsNaN(chance) {
		s.RainChance = chance
		s.RainMM *= chance
	}
	return true
}

// carrier keeps the last CarryDays measured days.
type carrier struct {
	days [CarryDays]et.Reference
	n    int
}

func (c *carrier) add(r et.Reference) {
	c.days[c.n%CarryDays] = r
	c.n++
}

func (c *carrier) mean(d civil.Date) et.Reference {
	return meanReference(d, c.days[:min(c.n, CarryDays)])
}

// allFilled marks a day of which nothing was measured.
const allFilled = et.FilledTemperature | et.FilledHumidity | et.FilledWind | et.FilledRadiation | et.FilledRain

// meanReference is the mean of some days, without rain.
func meanReference(d civil.Date, days []et.Reference) et.Reference {
	m := et.Reference{Date: d, Filled: allFilled}
	w := 1 / float64(len(days))
	for i := range days {
		r := &days[i]
		m.EToMM += w * r.EToMM
		m.TmaxC += w * r.TmaxC
		m.TminC += w * r.TminC
		m.EaKPa += w * r.EaKPa
		m.EsKPa += w * r.EsKPa
		m.U2MPerS += w * r.U2MPerS
		m.RHminPct += w * r.RHminPct
		m.RaMJ += w * r.RaMJ
		m.RsMJ += w * r.RsMJ
		m.RnMJ += w * r.RnMJ
	}
	return m
}

// normals gives the mean day of earlier years; nil when there is no history.
// What is wrong in history.csv comes as doubts of the season.
func (f *Farm) normals(s *Season) func(civil.Date) (et.Reference, bool) {
	rec, problems := f.history()
	if len(problems) > 0 {
		s.Doubts = append(s.Doubts, problems...)
		return nil
	}
	if len(rec.Days) == 0 {
		return nil
	}
	refs := rec.References(f.Site, f.Method)
	return func(d civil.Date) (et.Reference, bool) {
		var days []et.Reference
		for year := rec.Days[0].Date.Year; year <= refs[len(refs)-1].Date.Year; year++ {
			same := civil.Date{Year: year, Month: d.Month, Day: d.Day}
			if !same.IsValid() { // 29 February
				same.Day = 28
			}
			for k := -NormalDays; k <= NormalDays; k++ {
				past := same.AddDays(k)
				if s.Today.IsValid() && !past.Before(s.Today) {
					continue // a history that goes on into the season tells nothing beforehand
				}
				if r, ok := measured(&rec, refs, past); ok {
					days = append(days, r)
				}
			}
		}
		if len(days) == 0 {
			return et.Reference{}, false
		}
		return meanReference(d, days), true
	}
}
