// What air and crop ask of the ground: one demand a day and field, shared by
// all cells of the field.

package fields

import (
	"slices"

	"github.com/golang-sql/civil"

	"sandwick/et/crop"
	"sandwick/et/input"
	"sandwick/fields/records"
	"sandwick/soilwater"
)

// CropDay is one day of the crop of one field, and what it asks of the ground.
type CropDay struct {
	Crop   crop.Day
	Demand soilwater.Demand
}

// cropDays draws the crop of every field over the days of skies, which may
// begin before the days wanted; wet is of the single coefficient.
func (f *Farm) cropDays(skies []Sky, wet []crop.Wetness, cuts func(field int) []civil.Date) [][]CropDay {
	climate := make([]crop.Climate, len(skies))
	for i := range skies {
		r := &skies[i].Reference
		climate[i] = crop.Climate{Date: r.Date, TmaxC: r.TmaxC, TminC: r.TminC, U2MPerS: r.U2MPerS, RHminPct: r.RHminPct}
	}
	out := make([][]CropDay, len(f.Fields))
	for i := range f.Fields {
		fd := &f.Fields[i]
		season := crop.Season{Crop: fd.Crop, Start: fd.Start, Cuts: cuts(i), End: fd.End}
		if wet != nil {
			season.Wetness = &wet[i]
		}
		out[i] = make([]CropDay, len(skies))
		for d, day := range season.Days(climate) {
			c := &out[i][d]
			c.Crop = day
			c.Demand = soilwater.Demand{
				EToMM: skies[d].EToMM, Kcb: day.Kcb, P: day.P, RootM: day.RootM, Single: f.Start.Single,
			}
			if f.Start.Single {
				c.Demand.Kcb = day.Kc
				continue
			}
			c.Demand.KcMax = crop.KcMax(day, climate[d])
			c.Demand.Cover = crop.Cover(day, c.Demand.KcMax)
		}
	}
	return out
}

// DoneDays is how near to a planned cut a recorded one must be to be taken for
// it: a cut is moved for weather by days, and two cuts of one field lie six weeks
// apart. Common practice, no published source.
const DoneDays = 14

// RecordedCuts are the cuts of a field known on the morning of today, in order
// of date: those recorded with a date up to today, and today's own.
func (f *Farm) RecordedCuts(field int, today civil.Date) []civil.Date {
	return f.cutsWhere(field, func(d civil.Date) bool { return !d.After(today) })
}

func (f *Farm) cutsWhere(field int, holds func(civil.Date) bool) []civil.Date {
	var out []civil.Date
	for _, c := range f.Records.Cuts {
		if c.Field == f.Fields[field].Name && holds(c.Date) {
			out = append(out, c.Date)
		}
	}
	return out
}

// CutsAhead are the planned cuts of a field from today on, without those that
// a recorded cut stands for; see [openCuts].
func (f *Farm) CutsAhead(field int, today civil.Date) []civil.Date {
	open := openCuts(f.Fields[field].PlannedCuts, f.RecordedCuts(field, today))
	return slices.DeleteFunc(open, func(d civil.Date) bool { return d.Before(today) })
}

// cutsThrough are the cuts that the crop of a field is drawn with from today on:
// those recorded, and those still planned.
func (f *Farm) cutsThrough(field int, today civil.Date) []civil.Date {
	return append(f.RecordedCuts(field, today), f.CutsAhead(field, today)...)
}

// openCuts are the planned cuts that no recorded cut stands for, in the order of
// planned. A recorded cut stands for one planned cut at most: the nearest within
// DoneDays, before or after, of two as near the earlier. A field mown on two
// days has done one planned cut, not two.
func openCuts(planned, recorded []civil.Date) []civil.Date {
	taken := make([]bool, len(planned))
	for _, r := range recorded {
		best, away := -1, DoneDays+1
		for i, d := range planned {
			n := d.DaysSince(r)
			n = max(n, -n)
			if n < away || best >= 0 && n == away && d.Before(planned[best]) {
				best, away = i, n
			}
		}
		if best >= 0 {
			taken[best] = true
		}
	}
	var open []civil.Date
	for i, d := range planned {
		if !taken[i] {
			open = append(open, d)
		}
	}
	return open
}

// doubtCuts doubts planned cuts that the weather record has long passed and of
// which cuts.csv knows nothing.
func (f *Farm) doubtCuts() input.Problems {
	var doubts input.Problems
	last := f.Weather.Days[len(f.Weather.Days)-1].Date
	if f.Today.IsValid() {
		last = f.Today
	}
	for i := range f.Fields {
		fd := &f.Fields[i]
		recorded := f.cutsWhere(i, func(civil.Date) bool { return true })
		for _, d := range openCuts(fd.PlannedCuts, recorded) {
			if d.Before(last) {
				doubts.Add(fd.Pos, "fields.planned_cuts", d.String(), "is past and %s/%s has no cut of %s near it; the crop is taken as standing", records.Dir, records.CutsFile, fd.Name)
			}
		}
	}
	return doubts
}
