// What the invented probes read.

package main

import (
	"math"
	"testing"

	"sandwick/fields"
)

// Ground at rest over a water table, from the curve's own ends: saturated ground
// holds all its pores, ground out of a table's reach next to nothing.
func TestStandingWater(t *testing.T) {
	const saturated = (lowSaturated - lowWilting) / (lowDrained - lowWilting)
	near(t, "table at the surface", standing(0, 0.001), saturated, 1e-6)
	near(t, "table far below", standing(1e6, 2), (lowResidual-lowWilting)/(lowDrained-lowWilting), 1e-3)
	// 15 bar, 153 m of water, on the curve of van Genuchten (1980, Eq. 3).
	wilted := lowResidual + (lowSaturated-lowResidual)/math.Pow(1+math.Pow(lowAlphaPerM*153, lowN), 1-1/lowN)
	near(t, "wilting point", wilted, lowWilting, 5e-4)
	for ft := 1.0; ft < 8; ft += 0.5 {
		if standing(ft+0.5, 2) >= standing(ft, 2) {
			t.Errorf("a table at %g ft leaves no less water than one at %g", ft+0.5, ft)
		}
	}
}

// The probes and the books know nothing of each other, yet are of one ground:
// no zone is off by more than a fifth of what it holds.
func TestProbesAgreeWithTheBooks(t *testing.T) {
	farm, season := walkDemo(t)
	sums := fields.SumProbes(season.Probes())
	if len(sums) != len(probeSpots) {
		t.Fatalf("%d zones with readings, want %d", len(sums), len(probeSpots))
	}
	for _, s := range sums {
		if !(math.Abs(s.Bias) < 0.2) || s.N < 5 {
			t.Errorf("%s: books less readings %.2f of available water over %d readings", farm.Zones[s.Zone].Name, s.Bias, s.N)
		}
	}
}
