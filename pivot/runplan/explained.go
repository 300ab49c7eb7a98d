package runplan

// This file tells of passes that somebody else laid out what Make tells of its own.

import "slices"

// Explain makes a whole plan of passes: what follows from them, what they cost,
// and why, zone by zone. Only what decides a pass is read, as by [Evaluate],
// whose Result comes with it; a broken constraint is no error.
func Explain(p Problem, passes []Pass) (Plan, Result, error) {
	w, err := newWorld(&p)
	if err != nil {
		return Plan{}, Result{}, err
	}
	plan := Plan{Passes: slices.Clone(passes)}
	slices.SortStableFunc(plan.Passes, func(a, b Pass) int {
		if c := a.Start.Compare(b.Start); c != 0 {
			return c
		}
		return cmpString(a.Pivot, b.Pivot)
	})
	r, err := w.evaluate(&plan)
	if err != nil {
		return Plan{}, Result{}, err
	}
	plan.Passes, plan.Cost = r.Passes, r.Cost
	w.explain(&plan, &r)
	return plan, r, nil
}
