// The run plan as it is written: one struct for JSON, CSV and the table.

package report

import (
	"math"
	"time"

	"sandwick/fields"
	"sandwick/pivot"
	"sandwick/pivot/runplan"

	"github.com/golang-sql/civil"
)

// Plan is what `sandwick plan` answers. Its JSON names are promised.
type Plan struct {
	Farm      string         `json:"farm"`
	Alerts    []string       `json:"alerts"` // to be known first: old weather, ground seen otherwise than the books have it
	MadeAt    Instant        `json:"made_at"`
	From      Day            `json:"from"` // first day looked at
	To        Day            `json:"to"`   // last day looked at
	Weather   Weather        `json:"weather"`
	Forecast  []ForecastRow  `json:"forecast"`  // rows used
	Committed []Committed    `json:"committed"` // trips recorded that reach beyond now: under way, or entered ahead
	Passes    []Pass         `json:"passes"`
	Zones     []ZoneDecision `json:"zones"`
	Cost      Cost           `json:"cost"`
	Expected  *Weighed       `json:"expected"` // null without earlier years to weigh it over
	Search    Search         `json:"search"`
	Idle      []Idle         `json:"idle"`
	Behind    []Behind       `json:"behind"`
	Cuts      []PlannedCut   `json:"cuts"`     // to come
	Mown      []Mown         `json:"mown"`     // fields that lie mown: neither water nor a machine comes
	Rests     []Note         `json:"rests_on"` // estimates the plan leans on
	Assumed   []Assumed      `json:"assumed"`  // crop values without a published source
	Warnings  []Note         `json:"warnings"`
	Cautions  []string       `json:"cautions"`
	// Compared is there for a way of one's own only: its plan beside the program's.
	Compared *Comparison `json:"compared,omitempty"`
}

// Weather says how far the weather behind the plan reaches.
type Weather struct {
	Through  Day    `json:"through"`          // last day measured
	Forecast Day    `json:"forecast_through"` // last day forecast; none without a forecast
	Beyond   string `json:"beyond"`           // what stands for the days after
}

// ForecastRow is one coming day as the plan takes it.
type ForecastRow struct {
	Date          Day    `json:"date"`
	ETo           Number `json:"eto_mm"`
	Rain          Number `json:"rain_mm"` // expected: amount times chance, where a chance is given
	RainChancePct Number `json:"rain_chance_pct"`
	Source        string `json:"source"` // "forecast", or what stands in for it
}

// Pass is one continuous trip of a machine.
type Pass struct {
	Pivot     string  `json:"pivot"`
	Well      string  `json:"well"`
	Start     Instant `json:"start"`
	End       Instant `json:"end"`
	Direction string  `json:"direction"` // "cw" or "ccw"
	StartDeg  Number  `json:"start_deg"`
	StopDeg   Number  `json:"stop_deg"`
	VolumeM3  Number  `json:"volume_m3"`
	PumpHours Number  `json:"pump_hours"`
	EnergyKWh Number  `json:"energy_kwh"`
	Cost      Number  `json:"cost"`
	Legs      []Leg   `json:"legs"`
	Pauses    []Pause `json:"pauses"` // the machine stands still
	Why       Reason  `json:"why"`
	Driver    *Driver `json:"driver"`    // the ground behind why; null without any
	Wait      Reason  `json:"wait"`      // why it does not start sooner
	WaitCost  Number  `json:"wait_cost"` // what the ground loses if its water comes a day later, all else as planned; null without a crop value
}

// Pause is a stretch of a pass in which the machine stands still.
type Pause struct {
	From Instant `json:"from"`
	To   Instant `json:"to"`
	Why  string  `json:"why"`
}

// Leg is part of a pass with one timer setting.
type Leg struct {
	FromDeg  Number  `json:"from_deg"`
	ToDeg    Number  `json:"to_deg"`
	Water    bool    `json:"water"`
	TimerPct Number  `json:"timer_pct"`
	GrossMM  Number  `json:"gross_mm"`
	NetMM    Number  `json:"net_mm"`
	Hours    Number  `json:"hours"` // under way, pauses left out
	VolumeM3 Number  `json:"volume_m3"`
	Start    Instant `json:"start"`
	End      Instant `json:"end"`
	Why      Reason  `json:"why"`
	Driver   *Driver `json:"driver"`    // as of the pass
	WaitCost Number  `json:"wait_cost"` // as of the pass; none of dry legs
}

// ZoneDecision is what the plan does for one zone.
type ZoneDecision struct {
	Field       string  `json:"field"`
	Zone        string  `json:"zone"`
	Pivot       string  `json:"pivot"`
	DepletionMM Number  `json:"depletion_mm"` // of the driest ground this morning: the ground of the zone nearest to its trigger
	TriggerMM   Number  `json:"trigger_mm"`   // of the same ground today; none without a crop
	TableM      Number  `json:"water_table_m"`
	Decision    string  `json:"decision"` // "water", "wait" or "skip"
	DaysLeftMin Number  `json:"days_left_min"`
	DaysLeftMax Number  `json:"days_left_max"`
	Ends        []End   `json:"ends"`      // what the range is made of
	DaysLeft    Number  `json:"days_left"` // as the settings stand; the range is over what is not known of the ground
	StressMin   Number  `json:"days_to_stress_min"`
	StressMax   Number  `json:"days_to_stress_max"`
	LeftMinBy   string  `json:"days_left_min_by"` // what the two ends of the range come from
	LeftMaxBy   string  `json:"days_left_max_by"`
	Risk        bool    `json:"risk"` // skipped, though at some end it comes due; why says which
	FirstWater  Instant `json:"first_water"`
	Why         Reason  `json:"why"`
}

// Cost is the cost of the plan by term, in the farm's currency.
type Cost struct {
	Pumping     Number `json:"pumping"`
	Labour      Number `json:"labour"`
	Stress      Number `json:"stress"`
	Late        Number `json:"late"`
	Percolation Number `json:"percolation"`
	Carry       Number `json:"carry"`
	Preference  Number `json:"preference"` // what [priorities] count for; no money
	Total       Number `json:"total"`
	Currency    string `json:"currency"`
}

// Weighed is what the plan costs over earlier years' weather, with the later
// passes decided anew in each.
type Weighed struct {
	Cost      Number    `json:"cost"`      // mean
	Years     int       `json:"years"`     // that it is weighed over
	Scenarios []Outcome `json:"scenarios"` // that stand for them
}

// Outcome is what the plan costs in the weather of one year.
type Outcome struct {
	Year   string `json:"year"`
	Weight Number `json:"weight"`
	Cost   Number `json:"cost"`
}

// Search says how the plan was found.
type Search struct {
	Plans    int    `json:"plans"`       // gone through
	Bound    Number `json:"lower_bound"` // no plan costs less
	TimedOut bool   `json:"timed_out"`   // the time given ended the search: the best plan found by then
}

// Idle is a machine that is not run, and why.
type Idle struct {
	Pivot    string  `json:"pivot"`
	Why      Reason  `json:"why"`
	Driver   *Driver `json:"driver"`    // the ground that is due first
	WaitCost Number  `json:"wait_cost"` // what a day more without its water costs the ground that comes due
}

// Driver is the ground that a reason is about, in numbers.
type Driver struct {
	Field       string `json:"field"`
	Zone        string `json:"zone"`
	DepletionMM Number `json:"depletion_mm"` // of its driest cell, as day begins
	Day         Day    `json:"day"`          // of depletion_mm: today, or the day the pass comes to ground that planned water comes to before
	TriggerMM   Number `json:"trigger_mm"`
	Due         Day    `json:"due"`         // when it reaches its trigger; null: not in the days looked at
	StressFrom  Day    `json:"stress_from"` // when it is short of water if it gets none; null: not in the days looked at
}

func newDriver(r *runplan.Reason, today civil.Date) *Driver {
	if r.Zone == "" {
		return nil
	}
	d := &Driver{r.Field, r.Zone, Number(r.DepletionMM), Day(today), Number(r.TriggerMM), Day(r.Date), Day(r.StressDate)}
	if r.On.IsValid() {
		d.Day = Day(r.On)
	}
	return d
}

// Behind is ground that passes its trigger although water is planned.
type Behind struct {
	Field      string  `json:"field"`
	Zone       string  `json:"zone"`
	Pivot      string  `json:"pivot"`
	From       Instant `json:"from"`
	AreaM2     Number  `json:"area_m2"`
	WorstMM    Number  `json:"worst_mm"` // furthest past the trigger
	StressDays int     `json:"stress_days"`
	MissedMM   Number  `json:"et_missed_mm"` // mean over the zone
}

// PlannedCut is a cut to come and the water before it.
type PlannedCut struct {
	Field     string  `json:"field"`
	Pivot     string  `json:"pivot"`
	Date      Day     `json:"date"`
	DryDays   int     `json:"dry_days"`
	LastWater Instant `json:"last_water"` // the moment after which the ground gets none
}

// Mown is a field that lies mown.
type Mown struct {
	Field string  `json:"field"`
	Pivot string  `json:"pivot"`
	Cut   Day     `json:"cut"`
	Until Instant `json:"until"` // from then on water and machine may come
}

// Assumed lists the values of one crop that no publication gives.
type Assumed struct {
	Crop   string   `json:"crop"`
	Values []string `json:"values"`
}

// PlanFacts is what a Plan is written from.
type PlanFacts struct {
	Farm      string
	Currency  string
	Season    *fields.Season
	Problem   *runplan.Problem
	Plan      *runplan.Plan
	Committed []Committed
	Weather   Weather
	Forecast  []ForecastRow
	Rests     []Note
	Assumed   []Assumed
	Cuts      []PlannedCut
	Mown      []Mown
	Warnings  []Note
}

// NewPlan puts a plan into the form in which it is written.
func NewPlan(f PlanFacts) *Plan {
	now := f.Problem.Now
	today := civil.DateOf(now)
	reason := func(r runplan.Reason) Reason { return Reason{Reason: r, today: today} }
	p := &Plan{
		Farm:      f.Farm,
		MadeAt:    Instant(now),
		From:      Day(today),
		To:        Day(today.AddDays(f.Problem.Days - 1)),
		Weather:   f.Weather,
		Forecast:  orEmpty(f.Forecast),
		Committed: orEmpty(f.Committed),
		Expected:  newWeighed(f.Plan.Expected),
		Search:    Search{f.Plan.Search.Candidates, Number(f.Plan.Search.Bound), f.Plan.Search.TimedOut},
		Passes:    []Pass{},
		Zones:     []ZoneDecision{},
		Cost:      newCost(f.Plan.Cost, f.Currency),
		Idle:      []Idle{},
		Behind:    []Behind{},
		Cuts:      orEmpty(f.Cuts),
		Mown:      orEmpty(f.Mown),
		Alerts:    []string{},
		Rests:     orEmpty(f.Rests),
		Assumed:   orEmpty(f.Assumed),
		Warnings:  orEmpty(f.Warnings),
		Cautions:  cautions[:],
	}
	for i := range f.Plan.Passes {
		pass := &f.Plan.Passes[i]
		p.Passes = append(p.Passes, newPass(pass, machineOf(f.Problem, pass.Pivot), reason))
	}
	for _, z := range f.Plan.Zones {
		p.Zones = append(p.Zones, ZoneDecision{
			Field: z.Field, Zone: z.Zone, Pivot: z.Pivot,
			DepletionMM: Number(z.DepletionMM), TriggerMM: Number(z.TriggerMM), TableM: Number(z.TableM),
			Decision:    string(z.Decision),
			DaysLeftMin: Number(z.DaysLeftMin), DaysLeftMax: Number(z.DaysLeftMax),
			Ends:      newEnds(&z.Left.Due, endsOf(f.Problem, z.Pivot, z.Zone)),
			DaysLeft:  Number(z.Left.Due.AsSet),
			StressMin: Number(z.Left.Stress.Min), StressMax: Number(z.Left.Stress.Max),
			LeftMinBy: z.Left.Due.MinBy.String(), LeftMaxBy: z.Left.Due.MaxBy.String(),
			Risk:       z.Risk,
			FirstWater: Instant(z.FirstWater),
			Why:        reason(z.Why),
		})
	}
	if f.Season != nil {
		p.doubt(f.Season)
	}
	for _, m := range f.Plan.Idle {
		p.Idle = append(p.Idle, Idle{m.Pivot, reason(m.Why), newDriver(&m.Why, today), Number(m.Why.WaitCost)})
	}
	for _, b := range f.Plan.Behind {
		p.Behind = append(p.Behind, Behind{
			Field: b.Field, Zone: b.Zone, Pivot: b.Pivot, From: Instant(b.From),
			AreaM2: Number(b.AreaM2), WorstMM: Number(b.WorstMM), StressDays: b.StressDays, MissedMM: Number(b.MissedMM),
		})
	}
	return p
}

// orEmpty makes a missing list an empty one: [] in JSON, never null.
func orEmpty[T any](list []T) []T {
	if list == nil {
		return []T{}
	}
	return list
}

func newWeighed(e *runplan.Expected) *Weighed {
	if e == nil {
		return nil
	}
	out := &Weighed{Cost: Number(e.Cost), Years: e.Of, Scenarios: []Outcome{}}
	for _, s := range e.Scenarios {
		out.Scenarios = append(out.Scenarios, Outcome{s.Name, Number(s.Weight), Number(s.Cost)})
	}
	return out
}

func newCost(c runplan.Cost, currency string) Cost {
	return Cost{
		Pumping: Number(c.Pumping), Labour: Number(c.Labour), Stress: Number(c.Stress), Late: Number(c.Late),
		Percolation: Number(c.Percolation), Carry: Number(c.Carry), Preference: Number(c.Preference), Total: Number(c.Total),
		Currency: currency,
	}
}

func machineOf(problem *runplan.Problem, name string) *pivot.Machine {
	for i := range problem.Machines {
		if problem.Machines[i].Name == name {
			return &problem.Machines[i].Machine
		}
	}
	return nil
}

func newPass(p *runplan.Pass, m *pivot.Machine, reason func(runplan.Reason) Reason) Pass {
	out := Pass{
		Pivot: p.Pivot, Well: p.Well,
		Start: Instant(p.Start), End: Instant(p.End),
		Direction: direction(p.Clockwise),
		StartDeg:  Number(p.StartDeg.Norm()), StopDeg: Number(p.StopDeg.Norm()),
		VolumeM3: Number(p.VolumeM3), PumpHours: Number(p.PumpHours),
		EnergyKWh: Number(p.EnergyKWh), Cost: Number(p.Cost),
		Legs: []Leg{}, Pauses: []Pause{},
		Why: reason(p.Why), Driver: newDriver(&p.Why, reason(p.Why).today), Wait: reason(p.Wait), WaitCost: Number(p.Why.WaitCost),
	}
	for _, w := range p.Pauses {
		out.Pauses = append(out.Pauses, Pause{Instant(w.From), Instant(w.To), w.Why})
	}
	for _, l := range p.Legs {
		use := pivot.Use{Hours: math.NaN(), VolumeM3: math.NaN()}
		if m != nil {
			use = m.LegUse(pivot.Swept(l.FromDeg, l.ToDeg, p.Clockwise), l.TimerPct, l.Water)
		}
		out.Legs = append(out.Legs, Leg{
			FromDeg: Number(l.FromDeg.Norm()), ToDeg: Number(l.ToDeg.Norm()),
			Water: l.Water, TimerPct: Number(l.TimerPct),
			GrossMM: Number(l.GrossMM), NetMM: Number(l.NetMM),
			Hours: Number(use.Hours), VolumeM3: Number(use.VolumeM3),
			Start: Instant(l.Start), End: Instant(l.End),
			Why: reason(l.Why), Driver: newDriver(&l.Why, reason(l.Why).today), WaitCost: Number(l.Why.WaitCost),
		})
	}
	return out
}

func direction(clockwise bool) string {
	if clockwise {
		return "cw"
	}
	return "ccw"
}

// Keep leaves only what concerns the fields and pivots that pass the test. The
// plan as a whole stays what it was: the machines of a well share it.
func (p *Plan) Keep(field, pivot func(name string) bool) {
	p.Committed = filter(p.Committed, func(x Committed) bool { return pivot(x.Pivot) })
	p.Passes = filter(p.Passes, func(x Pass) bool { return pivot(x.Pivot) })
	p.Zones = filter(p.Zones, func(x ZoneDecision) bool { return field(x.Field) && pivot(x.Pivot) })
	p.Idle = filter(p.Idle, func(x Idle) bool { return pivot(x.Pivot) })
	p.Cuts = filter(p.Cuts, func(x PlannedCut) bool { return field(x.Field) && pivot(x.Pivot) })
	p.Mown = filter(p.Mown, func(x Mown) bool { return field(x.Field) && pivot(x.Pivot) })
	p.Behind = filter(p.Behind, func(x Behind) bool { return field(x.Field) && pivot(x.Pivot) })
}

func filter[T any](list []T, keep func(T) bool) []T {
	kept := []T{}
	for _, x := range list {
		if keep(x) {
			kept = append(kept, x)
		}
	}
	return kept
}

// LegRow is one leg as a row of CSV.
type LegRow struct {
	Pass      int     `csv:"pass"` // counted from 1
	Pivot     string  `csv:"pivot"`
	Well      string  `csv:"well"`
	Direction string  `csv:"direction"`
	Leg       int     `csv:"leg"` // counted from 1 within the pass
	FromDeg   Number  `csv:"from_deg"`
	ToDeg     Number  `csv:"to_deg"`
	Water     string  `csv:"water"` // yes or no
	TimerPct  Number  `csv:"timer_pct"`
	GrossMM   Number  `csv:"gross_mm"`
	NetMM     Number  `csv:"net_mm"`
	Hours     Number  `csv:"hours"`
	VolumeM3  Number  `csv:"volume_m3"`
	Start     Instant `csv:"start"`
	End       Instant `csv:"end"`
	Why       Reason  `csv:"why"`
	WaitCost  Number  `csv:"wait_cost"` // what its water a day later costs the ground; none of dry legs
}

// LegRows lists all legs, pass by pass.
func (p *Plan) LegRows() []LegRow {
	rows := []LegRow{}
	for i, pass := range p.Passes {
		for j, l := range pass.Legs {
			water, wait := "no", Number(math.NaN())
			if l.Water {
				water, wait = "yes", l.WaitCost
			}
			rows = append(rows, LegRow{
				Pass: i + 1, Pivot: pass.Pivot, Well: pass.Well, Direction: pass.Direction,
				Leg: j + 1, FromDeg: l.FromDeg, ToDeg: l.ToDeg, Water: water, TimerPct: l.TimerPct,
				GrossMM: l.GrossMM, NetMM: l.NetMM, Hours: l.Hours, VolumeM3: l.VolumeM3,
				Start: l.Start, End: l.End, Why: l.Why, WaitCost: wait,
			})
		}
	}
	return rows
}

// soon is how many days of the plan are told leg by leg: today and tomorrow.
// What comes later will be decided again.
const soon = 2

// startsSoon tells whether a pass belongs to today or tomorrow.
func (p *Plan) startsSoon(pass *Pass) bool {
	last := civil.Date(p.From).AddDays(soon - 1)
	return !civil.DateOf(time.Time(pass.Start)).After(last)
}
