// What a plan rests on, gathered from the farm: weather, water table, reach,
// assumptions, and what the grower should take note of.
package main

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"sandwick/cmd/sandwick/internal/report"
	"sandwick/cmd/sandwick/internal/units"
	"sandwick/et"
	"sandwick/fields"
	"sandwick/pivot/runplan"
)

func (v view) planFacts(season *fields.Season, ahead *fields.Ahead, plan *runplan.Plan, byFarm bool) report.PlanFacts {
	facts := report.PlanFacts{
		Farm: v.farm.Name, Currency: v.farm.Currency,
		Season: season, Problem: &ahead.Problem, Plan: plan,
		Committed: report.NewCommitted(v.farm, v.now, v.farm.StartOfDay(season.Today.AddDays(ahead.Problem.Days))),
		Weather:   weatherFacts(season, ahead),
		Forecast:  forecastRows(ahead),
		Rests:     slices.Concat(v.dayNotes(byFarm), estimateNotes(season), v.waterTableNotes(season), v.cutNotes(season, ahead.Problem.Days), v.rangeNotes(season), v.priorityNotes()),
		Assumed:   v.assumed(),
		Cuts:      v.plannedCuts(season), Mown: v.mown(season),
		Warnings: slices.Concat(rateNotes(&ahead.Problem, plan), aerationNotes(season), report.DoubtNotes(season.Doubts), report.DoubtNotes(v.farm.DoubtRain()), report.DoubtNotes(v.farm.Doubts)),
	}
	if plan.Search.TimedOut {
		facts.Warnings = append(facts.Warnings, report.Plain("the search was cut short: this is the best plan found in the time given"))
	}
	return facts
}

// priorityNotes say what [priorities] make count beyond money.
func (v view) priorityNotes() []report.Note {
	notes := []report.Note{}
	p := &v.farm.Priorities
	if len(p.Protect) > 0 && p.ProtectTimes > 1 {
		notes = append(notes, report.Plain(fmt.Sprintf("priorities: stress and lateness of %s count %.4g times what they cost", strings.Join(p.Protect, " and "), p.ProtectTimes)))
	}
	for _, name := range p.Protect {
		if fd := &v.farm.Fields[v.farm.FieldIndex(name)]; !(fd.ValuePerM2 > 0) || math.IsNaN(fd.Crop.Ky) {
			notes = append(notes, report.Plain(fmt.Sprintf("priorities: protect does nothing for %s, whose stress has no price; crop_value_per_ac under [[fields]] and ky under [[crops]] in farm.toml set it", name)))
		}
	}
	if p.DayPerH > 0 {
		clock := func(minutes int) string { return fmt.Sprintf("%02d:%02d", minutes/60, minutes%60) }
		notes = append(notes, report.Plain(fmt.Sprintf("priorities: an hour of pumping by day, %s to %s, counts %s more than it costs", clock(p.Night.To), clock(p.Night.From), units.Price(v.farm.Currency, p.DayPerH))))
	}
	return notes
}

// weatherFacts says how far the weather reaches and what stands for the rest.
func weatherFacts(season *fields.Season, ahead *fields.Ahead) report.Weather {
	w := report.Weather{Through: report.Day(season.WeatherThrough)}
	by := map[fields.Basis]int{}
	for i := range ahead.Skies {
		s := &ahead.Skies[i]
		by[s.Basis]++
		if s.Basis == fields.Forecast {
			w.Forecast = report.Day(s.Date)
		}
	}
	parts := []string{}
	if n := by[fields.Normal]; n > 0 {
		parts = append(parts, fmt.Sprintf("the mean of earlier years for %s, without rain", days(n)))
	}
	if n := by[fields.Carried]; n > 0 {
		parts = append(parts, fmt.Sprintf("the mean of the last %d days measured for %s, without rain", fields.CarryDays, days(n)))
	}
	if len(parts) > 0 {
		w.Beyond = "days without a forecast take " + strings.Join(parts, ", and ")
	}
	return w
}

func days(n int) string {
	if n == 1 {
		return "1 day"
	}
	return fmt.Sprintf("%d days", n)
}

func forecastRows(ahead *fields.Ahead) []report.ForecastRow {
	rows := []report.ForecastRow{}
	for i := range ahead.Skies {
		s := &ahead.Skies[i]
		rows = append(rows, report.ForecastRow{
			Date: report.Day(s.Date), ETo: report.Number(s.EToMM), Rain: report.Number(s.RainMM),
			RainChancePct: report.Number(100 * s.RainChance), Source: s.Basis.String(),
		})
	}
	return rows
}

// dayNotes says when the day is not the clock's.
func (v view) dayNotes(byFarm bool) []report.Note {
	if byFarm && v.farm.Today.IsValid() {
		return []report.Note{report.Plain(fmt.Sprintf("the day: farm.toml pins it to %v; the clock is not asked", v.farm.Today))}
	}
	return nil
}

// estimateNotes counts the days of the season on which weather was estimated.
func estimateNotes(season *fields.Season) []report.Note {
	counts := map[string]int{}
	for i := range season.Skies {
		for _, name := range season.Skies[i].Filled.Names() {
			counts[name]++
		}
	}
	parts := []string{}
	for f := et.Filled(1); f != 0; f <<= 1 {
		for _, name := range f.Names() {
			if n := counts[name]; n > 0 {
				parts = append(parts, fmt.Sprintf("%s on %d", name, n))
			}
		}
	}
	if len(parts) == 0 {
		return nil
	}
	return []report.Note{report.Plain(fmt.Sprintf("weather estimated: %s of %s; `sandwick et` shows which", strings.Join(parts, ", "), days(season.Days())))}
}

// waterTableNotes tells, for every soil under which a water table is within
// reach, how far it is taken to feed the crop, and how old the depths are.
func (v view) waterTableNotes(season *fields.Season) []report.Note {
	notes := []report.Note{}
	told := map[int]bool{}
	for z := range v.farm.Zones {
		soil := v.farm.ZoneSoil(z)
		if math.IsInf(v.farm.Zones[z].TableM, 1) || told[soil] {
			continue
		}
		told[soil] = true
		o := &v.farm.Soils[soil]
		reach, source := v.farm.Column(z).ReachM(), "as farm.toml sets it"
		if math.IsNaN(o.ReachM) {
			source = "as its hydraulics (" + o.Hydraulics + ") have it"
		}
		notes = append(notes, func(s units.System) string {
			return fmt.Sprintf("%s: a water table can feed %s a day over %s, %s", o.Name,
				units.Depth.Text(s, feedMMPerDay), units.Ground.Text(s, reach), source)
		})
	}
	return append(notes, v.depthNotes(season)...)
}

// feedMMPerDay is the flux that defines reach: a full day's crop water.
const feedMMPerDay = 6

func (v view) assumed() []report.Assumed {
	list := []report.Assumed{}
	for i := range v.farm.Fields {
		c := &v.farm.Fields[i].Crop
		known := slices.ContainsFunc(list, func(a report.Assumed) bool { return a.Crop == c.Name })
		if !known && len(c.Assumed) > 0 {
			list = append(list, report.Assumed{Crop: c.Name, Values: c.Assumed})
		}
	}
	return list
}

// plannedCuts are the cuts to come, field by field.
func (v view) plannedCuts(season *fields.Season) []report.PlannedCut {
	list := []report.PlannedCut{}
	for i := range v.farm.Fields {
		fd := &v.farm.Fields[i]
		for _, d := range v.farm.CutsAhead(i, season.Today) {
			list = append(list, report.PlannedCut{
				Field: fd.Name, Pivot: fd.Pivot, Date: report.Day(d), DryDays: fd.DryDays,
				LastWater: report.Instant(v.farm.StartOfDay(d.AddDays(-fd.DryDays))),
			})
		}
	}
	return list
}

// mown are the fields that lie mown this morning.
func (v view) mown(season *fields.Season) []report.Mown {
	list := []report.Mown{}
	for i := range v.farm.Fields {
		if cut, until, ok := v.farm.Mown(i, season.Today); ok {
			list = append(list, report.Mown{Field: v.farm.Fields[i].Name, Pivot: v.farm.Fields[i].Pivot, Cut: report.Day(cut), Until: report.Instant(v.farm.StartOfDay(until))})
		}
	}
	return list
}

// cutNotes say how long ground is taken to lie mown where farm.toml does not
// say so and it matters in the days looked at.
func (v view) cutNotes(season *fields.Season, horizon int) []report.Note {
	notes := []report.Note{}
	for i := range v.farm.Fields {
		fd := &v.farm.Fields[i]
		_, _, near := v.farm.Mown(i, season.Today)
		for _, cut := range v.farm.CutsAhead(i, season.Today) {
			near = near || cut.DaysSince(season.Today) < horizon
		}
		if near && !fd.DryAfterSet {
			notes = append(notes, report.Plain(fmt.Sprintf("%s: dry and uncrossed on the day of a cut and %s after it, while the swath cures and is hauled: an assumption; set dry_days_after_cut under [[fields]]", fd.Name, days(fd.DryAfter))))
		}
	}
	return notes
}

// rateNotes warns of machines that rain harder than the ground takes in, where
// the plan has them water it.
func rateNotes(problem *runplan.Problem, plan *runplan.Plan) []report.Note {
	watered := map[string]bool{}
	for i := range plan.Zones {
		watered[plan.Zones[i].Zone] = !plan.Zones[i].FirstWater.IsZero()
	}
	notes := []report.Note{}
	for i := range problem.Machines {
		m := &problem.Machines[i]
		slow := []string{}
		least := math.Inf(1)
		for z := range m.Zones {
			if watered[m.Zones[z].Name] && m.CheckIntake(m.Zones[z].IntakeMMPerH, m.TimerMaxPct).Over() {
				slow = append(slow, m.Zones[z].Name)
				least = min(least, m.Zones[z].IntakeMMPerH)
			}
		}
		if len(slow) == 0 {
			continue
		}
		name, peak := m.Name, m.PeakMMPerH()
		notes = append(notes, func(s units.System) string {
			return fmt.Sprintf("%s rains %s at its outer end; %s takes in %s or more: look for ponding, and keep passes there shallow",
				name, units.Rate.Text(s, peak), strings.Join(slow, ", "), units.Rate.Text(s, least))
		})
	}
	return notes
}

// aerationNotes warns of roots that the water table stands in.
func aerationNotes(season *fields.Season) []report.Note {
	notes := []report.Note{}
	if season.Days() == 0 {
		return notes
	}
	for z := range season.Farm.Zones {
		a := season.Account(season.Days()-1, z)
		if a.AerationM2 <= 0 {
			continue
		}
		name, depth := season.Farm.Zones[z].Name, a.TableM
		notes = append(notes, func(s units.System) string {
			return fmt.Sprintf("%s: the water table, at %s, stands in the root zone; roots stop short of it and may lack air", name, units.Ground.Text(s, depth))
		})
	}
	return notes
}
