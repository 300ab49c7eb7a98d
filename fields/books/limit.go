// The season's limit of withdrawal: to date, and where the season will end.

package books

import (
	"math"

	"github.com/golang-sql/civil"

	"sandwick/et"
	"sandwick/et/crop"
	"sandwick/fields"
)

// Method is how a projection was made.
type Method uint8

// The methods.
const (
	NotProjected   Method = iota // nothing to go by
	SeasonOver                   // no day is left
	ByWeatherYears               // the need of the days left in the weather of earlier years
	ByOwnSeasons                 // what the same well gave in the rest of earlier seasons
)

// String names the method for outputs.
func (m Method) String() string {
	return [...]string{"none", "season over", "weather", "own use"}[m]
}

// Projection is the withdrawal of a whole season, m³, over the years it was
// reckoned for.
type Projection struct {
	Method            Method
	Years             int
	Least, Mean, Most float64
	Through           civil.Date // last day of the season
}

func (p *Projection) add(m3 float64) {
	if p.Years == 0 {
		p.Least, p.Most = m3, m3
	}
	p.Least, p.Most = min(p.Least, m3), max(p.Most, m3)
	p.Mean += (m3 - p.Mean) / float64(p.Years+1)
	p.Years++
}

const (
	// leastYears of weather make a projection by weather.
	leastYears = 3
	// leastNeedMM is the need to date below which what was given for it tells
	// nothing of the rest of the season.
	leastNeedMM = 25
)

// project looks ahead to the season's end. The need of a field is what ETc is
// more than effective rain, month by month. For the days left it is reckoned in
// the weather of each earlier year, with this year's crop; and for each mm of need
// the field is taken to get as much as it got for a mm of need so far.
func (b *Books) project() {
	f := b.Season.Farm
	last := f.LastDay()
	for w := range b.Wells {
		b.Wells[w].Projection.Through = last
	}
	if !b.To.Before(last) {
		for w := range b.Wells {
			p := &b.Wells[w].Projection
			p.add(b.Wells[w].Season.M3)
			p.Method, p.Years = SeasonOver, 0
		}
		return
	}
	b.byWeather()
	for w := range b.Wells {
		p := &b.Wells[w].Projection
		if p.Method != NotProjected {
			continue
		}
		for i := range b.Earlier {
			p.add(b.Wells[w].Season.M3 + b.Earlier[i].Rest[w].M3)
			p.Method = ByOwnSeasons
		}
	}
}

func (b *Books) byWeather() {
	f := b.Season.Farm
	crops := b.Season.CropAhead()
	days := 0
	for i := range crops {
		days = max(days, len(crops[i]))
	}
	if days == 0 {
		return
	}
	ahead := months(b.Season.Today, days)
	given := make([]float64, len(b.Fields)) // m³ withdrawn for each m³ of need
	depth := make([]float64, len(b.Fields)) // of an application, mm
	for i := range b.Fields {
		given[i], depth[i] = b.given(i)
	}
	sky := b.skies()
	var all [][]float64 // [year][well]
	for k := 1; k <= MostEarlier; k++ {
		year := make([]*et.Reference, days)
		for d := range year {
			year[d] = sky.on(yearsBefore(b.Season.Today.AddDays(d), k))
			if year[d] == nil || year[d].Filled&et.FilledRain != 0 {
				year = nil
				break
			}
		}
		if year == nil {
			continue
		}
		wells := make([]float64, len(b.Wells))
		for i := range b.Fields {
			p := f.PivotIndex(b.Fields[i].Pivot)
			if p < 0 {
				continue
			}
			wells[f.WellOf(p)] += given[i] * b.Fields[i].AreaM2 / 1000 * need(crops[i], year, ahead, depth[i])
		}
		all = append(all, wells)
	}
	if len(all) < leastYears {
		return
	}
	for w := range b.Wells {
		p := &b.Wells[w].Projection
		p.Method = ByWeatherYears
		for _, wells := range all {
			p.add(b.Wells[w].Season.M3 + wells[w])
		}
	}
}

// given is what was withdrawn for a field for each m³ of its need so far; before
// there was need worth the name, what the machine's losses ask, of the ground that
// no water table feeds. depth is this season's mean application, mm.
func (b *Books) given(field int) (perNeed, depth float64) {
	f := b.Season.Farm
	fd := &b.Fields[field]
	want := 0.0
	for m := range fd.Months {
		want += max(0, fd.Months[m].ETcM3-fd.Months[m].EffectiveM3)
	}
	high := 0.0
	for z := range f.Zones {
		if f.ZoneField(z) != field {
			continue
		}
		for day := range b.Season.Days() {
			depth += b.Season.Account(day, z).TriggerMM * f.ZoneAreaM2(z)
		}
		if math.IsInf(f.Zones[z].TableM, 1) {
			high += f.ZoneAreaM2(z)
		}
	}
	depth /= fd.AreaM2 * float64(b.Season.Days())
	if want < leastNeedMM*fd.AreaM2/1000 {
		if p := f.PivotIndex(fd.Pivot); p >= 0 {
			return high / fd.AreaM2 / f.Pivots[p].Efficiency, depth
		}
		return 0, depth
	}
	return fd.Season.M3 / want, depth
}

// need is what a crop would use beyond effective rain over the days ahead, mm.
func need(crops []fields.CropDay, year []*et.Reference, ahead []Month, depth float64) float64 {
	sum, day := 0.0, 0
	for _, m := range ahead {
		rain, etc := 0.0, 0.0
		for range m.Days {
			if day < len(crops) && crops[day].Crop.Stage != crop.Bare {
				etc += crops[day].Crop.Kc * year[day].EToMM
				rain += year[day].RainMM
			}
			day++
		}
		sum += max(0, etc-EffectiveMM(rain, etc, depth, m.Days))
	}
	return sum
}
