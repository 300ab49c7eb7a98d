package runplan

import (
	"math"
	"testing"
)

// The course must add up to what the judge says of the same plan: it is the
// same ground under the same water.
func TestCourseAgreesWithTheJudge(t *testing.T) {
	const days = 8
	ridge, bench := zone(t, "ridge", 6, days), zone(t, "bench", 4, days)
	ridge.RainMM[2] = 5
	bench.Ends = []End{{Kind: RootsAlone, Column: layered(t), TableM: bench.TableM}}
	m := machine(t, "M", ridge, bench)
	m.under(t, 0, 0, 25)
	m.under(t, 1, 0, 28)
	m.under(t, 2, 1, 5)
	m.under(t, 3, 1, 12)
	p := farm(central(t), days, m)
	for i := range p.Machines[0].Cells[2:] { // the ground under the end is its own column's
		c := &p.Machines[0].Cells[2+i]
		c.EndStates = append(c.EndStates, layered(t).Start(0.3, plain(4), math.Inf(1)))
	}
	plan := plan(t, p)
	r, err := Evaluate(p, plan)
	if err != nil {
		t.Fatal(err)
	}
	course, err := p.Course(plan.Passes)
	if err != nil {
		t.Fatal(err)
	}
	wet := 0.0
	for _, z := range r.Zones {
		days := course[z.Machine][z.Zone]
		if len(days) != p.Days {
			t.Fatalf("%d days, want %d", len(days), p.Days)
		}
		net, perc, unmet := 0.0, 0.0, 0.0
		for _, d := range days {
			net, perc, unmet = net+d.NetMM, perc+d.PercMM, unmet+d.ETcMM-d.ETMM
			if d.LowMM > d.DepletionMM || d.HighMM < d.DepletionMM || d.DriestMM < d.DepletionMM-1e-9 {
				t.Errorf("range %g..%g, driest %g do not hold the mean %g", d.LowMM, d.HighMM, d.DriestMM, d.DepletionMM)
			}
		}
		for _, x := range []struct {
			what      string
			got, want float64
		}{
			{"net", net, z.NetMM}, {"percolation", perc, z.PercolationMM}, {"unmet ET", unmet, z.DeficitMM},
			{"depletion at the end", days[len(days)-1].DepletionMM, z.EndMM},
		} {
			if math.Abs(x.got-x.want) > 1e-9 {
				t.Errorf("zone %d: %s %.12g mm, the judge says %.12g", z.Zone, x.what, x.got, x.want)
			}
		}
		wet += net
	}
	if wet == 0 {
		t.Error("the plan waters nothing: the test tests nothing")
	}
}
