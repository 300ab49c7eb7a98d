// The order in which a farm is made: weather first, then what the grower did
// about it, then what the gauges, meters and pipes would have shown.

package main

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"time"

	"github.com/golang-sql/civil"
)

// options say which season to invent.
type options struct {
	Seed         uint64
	HistoryYears int
	Today        civil.Date
	Whole        bool       // the season is over: no forced dry spell, no forecast
	DryFrom      civil.Date // the chain is held dry on these days, unless Whole
	DryTo        civil.Date
}

// demoSeed was picked among the first 400 for an ordinary spring and June, a
// pass stopped by rain, and a hot July.
const demoSeed = 169

func defaultOptions() options {
	return options{
		Seed:         demoSeed,
		HistoryYears: 15,
		Today:        date(year, 7, 19),
		DryFrom:      date(year, 7, 8),
		DryTo:        date(year, 7, 24),
	}
}

func (o options) check() error {
	if o.HistoryYears < 1 || o.HistoryYears > 60 {
		return fmt.Errorf("-years: outside 1 to 60 (got %d)", o.HistoryYears)
	}
	from, to := seasonSpan(year)
	if o.Today.Before(from.AddDays(60)) || o.Today.After(to.AddDays(-12)) {
		return fmt.Errorf("-today: outside %s to %s (got %s)", from.AddDays(60), to.AddDays(-12), o.Today)
	}
	return nil
}

// last is the last day with weather and records.
func (o options) last() civil.Date {
	if o.Whole {
		_, to := seasonSpan(year)
		return to
	}
	return o.Today.AddDays(-1)
}

// year is the season's; the settings and the records speak of it.
const year = 2025

// seasonSpan is the part of a year that has weather.
func seasonSpan(year int) (from, to civil.Date) { return date(year, 4, 1), date(year, 9, 30) }

func date(y, m, d int) civil.Date { return civil.Date{Year: y, Month: time.Month(m), Day: d} }

// file is one file of the farm, its path with forward slashes.
type file struct {
	Path string
	Data []byte
}

// Streams of random numbers. Each part of the farm has its own, so that a
// change in one leaves the others as they were.
const (
	streamSeason = iota + 1
	streamHistory
	streamForecast
	streamPipes
	streamGauges
	streamMeters
	streamProbes
	streamClosePipe
)

func source(seed uint64, stream uint64) *rand.Rand { return rand.New(rand.NewPCG(seed, stream)) }

// generate invents the whole farm.
func generate(o options) []file {
	season := o.season()
	past := through(season, o.last())
	passes := operate(past, o.last())
	before := o.history()
	pipes := slices.Concat(readPipes(past, source(o.Seed, streamPipes)),
		readClosely(lastYear(before), past, source(o.Seed, streamClosePipe)))
	slices.SortStableFunc(pipes, func(a, b reading) int { return a.Date.DaysSince(b.Date) })

	files := []file{
		{"farm.toml", farmTOML(o)},
		{"zones.geojson", zonesGeoJSON()},
		{"weather.csv", weatherCSV(past)},
		{"history.csv", weatherCSV(before)},
		{"records/passes.csv", passesCSV(passes)},
		{"records/rain.csv", rainCSV(past, source(o.Seed, streamGauges))},
		{"records/water_table.csv", pipesCSV(pipes)},
		{"records/meters.csv", metersCSV(passes, o.last(), source(o.Seed, streamMeters))},
		{"records/probes.csv", probesCSV(past, passes, pipes, source(o.Seed, streamProbes))},
		{"records/cuts.csv", cutsCSV(o.last())},
		{"records/seen.csv", seenCSV(o.last())},
	}
	if !o.Whole {
		files = append(files, file{"forecast.csv", forecastCSV(o, season, source(o.Seed, streamForecast))})
	}
	return files
}

// season is the whole season, the hidden days ahead included.
func (o options) season() []weather {
	from, to := seasonSpan(year)
	held := func(d civil.Date) bool {
		return !o.Whole && !d.Before(o.DryFrom) && !d.After(o.DryTo)
	}
	return invent(from, to, held, source(o.Seed, streamSeason))
}

// history is the whole years before.
func (o options) history() []weather {
	var all []weather
	rng := source(o.Seed, streamHistory)
	for y := year - o.HistoryYears; y < year; y++ {
		all = append(all, invent(date(y, 1, 1), date(y, 12, 31), nil, rng)...)
	}
	return all
}

// lastYear is the part of the season's span of the year before the records.
func lastYear(history []weather) []weather {
	from, _ := seasonSpan(year - 1)
	for i, w := range history {
		if !w.Date.Before(from) {
			return history[i:]
		}
	}
	return nil
}

// through is the days up to and including last.
func through(days []weather, last civil.Date) []weather {
	for i, w := range days {
		if w.Date.After(last) {
			return days[:i]
		}
	}
	return days
}
