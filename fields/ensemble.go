// The days to come, once for each earlier year: forecast first, then what that
// year brought on the same days of the calendar.
//
// Where a forecast day has a chance of rain, so many of the scenarios are wet
// on it, with the amount forecast, that their share comes nearest to the
// chance; the others are dry. Which ones is no matter of luck: those whose own
// year was wettest on that day of the calendar, then over the three days around
// it. So days that belong together in the record stay together, and the wet
// part of the forecast goes on into weather that was like it: the idea of the
// Schaake shuffle (Clark et al. 2004, J. Hydrometeorology 5:243-262, from
// memory). Years that tie, as dry ones do, take turns from day to day. With n
// scenarios a chance is met to within 1/(2n).

package fields

import (
	"cmp"
	"math"
	"slices"

	"github.com/golang-sql/civil"

	"sandwick/et/spells"
	"sandwick/pivot/runplan"
	"sandwick/soilwater"
)

// Ensemble is what may come: scenarios that count alike.
type Ensemble struct {
	From      civil.Date // first day, the season's today
	Days      int
	Scenarios []Scenario // in order of year
	LeftOut   []LeftOut  // years of which the record has some of these days but not the rain of all
	// ForecastDays counts the days that forecast.csv gives; the others are the years'.
	ForecastDays int
	// FilledDays counts days of scenarios whose temperature was not measured that
	// year: the mean of the other years stands in, the rain is the year's own.
	FilledDays int
}

// LeftOut is a year that gives no scenario.
type LeftOut struct {
	Year    int // of the window's first day
	Unknown int // days without measured rain
}

// Scenario is one way in which the days to come may go.
type Scenario struct {
	Year  int   // of history.csv, in which its first day lies; 0 for the dry one
	Skies []Sky // by day, dated as the days to come
	// Fields is what each field meets, in the order of Farm.Fields.
	Fields []Forcing
}

// Forcing is what air, crop and sky do to the ground of a field, by day.
type Forcing struct {
	Demand []soilwater.Demand
	RainMM []float64 // by a gauge that has already been read today, else the scenario's
}

// Ensemble lists the scenarios over so many days, today the first. A year is in
// it when the rain of all the days is known and they all lie before today.
func (s *Season) Ensemble(years *Years, days int) Ensemble {
	days = max(days, 1)
	e := Ensemble{From: s.Today, Days: days}
	first, last, ok := years.Span()
	if !ok {
		return e
	}
	base := s.scenarioBase(days)
	var begins []int // of each scenario, index into the record
	for year := first.Year - 1; year <= last.Year; year++ {
		at := inYear(s.Today, year).DaysSince(first)
		unknown := 0
		for d := range days {
			if i := at + d; i < 0 || i >= years.Days() || !(years.rec.Days[i].RainMM >= 0) {
				unknown++
			}
		}
		switch {
		case unknown == 0:
			e.Scenarios = append(e.Scenarios, Scenario{Year: year})
			begins = append(begins, at)
		case unknown < days:
			e.LeftOut = append(e.LeftOut, LeftOut{year, unknown})
		}
	}
	wet := s.wetYears(years, begins, base)
	for d := range base.ahead {
		if base.ahead[d].Basis == Forecast {
			e.ForecastDays++
		}
	}
	for k := range e.Scenarios {
		skies := slices.Clone(base.ahead)
		for d := range skies {
			sky := &skies[d]
			if sky.Basis == Forecast {
				sky.RainMM = 0
				if wet[d][k] {
					sky.RainMM = sky.ForecastMM
				}
				continue
			}
			i := begins[k] + d
			ref := years.refs[i]
			if math.IsNaN(ref.EToMM) {
				e.FilledDays++
				if m, ok := years.mean(sky.Date, nil); ok {
					ref = m
				} else {
					ref = sky.Reference
				}
			}
			ref.Date, ref.RainMM = sky.Date, years.rec.Days[i].RainMM
			*sky = Sky{Reference: ref, Basis: Past, RainChance: math.NaN(), ForecastMM: math.NaN()}
		}
		e.Scenarios[k].Skies = skies
		e.Scenarios[k].Fields = base.force(skies)
	}
	return e
}

// DryScenario is the days to come without rain: the forecast's air, then the
// mean of the days without useful rain in earlier years, or without years the
// mean of the last days measured.
func (s *Season) DryScenario(years *Years, days int, rule spells.Rule) Scenario {
	base := s.scenarioBase(max(days, 1))
	skies := base.ahead
	for d := range skies {
		sky := &skies[d]
		if sky.Basis != Forecast && years != nil {
			if m, ok := years.mean(sky.Date, &rule); ok {
				*sky = Sky{Reference: m, Basis: Normal, RainChance: math.NaN(), ForecastMM: math.NaN()}
			}
		}
		sky.RainMM = 0
	}
	return Scenario{Skies: skies, Fields: base.force(skies)}
}

// scenarioBase is what all scenarios share.
type scenarioBase struct {
	s       *Season
	past    []Sky // from the first day that crops are drawn from to yesterday
	ahead   []Sky // from today on, forecast or carried
	rain    []float64
	cuts    [][]civil.Date
	scratch []Sky
}

func (s *Season) scenarioBase(days int) *scenarioBase {
	f := s.Farm
	first := f.climateStart()
	skies, ok := f.skies(first, s.Today.AddDays(days-1), s.Today, nil)
	if !ok {
		// The walk has already refused a farm without a single day to go by.
		panic("fields: scenarios of a season that was not walked")
	}
	lead := s.Today.DaysSince(first)
	b := &scenarioBase{s: s, past: skies[:lead:lead], ahead: skies[lead:], rain: f.gaugeRain(s.Today, days, s.Today)}
	for i := range f.Fields {
		b.cuts = append(b.cuts, f.cutsThrough(i, s.Today))
	}
	return b
}

// force draws the crops under some days to come.
func (b *scenarioBase) force(ahead []Sky) []Forcing {
	b.scratch = append(append(b.scratch[:0], b.past...), ahead...)
	crops := b.s.Farm.cropDays(b.scratch, b.s.wet, func(field int) []civil.Date { return b.cuts[field] })
	out := make([]Forcing, len(crops))
	for i := range crops {
		fc := &out[i]
		fc.Demand, fc.RainMM = make([]soilwater.Demand, len(ahead)), make([]float64, len(ahead))
		for d := range ahead {
			fc.Demand[d] = crops[i][len(b.past)+d].Demand
			fc.RainMM[d] = ahead[d].RainMM
			if mm := b.rain[i*len(ahead)+d]; !math.IsNaN(mm) {
				fc.RainMM[d] = mm
			}
		}
		b.s.Farm.withoutUptake(fc.Demand, crops[i][len(b.past):])
	}
	return out
}

// wetYears says which scenarios are wet on each forecast day; the entries of
// other days are nil.
func (s *Season) wetYears(years *Years, begins []int, base *scenarioBase) [][]bool {
	n := len(begins)
	out := make([][]bool, len(base.ahead))
	order := make([]int, n)
	around := func(at int) (mm float64) {
		for i := max(0, at-1); i <= min(years.Days()-1, at+1); i++ {
			if r := years.rec.Days[i].RainMM; r > 0 {
				mm += r
			}
		}
		return mm
	}
	for d := range base.ahead {
		if base.ahead[d].Basis != Forecast {
			continue
		}
		chance := base.ahead[d].RainChance
		if math.IsNaN(chance) {
			chance = 1 // an amount without a chance falls for certain
		}
		for k := range order {
			order[k] = k
		}
		rain := func(k int) float64 { return years.rec.Days[begins[k]+d].RainMM }
		turn := func(k int) int { return (k + d) % n }
		slices.SortFunc(order, func(a, b int) int {
			return cmp.Or(cmp.Compare(rain(b), rain(a)), cmp.Compare(around(begins[b]+d), around(begins[a]+d)), cmp.Compare(turn(a), turn(b)))
		})
		out[d] = make([]bool, n)
		for _, k := range order[:int(math.Round(chance*float64(n)))] {
			out[d][k] = true
		}
	}
	return out
}

// Under is a planner's problem with a scenario in the place of its weather: the
// same machines, wells and ground, other demand and rain. The problem itself is
// not changed; its horizon must be no longer than the scenario.
func (sc *Scenario) Under(f *Farm, p runplan.Problem) runplan.Problem {
	p.Machines = slices.Clone(p.Machines)
	for i := range p.Machines {
		m := &p.Machines[i]
		m.Zones = slices.Clone(m.Zones)
		for z := range m.Zones {
			fc := &sc.Fields[f.FieldIndex(m.Zones[z].Field)]
			m.Zones[z].Demand, m.Zones[z].RainMM = fc.Demand, fc.RainMM
		}
	}
	return p
}

// MeanEToMM is the reference ET of a scenario, mean over its days, mm/day.
func (sc *Scenario) MeanEToMM() float64 {
	var sum float64
	for i := range sc.Skies {
		sum += sc.Skies[i].EToMM
	}
	return sum / float64(len(sc.Skies))
}
