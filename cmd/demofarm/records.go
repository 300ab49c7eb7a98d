// What gauges, pipes, meters and probes would have shown, and what was seen.

package main

import (
	"math"
	"math/rand/v2"
	"time"

	"github.com/golang-sql/civil"
)

func passesCSV(trips []trip) []byte {
	stamp := func(t time.Time) string { return t.Format("2006-01-02T15:04") }
	var rows [][]string
	for _, t := range trips {
		direction, water := "ccw", "no"
		if t.Clockwise {
			direction = "cw"
		}
		if t.Water {
			water = "yes"
		}
		rows = append(rows, []string{machines[t.Machine].Pivot, stamp(t.Start), stamp(t.End), num(float64(t.From), 0), num(float64(t.To), 0), direction, num(t.Timer, 0), water, t.Note})
	}
	return table([]string{"pivot", "start", "end", "from_deg", "to_deg", "direction", "timer_pct", "water", "note"}, rows)
}

// rainCSV is one gauge by each field. Showers differ from the station's; a
// trace is not written down, and now and then nobody looks.
func rainCSV(days []weather, rng *rand.Rand) []byte {
	var rows [][]string
	for _, day := range days {
		for _, m := range machines {
			in := m.GaugeShare * day.RainMM / mmPerInch * math.Exp(0.14*rng.NormFloat64()-0.01)
			forgotten := rng.Float64() < 0.05
			if day.RainMM > 0 && in >= 0.03 && !forgotten && !day.Date.Before(date(year, 5, 1)) {
				rows = append(rows, []string{day.Date.String(), m.Field, num(in, 2), ""})
			}
		}
	}
	return table([]string{"date", "place", "amount_in", "note"}, rows)
}

// reading is one dip of an observation pipe.
type reading struct {
	Date civil.Date
	Pipe string
	Feet float64
}

// pipe is an observation well in low ground. Its level falls towards a base and
// is lifted by the rain that gets through; the store drains as one reservoir.
type pipe struct {
	Name     string
	BaseFt   float64 // depth to which it falls in the end
	StartFt  float64 // depth on the first day
	DrainDay float64 // days in which the height over the base falls to 1/e
}

var pipes = []pipe{
	{"P1", 4.4, 1.5, 80},
	{"P2", 5.0, 1.7, 90},
	{"P3", 4.9, 1.9, 85},
}

// drainable is the share of the ground's volume that fills when the level rises.
const drainable = 0.18

// throughShare is how much of a big rain reaches the water table: much in
// spring, little under a full canopy.
func throughShare(m time.Month) float64 {
	if m <= time.May {
		return 0.30
	}
	return 0.10
}

// closePipe is read more closely: in the year before too, when it was the only
// one, and from June twice a week.
const closePipe = "P3"

// dips reads some pipes on some days. The levels start anew with the first day.
func dips(days []weather, rng *rand.Rand, when func(pipe string, d civil.Date) bool) []reading {
	var out []reading
	height := make([]float64, len(pipes))
	for i, p := range pipes {
		height[i] = p.BaseFt - p.StartFt
	}
	for _, day := range days {
		for i, p := range pipes {
			through := throughShare(day.Date.Month) * max(0, day.RainMM-6) / 1000 / mPerFoot / drainable
			height[i] = height[i]*math.Exp(-1/p.DrainDay) + through
			height[i] = min(height[i], p.BaseFt-0.4)
			noise := 0.015 * rng.NormFloat64()
			if when(p.Name, day.Date) {
				out = append(out, reading{day.Date, p.Name, p.BaseFt - height[i] + noise})
			}
		}
	}
	return out
}

// readPipes dips every pipe each Tuesday.
func readPipes(days []weather, rng *rand.Rand) []reading {
	return dips(days, rng, func(_ string, d civil.Date) bool {
		return weekday(d) == time.Tuesday && !d.Before(date(year, 4, 15))
	})
}

// readClosely are the further dips of the one pipe: each Tuesday of the season
// before, and each Friday of this one from June.
func readClosely(before, days []weather, rng *rand.Rand) []reading {
	from, to := seasonSpan(year - 1)
	out := dips(before, rng, func(pipe string, d civil.Date) bool {
		return pipe == closePipe && weekday(d) == time.Tuesday && !d.Before(from) && !d.After(to)
	})
	return append(out, dips(days, rng, func(pipe string, d civil.Date) bool {
		return pipe == closePipe && weekday(d) == time.Friday && !d.Before(date(year, 6, 1))
	})...)
}

func weekday(d civil.Date) time.Weekday { return d.In(time.UTC).Weekday() }

func pipesCSV(readings []reading) []byte {
	var rows [][]string
	for _, r := range readings {
		rows = append(rows, []string{r.Date.String(), r.Pipe, num(r.Feet, 2), ""})
	}
	return table([]string{"date", "pipe", "depth_ft", "note"}, rows)
}

// metersCSV reads each totaliser on the first and the middle of every month.
// A well's real flow is a little under its nominal one and varies by the trip.
func metersCSV(trips []trip, last civil.Date, rng *rand.Rand) []byte {
	vary := make([]float64, len(trips))
	for i := range vary {
		vary[i] = 1 + 0.01*rng.NormFloat64()
	}
	var rows [][]string
	for d := date(year, 5, 1); !d.After(last); d = d.AddDays(1) {
		if d.Day != 1 && d.Day != 15 {
			continue
		}
		for _, w := range wells {
			gal := w.MeterStart
			for i, t := range trips {
				if m := machines[t.Machine]; m.Well == w.Name && t.Water && t.Start.Before(clock(d, shiftHour)) {
					end := t.End
					if end.After(clock(d, shiftHour)) {
						end = clock(d, shiftHour)
					}
					gal += end.Sub(t.Start).Minutes() * m.FlowGPM * w.RealFlow * vary[i]
				}
			}
			rows = append(rows, []string{d.String(), w.Name, num(math.Round(gal/100)*100, 0), "gal", "", ""})
		}
	}
	return table([]string{"date", "well", "reading", "unit", "event", "note"}, rows)
}

// probesCSV is a hand probe pushed in on Fridays on high and low ground. High
// ground follows the grower's checkbook, low ground stands full over its water
// table: fuller than the same ground drained, which is the 100 % of a probe.
func probesCSV(days []weather, trips []trip, pipes []reading, rng *rand.Rand) []byte {
	var rows [][]string
	for n, day := range days {
		if day.Date.In(time.UTC).Weekday() != time.Friday || day.Date.Before(date(year, 6, 6)) {
			continue
		}
		for _, s := range probeSpots {
			pct, most := 0.0, 100.0
			if s.Pipe != "" {
				fall := pipeFt(pipes, s.Pipe, day.Date) - pipeFt(pipes, s.Pipe, waterDate)
				pct, most = 100*standing(s.WaterFt+fall, s.ToFt), 200
			} else {
				pct = 100 * (1 - deficitAt(days[:n+1], trips, s)/s.HoldsMM)
			}
			pct += 4 * rng.NormFloat64()
			rows = append(rows, []string{day.Date.String(), s.Zone, "0", num(s.ToFt, 1), num(min(max(pct, 5), most), 0), ""})
		}
	}
	return table([]string{"date", "zone", "top_ft", "bottom_ft", "available_pct", "note"}, rows)
}

// probeSpot is where the probe goes in.
type probeSpot struct {
	Zone    string
	Machine int
	Azimuth int
	ToFt    float64
	HoldsMM float64 // available water in that depth of drained ground
	WaterFt float64 // depth of the water table on waterDate, on low ground
	Pipe    string  // that the table follows; empty on high ground
}

var probeSpots = []probeSpot{
	{Zone: "Heron flat", Machine: 0, Azimuth: 100, ToFt: 2.0, HoldsMM: 50},
	{Zone: "Heron swale", Machine: 0, Azimuth: 250, ToFt: 2.0, WaterFt: 2.5, Pipe: "P1"},
	{Zone: "Plover rise", Machine: 1, Azimuth: 70, ToFt: 2.0, HoldsMM: 50},
	{Zone: "Bittern south", Machine: 2, Azimuth: 150, ToFt: 3.0, HoldsMM: 76},
}

// pipeFt is the depth in a pipe on a day, between its readings and held beyond them.
func pipeFt(readings []reading, pipe string, day civil.Date) float64 {
	var before reading
	for _, r := range readings {
		switch {
		case r.Pipe != pipe:
		case !r.Date.After(day) || before.Pipe == "":
			before = r
		default:
			share := float64(day.DaysSince(before.Date)) / float64(r.Date.DaysSince(before.Date))
			return before.Feet + share*(r.Feet-before.Feet)
		}
	}
	return before.Feet
}

// The ground of the low spot: van Genuchten's curve (1980) with the class
// average of loamy sand, Schaap et al. (2001); what it holds drained, and what
// is left to a wilted crop (15 bar on the same curve).
const (
	lowResidual, lowSaturated = 0.049, 0.390
	lowAlphaPerM, lowN        = 3.48, 1.75
	lowDrained, lowWilting    = 0.199, 0.052
)

// standing is what ground at rest over a water table holds from the surface to a
// depth, as a share of what it holds drained.
func standing(tableFt, toFt float64) float64 {
	const steps = 50
	sum := 0.0
	for i := range steps {
		z := toFt * (float64(i) + 0.5) / steps
		suction := max(0, tableFt-z) * mPerFoot
		sum += lowResidual + (lowSaturated-lowResidual)*math.Pow(1+math.Pow(lowAlphaPerM*suction, lowN), 1/lowN-1)
	}
	return (sum/steps - lowWilting) / (lowDrained - lowWilting)
}

// deficitAt is the checkbook of one spot: rain and the trips that passed over it.
func deficitAt(days []weather, trips []trip, s probeSpot) float64 {
	m := machines[s.Machine]
	deficit := 0.0
	for _, day := range days {
		in := day.RainMM
		for _, t := range trips {
			if t.Machine == s.Machine && t.Water && t.covers(s.Azimuth) && civil.DateOf(t.End) == day.Date {
				in += m.GrossIn * mmPerInch * m.EfficiencyPct / 100
			}
		}
		deficit += m.kc(day.Date)*thumbETo(day)*sandShare - in
		deficit = min(max(deficit, 0), s.HoldsMM)
	}
	return deficit
}

// covers tells whether a trip passes over an azimuth.
func (t trip) covers(azimuth int) bool {
	from, to := t.From, t.To
	if !t.Clockwise {
		from, to = to, from
	}
	span := (to - from + 360) % 360
	if span == 0 {
		span = 360
	}
	return (azimuth-from+360)%360 < span
}

// cutsCSV is the weighed hay and oil of each cut made so far.
func cutsCSV(last civil.Date) []byte {
	var rows [][]string
	for _, m := range machines {
		if !m.Cut.IsZero() && !m.Cut.After(last) {
			rows = append(rows, []string{m.Cut.String(), m.Field, "830000", "5150", ""})
		}
	}
	return table([]string{"date", "field", "hay_lb", "oil_lb", "note"}, rows)
}

// seenCSV is what the grower noted from the road, as far as the season has come.
func seenCSV(last civil.Date) []byte {
	notes := []struct {
		on               civil.Date
		zone, seen, note string
	}{
		{date(year, 5, 6), "Heron swale", "wet", "stood wet after the rains"},
		{date(year, 7, 15), "Heron swale", "green", "no water since June"},
		{date(year, 7, 15), "Bittern slough", "green", ""},
		{date(year, 7, 18), "Bittern bench", "green", ""},
	}
	var rows [][]string
	for _, n := range notes {
		if !n.on.After(last) {
			rows = append(rows, []string{n.on.String(), n.zone, n.seen, n.note})
		}
	}
	return table([]string{"date", "zone", "seen", "note"}, rows)
}
