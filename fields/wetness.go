// How the ground of each field was wetted, for the single crop coefficient: its
// Kc ini follows from it.

package fields

import (
	"math"

	"github.com/golang-sql/civil"

	"sandwick/et"
	"sandwick/et/crop"
	"sandwick/fields/settings"
	"sandwick/soilwater"
)

// coarseTEWMM is the evaporable water below which ground counts as coarse in
// FAO-56 Figure 30: in Table 19 sand and loamy sand have at most 14 mm, sandy
// loam at least 15.
const coarseTEWMM = 15

// wetness is what is known on the morning of today of each field's wettings from
// the first sky on: rain by gauge or station, and recorded passes as the mean net
// depth over the field. nil in dual mode, which has no use for it.
func (f *Farm) wetness(skies []Sky, today civil.Date) []crop.Wetness {
	if !f.Start.Single || len(skies) == 0 {
		return nil
	}
	first := skies[0].Date
	days := max(0, min(len(skies), today.DaysSince(first)))
	cal := newCalendar(first, days, f.Location)
	gauges := f.gaugeRain(first, days, today.AddDays(-1))
	out := make([]crop.Wetness, len(f.Fields))
	for i := range out {
		w := &out[i]
		w.From, w.Texture = first, f.texture(i)
		w.WaterMM, w.EToMM = make([]float64, days), make([]float64, days)
		var net []float64
		if p := f.PivotIndex(f.Fields[i].Pivot); p >= 0 {
			net = f.fieldNet(i, p, cal)
		}
		for d := range w.WaterMM {
			sky := &skies[d]
			w.WaterMM[d], w.EToMM[d] = math.NaN(), math.NaN()
			if sky.Basis == Measured {
				w.EToMM[d] = sky.EToMM
				if sky.Filled&et.FilledRain == 0 {
					w.WaterMM[d] = sky.RainMM
				}
			}
			if mm := gauges[i*days+d]; !math.IsNaN(mm) {
				w.WaterMM[d] = mm
			}
			if net != nil {
				w.WaterMM[d] += net[d]
			}
		}
	}
	return out
}

// fieldNet is the mean net irrigation of a field by day.
func (f *Farm) fieldNet(field, p int, cal calendar) []float64 {
	days := cal.days()
	w := f.water(p, cal, begunBy(f.passes(p), settings.StartOfDay(cal.first.AddDays(days), f.Location)))
	net := make([]float64, days)
	area := 0.0
	for c := range f.ground.cells {
		cell := &f.ground.cells[c]
		if cell.Slice == NoSlice || f.ground.zones[cell.Zone].field != field {
			continue
		}
		area += cell.AreaM2
		for d := range net {
			net[d] += cell.AreaM2 * w.grossMM[d*w.slices+cell.Slice] * f.Pivots[p].Efficiency
		}
	}
	for d := range net {
		net[d] /= area
	}
	return net
}

// texture is how FAO-56 Figure 30 divides the ground of most of a field.
func (f *Farm) texture(field int) crop.Texture {
	coarse, fine := 0.0, 0.0
	for z := range f.ground.zones {
		g := &f.ground.zones[z]
		if g.field != field {
			continue
		}
		p := g.column.Profile()
		tew := p.TEWMM
		if math.IsNaN(tew) {
			tew = soilwater.TEW(p.Horizons[0].ThetaFC, p.Horizons[0].ThetaWP, p.ZeM)
		}
		if tew < coarseTEWMM {
			coarse += g.areaM2
		} else {
			fine += g.areaM2
		}
	}
	if fine > coarse {
		return crop.Fine
	}
	return crop.Coarse
}

// doubtFixedKc tells of fields whose single coefficient rests on a fixed value
// on days of the walk.
func (s *Season) doubtFixedKc() {
	for i := range s.crops {
		fd := &s.Farm.Fields[i]
		n, first := 0, 0
		bare := false
		for d := range s.crops[i] {
			if c := &s.crops[i][d].Crop; c.KcFixed {
				if n == 0 {
					first = d
				}
				n++
				bare = bare || c.Stage == crop.Bare
			}
		}
		if n == 0 {
			continue
		}
		what, value := "Kc ini", fd.Crop.KcIni
		if bare {
			what, value = "Kc of bare ground", fd.Crop.KcBare
		}
		s.doubt(fd.Pos, "fields.crop", fd.CropName, "Kc of %d day(s) from %s on rests on a fixed %s, %.2f, which is an assumption: fewer than ten days tell how the ground was wetted", n, s.Date(first), what, value)
	}
}
