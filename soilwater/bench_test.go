package soilwater

// Speed of a cell-day.

import (
	"math"
	"testing"

	"sandwick/soilwater/hydraulics"
)

func benchStep(b *testing.B, c *Column, table, rootM float64) {
	d := Demand{EToMM: 6, Kcb: 1.05, KcMax: 1.2, Cover: 0.9, P: 0.5, RootM: rootM}
	w := [...]Water{{TableM: table}, {TableM: table + 0.013, NetMM: 18, FwNet: 1}, {TableM: table}, {TableM: table - 0.02, RainMM: 4}}
	s := c.Start(0.2, d, table)
	var out Fluxes
	worst, i := 0.0, 0
	b.ReportAllocs()
	for b.Loop() {
		c.Step(&s, &d, &w[i&3], &out)
		worst = max(worst, math.Abs(out.ClosureMM))
		i++
	}
	if !(worst < 1e-9) || out.ETMM <= 0 {
		b.Fatalf("closure %g, ET %g", worst, out.ETMM)
	}
}

func BenchmarkStepFAO(b *testing.B) {
	p := Profile{
		Horizons: []Horizon{{0, 1, 0.12, 0.04, nil}}, RootMaxM: 1, Layers: 1, CompensationLimit: 1,
		RootGapM: 0.1, DrainedMMPerDay: 3, ZeM: 0.1, TEWMM: math.NaN(), REWMM: math.NaN(), CurveNumber: 65,
	}
	c, err := NewColumn(p)
	if err != nil {
		b.Fatal(err)
	}
	benchStep(b, c, math.Inf(1), 0.6)
}

func BenchmarkStepLayers(b *testing.B) {
	soil, _ := hydraulics.Lookup("field sand")
	p := DefaultProfile(soil, 1)
	p.CurveNumber = 65
	for _, bench := range []struct {
		name         string
		table, rootM float64
	}{
		{"fed", 0.9, 1},          // the table feeds all roots
		{"transition", 1.5, 1},   // it feeds some
		{"growing", 1.4, 0.6},    // roots end inside a layer
		{"free", math.Inf(1), 1}, // no table
	} {
		b.Run(bench.name, func(b *testing.B) {
			c, err := NewColumn(p)
			if err != nil {
				b.Fatal(err)
			}
			benchStep(b, c, bench.table, bench.rootM)
		})
	}
}

func BenchmarkNewColumn(b *testing.B) {
	soil, _ := hydraulics.Lookup("field sand")
	for b.Loop() {
		if _, err := NewColumn(DefaultProfile(soil, 1)); err != nil {
			b.Fatal(err)
		}
	}
}
