// Earlier seasons of the same farm, as far as its records go back.

package books

import (
	"sandwick/fields"

	"github.com/golang-sql/civil"
)

// Past is one season by its records alone: settings say what grows and stands on
// the farm this season, so no balance is made of an earlier one. It runs from the
// season's start to the day before the next season's.
type Past struct {
	From, To civil.Date
	Through  civil.Date // the same day of the season as today's books end on
	Whole    Drawn
	Wells    []Drawn // of Whole
	ToDate   Drawn   // of Whole: through that day
	Rest     []Drawn // of Wells: after that day
	PeakDay  Peak
	Peak30   Peak
	OilKg    float64 // weighed
	HayKg    float64
	Cuts     int
	// Station is the weather through that day.
	Station Station
}

// earlier looks for seasons with records before this one, latest first.
func (b *Books) earlier(o Options) {
	f := b.Season.Farm
	days := b.Season.Days()
	b.This = Past{
		From: b.From, To: b.To, Through: b.To, Whole: b.Total.Drawn, ToDate: b.Total.Drawn,
		PeakDay: b.PeakDay, Peak30: b.Peak30,
	}
	for i := range b.Wells {
		b.This.Wells = append(b.This.Wells, b.Wells[i].Season)
	}
	sky := b.skies()
	b.This.Station = sky.sum(b.From, days)
	b.This.weigh(f)
	for k := 1; k <= o.Earlier; k++ {
		first := yearsBefore(f.Start.Date, k)
		next := yearsBefore(f.Start.Date, k-1)
		if !hasRecords(f, first, next) {
			continue
		}
		p := Past{From: first, To: next.AddDays(-1), Through: yearsBefore(b.To, k)}
		l := newLedger(f, first, next.DaysSince(first), b.To.AddDays(1), o.Tolerance)
		p.draw(l)
		p.Station = sky.sum(first, p.Through.DaysSince(first)+1)
		p.weigh(f)
		b.Earlier = append(b.Earlier, p)
	}
}

// yearsBefore is the same calendar day k years earlier; 29 February becomes the 28th.
func yearsBefore(d civil.Date, k int) civil.Date {
	d.Year -= k
	if !d.IsValid() {
		d.Day = 28
	}
	return d
}

// hasRecords tells whether anything that these books count was recorded in [from, to).
func hasRecords(f *fields.Farm, from, to civil.Date) bool {
	in := func(d civil.Date) bool { return !d.Before(from) && d.Before(to) }
	first, next := f.StartOfDay(from), f.StartOfDay(to)
	for i := range f.Records.Passes {
		if p := &f.Records.Passes[i]; !p.Start.Before(first) && p.Start.Before(next) {
			return true
		}
	}
	for i := range f.Records.Cuts {
		if in(f.Records.Cuts[i].Date) {
			return true
		}
	}
	readings := 0
	for i := range f.Records.Meters {
		if in(f.Records.Meters[i].Date) {
			readings++
		}
	}
	return readings > 1
}

// draw books the wells of the season.
func (p *Past) draw(l *ledger) {
	days := make([]Drawn, l.days)
	p.Wells, p.Rest = make([]Drawn, len(l.farm.Wells)), make([]Drawn, len(l.farm.Wells))
	through := p.Through.DaysSince(p.From)
	add := func(w, day int, d Drawn) {
		days[day].Add(&d)
		p.Wells[w].Add(&d)
		if day > through {
			p.Rest[w].Add(&d)
		}
	}
	for w := range l.farm.Wells {
		for day := range days {
			add(w, day, l.looseDay(w, day))
		}
	}
	for i := range l.farm.Pivots {
		w := l.farm.WellOf(i)
		for day := range days {
			add(w, day, l.pivotDay(i, day))
		}
	}
	for day := range days {
		p.Whole.Add(&days[day])
		if day <= through {
			p.ToDate.Add(&days[day])
		}
	}
	p.PeakDay, p.Peak30 = peak(p.From, days, 1), peak(p.From, days, 30)
}

// weigh adds up what was mown.
func (p *Past) weigh(f *fields.Farm) {
	for i := range f.Records.Cuts {
		c := &f.Records.Cuts[i]
		if c.Date.Before(p.From) || c.Date.After(p.To) {
			continue
		}
		p.Cuts++
		if c.OilKg > 0 {
			p.OilKg += c.OilKg
		}
		if c.HayKg > 0 {
			p.HayKg += c.HayKg
		}
	}
}
