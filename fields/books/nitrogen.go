// Nitrogen: what the well water brings, and what percolation takes away.

package books

import "math"

// DrainagePPM is the nitrate-nitrogen that water percolating below the roots is
// taken to carry, mg/L, where the farm's prices do not tell: an assumption, from
// the range of 10 to 20 that is common under irrigated crops on sand (common
// practice, no published source).
const DrainagePPM = 15.0

// nitrate fills in the nitrogen of a withdrawal: 1 mg/L is 1 g/m³.
func (l *ledger) nitrate(d *Drawn, well int) {
	if ppm := l.farm.Wells[well].NitratePPM; !math.IsNaN(ppm) {
		d.NitrateKg = d.M3 * ppm / 1000
	} else {
		d.UntestedM3 = d.M3
	}
}

// Drainage is the nitrogen in percolating water, mg/L; assumed is false where it
// follows from the farm's prices: what a mm of percolation takes from a hectare,
// 10 m³, in money over the price of nitrogen.
func (b *Books) Drainage() (ppm float64, assumed bool) {
	p := b.Season.Farm.Prices
	if p.NitrogenPerKg > 0 && p.LeachedPerMMHa > 0 {
		return p.LeachedPerMMHa / p.NitrogenPerKg / 10 * 1000, false
	}
	return DrainagePPM, true
}

// LostKg is an estimate of the nitrogen lost with percolation. Over a water table
// in reach only what percolates beyond the water that rose counts: the rest goes
// up and down again.
func (b *Books) LostKg(g *Ground) float64 {
	ppm, _ := b.Drainage()
	return g.NetPercolationM3 * ppm / 1000
}
