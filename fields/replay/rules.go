// The ways that follow a rule: what a careful irrigator does without a map of
// his ground. Both water the whole circle, or the whole part circle, at one
// timer setting. They keep to the same wells, hours and dry days as a plan does:
// a trip that the evaluator does not let pass waits.

package replay

import (
	"cmp"
	"context"
	"math"
	"slices"
	"time"

	"sandwick/fields"
	"sandwick/pivot"
	"sandwick/pivot/runplan"
	"sandwick/soilwater"
)

// leastShare is the share of a machine's ground from which on a zone counts
// for a rule: nobody waters a circle for a corner of it. Common practice, no
// published source.
const leastShare = 0.05

// trips lays out the trips of the rules.
type trips struct{ clockwise []bool } // by machine: the way it goes next on a full circle

func newTrips(n int) trips {
	t := trips{make([]bool, n)}
	for i := range t.clockwise {
		t.clockwise[i] = true
	}
	return t
}

// wanted is a trip that a rule asks for.
type wanted struct {
	machine int
	netMM   float64
	urgency float64 // the greater goes first
}

// fit begins what is wanted, the most urgent first, each as soon as its machine
// and its well are free and before next. It returns what can be begun.
func (t *trips) fit(p *runplan.Problem, list []wanted, next time.Time) ([]runplan.Pass, []bool, error) {
	slices.SortStableFunc(list, func(a, b wanted) int { return cmp.Compare(b.urgency, a.urgency) })
	var passes []runplan.Pass
	begun := make([]bool, len(p.Machines))
	for _, w := range list {
		m := &p.Machines[w.machine]
		for _, at := range t.times(p, m, passes, next) {
			pass := WholeTrip(p, w.machine, w.netMM, t.clockwise[w.machine], at)
			if !pass.Start.Before(next) {
				continue
			}
			res, err := runplan.Evaluate(*p, runplan.Plan{Passes: append(slices.Clone(passes), pass)})
			if err != nil {
				return nil, nil, err
			}
			if res.Feasible() {
				passes = res.Passes
				begun[w.machine] = true
				t.clockwise[w.machine] = pass.Clockwise
				break
			}
		}
	}
	return passes, begun, nil
}

// times are when a machine might start: now, or when something else that draws
// from its well is done.
func (t *trips) times(p *runplan.Problem, m *runplan.Machine, passes []runplan.Pass, next time.Time) []time.Time {
	free := p.Now
	if m.FreeAt.After(free) {
		free = m.FreeAt
	}
	out := []time.Time{free}
	for i := range p.Machines {
		if o := &p.Machines[i]; o.Well == m.Well && o.RunningM3H > 0 && o.FreeAt.After(free) {
			out = append(out, o.FreeAt)
		}
	}
	for i := range passes {
		if passes[i].Well == m.Well && passes[i].End.After(free) {
			out = append(out, passes[i].End)
		}
	}
	out = slices.DeleteFunc(out, func(at time.Time) bool { return !at.Before(next) })
	slices.SortFunc(out, time.Time.Compare)
	return out
}

// WholeTrip is one whole trip of a machine with one setting of the timer, that
// gives so many mm net or as many as the machine can: once round, clockwise or
// not, or from where it stands to the stop that is further. It stands in the
// hours in which it may not run, and where at is one of them starts after them.
func WholeTrip(p *runplan.Problem, machine int, netMM float64, clockwise bool, at time.Time) runplan.Pass {
	m := &p.Machines[machine]
	pass := runplan.Pass{Pivot: m.Name, Well: m.Well, Clockwise: clockwise || !m.Reversible, StartDeg: m.ArmDeg.Norm()}
	to := pass.StartDeg
	if m.Stops != nil {
		back, on := m.Stops.From.Clockwise(m.ArmDeg), m.ArmDeg.Clockwise(m.Stops.To)
		pass.Clockwise = on >= back
		if m.Stops.Full() && back == 0 {
			pass.Clockwise = !clockwise // it stands on the barrier: back the way it came
		}
		if pass.Clockwise {
			to = m.Stops.To.Norm()
		} else {
			to = m.Stops.From.Norm()
		}
	}
	gross := min(m.GrossForNetMM(netMM), m.MaxGrossMM)
	timer, _ := m.TimerFor(gross, m.ArmDeg)
	arc := pivot.Swept(pass.StartDeg, to, pass.Clockwise)
	pass.Legs = []runplan.Leg{{FromDeg: pass.StartDeg, ToDeg: to, Water: true, TimerPct: timer}}
	pass.Start, pass.Pauses = Stands(at, m.PassHours(arc, timer), Shut(p, m))
	return pass
}

// Shut are the hours in which a machine may not run wet, in order. A well that
// may pump some hours a day only pumps the first of each day.
func Shut(p *runplan.Problem, m *runplan.Machine) []runplan.Window {
	list := slices.Clone(m.NoRun)
	for i := range p.Wells {
		w := &p.Wells[i]
		if w.Name != m.Well {
			continue
		}
		list = append(list, w.NoRun...)
		y, month, d := p.Now.Date()
		for k := 0; w.MaxHoursPerDay < 24 && k < p.Days; k++ {
			midnight := time.Date(y, month, d+k+1, 0, 0, 0, 0, p.Now.Location())
			from := time.Date(y, month, d+k, 0, 0, 0, 0, p.Now.Location()).Add(time.Duration(w.MaxHoursPerDay * float64(time.Hour)))
			list = append(list, runplan.Window{From: from, To: midnight, Why: "hours of the day used up"})
		}
	}
	slices.SortFunc(list, func(a, b runplan.Window) int { return a.From.Compare(b.From) })
	return list
}

// Stands puts so many hours of running from at on between windows that are in
// order of their start, and gives the start and the stands on the way.
func Stands(at time.Time, hours float64, shut []runplan.Window) (start time.Time, pauses []runplan.Window) {
	left := time.Duration(hours * float64(time.Hour))
	for _, w := range shut {
		switch {
		case !w.To.After(at):
			continue
		case !w.From.After(at): // within it
			if n := len(pauses); start.IsZero() {
				at = w.To
			} else {
				pauses[n-1].To = w.To
				at = w.To
			}
			continue
		}
		if start.IsZero() {
			start = at
		}
		if run := w.From.Sub(at); run < left {
			left -= run
			pauses = append(pauses, w)
			at = w.To
			continue
		}
		break
	}
	if start.IsZero() {
		start = at
	}
	return start, pauses
}

// refill waters a circle on the day on which its driest zone comes to the
// trigger, and gives what that zone will be short of by the evening.
type refill struct{ trips }

func (r *refill) decide(_ context.Context, _ *fields.Season, p *runplan.Problem, _ int, next time.Time) ([]runplan.Pass, error) {
	var list []wanted
	for i := range p.Machines {
		if p.Machines[i].FreeAt.Before(next) {
			if need, urgency := Tonight(&p.Machines[i]); urgency >= 1 {
				list = append(list, wanted{i, need, urgency})
			}
		}
	}
	passes, _, err := r.fit(p, list, next)
	return passes, err
}

// Tonight is the depletion of a machine's driest zone at the end of today if
// nothing more is begun, mm, and as a multiple of its trigger; the mean over the
// zone. It is as dry as a rainless day like those just passed makes it.
func Tonight(m *runplan.Machine) (depletion, share float64) {
	type zone struct{ area, dep, trig float64 }
	zones := make([]zone, len(m.Zones))
	total := 0.0
	for i := range m.Cells {
		c := &m.Cells[i]
		z := &m.Zones[c.Zone]
		st := c.State
		w := soilwater.Water{RainMM: z.RainMM[0], FwNet: 1, TableM: z.TableM[0]}
		if len(c.GivenMM) > 0 {
			w.NetMM = c.GivenMM[0]
		}
		var f soilwater.Fluxes
		z.Column.Step(&st, &z.Demand[0], &w, &f)
		trig := f.RAWMM
		if z.TriggerMM != nil {
			trig = z.TriggerMM(f.TAWMM, f.RAWMM)
		}
		zones[c.Zone].area += c.AreaM2
		zones[c.Zone].dep += c.AreaM2 * f.DepletionMM
		zones[c.Zone].trig += c.AreaM2 * trig
		total += c.AreaM2
	}
	for _, z := range zones {
		if z.area < leastShare*total || z.trig <= 0 {
			continue
		}
		if s := z.dep / z.trig; s > share {
			depletion, share = z.dep/z.area, s
		}
	}
	return depletion, share
}

// CalendarRule is how one circle is run by the calendar. It is made with
// hindsight, which favours it: from the use of the very season it is run in.
type CalendarRule struct {
	Pivot       string
	EveryDays   int
	NetMM       float64 // every time
	PeakMM      float64 // use by which it is set: the mean of the 30 days of greatest use, mm/day
	First, Last int     // days from the replay's first between which it is kept; Last < First: never
}

const (
	peakDays     = 30  // peak use is a month's
	kcCalmDays   = 7   // the season's begin and end are looked for in a week's mean
	calendarFrom = 0.5 // of peak use: where the calendar begins and ends
)

// calendarRules sets the calendar of every machine: the peak use of its thirstiest
// field, the most whole days of it that the driest zone holds between full and
// its trigger, and the days on which use is at least half the peak.
// Common practice, no published source.
func (r *runner) calendarRules() []CalendarRule {
	out := make([]CalendarRule, len(r.first.Machines))
	for i := range r.first.Machines {
		m := &r.first.Machines[i]
		rule := &out[i]
		*rule = CalendarRule{Pivot: m.Name, Last: -1}
		var use []float64
		at := 0
		for f := range r.farm.Fields {
			if r.farm.Fields[f].Pivot != m.Name {
				continue
			}
			if peak, day := busiest(r.truth.etcMM[f], peakDays); peak > rule.PeakMM {
				rule.PeakMM, at, use = peak, day, r.truth.etcMM[f]
			}
		}
		if !(rule.PeakMM > 0) {
			continue
		}
		holds := r.holds(m, at)
		rule.EveryDays = max(1, int(holds/rule.PeakMM))
		rule.NetMM = float64(rule.EveryDays) * rule.PeakMM
		if most, _ := m.NetMM(m.MaxGrossMM); rule.NetMM > most {
			rule.EveryDays = max(1, int(most/rule.PeakMM))
			rule.NetMM = min(most, float64(rule.EveryDays)*rule.PeakMM)
		}
		rule.First = -1
		for d := range use {
			if week := mean(use[d:min(len(use), d+kcCalmDays)]); week >= calendarFrom*rule.PeakMM {
				if rule.First < 0 {
					rule.First = d
				}
				rule.Last = d
			}
		}
	}
	return out
}

// busiest is the greatest mean over so many days on end, and their middle.
func busiest(use []float64, days int) (peak float64, middle int) {
	days = min(days, len(use))
	for d := 0; d+days <= len(use); d++ {
		if x := mean(use[d : d+days]); x > peak {
			peak, middle = x, d+days/2
		}
	}
	return peak, middle
}

func mean(x []float64) float64 {
	sum := 0.0
	for _, v := range x {
		sum += v
	}
	return sum / float64(len(x))
}

// holds is the least water that a zone of a machine holds between full and its
// trigger on a day, mm.
func (r *runner) holds(m *runplan.Machine, day int) float64 {
	least, total := math.Inf(1), 0.0
	area := make([]float64, len(m.Zones))
	for i := range m.Cells {
		area[m.Cells[i].Zone] += m.Cells[i].AreaM2
		total += m.Cells[i].AreaM2
	}
	for i := range m.Zones {
		z := &m.Zones[i]
		if area[i] < leastShare*total {
			continue
		}
		st := z.Column.Start(0, z.Demand[day], z.TableM[day])
		_, taw, raw := z.Column.Totals(&st, &z.Demand[day], z.TableM[day])
		if z.TriggerMM != nil {
			raw = z.TriggerMM(taw, raw)
		}
		least = min(least, raw)
	}
	return least
}

// calendar waters a circle every so many days, whatever the weather.
type calendar struct {
	trips
	rules []CalendarRule
	due   []int // by machine: the day of its next trip
}

func (c *calendar) decide(_ context.Context, _ *fields.Season, p *runplan.Problem, day int, next time.Time) ([]runplan.Pass, error) {
	var list []wanted
	for i := range p.Machines {
		rule := &c.rules[i]
		if day < rule.First || day > rule.Last || day < c.due[i] || !p.Machines[i].FreeAt.Before(next) {
			continue
		}
		list = append(list, wanted{i, rule.NetMM, float64(day - c.due[i])})
	}
	passes, begun, err := c.fit(p, list, next)
	for i, ok := range begun {
		if ok {
			c.due[i] = day + c.rules[i].EveryDays
		}
	}
	return passes, err
}
