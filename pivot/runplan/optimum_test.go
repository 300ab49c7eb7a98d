package runplan

// This file compares the planner with the best plan there is on problems so
// small that every plan of a coarse grid can be tried.

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"
	"time"
)

// smallFarm is one machine over three sectors for four to six days.
func smallFarm(t testing.TB, rng *rand.Rand) Problem {
	days := 4 + rng.IntN(3)
	var zones []Zone
	for k := range 2 {
		z := zone(t, fmt.Sprint("zone ", k), 2+5*rng.Float64(), days)
		if rng.IntN(3) == 0 {
			z.RainMM[rng.IntN(days)] = 20 * rng.Float64()
		}
		zones = append(zones, z)
	}
	m := machine(t, "A", zones...)
	m.SliceDeg, m.SliceM2 = 120, fill(math.Pi*400*400/3, 3)
	m.HoursAtFull = 9 + 6*rng.Float64()
	m.Reversible = rng.IntN(3) > 0
	m.MaxLegs = 3
	for s := range 3 {
		m.under(t, s, rng.IntN(2), 30*rng.Float64())
	}
	p := farm(time.UTC, days, m)
	if rng.IntN(3) == 0 {
		p.Wells[0].EnergyPerKWh = func(at time.Time) float64 { return 0.05 + 0.1*float64(at.Hour()/12) }
	}
	return p
}

// best tries every plan of at most two passes: a start every twelve hours, each
// sector dry or at one of three timers. It returns the least cost.
func best(t testing.TB, p Problem) float64 {
	w, err := newWorld(&p)
	if err != nil {
		t.Fatal(err)
	}
	m := &w.machs[0]
	var shapes [][]run
	settings := []run{{120, false, 100}, {120, true, 60}, {120, true, 35}, {120, true, 22}}
	var build func(legs []run)
	build = func(legs []run) {
		if len(legs) > 0 && legs[len(legs)-1].wet {
			shapes = append(shapes, slices.Clone(legs))
		}
		if len(legs) < 3 {
			for _, s := range settings {
				build(append(slices.Clone(legs), s))
			}
		}
	}
	build(nil)
	ways := []bool{true}
	if m.Reversible {
		ways = append(ways, false)
	}
	least := math.Inf(1)
	look := newOutlook(w, m)
	try := func(trips ...trip) (end float64, ok bool) {
		d := newDraft(w)
		var b booking
		for _, t := range trips {
			d.commit(t, &b)
			if b.first.c != 0 {
				return 0, false
			}
		}
		look.refresh(w, m, d.water(0), d.watered(0))
		least = min(least, d.pumping+d.labour+look.total())
		return b.end, true
	}
	try()
	for start := 0.0; start < w.end(); start += 12 {
		for _, cw := range ways {
			for _, legs := range shapes {
				one := trip{start: start, cw: cw, legs: legs}
				end, ok := try(one)
				if !ok {
					continue
				}
				at := 0.0
				for range legs {
					at = advance(at, 120, cw)
				}
				for again := math.Ceil(end/12) * 12; again < w.end(); again += 12 {
					for _, back := range ways {
						for _, more := range shapes {
							try(one, trip{start: again, from: at, cw: back, legs: more})
						}
					}
				}
			}
		}
	}
	return least
}

// gaps is the planner's cost over the grid's optimum less 1, sorted.
func gaps(t testing.TB, seeds uint64) []float64 {
	var out []float64
	for seed := range seeds {
		p := smallFarm(t, rand.New(rand.NewPCG(seed, 11)))
		out = append(out, checked(t, p).Cost.Total/best(t, p)-1)
	}
	slices.Sort(out)
	return out
}

func TestPlannerNearOptimum(t *testing.T) {
	g := gaps(t, 6)
	t.Logf("over the grid's optimum: %.2f", g)
	if mid := g[len(g)/2]; mid > 0.05 {
		t.Errorf("median gap %.1f %%", 100*mid)
	}
}
