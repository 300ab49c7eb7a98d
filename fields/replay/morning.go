// What is known on a morning, and what is done that day.

package replay

import (
	"context"
	"slices"
	"sort"
	"time"

	"github.com/golang-sql/civil"

	"sandwick/fields"
	"sandwick/fields/records"
	"sandwick/pivot/runplan"
	"sandwick/soilwater"
)

// known is the farm as it was known on the morning of a day on which so many
// passes had been begun: weather and readings of the days before, no more.
func (r *runner) known(day civil.Date, passes []records.Pass) *fields.Farm {
	f := *r.farm
	all := &r.farm.Records
	f.Records = records.Records{
		Rain:       before(all.Rain, day, func(x *records.Rain) civil.Date { return x.Date }),
		WaterTable: before(all.WaterTable, day, func(x *records.TableReading) civil.Date { return x.Date }),
		Cuts:       before(all.Cuts, day, func(x *records.Cut) civil.Date { return x.Date }),
		Passes:     passes,
	}
	return &f
}

// before is the part of a list in order of date that lies before a day.
func before[T any](list []T, day civil.Date, date func(*T) civil.Date) []T {
	return list[:sort.Search(len(list), func(i int) bool { return !date(&list[i]).Before(day) })]
}

// tell puts what really came into a problem whose first day is day from the
// first, for so many days and as far as they lie within the replay: the air and
// the water table, the rain, or both.
func (r *runner) tell(p *runplan.Problem, day, days int, air, rain bool) {
	n := min(days, p.Days, r.days-day)
	for i := range p.Machines {
		m := &p.Machines[i]
		for k := range m.Zones {
			z := &m.Zones[k]
			zone := r.zone(z.Name)
			if rain {
				copy(z.RainMM, r.truth.rainMM[zone][day:day+n])
			}
			if air {
				field := r.farm.ZoneField(zone)
				copy(z.Demand, r.truth.demand[field][day:day+n])
				for k := range n {
					if planned := &z.Demand[k]; r.truth.bare[field][day+k] {
						planned.P, planned.FixedP = 1, true // ground without a crop has no trigger, as a plan is told
					}
				}
				copy(z.TableM, r.truth.tableM[zone][day:day+n])
				z.SeasonETMM = r.truth.seasonET[zone]
			}
		}
	}
}

// decider gives the passes to begin from now on; those that begin at or after
// next are decided again.
type decider interface {
	decide(ctx context.Context, s *fields.Season, p *runplan.Problem, day int, next time.Time) ([]runplan.Pass, error)
}

// run replays one way.
func (r *runner) run(ctx context.Context, way Way) (Account, error) {
	var passes []runplan.Pass
	if way == Recorded {
		passes = r.recorded()
		return r.account(way, passes)
	}
	var who decider
	switch way {
	case Planned:
		who = planner{r, 0, false, false, true}
	case Foresight:
		who = planner{r, r.look, true, true, false}
	case ToldAir:
		who = planner{r, r.look, true, false, false}
	case ToldRain:
		who = planner{r, r.look, false, true, false}
	case ToldSoon:
		who = planner{r, 2, true, true, false}
	case Refill:
		who = &refill{trips: newTrips(len(r.farm.Pivots))}
	case Calendar:
		who = &calendar{trips: newTrips(len(r.farm.Pivots)), rules: r.calendar, due: make([]int, len(r.farm.Pivots))}
	}
	look := r.look
	if _, plans := who.(planner); !plans {
		look = ruleDays
	}
	rows := slices.Clone(r.base)
	for d := range r.days {
		if err := ctx.Err(); err != nil {
			return Account{}, err
		}
		today := r.from.AddDays(d)
		now, next := r.morning(today), r.morning(today.AddDays(1))
		season, err := r.known(today, rows).Walk(today, fields.WalkOptions{})
		if err != nil {
			return Account{}, err
		}
		days := min(look, r.days-d) // everything ends within the replay
		ahead := season.AheadWith(now, days, fields.AheadOptions{Begun: next.AddDate(0, 0, look), NoEnds: true})
		begun, err := who.decide(ctx, season, &ahead.Problem, d, next)
		if err != nil {
			return Account{}, err
		}
		for i := range begun {
			if begun[i].Start.Before(next) {
				passes = append(passes, begun[i])
				rows = append(rows, Rows(&begun[i])...)
			}
		}
		SortRows(rows)
	}
	return r.account(way, passes)
}

// ruleDays is how many days a trip of a rule may take: longer than any circle
// with stands every afternoon. A rule looks at today only.
const ruleDays = 10

// planner decides by a plan.
type planner struct {
	*runner
	days      int // of how many days to come, today the first, it is told
	air, rain bool
	weigh     bool // over the same days of earlier years
}

func (pl planner) decide(ctx context.Context, s *fields.Season, p *runplan.Problem, day int, next time.Time) ([]runplan.Pass, error) {
	pl.tell(p, day, pl.days, pl.air, pl.rain)
	// A well is planned by itself. Where all its machines are under way until
	// the next morning nothing of its plan would be begun, and where no ground
	// comes due in the days looked at there is nothing to plan.
	free, due := map[string]bool{}, map[string]bool{}
	for i := range p.Machines {
		m := &p.Machines[i]
		free[m.Well] = free[m.Well] || m.FreeAt.Before(next)
		due[m.Well] = due[m.Well] || comesDue(m, p.Days)
	}
	idle := func(well string) bool { return !free[well] || !due[well] }
	p.Wells = slices.DeleteFunc(p.Wells, func(w runplan.Well) bool { return idle(w.Name) })
	p.Machines = slices.DeleteFunc(p.Machines, func(m runplan.Machine) bool { return idle(m.Well) })
	if len(p.Machines) == 0 {
		return nil, nil
	}
	if pl.weigh {
		years, problems := s.Farm.Years(s.Today)
		if len(problems) > 0 {
			return nil, problems
		}
		e := s.Ensemble(years, p.Days)
		p.Scenarios = e.For(s.Farm, p)
	}
	plan, err := runplan.Make(ctx, *p)
	return plan.Passes, err
}

// dueShare is the share of a machine's ground that must come due for it to be:
// less is slivers.
const dueShare = 0.01

// comesDue tells whether ground of a machine reaches its trigger within so many
// days if nothing more is begun.
func comesDue(m *runplan.Machine, days int) bool {
	due, total := 0.0, 0.0
	var f soilwater.Fluxes
	for i := range m.Cells {
		c := &m.Cells[i]
		z := &m.Zones[c.Zone]
		total += c.AreaM2
		st := c.State
		for k := range days {
			w := soilwater.Water{RainMM: z.RainMM[k], FwNet: 1, TableM: z.TableM[k]}
			if k < len(c.GivenMM) {
				w.NetMM = c.GivenMM[k]
			}
			z.Column.Step(&st, &z.Demand[k], &w, &f)
			trigger := f.RAWMM
			if z.TriggerMM != nil {
				trigger = z.TriggerMM(f.TAWMM, f.RAWMM)
			}
			if f.DepletionMM >= trigger || f.Ks < 1 {
				due += c.AreaM2
				break
			}
		}
	}
	return due >= dueShare*total
}
