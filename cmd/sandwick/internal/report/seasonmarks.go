// Which figures of the season's books rest on an estimate, by the names that
// they have in JSON and CSV.

package report

import (
	"math"
	"slices"

	"sandwick/fields/books"
)

// marks are the names of the figures that are not nothing.
type marks struct{ names Names }

func (m *marks) add(name string, estimated float64) {
	if math.Abs(estimated) > hair {
		m.names = append(m.names, name)
	}
}

// estimatedWater names what of a withdrawal and its cost was not measured.
func estimatedWater(d *books.Drawn) Names {
	var m marks
	if d.EstimatedM3() > hair*max(1, d.M3) {
		m.add("withdrawn_m3", d.M3)
	}
	if d.TimerHours > 0 {
		m.add("pump_hours", d.PumpHours)
		m.add("dry_hours", d.DryHours)
	}
	m.add("energy_kwh", d.EnergyKWh)
	m.add("energy_cost", d.EnergyCost)
	m.add("fuel_cost", d.FuelCost)
	m.add("cost", d.EnergyCost+d.FuelCost)
	m.add("nitrogen_brought_kg", d.NitrateKg)
	return m.names
}

// estimatedGround names what of a ground's balance was not measured.
func estimatedGround(b *books.Books, e *books.Entry) Names {
	g := &e.Ground
	var m marks
	if e.EstimatedM3() > hair*max(1, e.M3) {
		m.add("withdrawn_mm", e.M3)
	}
	m.add("irrigation_gross_mm", g.GrossM3)
	m.add("irrigation_net_mm", g.NetM3)
	m.add("spray_loss_mm", g.SprayM3)
	m.add("rain_mm", g.CarriedM3+g.NoRainM2Days)
	m.add("effective_rain_mm", g.EffectiveM3)
	m.add("et_mm", g.FilledETM3)
	m.add("etc_mm", g.FilledETM3)
	m.add("upflux_mm", g.UpfluxM3)
	m.add("percolation_mm", g.PercM3)
	m.add("net_from_below_mm", g.BelowM3)
	m.add("runoff_mm", g.RunoffM3)
	m.add("storage_change_mm", g.StorageM3)
	m.add("nitrogen_lost_kg", b.LostKg(g))
	m.add("saved_m3", e.SavedM3)
	m.add("saved_kwh", e.SavedKWh)
	m.add("saved_cost", e.SavedCost)
	return m.names
}

// estimatedCut names what a cut's figures owe to estimates; the weights are
// weighed.
func estimatedCut(c *books.Cut) Names {
	var m marks
	water := estimatedWater(&c.Took.Drawn)
	if slices.Contains(water, "withdrawn_m3") {
		m.names = append(m.names, "withdrawn_m3", "oil_kg_per_m3")
	}
	if slices.Contains(water, "energy_kwh") {
		m.names = append(m.names, "energy_kwh", "oil_kg_per_kwh")
	}
	return m.names
}

// has tells whether a name is in a list.
func (n Names) has(name string) bool { return slices.Contains(n, name) }

// star marks a figure that rests wholly or partly on an estimate.
const star = "*"

// mark puts a star behind an estimated figure.
func mark(text string, estimated bool) string {
	if estimated && text != "-" {
		return text + star
	}
	return text
}
