package soilwater

// Initial states and totals.

import (
	"math"

	"gonum.org/v1/gonum/integrate/quad"

	"sandwick/soilwater/hydraulics"
)

// Start is the state in which the rooted part of every layer has lost the
// fraction depletionFrac (0 full to 1 dry; held to that range) of what the
// crop can take from it, for a water table tableM deep (+Inf: out of reach).
// The evaporation layer has lost the same fraction of TEW; set State.De to say
// otherwise.
func (c *Column) Start(depletionFrac float64, d Demand, tableM float64) State {
	frac := min(max(depletionFrac, 0), 1)
	s := State{De: frac * c.tew, Fw: 1}
	var store [MaxLayers]layerDay
	layers := store[:c.n]
	c.today(tableM+c.p.TableOffsetM, d.RootM, layers)
	for i, l := range layers {
		s.Layer[i] = l.full - frac*l.rooted*(l.full-c.wp[i])
	}
	return s
}

// StartEquilibrium is the state of ground that has drained to equilibrium with
// a water table tableM deep: everywhere θ(h = height above the table), drier
// than full where the drained content is the wetter. Without a curve, or with
// the table out of reach, it is full. The evaporation layer is full.
func (c *Column) StartEquilibrium(tableM float64) State {
	s := State{Fw: 1}
	table := tableM + c.p.TableOffsetM
	if !c.curved || !(table < math.Inf(1)) {
		s.Layer = c.fc
		return s
	}
	for i := range c.n {
		c.p.pieces(c.top[i], c.base[i], func(j int, top, base float64) {
			s.Layer[i] += equilibrium(c.p.Horizons[j].Hydraulics, table-base, table-top)
		})
	}
	return s
}

// equilibrium is what a soil holds between two heights above the water table
// (negative: below it) at equilibrium with it, mm.
func equilibrium(v *hydraulics.VanGenuchten, low, high float64) float64 {
	const panelM, nodes = 0.05, 6 // far below a hundredth of a mm for any sand
	mm := 0.0
	if low < 0 {
		mm = 1000 * v.ThetaS * (min(high, 0) - low)
		low = 0
	}
	for low < high {
		next := min(low+panelM, high)
		mm += 1000 * quad.Fixed(v.Theta, low, next, nodes, quad.Legendre{}, 0)
		low = next
	}
	return mm
}

// Totals are depletion, total and readily available water in mm of the root
// zone of today, as Step reports them at the end of a day: each relative to the
// full content of each layer for a water table tableM deep. Depletion is
// what is missing in all layers that hold roots, so that, as in FAO-56, it
// does not change by itself when the roots grow into ground that is full.
// RAW is TAW less the available water at which stress begins. With one layer
// and no table they are Dr, TAW and RAW of FAO-56 Eqs. 82, 83 and 86. p is
// adjusted for the ETc of a day like d without water.
func (c *Column) Totals(s *State, d *Demand, tableM float64) (depletion, taw, raw float64) {
	ke := 0.0
	if !d.Single {
		ke = c.ke(s.De, Few(d.Cover, s.Fw), d)
	}
	p := d.P
	if !d.FixedP {
		p = AdjustedP(d.P, (d.Kcb+ke)*d.EToMM)
	}
	var store [MaxLayers]layerDay
	layers := store[:c.n]
	c.today(tableM+c.p.TableOffsetM, d.RootM, layers)
	onset, taw := c.available(s, layers, p)
	for i, l := range layers {
		if l.rooted > 0 {
			depletion += l.full - s.Layer[i]
		}
	}
	return depletion, taw, taw - onset
}

// LayerContents is one layer as a person wants to see it.
type LayerContents struct {
	TopM, BottomM float64
	WaterMM       float64 // now
	FullMM        float64 // for today's water table
	DrainedMM     float64 // far above any water table
	WiltMM        float64
	Theta         float64 // water content, m³/m³
	FluxMMPerDay  float64 // the most that can rise into it from the table
}

// Layers describes every layer for a water table tableM deep.
func (c *Column) Layers(s *State, tableM float64) []LayerContents {
	var store [MaxLayers]layerDay
	layers := store[:c.n]
	fed := c.today(tableM+c.p.TableOffsetM, 0, layers)
	var flux [MaxLayers]float64
	if fed {
		a, b, x := c.depth.look(tableM + c.p.TableOffsetM)
		for i := range layers {
			flux[i] = 1 / (a[i+1].use + x*(b[i+1].use-a[i+1].use))
		}
	}
	out := make([]LayerContents, c.n)
	for i, l := range layers {
		out[i] = LayerContents{
			TopM: c.top[i], BottomM: c.base[i],
			WaterMM: s.Layer[i], FullMM: l.full, DrainedMM: c.fc[i], WiltMM: c.wp[i],
			Theta: s.Layer[i] / (1000 * c.thickM), FluxMMPerDay: flux[i],
		}
	}
	return out
}
