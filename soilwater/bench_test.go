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
	field, _ := hydraulics.Lookup("field sand")
	finer, _ := hydraulics.Lookup("loamy sand (class average)")
	one := DefaultProfile(field, 1)
	two := DefaultProfile(field, 1)
	two.Horizons = []Horizon{{0, 0.4, math.NaN(), math.NaN(), &field}, {0.4, 1, math.NaN(), math.NaN(), &finer}}
	for name, p := range map[string]Profile{"one soil": one, "two soils": two} {
		made := func(b *testing.B, p Profile) *Column {
			c, err := NewColumn(p)
			if err != nil {
				b.Fatal(err)
			}
			return c
		}
		first := made(b, p)
		b.Run(name+"/first", func(b *testing.B) {
			for b.Loop() {
				made(b, p)
			}
		})
		b.Run(name+"/shared", func(b *testing.B) {
			for b.Loop() {
				made(b, first.Profile())
			}
		})
		b.Run(name+"/WithReach", func(b *testing.B) {
			for b.Loop() {
				if _, err := first.WithReach(0.8); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
