// The depth of the water table under each zone on each day, with its standard
// error, as known on the day of the walk.
//
// A zone without a pipe keeps the depth that the map gives it. A zone that
// follows a pipe keeps its distance from it: its depth changes by as much as
// the pipe's since the date of the zone's own depth, times the zone's damping.
// Which readings are believed, and how the pipe itself moves between them and
// after the last, is the matter
// of soilwater/watertable.

package fields

import (
	"math"
	"slices"

	"github.com/golang-sql/civil"

	"sandwick/et/input"
	"sandwick/fields/records"
	"sandwick/soilwater/watertable"
)

// PipeState is an observation pipe as known on the day of the walk.
type PipeState struct {
	Name     string
	Zones    []int // that follow it
	Readings int   // known by then and used
	// Doubted are the readings known by then that have moved further than a table
	// does, used or not.
	Doubted []watertable.Doubt
	// Carried is how the depth is carried on after the last reading, and why;
	// zero without a reading.
	watertable.Carried
}

// tables gives the depth of the water table under every zone.
type tables struct {
	zones   []Zone
	pipes   map[string]*watertable.Pipe
	doubted map[string][]watertable.Doubt
}

// tables takes the readings through today; those of later days are not known.
func (f *Farm) tables(today civil.Date) tables {
	t := tables{f.Zones, map[string]*watertable.Pipe{}, map[string][]watertable.Doubt{}}
	for i := range f.Zones {
		name := f.Zones[i].Pipe
		if name == "" || t.pipes[name] != nil {
			continue
		}
		readings, doubts := watertable.Check(records.ReadingsThrough(f.Records.WaterTable, name, today))
		t.doubted[name] = slices.DeleteFunc(doubts, func(d watertable.Doubt) bool { return d.Fault != watertable.Jump })
		var rain func(civil.Date) float64
		if len(readings) > 0 {
			rain = f.pipeRain(name, readings[0].Date, today)
		}
		t.pipes[name] = watertable.New(readings, today, rain)
	}
	return t
}

// pipeRain is the rain around a pipe from some weeks before its first reading
// through today, mm by day: the most that fell on any field whose zones follow
// it, by gauge or else by station; NaN where nothing is known.
func (f *Farm) pipeRain(pipe string, first, today civil.Date) func(civil.Date) float64 {
	var follow []int
	for _, z := range f.Zones {
		if i := f.FieldIndex(z.Field); z.Pipe == pipe && i >= 0 && !slices.Contains(follow, i) {
			follow = append(follow, i)
		}
	}
	from := first.AddDays(-watertable.WindowDays - watertable.SettleDays - watertable.RainSpanDays)
	days := max(0, today.DaysSince(from)+1)
	gauges := f.gaugeRain(from, days, today)
	return func(d civil.Date) float64 {
		day := d.DaysSince(from)
		if day < 0 || day >= days {
			return math.NaN()
		}
		station := math.NaN()
		if i, ok := f.Weather.Index(d); ok && d.Before(today) {
			station = f.Weather.Days[i].RainMM
		}
		most := math.NaN()
		for _, i := range follow {
			mm := gauges[i*days+day]
			if math.IsNaN(mm) {
				mm = station
			}
			if math.IsNaN(most) || mm > most {
				most = mm
			}
		}
		return most
	}
}

// on is the table under one zone on a day: +Inf deep where it is out of reach,
// never above ground.
func (t *tables) on(zone int, d civil.Date) watertable.Estimate {
	z := &t.zones[zone]
	ground := watertable.Ground{DepthM: z.TableM, Date: z.TableDate, Damping: z.Damping}
	if p := t.pipes[z.Pipe]; p != nil {
		return p.Under(ground, d)
	}
	return watertable.Unfollowed(ground, d)
}

// days lists the table under one zone on the days from first on.
func (t *tables) days(zone int, first civil.Date, days int) []watertable.Estimate {
	out := make([]watertable.Estimate, days)
	for d := range out {
		out[d] = t.on(zone, first.AddDays(d))
	}
	return out
}

// Table is the depth of the water table under a zone on any day, past or to
// come, as known on the day s.Today.
func (s *Season) Table(zone int, d civil.Date) watertable.Estimate { return s.tables.on(zone, d) }

// Pipes lists the observation pipes that zones follow, in the order of the map.
func (s *Season) Pipes() []PipeState {
	var out []PipeState
	for z := range s.Farm.Zones {
		name := s.Farm.Zones[z].Pipe
		if name == "" {
			continue
		}
		i := slices.IndexFunc(out, func(p PipeState) bool { return p.Name == name })
		if i < 0 {
			p := s.tables.pipes[name]
			i = len(out)
			out = append(out, PipeState{Name: name, Readings: p.Readings(), Doubted: s.tables.doubted[name], Carried: p.Carried()})
		}
		out[i].Zones = append(out[i].Zones, z)
	}
	return out
}

// doubtPipes finds zones that follow a pipe with nothing to follow.
func (f *Farm) doubtPipes() input.Problems {
	var doubts input.Problems
	for i := range f.Zones {
		z := &f.Zones[i]
		if z.Pipe == "" {
			continue
		}
		first := slices.IndexFunc(f.Records.WaterTable, func(r records.TableReading) bool { return r.Pipe == z.Pipe })
		switch {
		case first < 0:
			doubts.Add(z.Pos, "pipe", z.Pipe, "has no reading in records/%s; zone %q keeps the depth of the map", records.WaterTableFile, z.Name)
		case z.TableDate.Before(f.Records.WaterTable[first].Date):
			doubts.Add(z.Pos, "water_table_date", z.TableDate.String(), "comes before the first reading of pipe %s, %s; the table is taken as standing in between",
				z.Pipe, f.Records.WaterTable[first].Date)
		}
	}
	return doubts
}
