// Ground that was left alone, and what that saved.

package books

import (
	"sandwick/fields"
	"sandwick/fields/settings"
)

// LeastRound is the share of a circle that a tour must water to count: less was
// a trial run or one cut short, not a choice of ground. Our choice.
const LeastRound = 0.25

// Skip is ground that the tours of a pivot left alone, and what watering the
// whole circle would have taken on the same tours: the mean depth that the tour
// left on the ground it did water, at that tour's price of a m³. Walking over dry
// ground is taken off what was saved. All of it adds up.
type Skip struct {
	ToursM2   float64 // ground under the tours, once for each
	SkippedM2 float64 // of it left alone
	SavedM3   float64
	SavedKWh  float64
	SavedCost float64
}

// Add adds v to s.
func (s *Skip) Add(v *Skip) {
	s.ToursM2 += v.ToursM2
	s.SkippedM2 += v.SkippedM2
	s.SavedM3 += v.SavedM3
	s.SavedKWh += v.SavedKWh
	s.SavedCost += v.SavedCost
}

// skipped books the tours with the zones under them. A tour under way when the
// books end is left out: it may still water the rest.
func (b *Books) skipped() {
	f := b.Season.Farm
	from := settings.StartOfDay(b.From, f.Location)
	until := settings.StartOfDay(b.To.AddDays(1), f.Location)
	place := make([]int, len(f.Zones))
	count := make([]int, len(f.Fields))
	under := make([][]int, len(f.Pivots))
	for z := range f.Zones {
		place[z] = count[f.ZoneField(z)]
		count[f.ZoneField(z)]++
		if p := f.ZonePivot(z); p >= 0 {
			under[p] = append(under[p], z)
		}
	}
	for p := range f.Pivots {
		sliceM2 := f.SliceM2(p)
		circle := 0.0
		for _, m2 := range sliceM2 {
			circle += m2
		}
		rounds := f.Rounds(p, from, until)
		seen := map[int]bool{}
		for i := range rounds {
			r := &rounds[i]
			wetM2 := 0.0
			for s, share := range r.Wet {
				wetM2 += share * sliceM2[s]
			}
			if wetM2 < LeastRound*circle || i == len(rounds)-1 && until.Sub(r.To) < fields.RoundGap && wetM2 < circle*(1-1e-9) {
				continue
			}
			month := b.month(f.DayOf(r.From).DaysSince(b.From))
			for _, z := range under[p] {
				fd := f.ZoneField(z)
				zone := &b.Fields[fd].Zones[place[z]]
				zone.Months[month].Skip.add(r, f, z, wetM2, circle)
				if !seen[fd] {
					seen[fd] = true
					b.Fields[fd].Rounds++
				}
			}
			clear(seen)
		}
	}
}

// add books one tour over one zone. Dry walking is divided by ground left alone.
func (s *Skip) add(r *fields.Round, f *fields.Farm, zone int, wetM2, circle float64) {
	cells := f.Cells()
	left := 0.0
	from, to := f.ZoneCells(zone)
	for c := from; c < to; c++ {
		left += cells[c].AreaM2 * (1 - r.Wet[cells[c].Slice])
	}
	s.ToursM2 += f.ZoneAreaM2(zone)
	s.SkippedM2 += left
	share := left / wetM2 // what it would have taken, in terms of what the tour took
	dry := 0.0
	if circle > wetM2 {
		dry = left / (circle - wetM2)
	}
	s.SavedM3 += share * r.WetM3
	s.SavedKWh += share*r.WetKWh - dry*r.DryKWh
	s.SavedCost += share*r.WetCost - dry*r.DryCost
}

// month is the month of a day of the season.
func (b *Books) month(day int) int {
	for m := range b.Months {
		if day < b.Months[m].Days {
			return m
		}
		day -= b.Months[m].Days
	}
	return len(b.Months) - 1
}
