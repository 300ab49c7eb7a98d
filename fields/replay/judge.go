// What a way took and what it left: the evaluator over the whole season.

package replay

import (
	"slices"

	"sandwick/fields"
	"sandwick/pivot/runplan"
)

// Account is what one way came to.
type Account struct {
	Way    Way
	Passes []runplan.Pass // in order of start, every derived field filled in
	Total  Totals
	Pivots []Totals // by pivot, in the farm's order
	// Violation is the first constraint that the passes break, by the farm's
	// settings and the cuts planned on the first day; nil: none. What was really
	// done may break some.
	Violation *runplan.Violation
}

// Totals is what the season took and left, of one pivot or of all.
type Totals struct {
	Pivot         string // "" for all
	AreaM2        float64
	Passes        int
	Starts        int // passes, and starting again after a stand
	WaterM3       float64
	Hours         float64 // pumping, summed over machines
	EnergyKWh     float64
	StressDays    float64 // days on which ground was short of water, mean over the ground
	DeficitMM     float64 // ET that the crop went without, mean
	PercolationMM float64 // mean
	EndMM         float64 // depletion at the end of the last day, mean
	LostYield     float64 // share of full yield lost to stress, mean over the ground whose Ky is known
	Cost          runplan.Cost
	yieldM2       float64
}

// add adds a machine's totals; means are sums until divide.
func (t *Totals) add(v *Totals) {
	t.AreaM2 += v.AreaM2
	t.Passes += v.Passes
	t.Starts += v.Starts
	t.WaterM3 += v.WaterM3
	t.Hours += v.Hours
	t.EnergyKWh += v.EnergyKWh
	t.StressDays += v.StressDays
	t.DeficitMM += v.DeficitMM
	t.PercolationMM += v.PercolationMM
	t.EndMM += v.EndMM
	t.LostYield += v.LostYield
	t.yieldM2 += v.yieldM2
	c, d := &t.Cost, &v.Cost
	c.Pumping += d.Pumping
	c.Labour += d.Labour
	c.Stress += d.Stress
	c.Late += d.Late
	c.Percolation += d.Percolation
	c.Carry += d.Carry
	c.Preference += d.Preference
	c.Total += d.Total
}

func (t *Totals) divide() {
	if t.AreaM2 > 0 {
		for _, x := range []*float64{&t.StressDays, &t.DeficitMM, &t.PercolationMM, &t.EndMM} {
			*x /= t.AreaM2
		}
	}
	if t.yieldM2 > 0 {
		t.LostYield /= t.yieldM2
	}
}

// account judges the passes of a way from the first morning to the end of the
// last day.
func (r *runner) account(way Way, passes []runplan.Pass) (Account, error) {
	slices.SortStableFunc(passes, func(a, b runplan.Pass) int { return a.Start.Compare(b.Start) })
	a := Account{Way: way}
	whole, err := runplan.Evaluate(r.first, runplan.Plan{Passes: passes})
	if err != nil {
		return a, err
	}
	a.Passes, a.Violation = whole.Passes, whole.Violation
	stressed, err := r.stressed(a.Passes)
	if err != nil {
		return a, err
	}
	for i := range r.first.Machines {
		t, err := r.totals(i, a.Passes)
		if err != nil {
			return a, err
		}
		for z := range r.farm.Zones {
			if r.farm.ZonePivot(z) == i {
				t.StressDays += stressed[z]
			}
		}
		a.Total.add(&t)
		t.divide()
		a.Pivots = append(a.Pivots, t)
	}
	a.Total.divide()
	return a, nil
}

// totals evaluates one machine by itself, so that each knows its own cost. No
// term of the cost is shared between machines. Means are left as sums over area.
func (r *runner) totals(machine int, passes []runplan.Pass) (Totals, error) {
	one := r.first
	one.Machines = r.first.Machines[machine : machine+1]
	m := &one.Machines[0]
	t := Totals{Pivot: m.Name}
	own := slices.DeleteFunc(slices.Clone(passes), func(p runplan.Pass) bool { return p.Pivot != m.Name })
	res, err := runplan.Evaluate(one, runplan.Plan{Passes: own})
	if err != nil {
		return t, err
	}
	t.Cost, t.WaterM3, t.Hours, t.EnergyKWh = res.Cost, res.WaterM3, res.Hours, res.EnergyKWh
	t.Passes = len(own)
	for i := range own {
		t.Starts += 1 + len(own[i].Pauses)
	}
	for _, z := range res.Zones {
		t.AreaM2 += z.AreaM2
		t.DeficitMM += z.AreaM2 * z.DeficitMM
		t.PercolationMM += z.AreaM2 * z.PercolationMM
		t.EndMM += z.AreaM2 * z.EndMM
		zone := &m.Zones[z.Zone]
		if loss := zone.Ky / zone.SeasonETMM; loss > 0 {
			t.LostYield += z.AreaM2 * loss * z.DeficitMM // FAO-56 Eq. 101
			t.yieldM2 += z.AreaM2
		}
	}
	return t, nil
}

// books keeps the season's water books under the passes of a way.
func (r *runner) books(passes []runplan.Pass) (*fields.Season, error) {
	f := *r.farm
	f.Records.Passes = slices.Clone(r.base)
	for i := range passes {
		f.Records.Passes = append(f.Records.Passes, Rows(&passes[i])...)
	}
	SortRows(f.Records.Passes)
	return f.Walk(r.to.AddDays(1), fields.WalkOptions{})
}

// stressed is the ground of each zone that was short of water, m² × days.
func (r *runner) stressed(passes []runplan.Pass) ([]float64, error) {
	s, err := r.books(passes)
	if err != nil {
		return nil, err
	}
	out := make([]float64, len(r.farm.Zones))
	for d := r.from.DaysSince(s.From); d < s.Days(); d++ {
		for z := range out {
			out[z] += s.Account(d, z).StressM2
		}
	}
	return out, nil
}
