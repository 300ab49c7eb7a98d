// What a page is made from, gathered from the farm, the season's books and the
// plan. No reckoning beyond sums of what is known already.
package main

import (
	"math"
	"time"

	"sandwick/cmd/sandwick/internal/page"
	"sandwick/cmd/sandwick/internal/report"
	"sandwick/fields"
	"sandwick/fields/books"
	"sandwick/pivot"
	"sandwick/pivot/runplan"
)

const (
	// pastDays is how many measured days the weather plot shows.
	pastDays = 28
	// fedDays and fedShare: ground counts as fed by the water table where it gave
	// at least so much of what the ground used in so many days. What a map shows
	// by its pattern, no more; the plan does not know of it.
	fedDays  = 7
	fedShare = 0.5
)

// pageFacts gathers a page. answer is nil on a page without a plan, and then the
// days ahead are those of ground that gets no water.
func (v view) pageFacts(kind page.Kind, season *fields.Season, ahead *fields.Ahead, plan *runplan.Plan, answer *report.Plan) (*page.Args, error) {
	a := &page.Args{Kind: kind, Farm: v.farm.Name, Now: v.now, Units: v.units, Plan: answer, Currency: v.farm.Currency}
	past := pastDays
	if kind == page.WaterBook {
		past = season.Days()
	}
	a.Weather = pageWeather(season, ahead, past)
	passes := []runplan.Pass{}
	if plan != nil {
		passes = plan.Passes
	}
	course, err := ahead.Problem.Course(passes)
	if err != nil {
		return nil, err
	}
	mornings := season.Mornings(ahead)
	for p := range v.farm.Pivots {
		a.Pivots = append(a.Pivots, v.pagePivot(p, season, ahead, course[p], mornings))
	}
	for z := range v.farm.Zones {
		if v.farm.ZonePivot(z) < 0 {
			zone := v.pageZone(z, season)
			zone.Ahead = len(zone.Days)
			zone.Days = append(zone.Days, daysAhead(season, season.RainfedCourse(z, ahead))...)
			a.Rainfed = append(a.Rainfed, zone)
		}
	}
	a.Wells = pageWells(&ahead.Problem, passes)
	a.Use = v.pageUse(season, passes)
	a.Outlook = v.pageOutlook(season, false)
	return a, nil
}

// keepPivots leaves only the machines asked for on a page.
func keepPivots(a *page.Args, keep func(string) bool) {
	kept := a.Pivots[:0]
	for _, p := range a.Pivots {
		if keep(p.Machine.Name) {
			kept = append(kept, p)
		}
	}
	a.Pivots = kept
}

func (v view) pagePivot(p int, season *fields.Season, ahead *fields.Ahead, course [][]runplan.CourseDay, mornings []fields.Morning) page.Pivot {
	f := v.farm
	m := &ahead.Problem.Machines[p]
	arm := f.ArmAt(p, v.now)
	out := page.Pivot{Machine: &f.Pivots[p].Machine, Slices: len(f.SliceM2(p)), Arm: arm.At}
	if at, ok := v.armNow(p); ok && arm.Running {
		out.BusyTo, out.Wet, out.Stop, out.Arm = arm.FreeAt, arm.Water, arm.At, at
	}
	for i := range f.Fields {
		if f.Fields[i].Pivot == m.Name {
			out.Crops = append(out.Crops, v.pageCrop(i, season))
		}
	}
	k := 0 // zones of a machine come in the farm's order
	for z := range f.Zones {
		if f.ZonePivot(z) != p {
			continue
		}
		zone := v.pageZone(z, season)
		zone.Morning = page.Cell{DepletionMM: mornings[z].DriestMM, TriggerMM: mornings[z].DriestTriggerMM}
		mz := &m.Zones[k]
		for c := range m.Cells {
			cell := &m.Cells[c]
			if cell.Zone != k {
				continue
			}
			depletion, taw, raw := mz.Column.Totals(&cell.State, &mz.Demand[0], mz.TableM[0])
			trigger := raw
			if mz.TriggerMM != nil {
				trigger = mz.TriggerMM(taw, raw)
			}
			zone.Cells = append(zone.Cells, page.Cell{Slice: cell.Slice, DepletionMM: depletion, TriggerMM: trigger})
		}
		zone.Ahead, zone.TableM = len(zone.Days), mz.TableM[0]
		zone.Days = append(zone.Days, daysAhead(season, course[k])...)
		out.Zones = append(out.Zones, zone)
		k++
	}
	return out
}

func daysAhead(season *fields.Season, course []runplan.CourseDay) []page.SoilDay {
	list := make([]page.SoilDay, len(course))
	for d := range course {
		day := &course[d]
		list[d] = page.SoilDay{
			Date: season.Today.AddDays(d), DepletionMM: day.DepletionMM, DriestMM: day.DriestMM,
			LowMM: day.LowMM, HighMM: day.HighMM, TriggerMM: plotted(day.TriggerMM),
			RainMM: day.RainMM, IrrigationMM: day.GrossMM,
		}
	}
	return list
}

// pageZone is a zone with its season to date.
func (v view) pageZone(z int, season *fields.Season) page.Zone {
	zone := &v.farm.Zones[z]
	out := page.Zone{Name: zone.Name, Field: zone.Field, Soil: zone.Soil, Area: zone.Area,
		AreaM2: v.farm.ZoneAreaM2(z), TableM: zone.TableM}
	rise, used := 0.0, 0.0
	for d := range season.Days() {
		a := season.Account(d, z)
		out.Days = append(out.Days, page.SoilDay{
			Date: a.Date, DepletionMM: a.DepletMM, DriestMM: a.DepletMax, LowMM: a.DepletMM, HighMM: a.DepletMM,
			TriggerMM: a.TriggerMM, RainMM: a.RainMM, IrrigationMM: a.GrossMM,
		})
		if d >= season.Days()-fedDays {
			rise, used = rise+a.UpfluxMM, used+a.ETMM
		}
	}
	out.Fed = used > 0 && rise >= fedShare*used
	return out
}

func (v view) pageCrop(field int, season *fields.Season) page.Crop {
	fd := &v.farm.Fields[field]
	out := page.Crop{Field: fd.Name, Crop: fd.CropName, DryDays: fd.DryDays}
	if n := season.Days(); n > 0 {
		out.Stage = season.Crop(n-1, field).Crop.Stage.String()
	}
	if cuts := v.farm.CutsAhead(field, season.Today); len(cuts) > 0 {
		out.Cut = cuts[0]
		out.LastWater = v.farm.StartOfDay(cuts[0].AddDays(-fd.DryDays))
	}
	return out
}

func pageWeather(season *fields.Season, ahead *fields.Ahead, past int) []page.WeatherDay {
	list := []page.WeatherDay{}
	add := func(sky *fields.Sky, to bool) {
		list = append(list, page.WeatherDay{Date: sky.Date, EToMM: sky.EToMM, RainMM: sky.RainMM, TmaxC: sky.TmaxC, TminC: sky.TminC,
			RainChance: sky.RainChance, Basis: sky.Basis.String(), Ahead: to})
	}
	for d := max(0, season.Days()-past); d < season.Days(); d++ {
		add(&season.Skies[d], false)
	}
	for d := range ahead.Skies {
		add(&ahead.Skies[d], true)
	}
	return list
}

// pageWells lists every well with its machines' hours.
func pageWells(p *runplan.Problem, passes []runplan.Pass) []page.Well {
	list := []page.Well{}
	for i := range p.Wells {
		w := page.Well{Name: p.Wells[i].Name, NoRun: spans(p.Wells[i].NoRun)}
		for j := range p.Machines {
			m := &p.Machines[j]
			if m.Well != w.Name {
				continue
			}
			lane := page.Lane{Pivot: m.Name, NoRun: spans(m.NoRun), NoWater: spans(m.NoWater)}
			for z := range m.Zones {
				lane.NoWater = append(lane.NoWater, spans(m.Zones[z].NoWater)...)
			}
			if m.FreeAt.After(p.Now) {
				lane.Runs = append(lane.Runs, page.Run{From: p.Now, To: m.FreeAt, Wet: m.RunningM3H > 0})
			}
			for k := range passes {
				if passes[k].Pivot == m.Name {
					lane.Runs = append(lane.Runs, runs(&passes[k])...)
				}
			}
			w.Lanes = append(w.Lanes, lane)
		}
		list = append(list, w)
	}
	return list
}

func spans(ws []runplan.Window) []page.Span {
	out := make([]page.Span, 0, len(ws))
	for _, w := range ws {
		out = append(out, page.Span(w))
	}
	return out
}

// runs are the stretches in which a pass moves, wet and dry, its pauses left out.
func runs(p *runplan.Pass) []page.Run {
	out := []page.Run{}
	add := func(from, to time.Time, wet bool) {
		if !to.After(from) {
			return
		}
		if n := len(out); n > 0 && out[n-1].Wet == wet && out[n-1].To.Equal(from) {
			out[n-1].To = to
			return
		}
		out = append(out, page.Run{From: from, To: to, Wet: wet})
	}
	for i := range p.Legs {
		l := &p.Legs[i]
		at := l.Start
		for _, s := range p.Pauses {
			if s.To.After(at) && s.From.Before(l.End) {
				add(at, s.From, l.Water)
				at = s.To
			}
		}
		add(at, l.End, l.Water)
	}
	return out
}

// pageUse is the season's withdrawal to date by the books, and what the plan adds.
func (v view) pageUse(season *fields.Season, passes []runplan.Pass) []page.Use {
	if season.Days() == 0 {
		return nil
	}
	b := books.Make(season, books.Options{})
	list := []page.Use{}
	for i := range b.Wells {
		w := &b.Wells[i]
		u := page.Use{Well: w.Name, TakenM3: w.Season.M3, Hours: w.Season.PumpHours, LimitM3: w.LimitM3,
			LeftM3:     math.Max(0, w.LimitM3-w.Season.M3),
			EnergyCost: w.Season.EnergyCost, FuelCost: w.Season.FuelCost, LabourCosts: w.Season.LabourCost}
		for k := range passes {
			if passes[k].Well == w.Name {
				u.PlannedM3 += passes[k].VolumeM3
			}
		}
		list = append(list, u)
	}
	return list
}

// pageOutlook is the dry spell to come; nil where the earlier years cannot be
// read, which `check` and `outlook` tell.
func (v view) pageOutlook(season *fields.Season, byFarm bool) *report.Outlook {
	o, problems, err := season.DryOutlook(v.now, defaultOutlookDays, false)
	if len(problems) > 0 || err != nil {
		return nil
	}
	return report.NewOutlook(v.outlookFacts(season, o, byFarm))
}

// armNow is where the arm of a trip under way is; it walks evenly from row to
// row, as the books have it, and stands between them.
func (v view) armNow(p int) (at pivot.Azimuth, ok bool) {
	for i := range v.farm.Records.Passes {
		pass := &v.farm.Records.Passes[i]
		if pass.Pivot != v.farm.Pivots[p].Name || pass.Start.After(v.now) {
			continue
		}
		turned := pass.Arc().Span() * min(1, v.now.Sub(pass.Start).Hours()/pass.Hours())
		if !pass.Clockwise {
			turned = -turned
		}
		at, ok = pass.From.Add(turned), true
	}
	return at, ok
}

// plotted is a trigger for a plot: 0 where ground without a crop has none.
func plotted(triggerMM float64) float64 {
	if math.IsInf(triggerMM, 1) {
		return 0
	}
	return triggerMM
}
