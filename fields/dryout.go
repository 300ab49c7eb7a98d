// When each zone runs dry if nothing is run, and whether the pumps can keep up.

package fields

import (
	"math"
	"slices"
	"time"

	"github.com/golang-sql/civil"
	"gonum.org/v1/gonum/stat"

	"sandwick/et/input"
	"sandwick/et/spells"
	"sandwick/pivot/keepup"
	"sandwick/pivot/runplan"
	"sandwick/soilwater"
)

const (
	// zoneSliver is the share of a zone that must get somewhere before the zone
	// has: less lies in no slice's way.
	zoneSliver = 0.01
	// dueTolMM is how close below the trigger ground is taken for due, mm.
	dueTolMM = 1e-9
)

// The quantiles of a Spread: one scenario in ten is sooner than the early day,
// one in ten later than the late one.
const (
	EarlyQuantile = 0.10
	LateQuantile  = 0.90
)

// Spread is when something happens, over the scenarios. Days count from 0,
// today; a day of Already is before today, and +Inf is not within the days.
type Spread struct {
	Early, Likely, Late float64 // quantiles 0.1, 0.5 and 0.9: a day that some scenario has
	Within              float64 // share of the scenarios in which it happens within the days
	ByScenario          []float64
}

// Already is the day of what is so before anything happens.
const Already = -1

// spread sorts out the days of the scenarios.
func spread(byScenario []float64) Spread {
	x := slices.Sorted(slices.Values(byScenario))
	s := Spread{ByScenario: byScenario}
	if len(x) == 0 {
		s.Early, s.Likely, s.Late, s.Within = math.NaN(), math.NaN(), math.NaN(), math.NaN()
		return s
	}
	// Empirical: a day is whole, and +Inf leaves nothing to interpolate.
	s.Early = stat.Quantile(EarlyQuantile, stat.Empirical, x, nil)
	s.Likely = stat.Quantile(0.5, stat.Empirical, x, nil)
	s.Late = stat.Quantile(LateQuantile, stat.Empirical, x, nil)
	n := 0
	for _, d := range x {
		if !math.IsInf(d, 1) {
			n++
		}
	}
	s.Within = float64(n) / float64(len(x))
	return s
}

// ZoneDryout is one zone if nothing is run.
type ZoneDryout struct {
	Zone      int     // index into Farm.Zones
	DepletMM  float64 // now, of the driest cell
	TriggerMM float64 // now, of that cell
	Due       Spread  // the day by whose end some of its ground has reached its trigger
	Stress    Spread  // the first day on which some of it is short of water
}

// Dryouts steps every zone through every scenario with no water but what has
// been pumped today or is coming from a pass now running.
func (s *Season) Dryouts(now time.Time, scenarios []Scenario) []ZoneDryout {
	f := s.Farm
	out := make([]ZoneDryout, len(f.Zones))
	if len(scenarios) == 0 {
		return nil
	}
	days := len(scenarios[0].Skies)
	cal := newCalendar(s.Today, days, f.Location)
	waterings := make([]watering, len(f.Pivots))
	for i := range f.Pivots {
		waterings[i] = f.water(i, cal, f.known(i, now, now, cal.start[days]))
	}
	r := dryRunner{Season: s, days: days, due: make([]float64, days+1), stress: make([]float64, days+1), water: make([]soilwater.Water, days)}
	for z := range f.Zones {
		g := &f.ground.zones[z]
		o := &out[z]
		o.Zone = z
		for d := range days {
			r.water[d].FwNet = 1
			r.water[d].TableM = s.tables.on(z, s.Today.AddDays(d)).DepthM
		}
		given := make([][]float64, g.to-g.from)
		for c := g.from; c < g.to; c++ {
			if g.pivot >= 0 {
				given[c-g.from] = waterings[g.pivot].given(f.ground.cells[c].Slice, f.Pivots[g.pivot].Efficiency)
			}
		}
		r.now(o, z, &scenarios[0].Fields[g.field].Demand[0])
		due, stress := make([]float64, len(scenarios)), make([]float64, len(scenarios))
		for k := range scenarios {
			due[k], stress[k] = r.zone(z, &scenarios[k].Fields[g.field], given)
		}
		o.Due, o.Stress = spread(due), spread(stress)
	}
	return out
}

// dryRunner holds what the steps share.
type dryRunner struct {
	*Season
	days        int
	water       []soilwater.Water // by day; rain and net are set in the loop
	due, stress []float64         // ground that gets there by day; entry 0 is Already
}

// now finds the zone's driest ground.
func (r *dryRunner) now(o *ZoneDryout, z int, d *soilwater.Demand) {
	g := &r.Farm.ground.zones[z]
	o.DepletMM = math.Inf(-1)
	for c := g.from; c < g.to; c++ {
		dep, taw, raw := g.column.Totals(&r.States[c], d, r.water[0].TableM)
		if dep > o.DepletMM {
			o.DepletMM, o.TriggerMM = dep, r.Farm.Trigger(g.field, taw, raw)
		}
	}
}

// zone steps the cells of a zone through one scenario. No allocation.
func (r *dryRunner) zone(z int, fc *Forcing, given [][]float64) (due, stress float64) {
	f := r.Farm
	g := &f.ground.zones[z]
	clear(r.due)
	clear(r.stress)
	var out soilwater.Fluxes
	for c := g.from; c < g.to; c++ {
		st := r.States[c]
		area := f.ground.cells[c].AreaM2
		dep, taw, raw := g.column.Totals(&st, &fc.Demand[0], r.water[0].TableM)
		isDue := dep >= f.Trigger(g.field, taw, raw)-dueTolMM
		if isDue {
			r.due[0] += area
		}
		for d := range r.days {
			w := &r.water[d]
			w.RainMM, w.NetMM = fc.RainMM[d], 0
			if net := given[c-g.from]; net != nil {
				w.NetMM = net[d]
			}
			g.column.Step(&st, &fc.Demand[d], w, &out)
			stressed := out.Ks < 1-runplan.ShortKs
			if !isDue && (stressed || out.DepletionMM >= f.Trigger(g.field, out.TAWMM, out.RAWMM)-dueTolMM) {
				isDue = true
				r.due[d+1] += area
			}
			if stressed {
				r.stress[d+1] += area
				break
			}
		}
	}
	return reached(r.due, g.areaM2), reached(r.stress, g.areaM2)
}

// reached is the day by which more than a sliver of the zone has got there.
func reached(byDay []float64, area float64) float64 {
	sum := 0.0
	for i, m2 := range byDay {
		if sum += m2; sum > zoneSliver*area {
			return float64(i) + Already
		}
	}
	return math.Inf(1)
}

// DryOutlook is what earlier years and the ground say of the days to come.
type DryOutlook struct {
	Now        time.Time
	From       civil.Date
	Days       int
	Rule       spells.Rule
	WindowDays int

	First, Last civil.Date // of the earlier years; zero without any
	Station     DryRun
	Fields      []DryRun
	Chances     []DryChance
	// Longest is about the longest dry spell from today through SeasonEnd.
	SeasonEnd civil.Date
	Longest   []spells.YearMax
	Missing   int // years of which days are not known
	Returns   []spells.Return

	// Ensemble is what the zones meet; nil when no rain was asked for. Without a
	// scenario in it the zones meet Dry.
	Ensemble *Ensemble
	Dry      Scenario
	Zones    []ZoneDryout

	// Pumps tells whether they keep up when no rain falls at all; Problem is what
	// it was asked about. Wells without a machine are not in it.
	Pumps   keepup.Result
	Problem *runplan.Problem
}

// DryChance is the chance that it stays dry for More more days.
type DryChance struct {
	More int
	To   civil.Date // the last of them
	spells.Chance
}

// What a DryOutlook lists: days to stay dry, and return periods in years.
var (
	moreDays      = [...]int{1, 2, 3, 5, 7, 10, 14, 21, 28}
	returnPeriods = [...]float64{2, 5, 10, 20}
)

// DryOutlook looks so many days ahead from now, which is on the day s.Today.
// With dry set the zones meet no rain; otherwise they meet the weather of
// every earlier year in turn. Problems are those of history.csv.
func (s *Season) DryOutlook(now time.Time, days int, dry bool) (*DryOutlook, input.Problems, error) {
	f := s.Farm
	years, problems := f.Years(s.Today)
	if len(problems) > 0 {
		return nil, problems, nil
	}
	o := &DryOutlook{Now: now.In(f.Location), From: s.Today, Days: days, Rule: f.Outlook.Rule, WindowDays: f.Outlook.WindowDays}
	o.First, o.Last, _ = years.Span()
	if err := o.spells(s, years); err != nil {
		return nil, nil, err
	}
	o.Dry = s.DryScenario(years, days, o.Rule)
	scenarios := []Scenario{o.Dry}
	if !dry {
		e := s.Ensemble(years, days)
		o.Ensemble = &e
		if len(e.Scenarios) > 0 {
			scenarios = e.Scenarios
		}
	}
	o.Zones = s.Dryouts(now, scenarios)
	problem := o.Dry.Under(f, s.Problem(now, days))
	o.Problem = &problem
	var err error
	o.Pumps, err = keepup.Check(o.Problem)
	return o, nil, err
}

// spells fills in what is counted in the earlier years.
func (o *DryOutlook) spells(s *Season, years *Years) error {
	f := s.Farm
	history, err := years.Spells(o.Rule)
	if err != nil {
		return err
	}
	if o.Station, o.Fields, err = s.DryRuns(o.Rule); err != nil {
		return err
	}
	from := o.Station.Through
	if !from.IsValid() {
		from = s.Today.AddDays(-1)
	}
	for _, more := range moreDays {
		q := spells.Query{Date: from, Dry: o.Station.Days, More: more, Window: o.WindowDays}
		o.Chances = append(o.Chances, DryChance{more, from.AddDays(more), history.Chance(q)})
	}
	o.SeasonEnd = s.Today
	for i := range f.Fields {
		if e := f.seasonEnd(i); e.After(o.SeasonEnd) {
			o.SeasonEnd = e
		}
	}
	if last := s.Today.AddDays(o.Days - 1); o.SeasonEnd.Before(last) {
		o.SeasonEnd = last
	}
	if limit := s.Today.AddDays(364); o.SeasonEnd.After(limit) {
		o.SeasonEnd = limit
	}
	left := o.SeasonEnd.DaysSince(s.Today) + 1
	o.Longest, o.Missing = history.Longest(s.Today, left)
	chain, _, fitted := history.ChainAround(s.Today, o.SeasonEnd)
	for _, t := range returnPeriods {
		r := spells.ReturnOf(o.Longest, t)
		if r.Method == spells.FitNone && fitted {
			r = chain.Return(t, left)
		}
		r.Days = min(r.Days, float64(left))
		o.Returns = append(o.Returns, r)
	}
	return nil
}
