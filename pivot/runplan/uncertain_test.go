package runplan

// Weather that is not known: what is decided now is decided for all of it.

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"
	"time"
)

// scenarios gives a problem scenarios whose rain on day k is mm[s], alike likely,
// and the mean of them as what is expected.
func scenarios(p *Problem, k int, mm ...float64) {
	mean := 0.0
	for _, x := range mm {
		mean += x / float64(len(mm))
	}
	p.Scenarios = nil
	for _, x := range mm {
		s := Scenario{Name: "s", Weight: 1}
		for i := range p.Machines {
			var ws []Weather
			for z := range p.Machines[i].Zones {
				zn := &p.Machines[i].Zones[z]
				rain := make([]float64, p.Days)
				copy(rain, zn.RainMM)
				rain[k] = x
				ws = append(ws, Weather{zn.Demand, rain})
			}
			s.Zones = append(s.Zones, ws)
		}
		p.Scenarios = append(p.Scenarios, s)
	}
	for i := range p.Machines {
		for z := range p.Machines[i].Zones {
			p.Machines[i].Zones[z].RainMM[k] = mean
		}
	}
}

// Ground with three days in hand and one chance in two of 30 mm on the second
// day. By the mean of 15 mm nothing is due until the sixth day; dry, it is due on
// the fourth, and the machine takes two days. What is decided now is the same for
// both, and what is expected is the mean of the two.
func TestScenariosByHand(t *testing.T) {
	p := quarters(t, 8, 5, 15, 15, 15, 15)
	scenarios(&p, 1, 0, 30)
	pl := checked(t, p)
	e := pl.Expected
	if e == nil || len(e.Scenarios) != 2 || e.Of != 2 {
		t.Fatalf("expected: %+v", e)
	}
	near(t, "mean", e.Cost, (e.Scenarios[0].Cost+e.Scenarios[1].Cost)/2, 1e-9*e.Cost)
	if e.Scenarios[0].Cost <= e.Scenarios[1].Cost {
		t.Errorf("dry %g, wet %g", e.Scenarios[0].Cost, e.Scenarios[1].Cost)
	}
	for i := range pl.Passes {
		if pl.Passes[i].Start.Before(p.Now.Add(24 * time.Hour)) {
			show(t, pl)
			t.Error("waters before the rain is known, with three days in hand")
		}
	}
	// If it stays dry with certainty it cannot be put off for long.
	scenarios(&p, 1, 0, 0)
	pl = checked(t, p)
	if len(pl.Passes) == 0 || pl.Passes[0].Start.After(p.Now.Add(3*24*time.Hour)) {
		show(t, pl)
		t.Error("dry: the first pass comes too late")
	}
}

// One scenario that is what is expected changes nothing.
func TestScenarioAlone(t *testing.T) {
	rng := rand.New(rand.NewPCG(8, 8))
	for range 3 {
		p := randomFarm(t, rng, time.UTC)
		scenarios(&p, 0, p.Machines[0].Zones[0].RainMM[0])
		for i := range p.Machines {
			for z := range p.Machines[i].Zones {
				p.Scenarios[0].Zones[i][z].RainMM = p.Machines[i].Zones[z].RainMM
			}
		}
		for i := range p.Machines {
			for z := range p.Machines[i].Zones {
				p.Machines[i].Zones[z].RainMM[0] = p.Machines[0].Zones[0].RainMM[0]
			}
		}
		b := checked(t, p)
		q := p
		q.Scenarios = nil
		a := checked(t, q)
		near(t, "cost", b.Cost.Total, a.Cost.Total, 1e-6*a.Cost.Total)
	}
}

// Scenarios that stand for many: weights sum to 1, each many goes to the nearest.
func TestFewScenarios(t *testing.T) {
	p := quarters(t, 5, 5, 15, 15, 15, 15)
	scenarios(&p, 2, 0, 0, 0, 0, 1, 10, 11, 20, 30, 31, 40, 80)
	few := p.few()
	if len(few) != mostScenarios {
		t.Fatalf("%d scenarios", len(few))
	}
	sum, mean, all := 0.0, 0.0, 0.0
	for i := range few {
		sum += few[i].Weight
		mean += few[i].Weight * few[i].Zones[0][0].RainMM[2]
	}
	for i := range p.Scenarios {
		all += p.Scenarios[i].Zones[0][0].RainMM[2] / float64(len(p.Scenarios))
	}
	near(t, "weights", sum, 1, 1e-12)
	near(t, "mean rain", mean, all, 2.5)
	if len(few) != mostScenarios || few[0].Zones[0][0].RainMM[2] != 0 || math.Abs(few[0].Weight-5./12) > 1e-12 {
		t.Errorf("the dry ones: %g", few[0].Weight)
	}
}

func TestScenarioErrors(t *testing.T) {
	for _, row := range []struct {
		change func(*Scenario)
		want   string
	}{
		{func(s *Scenario) { s.Weight = 0 }, "weight 0"},
		{func(s *Scenario) { s.Zones = nil }, "weather for 0 of 1 machines"},
		{func(s *Scenario) { s.Zones[0] = nil }, "weather for 0 of 1 zones"},
		{func(s *Scenario) { s.Zones[0][0].RainMM = nil }, "rain for"},
	} {
		p := quarters(t, 5, 5, 15, 15, 15, 15)
		scenarios(&p, 2, 0, 10)
		row.change(&p.Scenarios[1])
		if _, err := Make(t.Context(), p); err == nil || !strings.Contains(err.Error(), row.want) {
			t.Errorf("%v, want %s", err, row.want)
		}
	}
}
