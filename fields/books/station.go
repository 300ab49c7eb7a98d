// The station's record of this and earlier years, by date.

package books

import (
	"math"

	"github.com/golang-sql/civil"

	"sandwick/et"
	"sandwick/fields"
)

// Station sums the weather of a stretch of days.
type Station struct {
	RainMM, EToMM          float64
	RainMissing, ETMissing int // days without
}

// skies finds measured days in weather.csv and history.csv; the first has the
// last word.
type skies []map[civil.Date]*et.Reference

func newSkies(f *fields.Farm) skies {
	var list skies
	add := func(refs []et.Reference) {
		m := make(map[civil.Date]*et.Reference, len(refs))
		for i := range refs {
			m[refs[i].Date] = &refs[i]
		}
		list = append(list, m)
	}
	add(f.Weather.References(f.Site, f.Method))
	// What is wrong in history.csv is told elsewhere; here it is as if there were none.
	if past, problems := f.History(); len(problems) == 0 {
		add(past.References(f.Site, f.Method))
	}
	return list
}

// skies is the weather of this and earlier years.
func (b *Books) skies() skies {
	if b.sky == nil {
		b.sky = newSkies(b.Season.Farm)
	}
	return b.sky
}

// on is the weather of a day; nil if none was measured.
func (s skies) on(d civil.Date) *et.Reference {
	for _, m := range s {
		if r := m[d]; r != nil && !math.IsNaN(r.EToMM) {
			return r
		}
	}
	return nil
}

// sum adds up so many days.
func (s skies) sum(first civil.Date, days int) Station {
	var out Station
	for i := range days {
		r := s.on(first.AddDays(i))
		if r == nil {
			out.RainMissing++
			out.ETMissing++
			continue
		}
		out.EToMM += r.EToMM
		if r.Filled&et.FilledRain != 0 || math.IsNaN(r.RainMM) {
			out.RainMissing++
		} else {
			out.RainMM += r.RainMM
		}
	}
	return out
}
