// What a weather file comes to.

package weather

import (
	"time"

	"github.com/golang-sql/civil"

	"sandwick/et"
	"sandwick/et/input"
)

// Mapping tells how a file from elsewhere is read as it is.
type Mapping = input.Mapping

// Options say how a weather file is read.
type Options struct {
	File       string         // for messages
	Mapping    Mapping        // for a file from elsewhere
	Location   *time.Location // of the times of an hourly file; nil is UTC
	Site       *et.Site       // of the station; nil leaves out the checks against the sun, and an hourly file needs it
	HourEnding bool           // hourly rows carry the time at which the hour ends, not begins
}

// Record is a weather file as read. The zero Record is an empty file.
type Record struct {
	// Days are the days from the first to the last of the file, none left out: a
	// day without a row is an et.MissingDay. Values that were not measured are
	// NaN, with one exception: a gap of at most three days in Tmax or Tmin is
	// filled by linear interpolation and marked et.FilledTemperature in the day's
	// Filled. Rain that was not measured stays NaN, which et takes as none and
	// marks et.FilledRain unless a gauge is put in its place.
	Days       []et.Day
	DayPos     []input.Pos // of each day's (first) row; of a day without one, the row after the gap
	RainChance []float64   // of each day, 0 to 1; NaN where not given
	Hours      []et.Hour   // of an hourly file, ascending, each once
	Doubts     input.Problems

	location *time.Location
	needs    map[int]int // of a filled day, by index: the day after the gap
}

// KnownOn tells whether a day of the record, by index, was as it is on the
// morning of today: it lies before today, and so does every day that a gap in
// it was filled from.
func (r *Record) KnownOn(day int, today civil.Date) bool {
	if to, ok := r.needs[day]; ok {
		day = to
	}
	return r.Days[day].Date.Before(today)
}

// Index finds a day by its date.
func (r *Record) Index(d civil.Date) (int, bool) {
	if len(r.Days) == 0 {
		return 0, false
	}
	i := d.DaysSince(r.Days[0].Date)
	return i, i >= 0 && i < len(r.Days)
}

// References gives the reference evapotranspiration of every day of the
// record: the sum of the hours where an hourly file has them all, else the
// daily equation. A day without temperature has NaN.
func (r *Record) References(site et.Site, m et.Method) []et.Reference {
	station := site.Prepare()
	refs := make([]et.Reference, len(r.Days))
	for i := range r.Days {
		refs[i] = station.Daily(m, r.Days[i])
	}
	for _, day := range site.RollUp(m, r.location, r.Hours) {
		if i, ok := r.Index(day.Day.Date); ok && day.Reference.HoursSum > 0 {
			refs[i] = day.Reference
		}
	}
	return refs
}
