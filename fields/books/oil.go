// Oil by cut, and the water and energy that went into it.

package books

import (
	"math"

	"github.com/golang-sql/civil"
)

// BarrelKg is the oil in a 55-gallon barrel: about 400 lb (common practice, no
// published source).
const BarrelKg = 400 * 0.45359237

// Cut is one recorded cut with what was weighed and what it took: from the cut
// before, or the season's start, to the day before this one.
type Cut struct {
	Date         civil.Date
	Field        int
	From         civil.Date
	HayKg, OilKg float64 // NaN: not weighed
	AreaM2       float64
	Took         Entry
}

// OilKgPerM3 is the oil for each m³ withdrawn for the field; NaN without water
// or without oil weighed.
func (c *Cut) OilKgPerM3() float64 { return ratio(c.OilKg, c.Took.M3) }

// OilKgPerKWh is the oil for each kWh; NaN without energy or oil weighed.
func (c *Cut) OilKgPerKWh() float64 { return ratio(c.OilKg, c.Took.EnergyKWh) }

func ratio(a, b float64) float64 {
	if !(b > 0) {
		return math.NaN()
	}
	return a / b
}

// oil books the cuts of the season, by field and date.
func (b *Books) oil() {
	f := b.Season.Farm
	for i := range b.Fields {
		fd := &b.Fields[i]
		from := b.From
		for _, c := range f.Records.Cuts {
			if c.Field != fd.Name || c.Date.Before(b.From) || c.Date.After(b.To) {
				continue
			}
			cut := Cut{Date: c.Date, Field: i, From: from, HayKg: c.HayKg, OilKg: c.OilKg, AreaM2: fd.AreaM2}
			for d := from.DaysSince(b.From); d < c.Date.DaysSince(b.From); d++ {
				cut.Took.Add(&fd.Days[d])
			}
			from = c.Date
			b.Cuts = append(b.Cuts, cut)
		}
	}
}
