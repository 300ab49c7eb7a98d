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
// begin before the days wanted.
func (f *Farm) cropDays(skies []Sky, cuts func(field int) []civil.Date) [][]CropDay {
	climate := make([]crop.Climate, len(skies))
	for i := range skies {
		r := &skies[i].Reference
		climate[i] = crop.Climate{Date: r.Date, TmaxC: r.TmaxC, TminC: r.TminC, U2MPerS: r.U2MPerS, RHminPct: r.RHminPct}
	}
	out := make([][]CropDay, len(f.Fields))
	for i := range f.Fields {
		fd := &f.Fields[i]
		season := crop.Season{Crop: fd.Crop, Start: fd.Start, Cuts: cuts(i), End: fd.End}
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

// DoneDays is how near to a planned cut a recorded one must be to be taken for it.
const DoneDays = 14

// RecordedCuts are the cuts of a field that were recorded before today.
func (f *Farm) RecordedCuts(field int, today civil.Date) []civil.Date {
	var out []civil.Date
	for _, c := range f.Records.Cuts {
		if c.Field == f.Fields[field].Name && c.Date.Before(today) {
			out = append(out, c.Date)
		}
	}
	return out
}

// CutsAhead are the planned cuts of a field from today on, without those that
// a recorded cut stands for.
func (f *Farm) CutsAhead(field int, today civil.Date) []civil.Date {
	done := f.RecordedCuts(field, today)
	var out []civil.Date
	for _, d := range f.Fields[field].PlannedCuts {
		if !d.Before(today) && !slices.ContainsFunc(done, func(r civil.Date) bool { return near(r, d) }) {
			out = append(out, d)
		}
	}
	return out
}

func near(a, b civil.Date) bool {
	days := a.DaysSince(b)
	return -DoneDays <= days && days <= DoneDays
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
		for _, d := range fd.PlannedCuts {
			recorded := slices.ContainsFunc(f.Records.Cuts, func(c records.Cut) bool { return c.Field == fd.Name && near(c.Date, d) })
			if d.Before(last) && !recorded {
				doubts.Add(fd.Pos, "fields.planned_cuts", d.String(), "is past and %s/%s has no cut of %s near it; the crop is taken as standing", records.Dir, records.CutsFile, fd.Name)
			}
		}
	}
	return doubts
}
