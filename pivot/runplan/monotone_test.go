package runplan

// What must not make a plan dearer: cheaper hours, a wider well, more rain.

import (
	"context"
	"math/rand/v2"
	"slices"
	"testing"
	"time"
)

// easings make a farm's lot easier.
var easings = []struct {
	name   string
	change func(p *Problem, rng *rand.Rand)
}{
	{"cheaper hours", func(p *Problem, rng *rand.Rand) {
		from := rng.IntN(24)
		p.Wells = slices.Clone(p.Wells)
		for i := range p.Wells {
			was := p.Wells[i].EnergyPerKWh
			if was == nil {
				continue
			}
			p.Wells[i].EnergyPerKWh = func(at time.Time) float64 {
				if (at.Hour()-from+24)%24 < 8 {
					return 0.6 * was(at)
				}
				return was(at)
			}
		}
	}},
	{"a wider flow limit", func(p *Problem, rng *rand.Rand) {
		p.Wells = slices.Clone(p.Wells)
		for i := range p.Wells {
			p.Wells[i].FlowM3H *= 1.2 + rng.Float64()
		}
	}},
	{"more rain", func(p *Problem, rng *rand.Rand) {
		day, mm := rng.IntN(p.Days), 1+8*rng.Float64()
		p.Machines = slices.Clone(p.Machines)
		for i := range p.Machines {
			m := &p.Machines[i]
			m.Zones = slices.Clone(m.Zones)
			for z := range m.Zones {
				m.Zones[z].RainMM = slices.Clone(m.Zones[z].RainMM)
				m.Zones[z].RainMM[day] += mm
			}
		}
	}},
}

// A plan for the easier farm that knows the other's plan never costs more: by
// construction, because what can be run costs no more on the easier farm. Made
// without knowing it, the plan is found by a search that goes another way, and
// may cost a little more; how often, and how much, is told.
//
// Rain that drains takes nitrogen along, whoever plans: it is not priced here.
func TestMonotone(t *testing.T) {
	loc := central(t)
	for _, e := range easings {
		var up []float64
		n := 0
		for seed := range uint64(5) {
			rng := rand.New(rand.NewPCG(seed, 31))
			p := randomFarm(t, rng, loc)
			p.Prices.LeachedPerMM_ha = 0
			base := checked(t, p)
			e.change(&p, rng)
			if r := judged(t, p, base.Passes...); r.Violation != nil || r.Cost.Total > base.Cost.Total+1e-6 {
				t.Errorf("%s, seed %d: the same plan costs %g, %g before; %v", e.name, seed, r.Cost.Total, base.Cost.Total, r.Violation)
			}
			cold := checked(t, p)
			p.Known = [][]Pass{base.Passes}
			warm, err := Make(context.Background(), p)
			if err != nil || warm.Cost.Total > base.Cost.Total+1e-6 {
				t.Errorf("%s, seed %d: costs %g, %g before; %v", e.name, seed, warm.Cost.Total, base.Cost.Total, err)
			}
			n++
			if gap := cold.Cost.Total/base.Cost.Total - 1; gap > 1e-6 {
				up = append(up, 100*gap)
			}
		}
		slices.Sort(up)
		t.Logf("%s: of %d plans made anew %d cost more, by %.2f %%", e.name, n, len(up), up)
		if len(up) > 0 && up[len(up)-1] > 3 {
			t.Errorf("%s: a plan made anew costs %.2f %% more", e.name, up[len(up)-1])
		}
	}
}
