// What in the season's books was not measured, how things were reckoned, and
// what looks wrong.

package report

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"sandwick/cmd/sandwick/internal/units"
	"sandwick/fields"
	"sandwick/fields/books"

	"github.com/golang-sql/civil"
)

// estimates lists what does not rest on a measurement, with its share.
func (s *Season) estimates(b *books.Books) []Estimated {
	list := []Estimated{}
	ofWell := true
	add := func(what, where string, share float64, why string) {
		if share > 0 {
			list = append(list, Estimated{what, where, Number(100 * share), Plain(why), ofWell})
		}
	}
	whole := func(v float64) float64 { return share(math.Abs(v), math.Abs(v)) }
	for i := range b.Wells {
		w := &b.Wells[i]
		why := "no meter reading covers it: hours × flow of the recorded passes"
		if len(w.Intervals) == 0 {
			why = "no meter was read: hours × flow of the recorded passes"
		}
		add("withdrawal", w.Name, share(w.Season.EstimatedM3(), w.Season.M3), why)
		add("pumping hours", w.Name, share(w.Season.TimerHours, w.Season.PumpHours+w.Season.DryHours), "the end of the pass was not written down: it follows from the timer")
		add("energy", w.Name, whole(w.Season.EnergyKWh), "hours × power in farm.toml: no electric meter is read")
		add("cost", w.Name, share(w.Season.EnergyCost+w.Season.FuelCost, w.Season.Cost()), "energy and fuel by hours × power, price and use in farm.toml: no bill is read")
		add("nitrogen brought", w.Name, whole(tested(&w.Season)), "the well's test in farm.toml, taken to hold all season")
		if w.Projection.Years > 0 {
			add("season may end at", w.Name, 1, "the days ahead, in the weather or by the use of earlier years")
		}
	}
	ofWell = false
	for i := range b.Fields {
		f := &b.Fields[i]
		g := &f.Season.Ground
		add("gross and net depth", f.Name, whole(g.GrossM3), "hours × flow in farm.toml, over the ground passed; net by its efficiency")
		add("ET", f.Name, share(g.FilledETM3, g.ETM3), "weather of these days was partly or wholly estimated")
		add("ET", f.Name, share(g.CarriedETM3, g.ETM3), "no weather was measured on these days: forecast, or the mean of the days before")
		add("rain", f.Name, share(g.CarriedM3, g.RainM3), "no rain was measured on these days: forecast")
		add("days with rain", f.Name, share(g.NoRainM2Days/f.AreaM2, float64(b.Season.Days())), "no rain was measured on these days: taken as none")
		add("effective rain", f.Name, whole(g.EffectiveM3), "an equation for months, from rain and crop use")
		add("upflux", f.Name, whole(g.UpfluxM3), "soil hydraulics and a water table that is known only where and when it was read")
		add("percolation", f.Name, whole(g.PercM3), "what the daily balance has left over: nothing measures it")
		add("runoff", f.Name, whole(g.RunoffM3), "from rain and the curve number")
		add("storage", f.Name, whole(g.StorageM3), "by the daily balance, put right where probes were read")
		add("nitrogen lost", f.Name, whole(b.LostKg(g)), "percolation times an assumed concentration")
		add("saved water", f.Name, whole(f.Season.SavedM3), "against passes that were not made")
		add("saved money", f.Name, whole(f.Season.SavedCost), "against passes that were not made")
	}
	// One kind of figure together, in the order in which they came.
	order := map[string]int{}
	for _, e := range list {
		if _, ok := order[e.What]; !ok {
			order[e.What] = len(order)
		}
	}
	slices.SortStableFunc(list, func(a, b Estimated) int { return cmp.Compare(order[a.What], order[b.What]) })
	return list
}

// share of a part in a whole; nothing where only rounding is left.
func share(part, whole float64) float64 {
	if !(whole > 0) || part < 1e-9*whole {
		return 0
	}
	return part / whole
}

// methods say how the figures come about.
func methods(b *books.Books) []Note {
	ppm, assumed := b.Drainage()
	from := "as the prices in farm.toml have it"
	if assumed {
		from = "an assumption; common practice, no published source"
	}
	notes := []Note{
		Plain(fmt.Sprintf("withdrawal: by meter readings, taken to be read at %02d:00, divided among days as hours × flow of the recorded passes; where no reading covers a day, or the reading cannot be true, hours × flow", fields.MorningHour)),
		Plain("units: 1 gal = 231 in³ = 3.785411784 L, 1 ac-ft = 43 560 ft³ with the international foot = 1233.48183754752 m³, 1 in = 25.4 mm (NIST SP 811, Appendix B)"),
		Plain("effective rain: USDA-SCS Technical Release 21 (1967), month by month, from rain, crop use without stress and the depth that a pass refills; a part of a month is taken to go on as it went; it is not part of the balance, which works day by day"),
		Plain("balance: rain + net irrigation + upflux + probe corrections = ET + percolation + runoff + change of storage; spray loss = gross - net"),
		func(s units.System) string {
			return fmt.Sprintf("a day counts as stress where the crop got less than %.0f %% of the water it wanted and %s or more was missing; a field's days are the mean over its ground",
				100*books.StressKs, units.Depth.Text(s, books.StressMM))
		},
		Plain("net from below: upflux less percolation on ground over a water table in reach, so that water that only passes through does not count"),
		Plain(fmt.Sprintf("ground skipped: tours of the pivot that watered at least %.0f %% of its circle, against watering all of it with the depth the tour left on average, at the price of that tour; walking dry is taken off", 100*books.LeastRound)),
		Plain("energy: hours × power of the machine, wet and dry; cost: energy by the price of the hour, fuel by pumping hours, labour by starts after standing still"),
		Plain(fmt.Sprintf("nitrogen brought: withdrawal × the well's nitrate-nitrogen, wells without a test left out; nitrogen lost: percolation × %.3g mg/L, %s", ppm, from)),
	}
	if len(b.Cuts) > 0 {
		notes = append(notes, func(s units.System) string {
			return fmt.Sprintf("oil: weights recorded with the cut, over the field's ground and what was withdrawn for it since the cut before; a barrel of 55 gal holds about %s (common practice, no published source)", units.Mass.Text(s, books.BarrelKg))
		})
	}
	if len(b.Machines) > 0 {
		notes = append(notes, Plain("real flow: least squares of metered volume on pump hours by machine, through the origin, with the standard error of the estimate; by farm.toml: the flow it states, and the end gun's where it ran, over the same hours"))
	}
	if anyWarning(b.Wells, func(w books.Well) bool { return w.Projection.Method == books.ByWeatherYears }) {
		notes = append(notes, Plain("projection: crop use less effective rain over the days left, in the weather of each earlier year, times what the field got for each unit of that need so far"))
	}
	if len(b.Earlier) > 0 {
		notes = append(notes, Plain("earlier seasons: from passes, meters and cuts recorded then, at this year's prices, power and flows; no balance is made of them"))
	}
	return notes
}

// meterNotes tell what looks wrong with a meter, well by well.
func meterNotes(b *books.Books) []placedNote {
	var notes []placedNote
	for i := range b.Wells {
		w := &b.Wells[i]
		add := func(n Note) { notes = append(notes, placedNote{well: w.Name, note: n}) }
		for k := range w.Intervals {
			if n := intervalNote(w, &w.Intervals[k]); n != nil {
				add(n)
			}
		}
		loose := 0.0
		for m := range w.Loose {
			loose += w.Loose[m].M3
		}
		if loose > 1 {
			name := w.Name
			add(func(u units.System) string {
				return fmt.Sprintf("%s: the meter counted %s on days without a recorded pass; it is spread evenly over them, and no field has it", name, units.Withdrawal.Text(u, loose))
			})
		}
		if !math.IsInf(w.LimitM3, 1) && w.Season.M3 > w.LimitM3 {
			name, over := w.Name, w.Season.M3-w.LimitM3
			add(func(u units.System) string {
				return fmt.Sprintf("%s is %s over the season's limit", name, units.Withdrawal.Text(u, over))
			})
		}
	}
	return notes
}

// bareNotes tell of water on ground that has no books.
func bareNotes(b *books.Books) []Note {
	var notes []Note
	if bare := b.Bare.M3; bare > 0.01*b.Total.M3 && bare > 1 {
		notes = append(notes, func(u units.System) string {
			return fmt.Sprintf("%s fell on ground in no zone: it is withdrawn, but no field has it", units.Withdrawal.Text(u, bare))
		})
	}
	return notes
}

// What is worth a word of a machine's flow: more than twice its standard error,
// and by more than a share of it that any meter may be off. Common practice, no
// published source.
const (
	flowErrors = 2
	flowApart  = 0.03
)

// flowNotes propose the flow that the meter shows where farm.toml has another.
func flowNotes(b *books.Books) []placedNote {
	var notes []placedNote
	f := b.Season.Farm
	for _, m := range b.Machines {
		off := m.M3PerH - m.StatedM3H
		if !(math.Abs(off) > flowErrors*m.ErrorM3H) || !(math.Abs(off) > flowApart*m.StatedM3H) {
			continue
		}
		machine := &f.Pivots[f.PivotIndex(m.Pivot)].Machine
		notes = append(notes, placedNote{well: m.Well, note: func(u units.System) string {
			flow := func(m3h float64) string { return units.PreciseFlow.Text(u, m3h) }
			ratio := m.M3PerH / m.StatedM3H
			fit := "its flow there at " + flow(ratio*machine.FlowM3H)
			if machine.EndGunM3H > 0 {
				fit += " and its end gun's at " + flow(ratio*machine.EndGunM3H)
			}
			return fmt.Sprintf("%s: by the meter its flow is %s (standard error %s), by farm.toml %s, %+.1f %%; if the meter is sound, %s would fit, and the soil's books with it",
				m.Pivot, flow(m.M3PerH), flow(m.ErrorM3H), flow(m.StatedM3H), 100*(ratio-1), fit)
		}})
	}
	return notes
}

// grossApart is how far a field's gross depth may be off its metered water
// without a word.
const grossApart = 0.01

// grossNotes tell where the soil's books, which go by the flow in farm.toml,
// got another volume than the meter saw on the same passes.
func grossNotes(b *books.Books) []placedNote {
	var notes []placedNote
	for i := range b.Fields {
		fd := &b.Fields[i]
		d := &fd.Season.Drawn
		more := d.CheckM3 - d.MeterM3
		if !(d.MeterM3 > 1) || math.Abs(more) <= grossApart*d.MeterM3 {
			continue
		}
		verb := "exceeds"
		if more < 0 {
			verb = "falls short of"
		}
		notes = append(notes, placedNote{well: fd.Well, field: fd.Name, note: func(u units.System) string {
			return fmt.Sprintf("%s: gross %s the metered water by %s (%.1f %%): the soil's books go by hours × flow in farm.toml, the withdrawal by the meter",
				fd.Name, verb, units.Withdrawal.Text(u, math.Abs(more)), 100*math.Abs(more)/d.MeterM3)
		}})
	}
	return notes
}

func intervalNote(w *books.Well, v *books.Interval) Note {
	when := fmt.Sprintf("%s, %s to %s", w.Name, shortDay(v.From), shortDay(v.To))
	instead := "; hours × flow stand for it"
	switch v.Fault {
	case books.Replaced:
		return Plain(when + ": the meter was replaced, and the old one's last reading of that day is not recorded" + instead)
	case books.Backwards:
		return Plain(when + ": the reading is lower than the one before, and nothing says that the counter rolled over or was replaced" + instead)
	case books.StandsStill:
		return func(u units.System) string {
			return fmt.Sprintf("%s: the meter hardly moved while passes of %s were recorded%s", when, units.Withdrawal.Text(u, v.PassM3), instead)
		}
	case books.Impossible:
		return func(u units.System) string {
			return fmt.Sprintf("%s: the meter says %s, more than the well can give day and night%s", when, units.Withdrawal.Text(u, v.MeterM3), instead)
		}
	}
	notes := []string{}
	if v.RolledOver && v.DigitsSeen {
		notes = append(notes, fmt.Sprintf("the counter rolled over; it is taken to have %d digits, as the reading before it has (meter.digits in farm.toml says otherwise)", v.Digits))
	}
	if v.Drift && v.PassM3 > 0 {
		notes = append(notes, fmt.Sprintf("the meter is %+.1f %% off hours × flow, more than the %.3g %% allowed: is a pass missing, the flow in farm.toml wrong, or the meter worn?", 100*v.Apart(), 100*w.Tolerance))
	}
	if len(notes) == 0 {
		return nil
	}
	return Plain(when + ": " + strings.Join(notes, "; "))
}

// shortDay is "17 Jul".
func shortDay(d civil.Date) string { return fmt.Sprintf("%d %s", d.Day, d.Month.String()[:3]) }

// BookNotes are what the walk found odd, and how much there is to find in the
// files: one screen has no room for all of it.
func BookNotes(season *fields.Season) []Note {
	notes := DoubtNotes(season.Doubts)
	if n := len(season.Farm.Doubts); n > 0 {
		notes = append(notes, Plain(fmt.Sprintf("doubts about the farm's files: %d; `sandwick check` tells them", n)))
	}
	return notes
}
