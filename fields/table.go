// The depth of the water table under each zone on each day.
//
// A zone without a pipe keeps the depth that the map gives it. A zone that
// follows a pipe keeps its distance from it: its depth changes by as much as
// the pipe's since the date of the zone's own depth. The pipe is taken as
// moving evenly between readings, and as standing before the first and after
// the last.

package fields

import (
	"math"
	"slices"

	"github.com/golang-sql/civil"

	"sandwick/fields/records"
)

// tables gives the depth of the water table, m below ground, under every zone.
type tables struct {
	zones []Zone
	pipes map[string][]records.TableReading // in order of date
}

func (f *Farm) tables() tables {
	t := tables{zones: f.Zones, pipes: map[string][]records.TableReading{}}
	for _, r := range f.Records.WaterTable {
		t.pipes[r.Pipe] = append(t.pipes[r.Pipe], r)
	}
	return t
}

// depths lists the depth under one zone on the days from first on; +Inf where
// the table is out of reach, never above ground.
func (t tables) depths(zone int, first civil.Date, days int) []float64 {
	z := &t.zones[zone]
	out := make([]float64, days)
	readings := t.pipes[z.Pipe]
	base := math.NaN()
	if z.Pipe != "" && len(readings) > 0 && !math.IsInf(z.TableM, 1) {
		base = pipeDepth(readings, z.TableDate)
	}
	for d := range out {
		out[d] = z.TableM
		if !math.IsNaN(base) {
			out[d] = max(0, z.TableM+pipeDepth(readings, first.AddDays(d))-base)
		}
	}
	return out
}

// pipeDepth is the depth in a pipe on a date.
func pipeDepth(readings []records.TableReading, d civil.Date) float64 {
	i, found := slices.BinarySearchFunc(readings, d, func(r records.TableReading, d civil.Date) int { return r.Date.DaysSince(d) })
	switch {
	case found || i == 0:
		return readings[i].DepthM
	case i == len(readings):
		return readings[i-1].DepthM
	}
	a, b := &readings[i-1], &readings[i]
	share := float64(d.DaysSince(a.Date)) / float64(b.Date.DaysSince(a.Date))
	return a.DepthM + share*(b.DepthM-a.DepthM)
}
