// What the planner needs of the farm: the state of the ground, the days to
// come, and everything that stands in the machines' way.

package fields

import (
	"math"
	"slices"
	"time"

	"github.com/golang-sql/civil"

	"sandwick/et"
	"sandwick/et/crop"
	"sandwick/fields/records"
	"sandwick/fields/settings"
	"sandwick/pivot"
	"sandwick/pivot/runplan"
	"sandwick/soilwater"
)

// Ahead is what the farm expects of the days to come.
type Ahead struct {
	Problem runplan.Problem
	Skies   []Sky // by day of the horizon

	crops [][]CropDay // of every field, by day of the horizon
}

// Problem is what the planner needs: [Season.Planning] without the weather.
func (s *Season) Problem(now time.Time, days int) runplan.Problem {
	return s.Planning(now, days).Problem
}

// Planning is [Season.Ahead] for making a plan: what is begun now is weighed over
// the same days of earlier years, where history.csv has them.
func (s *Season) Planning(now time.Time, days int) Ahead {
	return s.AheadWith(now, days, AheadOptions{Weigh: true})
}

// Ahead looks from now, which is on the day s.Today, over so many calendar
// days, today the first. Weather to come is the forecast's where there is one,
// beyond it the normal of history.csv, without one the mean of the last
// measured days; rain is expected only from the forecast, as amount × chance,
// or today from a gauge that has already been read.
func (s *Season) Ahead(now time.Time, days int) Ahead { return s.AheadWith(now, days, AheadOptions{}) }

// AheadOptions say how to look ahead. The zero value looks as a plan for the
// farm's own day does.
type AheadOptions struct {
	// Begun makes passes recorded with a start before it, though after now, count
	// even where the farm is looked back at from later: the machine is busy until
	// they end, and their water is coming. Zero: now.
	Begun time.Time
	// NoEnds leaves out what is not known of the ground, which only the words
	// about a plan need, not the plan.
	NoEnds bool
	// Weigh gives the problem the scenarios of history.csv.
	Weigh bool
}

// AheadWith is [Season.Ahead] with options.
func (s *Season) AheadWith(now time.Time, days int, o AheadOptions) Ahead {
	f := s.Farm
	days = max(days, 1)
	now = now.In(f.Location)
	begun := now
	if o.Begun.After(now) {
		begun = o.Begun
	}
	end := settings.StartOfDay(s.Today.AddDays(days), f.Location)
	normal := f.normals(s)

	first := f.climateStart()
	last := s.Today.AddDays(days - 1)
	skies, ok := f.skies(first, last, s.Today, normal)
	if !ok {
		// The walk has already refused a farm without a single day to go by.
		panic("fields: Ahead of a season that was not walked")
	}
	crops := f.cropDays(skies, s.wet, func(field int) []civil.Date { return f.cutsThrough(field, s.Today) })
	lead := s.Today.DaysSince(first)
	a := Ahead{Skies: skies[lead:]}
	for i := range crops {
		crops[i] = crops[i][lead:]
	}
	a.crops = crops
	p := &a.Problem
	*p = runplan.Problem{Now: now, Days: days, Prices: runplan.Prices{
		LabourPerStart:  f.Prices.LabourPerStart,
		LabourPerLeg:    f.Prices.LabourPerLeg,
		LeachedPerMM_ha: f.Prices.LeachedPerMMHa,
	}}
	cal := newCalendar(s.Today, days, f.Location)
	waterings := make([]watering, len(f.Pivots))
	known := make([]int, len(f.Pivots))
	for i := range f.Pivots {
		known[i] = f.known(i, now, begun, end)
		waterings[i] = f.water(i, cal, known[i])
	}
	for i := range f.Wells {
		p.Wells = append(p.Wells, s.well(i, now, end, waterings))
	}
	seasonET := s.seasonET(normal)
	ends := make([]zoneEnds, len(f.Zones))
	if !o.NoEnds {
		ends = s.endsAhead(days)
	}
	rain := f.gaugeRain(s.Today, days, s.Today)
	for i := range f.Pivots {
		m := s.machine(i, known[i], now, end)
		for z := range f.Zones {
			g := &f.ground.zones[z]
			if g.pivot != i {
				continue
			}
			zone := s.zoneAhead(z, days, a.Skies, crops[g.field], rain)
			zone.Ends = ends[z].ends
			zone.SeasonETMM = seasonET[g.field]
			zone.NoWater = s.noWater(g.field, now, end)
			for c := g.from; c < g.to; c++ {
				cell := &f.ground.cells[c]
				m.Cells = append(m.Cells, runplan.Cell{
					Cell:    pivot.Cell{Slice: cell.Slice, Zone: len(m.Zones), AreaM2: cell.AreaM2},
					State:   s.States[c],
					GivenMM: waterings[i].given(cell.Slice, f.Pivots[i].Efficiency),

					EndStates: ends[z].of(c - g.from),
				})
			}
			m.Zones = append(m.Zones, zone)
		}
		p.Machines = append(p.Machines, m)
	}
	for i := range p.Machines {
		s.draw(p, i, f.passes(i)[:known[i]])
	}
	if o.Weigh {
		s.weigh(p)
	}
	return a
}

// draw says what a machine's trips that cannot be planned any more take from its
// well: a trip under way until it ends; where others follow, each in its time.
func (s *Season) draw(p *runplan.Problem, machine int, passes []records.Pass) {
	m := &p.Machines[machine]
	n := begunBy(passes, p.Now)
	switch {
	case !wetAfter(passes, p.Now):
	case n > 0 && s.Farm.oneTrip(machine, n-1, len(passes)):
		m.RunningM3H = m.FlowM3H
	default:
		s.Farm.share(p, machine, passes)
		for i := range passes {
			if row := &passes[i]; row.Water && row.End.After(p.Now) {
				m.Recorded = append(m.Recorded, runplan.Draw{From: row.Start, To: row.End, M3H: m.FlowM3H})
			}
		}
	}
}

// given is the net water of a slice by day; nil when there is none.
func (w *watering) given(slice int, efficiency float64) []float64 {
	var out []float64
	for d := range w.pumped {
		if mm := w.grossMM[d*w.slices+slice]; mm > 0 {
			if out == nil {
				out = make([]float64, len(w.pumped))
			}
			out[d] = mm * efficiency
		}
	}
	return out
}

func (s *Season) zoneAhead(z, days int, skies []Sky, crops []CropDay, rain []float64) runplan.Zone {
	f := s.Farm
	g := &f.ground.zones[z]
	fd := &f.Fields[g.field]
	zone := runplan.Zone{
		Field: fd.Name, Name: f.Zones[z].Name, Column: g.column,
		Demand:          make([]soilwater.Demand, days),
		TableM:          make([]float64, days),
		TableSEM:        make([]float64, days),
		RainMM:          make([]float64, days),
		IntakeMMPerH:    f.Soils[g.soil].IntakeMMPerH,
		YieldValuePerM2: fd.ValuePerM2,
		Protect:         f.Priorities.Times(fd.Name),
		Ky:              fd.Crop.Ky,
	}
	for d, table := range s.tables.days(z, s.Today, days) {
		zone.TableM[d], zone.TableSEM[d] = table.DepthM, table.SEM
		zone.Demand[d] = crops[d].Demand
		zone.RainMM[d] = skies[d].RainMM
		if mm := rain[g.field*days+d]; !math.IsNaN(mm) {
			zone.RainMM[d] = mm
		}
	}
	if !math.IsNaN(fd.Trigger) {
		zone.TriggerMM = func(taw, _ float64) float64 { return fd.Trigger * taw }
	}
	s.withoutCrop(&zone, g.field, crops)
	return zone
}

// machine is a machine as its first n passes leave it.
func (s *Season) machine(i, n int, now, end time.Time) runplan.Machine {
	f := s.Farm
	m := runplan.Machine{
		Machine: f.Pivots[i].Machine, SliceDeg: f.SliceDeg,
		ArmDeg: f.Pivots[i].Parked, FreeAt: now, SliceM2: f.ground.machines[i].sliceM2,
		NoRun: append(unroll(f.Pivots[i].NoRun, now, end, "no running"), s.mown(i, now, end)...),
	}
	if n > 0 {
		last := &f.passes(i)[n-1]
		m.ArmDeg = last.To
		if last.End.After(now) {
			m.FreeAt = last.End
		}
	}
	return m
}

func unroll(list []settings.Window, now, end time.Time, why string) []runplan.Window {
	var out []runplan.Window
	for i := range list {
		for _, p := range list[i].Unroll(now, end) {
			w := runplan.Window(p)
			if w.Why == "" {
				w.Why = why
			}
			out = append(out, w)
		}
	}
	return out
}

func (s *Season) well(i int, now, end time.Time, ahead []watering) runplan.Well {
	f := s.Farm
	o := &f.Wells[i]
	w := runplan.Well{
		Name: o.Name, FlowM3H: o.FlowM3H, NoRun: unroll(o.NoRun, now, end, "no running"),
		FuelPerH: o.FuelPerH, SeasonM3Left: o.SeasonLimitM3, MaxHoursPerDay: o.MaxHoursPerDay,
	}
	if o.PerKWh > 0 || len(o.Peak) > 0 {
		w.EnergyPerKWh = func(t time.Time) float64 { return o.EnergyPerKWh(t.In(f.Location)) }
	}
	if f.Priorities.DayPerH > 0 {
		w.AvoidPerH = func(t time.Time) float64 {
			if f.Priorities.Night.Holds(t.In(f.Location)) {
				return 0
			}
			return f.Priorities.DayPerH
		}
	}
	// A running pass counts whole: its water is spoken for. Of today's hours
	// only those before now are behind us.
	for p := range f.Pivots {
		if f.Pivots[p].Well != o.Name {
			continue
		}
		for _, d := range s.Pumped[p] {
			w.SeasonM3Left -= d.VolumeM3
		}
		for _, d := range ahead[p].pumped {
			w.SeasonM3Left -= d.VolumeM3
		}
	}
	w.HoursToday = s.hoursToday(i, now)
	w.SeasonM3Left = max(w.SeasonM3Left, 0)
	return w
}

// hoursToday is how long a well has been pumped today before now: hours in which
// several of its machines ran count once.
func (s *Season) hoursToday(well int, now time.Time) float64 {
	type stretch struct{ from, to time.Time }
	var list []stretch
	midnight := settings.StartOfDay(s.Today, s.Farm.Location)
	for p := range s.Farm.Pivots {
		if s.Farm.WellOf(p) != well {
			continue
		}
		passes := s.Farm.passes(p)
		for i := range passes {
			from, to := passes[i].Start, passes[i].End
			if from.Before(midnight) {
				from = midnight
			}
			if to.After(now) {
				to = now
			}
			if passes[i].Water && to.After(from) {
				list = append(list, stretch{from, to})
			}
		}
	}
	slices.SortFunc(list, func(a, b stretch) int { return a.from.Compare(b.from) })
	sum, until := 0.0, midnight
	for _, x := range list {
		if x.from.Before(until) {
			x.from = until
		}
		if x.to.After(x.from) {
			sum += x.to.Sub(x.from).Hours()
			until = x.to
		}
	}
	return sum
}

// cutWindows are the stretches about the cuts of a field, seen on the morning of
// today: so many days before a cut to come, its day, and the days after.
func (f *Farm) cutWindows(field int, today civil.Date, before int) []settings.Period {
	fd := &f.Fields[field]
	var out []settings.Period
	add := func(cut civil.Date, before int) {
		out = append(out, settings.Period{
			From: settings.StartOfDay(cut.AddDays(-before), f.Location),
			To:   settings.StartOfDay(cut.AddDays(1+fd.DryAfter), f.Location),
			Why:  DryForCut + cut.String(),
		})
	}
	for _, cut := range f.RecordedCuts(field, today) {
		if today.DaysSince(cut) <= fd.DryAfter {
			add(cut, 0)
		}
	}
	for _, cut := range f.CutsAhead(field, today) {
		add(cut, before)
	}
	return out
}

// Mown tells whether a field lies mown on the morning of today, and which cut
// keeps it dry until which day.
func (f *Farm) Mown(field int, today civil.Date) (cut, until civil.Date, ok bool) {
	cuts := f.RecordedCuts(field, today)
	if n := len(cuts); n > 0 {
		cut = cuts[n-1]
		until = cut.AddDays(1 + f.Fields[field].DryAfter)
	}
	return cut, until, until.After(today)
}

// DryForCut begins the reason of a window that a cut makes; its date follows.
const DryForCut = "dry for the cut of "

// mown lists when a machine may not cross its ground: from the day of a cut of
// one of its fields until the hay is off.
func (s *Season) mown(machine int, now, end time.Time) []runplan.Window {
	f := s.Farm
	var out []runplan.Window
	for i := range f.Fields {
		if f.Fields[i].Pivot != f.Pivots[machine].Name {
			continue
		}
		for _, w := range f.cutWindows(i, s.Today, 0) { // before it the machine may walk dry
			if w.To.After(now) && w.From.Before(end) {
				out = append(out, runplan.Window(w))
			}
		}
	}
	return out
}

// noWater lists when a field may not be watered: stated periods, and the days
// before and after a cut and the day of the cut.
func (s *Season) noWater(field int, now, end time.Time) []runplan.Window {
	f := s.Farm
	fd := &f.Fields[field]
	var out []runplan.Window
	add := func(w runplan.Window) {
		if w.To.After(now) && w.From.Before(end) {
			out = append(out, w)
		}
	}
	for _, p := range fd.NoWater {
		w := runplan.Window(p)
		if w.Why == "" {
			w.Why = "no water"
		}
		add(w)
	}
	for _, w := range f.cutWindows(field, s.Today, fd.DryDays) {
		add(runplan.Window(w))
	}
	return out
}

// seasonET is the unstressed ET of each field over its whole season, mm: single
// crop coefficient × reference ET, over the days walked and, to the end, over
// what the days to come are taken to be.
func (s *Season) seasonET(normal func(civil.Date) (et.Reference, bool)) []float64 {
	f := s.Farm
	last := s.Today
	for i := range f.Fields {
		if e := f.seasonEnd(i); e.After(last) {
			last = e
		}
	}
	if limit := s.From.AddDays(366); last.After(limit) {
		last = limit
	}
	out := make([]float64, len(f.Fields))
	skies, ok := f.skies(f.climateStart(), last, s.Today, normal)
	if !ok {
		return out
	}
	crops := f.cropDays(skies, s.wet, func(field int) []civil.Date { return f.cutsThrough(field, s.Today) })
	for i := range crops {
		for d := range crops[i] {
			if c := &crops[i][d].Crop; c.Stage != crop.Bare && !skies[d].Date.After(f.seasonEnd(i)) {
				out[i] += c.Kc * skies[d].EToMM
			}
		}
	}
	return out
}

// seasonEnd is the last day of a field's season: its own end, the farm's, or
// where neither is set the end of the crop's last stage counted in days.
func (f *Farm) seasonEnd(field int) civil.Date {
	fd := &f.Fields[field]
	switch {
	case fd.End.IsValid():
		return fd.End
	case f.Start.End.IsValid():
		return f.Start.End
	case !fd.Crop.Lengths.ByHeat:
		return fd.Start.AddDays(int(fd.Crop.Lengths.Total()))
	}
	return fd.Start.AddDays(180) // by heat the end is not known beforehand; half a year holds any crop of the catalogue
}
