// Package books keeps the season's water books: what every well gave and what it
// took, where the water went on every field, month by month, and how much of
// each figure rests on something that was not measured.
//
//	meter.go     readings of a totaliser as volumes between dates
//	drawn.go     withdrawal by well and day: by meter, or by hours × flow
//	flow.go      the real flow of each machine, by least squares
//	ground.go    the balance of the ground, by zone, field and month
//	rain.go      effective rain, USDA-SCS TR-21
//	skipped.go   ground left alone, and what that saved
//	nitrogen.go  nitrogen brought by the water and lost with percolation
//	oil.go       oil by cut, for the water and the energy that went into it
//	limit.go     the season's limit, to date and at the season's end
//	earlier.go   the same farm's records of earlier seasons
//
// Everything is SI and volumes are in m³, so that it adds up: cells to zones,
// zones to fields, fields (with the water that fell on ground in no zone, and
// what a meter saw that no pass explains) to wells, wells to the farm.
package books

import (
	"github.com/golang-sql/civil"

	"sandwick/fields"
)

// Options say how to keep the books. The zero value is not valid; see Usual.
type Options struct {
	Tolerance float64 // by which meter and hours × flow may differ, 0..1; 0: as each well's meter has it
	Earlier   int     // most earlier seasons to look for
}

// MostEarlier is how many earlier seasons the books look for.
const MostEarlier = 30

// Usual are the options without wishes.
func Usual() Options { return Options{Earlier: MostEarlier} }

// Month is one calendar month of the season, or the part of it that lies inside.
type Month struct {
	First, Last civil.Date
	Days        int
}

// Books are the books of one season, from its first day to the last one walked.
type Books struct {
	Season   *fields.Season
	From, To civil.Date // first and last day
	Months   []Month

	Wells  []Well
	Fields []Field
	Total  Entry // of the farm; its Drawn is of the wells
	Loose  Drawn // of the wells: metered while no pass was recorded
	Bare   Drawn // of the wells: fell on ground in no zone

	PeakDay, Peak30 Peak // of all wells together

	Machines []Flow
	Cuts     []Cut
	Weather  Weather
	Earlier  []Past // latest first
	This     Past   // this season in the form of the earlier ones

	ClosureMM float64 // the cell and day furthest from closing

	sky skies // read once, when first asked for
}

// Entry is one piece of ground over a stretch of days.
type Entry struct {
	Drawn
	Ground
	Skip
}

// Add adds v to e.
func (e *Entry) Add(v *Entry) {
	e.Drawn.Add(&v.Drawn)
	e.Ground.Add(&v.Ground)
	e.Skip.Add(&v.Skip)
}

// Well is one well's season.
type Well struct {
	Name       string
	Months     []Drawn
	Season     Drawn
	Loose      []Drawn // of Months: metered while no pass was recorded
	Bare       []Drawn // of Months: fell on ground in no zone
	Days       []Drawn
	PeakDay    Peak
	Peak30     Peak
	Readings   int // of the meter that count in the season
	Intervals  []Interval
	Tolerance  float64
	LimitM3    float64 // +Inf without one
	Projection Projection
	NitratePPM float64 // NaN unknown
}

// Field is one field's season.
type Field struct {
	Name, Pivot, Well, Crop string
	AreaM2                  float64 // that has a balance
	Months                  []Entry
	Season                  Entry
	Days                    []Entry // Skip and EffectiveM3 are not kept by day
	Zones                   []Zone
	Rounds                  int // tours of the pivot that count for Skip
}

// Zone is one zone's season.
type Zone struct {
	Name     string
	AreaM2   float64
	TableFed bool // a water table is in reach
	Months   []Entry
	Season   Entry
}

// Weather counts the days of the season by where their weather comes from.
type Weather struct {
	Days, Measured, Forecast, Carried int
	Filled                            map[string]int // days on which an input was estimated, by its name
}

// Make keeps the books of a season that was walked. It must hold a day.
func Make(s *fields.Season, o Options) *Books {
	b := &Books{Season: s, From: s.From, To: s.From.AddDays(s.Days() - 1), Months: months(s.From, s.Days())}
	led := newLedger(s.Farm, s.From, s.Days(), b.To.AddDays(1), o.Tolerance)
	b.wells(led)
	b.ground(led)
	b.skipped()
	b.sum()
	b.oil()
	b.weather()
	b.earlier(o)
	b.project()
	return b
}

// months divides a run of days.
func months(first civil.Date, days int) []Month {
	var out []Month
	for i := range days {
		d := first.AddDays(i)
		if n := len(out); n == 0 || d.Day == 1 {
			out = append(out, Month{First: d})
		}
		m := &out[len(out)-1]
		m.Last = d
		m.Days++
	}
	return out
}

// monthOf is, for every day, the month it belongs to.
func (b *Books) monthOf() []int {
	var out []int
	for m := range b.Months {
		for range b.Months[m].Days {
			out = append(out, m)
		}
	}
	return out
}

// sum adds zones to fields and fields to the farm.
func (b *Books) sum() {
	for i := range b.Fields {
		f := &b.Fields[i]
		f.Months = make([]Entry, len(b.Months))
		for z := range f.Zones {
			zone := &f.Zones[z]
			for m := range zone.Months {
				f.Months[m].Add(&zone.Months[m])
				zone.Season.Add(&zone.Months[m])
			}
		}
		for m := range f.Months {
			f.Season.Add(&f.Months[m])
		}
		b.Total.Ground.Add(&f.Season.Ground)
		b.Total.Skip.Add(&f.Season.Skip)
	}
	for i := range b.Wells {
		w := &b.Wells[i]
		b.Total.Drawn.Add(&w.Season)
		for m := range w.Months {
			b.Loose.Add(&w.Loose[m])
			b.Bare.Add(&w.Bare[m])
		}
	}
}

// weather counts the days.
func (b *Books) weather() {
	w := Weather{Days: b.Season.Days(), Filled: map[string]int{}}
	for i := range b.Season.Skies {
		sky := &b.Season.Skies[i]
		switch sky.Basis {
		case fields.Measured:
			w.Measured++
		case fields.Forecast:
			w.Forecast++
		default:
			w.Carried++
		}
		for _, name := range sky.Filled.Names() {
			w.Filled[name]++
		}
	}
	b.Weather = w
}
