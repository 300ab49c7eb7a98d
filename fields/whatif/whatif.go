// Package whatif prices a grower's own way: a start at his own time, a machine
// held back, weather other than expected. What he leaves open is planned around
// it, and both his way and the plan are judged by the one evaluator.
package whatif

import (
	"context"
	"fmt"
	"math"
	"slices"
	"time"

	"sandwick/et/input"
	"sandwick/fields"
	"sandwick/fields/records"
	"sandwick/fields/replay"
	"sandwick/pivot"
	"sandwick/pivot/runplan"
)

// Own is what somebody would rather do or see.
type Own struct {
	fields.Supposing
	Starts []Start // first start of a machine, at most one each
	Holds  []Hold
	Effort float64 // runplan.Problem.Effort
}

// Start is when a machine is to start; it does not run before.
type Start struct {
	Pivot string
	At    time.Time
}

// Hold keeps a machine from running until a time; zero: in all the days ahead.
type Hold struct {
	Pivot string
	Until time.Time
}

// Any tells whether anything is asked.
func (o *Own) Any() bool { return o.Supposing.Any() || len(o.Starts) > 0 || len(o.Holds) > 0 }

// Pair is a plan and the own way under the same weather.
type Pair struct{ Plan, Own runplan.Result }

// Answer is what the own way comes to.
type Answer struct {
	Ahead fields.Ahead // with the weather supposed
	Plan  runplan.Plan // the program's, made for the weather expected
	Own   runplan.Plan // explained under the weather supposed
	Pair               // judged under the weather supposed
	// Expected is the pair under the weather expected: what the own way costs if
	// what it supposes does not come. Nil when nothing is supposed.
	Expected *Pair
	// Weighed is what the two cost on average over the weather of earlier years,
	// later passes decided anew in each; nil where history.csv has none of these
	// days, and where other weather is supposed.
	Weighed *Weighed
}

// Weighed is a pair of mean costs, in the farm's currency.
type Weighed struct {
	Plan, Own float64
	Years     int
}

// Ask prices an own way of the days ahead of a walked season. The error is of
// ctx, or of a problem that makes no sense; the problems are those of
// history.csv. A wish that cannot be met is no error: its result says which
// constraint is in the way.
func Ask(ctx context.Context, s *fields.Season, now time.Time, days int, o Own) (*Answer, input.Problems, error) {
	expected := s.Planning(now, days)
	supposed, problems := s.Suppose(expected, o.Supposing)
	if len(problems) > 0 {
		return nil, problems, nil
	}
	a := &Answer{Ahead: supposed}
	var err error
	expected.Problem.Effort = o.Effort
	if a.Plan, err = runplan.Make(ctx, expected.Problem); err != nil {
		return nil, nil, err
	}
	w := wish{ctx: ctx, season: s, now: now, days: days, own: o}
	passes, weighed, problems, err := w.passes(&supposed.Problem, &a.Plan)
	if err != nil || len(problems) > 0 {
		return nil, problems, err
	}
	held := supposed.Problem // so that a machine that is held is told to be
	w.hold(&held, passes)
	if a.Own, _, err = runplan.Explain(held, passes); err != nil {
		return nil, nil, err
	}
	if a.Pair.Own, err = runplan.Evaluate(supposed.Problem, a.Own); err != nil {
		return nil, nil, err
	}
	a.Own.Cost = a.Pair.Own.Cost
	if e := a.Plan.Expected; e != nil && weighed != nil {
		a.Own.Expected = weighed
		a.Weighed = &Weighed{Plan: e.Cost, Own: weighed.Cost, Years: e.Of}
	}
	if a.Pair.Plan, err = runplan.Evaluate(supposed.Problem, a.Plan); err != nil {
		return nil, nil, err
	}
	if o.Supposing.Any() {
		a.Expected = &Pair{}
		if a.Expected.Plan, err = runplan.Evaluate(expected.Problem, a.Plan); err != nil {
			return nil, nil, err
		}
		if a.Expected.Own, err = runplan.Evaluate(expected.Problem, a.Own); err != nil {
			return nil, nil, err
		}
	}
	return a, nil, nil
}

// wish plans what the own way leaves open.
type wish struct {
	ctx    context.Context
	season *fields.Season
	now    time.Time
	days   int
	own    Own
}

// passes are those of the own way, with what they cost over the weather of earlier
// years; nil where there is nothing to weigh.
func (w *wish) passes(p *runplan.Problem, plan *runplan.Plan) ([]runplan.Pass, *runplan.Expected, input.Problems, error) {
	starts := slices.Clone(w.own.Starts)
	slices.SortStableFunc(starts, func(a, b Start) int { return a.At.Compare(b.At) })
	var fixed []runplan.Pass
	for _, st := range starts {
		list, problems, err := w.candidates(p, plan, fixed, st)
		if err != nil || len(problems) > 0 {
			return nil, nil, problems, err
		}
		var best runplan.Result
		var chosen runplan.Pass
		for i := range list {
			_, r, _, problems, err := w.around(p, append(slices.Clone(fixed), list[i]), false)
			if err != nil || len(problems) > 0 {
				return nil, nil, problems, err
			}
			if i == 0 || r.Feasible() && (!best.Feasible() || r.Cost.Total < best.Cost.Total) {
				best, chosen = r, list[i]
			}
		}
		fixed = append(fixed, chosen)
	}
	passes, _, weighed, problems, err := w.around(p, fixed, true)
	return passes, weighed, problems, err
}

// Held is the reason of the hours in which a machine is held.
const Held = "held"

// hold puts the windows of the holds and of starts to come into a problem.
func (w *wish) hold(p *runplan.Problem, fixed []runplan.Pass) {
	p.Machines = slices.Clone(p.Machines)
	for i := range p.Machines {
		m := &p.Machines[i]
		bar := func(from, to time.Time, why string) {
			if to.After(from) {
				m.NoRun = append(slices.Clone(m.NoRun), runplan.Window{From: from, To: to, Why: why})
			}
		}
		for _, h := range w.own.Holds {
			if h.Pivot == m.Name {
				until := h.Until
				if until.IsZero() {
					until = w.now.AddDate(0, 0, w.days+1)
				}
				bar(w.now, until, Held)
			}
		}
		for _, st := range w.own.Starts {
			if st.Pivot == m.Name && !slices.ContainsFunc(fixed, func(ps runplan.Pass) bool { return ps.Pivot == m.Name }) {
				bar(w.now, st.At, "held until its own start")
			}
		}
	}
}

// around plans the rest around fixed passes: a plan of all, judged under p, and
// if it is to be weighed what it costs over the weather of earlier years.
func (w *wish) around(p *runplan.Problem, fixed []runplan.Pass, weigh bool) ([]runplan.Pass, runplan.Result, *runplan.Expected, input.Problems, error) {
	judged, err := runplan.Evaluate(*p, runplan.Plan{Passes: fixed})
	if err != nil {
		return nil, judged, nil, nil, err
	}
	rest, problems, err := w.taken(judged.Passes)
	if err != nil || len(problems) > 0 {
		return nil, judged, nil, problems, err
	}
	w.hold(&rest, fixed)
	rest.Effort = w.own.Effort
	if !weigh {
		rest.Scenarios = nil // to tell starts from each other the weather expected does
	}
	plan, err := runplan.Make(w.ctx, rest)
	if err != nil {
		return nil, judged, nil, nil, err
	}
	expected := plan.Expected
	if expected != nil {
		// The water of fixed passes is in it, as of any that are recorded; what they
		// cost themselves is not.
		own, err := costOf(p, fixed, &judged)
		if err != nil {
			return nil, judged, nil, nil, err
		}
		expected.Cost += own
		for i := range expected.Scenarios {
			expected.Scenarios[i].Cost += own
		}
	}
	all := append(slices.Clone(judged.Passes), plan.Passes...)
	judged, err = runplan.Evaluate(*p, runplan.Plan{Passes: all})
	return all, judged, expected, nil, err
}

// costOf is what passes cost by themselves, whatever becomes of the ground:
// pumping, starts, and what hours to avoid count for.
func costOf(p *runplan.Problem, passes []runplan.Pass, judged *runplan.Result) (float64, error) {
	sum := judged.Cost.Pumping + judged.Cost.Labour
	q := *p
	q.Wells = slices.Clone(p.Wells)
	for i := range q.Wells {
		q.Wells[i].AvoidPerH = nil
	}
	r, err := runplan.Evaluate(q, runplan.Plan{Passes: passes})
	return sum + judged.Cost.Preference - r.Cost.Preference, err
}

// taken is the problem once fixed passes are taken for begun: their machines are
// busy until they are done, their water comes, and machines of the same well
// that cannot run beside them stand while they draw, as with any pass that is recorded.
func (w *wish) taken(fixed []runplan.Pass) (runplan.Problem, input.Problems, error) {
	farm := *w.season.Farm
	farm.Records.Passes = slices.Clone(farm.Records.Passes)
	if farm.LookedBackAt(w.now) { // the record goes on after now
		farm.Records.Passes = slices.DeleteFunc(farm.Records.Passes, func(r records.Pass) bool { return r.Start.After(w.now) })
	}
	for i := range fixed {
		farm.Records.Passes = append(farm.Records.Passes, replay.Rows(&fixed[i])...)
	}
	replay.SortRows(farm.Records.Passes)
	season, err := farm.Walk(w.season.Today, fields.WalkOptions{}) // the passes begin today or later: the books stay as they are
	if err != nil {
		return runplan.Problem{}, nil, err
	}
	begun := time.Time{}
	if len(fixed) > 0 {
		begun = w.now.AddDate(0, 0, w.days+1)
	}
	ahead, problems := season.Suppose(season.AheadWith(w.now, w.days, fields.AheadOptions{Begun: begun, NoEnds: true, Weigh: true}), w.own.Supposing)
	return ahead.Problem, problems, nil
}

// candidates are passes with which a machine may start at its own time: what the
// plan has for it first, what it would have if it could not start sooner, and a
// whole trip.
func (w *wish) candidates(p *runplan.Problem, plan *runplan.Plan, fixed []runplan.Pass, st Start) ([]runplan.Pass, input.Problems, error) {
	judged, err := runplan.Evaluate(*p, runplan.Plan{Passes: fixed})
	if err != nil {
		return nil, nil, err
	}
	rest, problems, err := w.taken(judged.Passes)
	if err != nil || len(problems) > 0 {
		return nil, problems, err
	}
	w.hold(&rest, fixed)
	rest.Scenarios, rest.Effort = nil, w.own.Effort
	later, err := runplan.Make(w.ctx, rest)
	if err != nil {
		return nil, nil, err
	}
	at := slices.IndexFunc(p.Machines, func(m runplan.Machine) bool { return m.Name == st.Pivot })
	if at < 0 {
		return nil, nil, fmt.Errorf("whatif: there is no machine %q", st.Pivot)
	}
	var out []runplan.Pass
	for _, from := range []*runplan.Plan{&later, plan} {
		if i := slices.IndexFunc(from.Passes, func(ps runplan.Pass) bool { return ps.Pivot == st.Pivot }); i >= 0 {
			out = append(out, moved(p, at, from.Passes[i], st.At))
		}
	}
	out = append(out, whole(p, at, st.At))
	return out, nil, nil
}

// moved is a pass with another start. It stands where it then must.
func moved(p *runplan.Problem, machine int, ps runplan.Pass, at time.Time) runplan.Pass {
	m := &p.Machines[machine]
	hours := 0.0
	for _, l := range ps.Legs {
		hours += m.PassHours(pivot.Swept(l.FromDeg, l.ToDeg, ps.Clockwise), l.TimerPct)
	}
	ps.Legs = slices.Clone(ps.Legs)
	ps.Start = at
	ps.Pauses = nil
	if start, pauses := replay.Stands(at, hours, replay.Shut(p, m)); start.Equal(at) {
		ps.Pauses = pauses
	}
	return ps
}

// whole is a trip once round, or from stop to stop, that refills the driest zone.
func whole(p *runplan.Problem, machine int, at time.Time) runplan.Pass {
	m := &p.Machines[machine]
	need, _ := replay.Tonight(m)
	ps := replay.WholeTrip(p, machine, math.Max(need, 0), true, at)
	if !ps.Start.Equal(at) {
		ps.Start, ps.Pauses = at, nil
	}
	return ps
}
