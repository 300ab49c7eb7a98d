// The crop of the days from today to the season's end, for looking further than
// a plan does.

package fields

import "github.com/golang-sql/civil"

// mostAhead is how far ahead the crop is drawn, days.
const mostAhead = 366

// LastDay is the last day of the farm's season: the end in its settings, or the
// latest end of a field.
func (f *Farm) LastDay() civil.Date {
	if f.Start.End.IsValid() {
		return f.Start.End
	}
	var last civil.Date
	for i := range f.Fields {
		if e := f.seasonEnd(i); i == 0 || e.After(last) {
			last = e
		}
	}
	return last
}

// CropAhead is the crop of every field on the days from today through the farm's
// last, [field][day], with planned cuts; empty when there are none. Stages that
// follow heat go by the mean weather of earlier years, or carry the last days'.
// A field that has ended is bare.
func (s *Season) CropAhead() [][]CropDay {
	f := s.Farm
	out := make([][]CropDay, len(f.Fields))
	last := f.LastDay()
	if limit := s.Today.AddDays(mostAhead - 1); last.After(limit) {
		last = limit
	}
	if last.Before(s.Today) {
		return out
	}
	first := f.climateStart()
	skies, ok := f.skies(first, last, s.Today, f.normals(&Season{Farm: f}))
	if !ok {
		return out
	}
	lead := s.Today.DaysSince(first)
	crops := f.cropDays(skies, s.wet, func(field int) []civil.Date { return f.cutsThrough(field, s.Today) })
	for i := range crops {
		out[i] = crops[i][lead:]
		for d := range out[i] {
			if s.Today.AddDays(d).After(f.seasonEnd(i)) {
				out[i][d] = CropDay{}
			}
		}
	}
	return out
}
