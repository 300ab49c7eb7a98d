// Doubts about the season's rain as a whole: a column in another unit than it is
// named by is wrong by a factor of 25, and each day of it passes for weather.

package fields

import (
	"fmt"

	"github.com/golang-sql/civil"

	"sandwick/et/input"
)

// When a season's rain is doubted. Millimetres taken for inches make 25 times
// too much, inches taken for millimetres a 25th; no season is so far from the mean
// of earlier ones. Without earlier years the bounds are those of ground that is
// farmed with pivots at all. Assumptions, no published source.
const (
	rainDays       = 45   // days measured, from which on the sum tells something
	rainOfMeanMost = 4.0  // times the mean of the same days in earlier years
	rainOfMeanLeft = 0.1  // of it
	rainMeanMM     = 40.0 // a mean below tells nothing
	rainMostMM     = 20.0 // a day in the mean, without earlier years
	rainLeastMM    = 0.05
)

// DoubtRain doubts the season's rain of the station against earlier years, or,
// without any, against what is possible. It reads history.csv.
func (f *Farm) DoubtRain() input.Problems {
	var doubts input.Problems
	sum, days := 0.0, 0
	measured := map[civil.Date]bool{}
	for i := range f.Weather.Days {
		d := &f.Weather.Days[i]
		if d.Date.Before(f.Start.Date) || !(d.RainMM >= 0) {
			continue
		}
		sum += d.RainMM
		days++
		measured[civil.Date{Year: 2000, Month: d.Date.Month, Day: d.Date.Day}] = true
	}
	if days < rainDays {
		return nil
	}
	history, _ := f.History()
	byYear, daysOf := map[int]float64{}, map[int]int{}
	for i := range history.Days {
		d := &history.Days[i]
		if d.RainMM >= 0 && d.Date.Year != f.Start.Date.Year && measured[civil.Date{Year: 2000, Month: d.Date.Month, Day: d.Date.Day}] {
			byYear[d.Date.Year] += d.RainMM
			daysOf[d.Date.Year]++
		}
	}
	mean, years := 0.0, 0
	for year, mm := range byYear {
		if daysOf[year]*10 >= days*9 {
			mean += mm
			years++
		}
	}
	depth := func(mm float64) string {
		if f.US {
			return fmt.Sprintf("%.1f in", mm/25.4)
		}
		return fmt.Sprintf("%.0f mm", mm)
	}
	at := input.Pos{File: WeatherFile}
	const hint = "; is the column of rain in the unit it is named by, and does the gauge work?"
	switch {
	case years > 0:
		mean /= float64(years)
		if mean >= rainMeanMM && (sum > rainOfMeanMost*mean || sum < rainOfMeanLeft*mean) {
			doubts.Add(at, "rain", "", "%s of rain in the %d days since the season began; in the mean of %d earlier years these days have %s"+hint, depth(sum), days, years, depth(mean))
		}
	case sum > rainMostMM*float64(days):
		doubts.Add(at, "rain", "", "%s of rain in the %d days since the season began, more than falls anywhere that is irrigated"+hint, depth(sum), days)
	case sum < rainLeastMM*float64(days):
		doubts.Add(at, "rain", "", "%s of rain in the %d days since the season began"+hint, depth(sum), days)
	}
	if f.dir != "" {
		inFolder(f.dir, doubts)
	}
	return doubts
}
