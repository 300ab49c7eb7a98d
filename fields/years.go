// Earlier years as history.csv has them, and the dry spells in them.

package fields

import (
	"fmt"
	"math"
	"time"

	"github.com/golang-sql/civil"

	"sandwick/et"
	"sandwick/et/input"
	"sandwick/et/spells"
	"sandwick/et/weather"
)

// Years is the weather of earlier years. Nothing of the day it was made for,
// or later, is in it.
type Years struct {
	rec    weather.Record
	refs   []et.Reference
	before civil.Date
}

// Years reads history.csv as it was known on a day. Without a history.csv it
// has no days.
func (f *Farm) Years(today civil.Date) (*Years, input.Problems) {
	rec, problems := f.History()
	if len(problems) > 0 {
		return nil, problems
	}
	return &Years{rec, rec.References(f.Site, f.Method), today}, nil
}

// Days is the number of days known.
func (y *Years) Days() int {
	if len(y.rec.Days) == 0 {
		return 0
	}
	return min(len(y.rec.Days), max(0, y.before.DaysSince(y.rec.Days[0].Date)))
}

// Span are the first and the last day known; ok is false when there is none.
func (y *Years) Span() (first, last civil.Date, ok bool) {
	n := y.Days()
	if n == 0 {
		return first, last, false
	}
	return y.rec.Days[0].Date, y.rec.Days[n-1].Date, true
}

// at finds a day that is known.
func (y *Years) at(d civil.Date) (int, bool) {
	i, ok := y.rec.Index(d)
	return i, ok && i < y.Days()
}

// Spells makes the dry spells of the years countable.
func (y *Years) Spells(rule spells.Rule) (*spells.History, error) {
	n := y.Days()
	if n == 0 {
		return spells.New(civil.Date{}, nil, nil, rule)
	}
	rain, eto := make([]float64, n), make([]float64, n)
	for i := range n {
		rain[i], eto[i] = y.rec.Days[i].RainMM, y.refs[i].EToMM
	}
	return spells.New(y.rec.Days[0].Date, rain, eto, rule)
}

// inYear is the day of a year that stands for a calendar day: 28 February for
// 29 February where there is none.
func inYear(d civil.Date, year int) civil.Date {
	d.Year = year
	if d.Month == time.February && d.Day == 29 && !d.IsValid() {
		d.Day = 28
	}
	return d
}

// mean is the mean day of all years within NormalDays of the same calendar day,
// without rain; with dry set, of the days without useful rain only. ok is false
// when there is none.
func (y *Years) mean(d civil.Date, dry *spells.Rule) (et.Reference, bool) {
	first, last, ok := y.Span()
	if !ok {
		return et.Reference{}, false
	}
	var days []et.Reference
	for year := first.Year - 1; year <= last.Year+1; year++ {
		same := inYear(d, year)
		for k := -NormalDays; k <= NormalDays; k++ {
			i, ok := y.at(same.AddDays(k))
			if !ok || math.IsNaN(y.refs[i].EToMM) {
				continue
			}
			if dry != nil && dry.Kind(y.rec.Days[i].RainMM, y.refs[i].EToMM) != spells.Dry {
				continue
			}
			days = append(days, y.refs[i])
		}
	}
	if len(days) == 0 {
		return et.Reference{}, false
	}
	return meanReference(d, days), true
}

// DryRun is how long it has been dry.
type DryRun struct {
	Field   string     // "" for the station
	Through civil.Date // the last day whose rain is known; zero: none is
	Days    int        // dry days in a row up to it
	AtLeast bool       // the record does not tell when the spell began
}

// DryRuns tells how long it has been dry at the station and, by gauge or else
// by station, on every field.
func (s *Season) DryRuns(rule spells.Rule) (station DryRun, byField []DryRun, err error) {
	f := s.Farm
	first := f.Weather.Days[0].Date
	n := max(0, s.Today.DaysSince(first))
	rain, eto := make([]float64, n), make([]float64, n)
	for i := range n {
		rain[i], eto[i] = math.NaN(), math.NaN()
		if i < len(f.Weather.Days) {
			rain[i] = f.Weather.Days[i].RainMM
			if r, ok := f.measured(f.Weather.Days[i].Date, s.Today); ok {
				eto[i] = r.EToMM
			}
		}
	}
	station, err = dryRun("", first, rain, eto, rule)
	gauges := f.gaugeRain(first, n, s.Today)
	for i := range f.Fields {
		own := make([]float64, n)
		for d := range own {
			if own[d] = gauges[i*n+d]; math.IsNaN(own[d]) {
				own[d] = rain[d]
			}
		}
		run, e := dryRun(f.Fields[i].Name, first, own, eto, rule)
		if e != nil {
			err = e
		}
		byField = append(byField, run)
	}
	return station, byField, err
}

func dryRun(field string, first civil.Date, rain, eto []float64, rule spells.Rule) (DryRun, error) {
	h, err := spells.New(first, rain, eto, rule)
	if err != nil {
		return DryRun{}, fmt.Errorf("fields: %w", err)
	}
	r := DryRun{Field: field, AtLeast: true}
	last := len(rain) - 1
	for last >= 0 && rule.Kind(rain[last], eto[last]) == spells.Unknown {
		last--
	}
	if last >= 0 {
		r.Through = first.AddDays(last)
		r.Days, r.AtLeast = h.DryRun(r.Through)
	}
	return r, nil
}
