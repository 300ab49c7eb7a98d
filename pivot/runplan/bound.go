package runplan

// This file has a cost that no plan can fall below: that of ground which may be
// watered at any hour from the first in which its machine could be there, at the
// cheapest price, with no start, no leg, no walk and no other ground in the way.
//
// For a cell that no table feeds, what is missing at the end is at least what is
// missing now, and what the crop asks for less rain, less what it goes without,
// less what is given (all percolation and runoff add to it). So each mm of that
// is pumped, owed or gone without, whichever costs least. What it goes without
// before the arm can come is not to be helped, and more water never makes it
// more.

import (
	"math"

	"sandwick/soilwater"
)

// bound is what the ground of all machines costs at least.
func (w *world) bound() float64 {
	sum := 0.0
	for i := range w.machs {
		m := &w.machs[i]
		ww := &w.wells[m.well]
		cheap := math.Inf(1)
		for h := 0.0; h < w.end(); h += quarter {
			to := min(h+quarter, w.end())
			if to-h > timeTol && hit(ww.noRun, h, to) == nil {
				cheap = min(cheap, (m.PowerKW*ww.price.cost(h, to)+ww.avoid.cost(h, to))/(to-h)+ww.FuelPerH)
			}
		}
		for s := range m.cells {
			sum += w.boundSlice(m, s, cheap)
		}
	}
	return sum
}

// boundSlice is what one slice costs at least; cheap is the least price of an
// hour of pumping.
func (w *world) boundSlice(m *mach, s int, cheap float64) float64 {
	give := math.Inf(1) // price of a net mm on the slice
	if m.flow[s] > 0 && m.SliceM2[s] > 0 && m.rate[s] > 0 {
		give = cheap * m.SliceM2[s] / 1000 / m.flow[s] / m.Efficiency
	}
	first := w.day(w.soonest(m, s))
	sum, most := 0.0, 0.0
	for i := range m.cells[s] {
		c := &m.cells[s][i]
		value := c.perMM * c.weight
		short, need := w.boundCell(c, first)
		sum += value * short
		if c.share >= sliver {
			most = max(most, min(give, m.owed[s], value)*max(0, need-short))
		}
	}
	return sum + most
}

// soonest is the first hour at which the arm could come to a slice.
func (w *world) soonest(m *mach, s int) float64 {
	best := w.end()
	for _, cw := range [...]bool{true, false} {
		if !cw && !m.Reversible {
			continue
		}
		edge := float64(s) * m.width
		if !cw {
			edge += m.width
		}
		way := along(float64(m.ArmDeg.Norm()), edge, cw)
		if way > 360-m.width {
			way = 0 // it stands on the slice
		}
		best = min(best, m.free+way*m.hPerDeg*100/m.TimerMaxPct)
	}
	return best
}

// boundCell is what a cell goes without at least when it is flooded every day
// from the first on, and what it needs in all, mm.
func (w *world) boundCell(c *cell, first int) (short, need float64) {
	days := w.p.Days
	need, _, _ = c.z.Column.Totals(&c.State, c.demand(0), c.z.TableM[0])
	if math.IsNaN(need) {
		return 0, 0
	}
	fed := false
	st, f := c.State, soilwater.Fluxes{}
	for k := range days {
		wa, d := c.water(k, days), c.demand(k)
		fed = fed || !math.IsInf(wa.TableM, 1)
		need += d.Kcb*d.EToMM - wa.RainMM - wa.NetMM
		if k >= first {
			wa.NetMM += flood
		}
		c.z.Column.Step(&st, d, &wa, &f)
		unmet := max(0, f.ETcMM-f.ETMM)
		short += unmet + c.late(&f, unmet)
	}
	if fed {
		need = 0
	}
	return short, need
}

// flood is more water than any root zone takes, mm.
const flood = 2000
