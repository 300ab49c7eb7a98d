// Whose rain counts where.
//
// A gauge reading in records/rain.csv takes the place of the station's rain of
// its date, 0 too, on the ground it stands for: a reading of a field on that
// field, a reading of a pivot on every field under it that has no reading of
// its own. Several readings of one place and date add up. Without a reading
// the station's rain counts; a station that measured none that day counts as
// none and the day is marked.

package fields

import (
	"math"

	"github.com/golang-sql/civil"
)

// gaugeRain is the rain recorded by field and day, NaN where there is no
// reading: [field*days+day] from a first day on, by what is known on today. A
// reading of a later date is no forecast.
func (f *Farm) gaugeRain(first civil.Date, days int, today civil.Date) []float64 {
	out := make([]float64, len(f.Fields)*days)
	own := make([]bool, len(out))
	for i := range out {
		out[i] = math.NaN()
	}
	add := func(i int, mm float64) {
		if math.IsNaN(out[i]) {
			out[i] = 0
		}
		out[i] += mm
	}
	known := min(days, today.DaysSince(first)+1)
	for _, r := range f.Records.Rain {
		d := r.Date.DaysSince(first)
		if d < 0 || d >= known {
			continue
		}
		if i := f.FieldIndex(r.Place); i >= 0 {
			own[i*days+d] = true
			add(i*days+d, r.MM)
		}
	}
	for _, r := range f.Records.Rain {
		d := r.Date.DaysSince(first)
		if d < 0 || d >= known || f.FieldIndex(r.Place) >= 0 {
			continue
		}
		for i := range f.Fields {
			if f.Fields[i].Pivot == r.Place && !own[i*days+d] {
				add(i*days+d, r.MM)
			}
		}
	}
	return out
}
