// Package replay runs a recorded season again, morning by morning, in several
// ways: as it was really run, by a fixed calendar, by refilling whole circles at
// the trigger, by the planner seeing only what was known each morning, and by
// the planner told the weather to come. What the ways share is the ground, the
// true weather, the water table and the machines; what each of them took and
// left is booked by the one evaluator of plans.
//
//	replay.go the season and its ways
//	morning.go what is known on a morning, and a morning's decision
//	rules.go  the ways that follow a rule instead of a plan
//	rows.go   passes as records and records as passes
//	judge.go  what a way took: the evaluator over the whole season
package replay

import (
	"context"
	"fmt"
	"math"
	"slices"
	"sync"
	"time"

	"github.com/golang-sql/civil"

	"sandwick/et/crop"
	"sandwick/et/weather"
	"sandwick/fields"
	"sandwick/fields/records"
	"sandwick/pivot/runplan"
	"sandwick/soilwater"
)

// Way is one way to run the season.
type Way uint8

// The ways.
const (
	Planned   Way = iota // the planner, seeing what was known each morning, weighed over earlier years
	Foresight            // the planner, told the true weather of the days it looks ahead
	Refill               // the whole circle when its driest zone comes to its trigger
	Calendar             // the whole circle every so many days
	Recorded             // as the records have it
	ToldAir              // the planner told the true air, and that no rain comes: what not knowing the rain costs
	ToldRain             // the planner told the true rain but not the air
	ToldSoon             // the planner told the true weather of today and tomorrow only: what a good short forecast brings
)

// Ways are those that are told, in that order. The others take
// the distance between Planned and Foresight apart.
func Ways() []Way { return []Way{Planned, Foresight, Refill, Calendar, Recorded} }

// String names the way as outputs do.
func (w Way) String() string {
	return [...]string{"plan", "foresight", "refill", "calendar", "recorded", "told_air", "told_rain", "told_soon"}[w]
}

// DefaultLookDays is how many days the planner looks ahead each morning. What
// lies further is decided again before it is run.
const DefaultLookDays = 4

// Options say what to replay. The zero value is the whole recorded season in
// all ways.
type Options struct {
	From, To civil.Date // first and last day; zero: the season's start, and the last day with weather
	LookDays int        // horizon of the planner; 0: DefaultLookDays
	Ways     []Way      // nil: Ways()
	// NoSeasonLimit leaves out what the wells may give in a season.
	NoSeasonLimit bool
}

// Replay is a season run again.
type Replay struct {
	Farm     *fields.Farm
	From, To civil.Date
	LookDays int
	Mornings int // decisions taken in each way
	Calendar []CalendarRule
	Accounts []Account // by way, in the order asked for
}

// Of is the account of one way; nil if it was not asked for.
func (r *Replay) Of(w Way) *Account {
	for i := range r.Accounts {
		if r.Accounts[i].Way == w {
			return &r.Accounts[i]
		}
	}
	return nil
}

// ErrRange is a stretch of days that cannot be replayed.
type ErrRange struct{ Msg string }

func (e ErrRange) Error() string { return e.Msg }

// leastDays is the shortest stretch in which a way shows.
const leastDays = 7

// Span is the longest stretch of a farm that can be replayed: from the season's
// start to its end, the last day with weather, or the day before the farm's
// own today, whichever is first.
func Span(f *fields.Farm) (from, to civil.Date) {
	to = f.Weather.Days[len(f.Weather.Days)-1].Date
	if end := f.Start.End; end.IsValid() && end.Before(to) {
		to = end
	}
	if f.Today.IsValid() && !to.Before(f.Today) {
		to = f.Today.AddDays(-1)
	}
	return f.Start.Date, to
}

// Run replays a season. The farm is not changed. The error is of the range, of
// the farm's season, or of ctx, which ends the work early.
func Run(ctx context.Context, f *fields.Farm, o Options) (*Replay, error) {
	r, err := newRunner(f, &o)
	if err != nil {
		return nil, err
	}
	out := &Replay{Farm: f, From: r.from, To: r.to, LookDays: o.LookDays, Mornings: r.days, Calendar: r.calendar, Accounts: make([]Account, len(o.Ways))}
	errs := make([]error, len(o.Ways))
	var wg sync.WaitGroup
	for i, way := range o.Ways {
		wg.Go(func() {
			out.Accounts[i], errs[i] = r.run(ctx, way)
		})
	}
	wg.Wait()
	for i, err := range errs {
		if err != nil {
			return nil, fmt.Errorf("%s: %w", o.Ways[i], err)
		}
	}
	return out, nil
}

// runner is what the ways share. Nothing in it changes once it is made.
type runner struct {
	farm     *fields.Farm // without forecast and probe readings
	from, to civil.Date
	days     int
	look     int
	base     []records.Pass  // begun before the first morning
	first    runplan.Problem // the first morning's, with the truth of all days
	truth    truth
	calendar []CalendarRule // by pivot
}

// truth is what came, by day from the first on.
type truth struct {
	states   []soilwater.State    // by cell, on the first morning
	demand   [][]soilwater.Demand // [field][day]
	bare     [][]bool             // [field][day]: no crop stands
	rainMM   [][]float64          // [zone][day]
	tableM   [][]float64          // [zone][day]
	seasonET []float64            // unstressed seasonal ET by zone, mm
	etcMM    [][]float64          // single-coefficient ETc by field and day, mm
}

func newRunner(f *fields.Farm, o *Options) (*runner, error) {
	from, to := Span(f)
	switch {
	case o.From.IsValid() && o.From.Before(from):
		return nil, ErrRange{fmt.Sprintf("%s is before the season's start, %s", o.From, from)}
	case o.To.IsValid() && o.To.After(to):
		return nil, ErrRange{fmt.Sprintf("%s is after the last day that can be replayed, %s", o.To, to)}
	}
	if o.From.IsValid() {
		from = o.From
	}
	if o.To.IsValid() {
		to = o.To
	}
	if n := to.DaysSince(from) + 1; n < leastDays {
		return nil, ErrRange{fmt.Sprintf("%s to %s are %d days; at least %d are needed to tell one way from another", from, to, max(n, 0), leastDays)}
	}
	if o.LookDays == 0 {
		o.LookDays = DefaultLookDays
	}
	if o.Ways == nil {
		o.Ways = Ways()
	}
	farm := *f
	farm.Forecast = weather.Record{} // a forecast in the folder is of one morning, not of all
	if o.NoSeasonLimit {
		farm.Wells = slices.Clone(farm.Wells)
		for i := range farm.Wells {
			farm.Wells[i].SeasonLimitM3 = math.Inf(1)
		}
	}
	farm.Records.Probes = nil // they were read on the ground as it was really watered
	r := &runner{farm: &farm, from: from, to: to, days: to.DaysSince(from) + 1, look: o.LookDays}
	start := r.morning(from)
	for _, p := range f.Records.Passes {
		if p.Start.Before(start) {
			r.base = append(r.base, p)
		}
	}
	if err := r.learn(); err != nil {
		return nil, err
	}
	season, err := r.known(from, r.base).Walk(from, fields.WalkOptions{})
	if err != nil {
		return nil, err
	}
	r.first = season.AheadWith(start, r.days, fields.AheadOptions{NoEnds: true}).Problem
	r.tell(&r.first, 0, r.days, true, true)
	r.begin(&r.first)
	r.calendar = r.calendarRules()
	return r, nil
}

// learn walks the season as it was, to the end, for what came of the sky, the
// crop and the water table.
func (r *runner) learn() error {
	f := r.farm
	s, err := f.Walk(r.to.AddDays(1), fields.WalkOptions{StatesOn: r.from})
	if err != nil {
		return err
	}
	t := &r.truth
	t.states = s.StatesThen
	lead := r.from.DaysSince(s.From)
	for i := range f.Fields {
		demand, bare, etc := make([]soilwater.Demand, r.days), make([]bool, r.days), make([]float64, r.days)
		for d := range demand {
			c := s.Crop(lead+d, i)
			demand[d] = c.Demand
			bare[d] = c.Crop.Stage == crop.Bare
			etc[d] = c.Crop.Kc * c.Demand.EToMM
		}
		t.demand, t.bare, t.etcMM = append(t.demand, demand), append(t.bare, bare), append(t.etcMM, etc)
	}
	for z := range f.Zones {
		rain, table := make([]float64, r.days), make([]float64, r.days)
		for d := range rain {
			a := s.Account(lead+d, z)
			rain[d], table[d] = a.RainMM, a.TableM
		}
		t.rainMM, t.tableM = append(t.rainMM, rain), append(t.tableM, table)
	}
	t.seasonET = make([]float64, len(f.Zones))
	after := s.AheadWith(r.morning(r.to.AddDays(1)), 1, fields.AheadOptions{NoEnds: true})
	for _, m := range after.Problem.Machines {
		for i := range m.Zones {
			t.seasonET[r.zone(m.Zones[i].Name)] = m.Zones[i].SeasonETMM
		}
	}
	return nil
}

// begin puts the water of the first morning into a problem. The cells of a
// machine stand in it in the farm's order, zone by zone.
func (r *runner) begin(p *runplan.Problem) {
	for i := range p.Machines {
		m := &p.Machines[i]
		at := 0
		for z := range m.Zones {
			from, to := r.farm.ZoneCells(r.zone(m.Zones[z].Name))
			for c := from; c < to; c++ {
				m.Cells[at].State = r.truth.states[c]
				at++
			}
		}
	}
}

// zone is the index of a zone by its name, which is its own.
func (r *runner) zone(name string) int {
	for i := range r.farm.Zones {
		if r.farm.Zones[i].Name == name {
			return i
		}
	}
	panic("replay: a zone of the problem is not of the farm")
}

// morning is when a day's decision is taken.
func (r *runner) morning(d civil.Date) time.Time {
	return time.Date(d.Year, d.Month, d.Day, fields.MorningHour, 0, 0, 0, r.farm.Location)
}
