// The water table by zone and day: damping, what is known when, and what is told.

package fields

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"sandwick/soilwater/watertable"
)

func TestDampedZone(t *testing.T) {
	f := mustLoad(t, smallFarm(t, "zones.geojson", `"pipe": "P1"`, `"pipe": "P1", "water_table_damping": 0.5`))
	s := mustWalk(t, f, date(t, "2025-06-08"), WalkOptions{})
	// The pipe falls by 0.20 m from 1 to 5 June; the zone by half of it.
	for d, want := range []float64{1.500, 1.525, 1.550, 1.575, 1.600, 1.600, 1.600} {
		if got := s.Account(d, 1).TableM; math.Abs(got-want) > 1e-12 {
			t.Errorf("%s: table at %.4f m, want %.3f", s.Date(d), got, want)
		}
	}
}

func TestReadingsToComeAreNotKnown(t *testing.T) {
	f := mustLoad(t, smallFarm(t))
	s := mustWalk(t, f, date(t, "2025-06-04"), WalkOptions{})
	if got := s.Account(2, 1).TableM; got != 1.5 {
		t.Errorf("on 4 June the table of 3 June is at %.3f m: the reading of 5 June is in it", got)
	}
	if got := s.Account(2, 1); got.TableBasis != watertable.HeldLast || !(got.TableSEM > 0) {
		t.Errorf("basis %d, standard error %g", got.TableBasis, got.TableSEM)
	}
	s = mustWalk(t, f, date(t, "2025-06-05"), WalkOptions{})
	if got := s.Account(2, 1).TableM; math.Abs(got-1.6) > 1e-12 {
		t.Errorf("on 5 June the table of 3 June is at %.3f m; want 1.6, half way to the reading of the morning", got)
	}
}

func TestErrorOfTheTable(t *testing.T) {
	f := mustLoad(t, smallFarm(t))
	s := mustWalk(t, f, date(t, "2025-06-08"), WalkOptions{})
	if se := s.Account(0, 1).TableSEM; se != 0 {
		t.Errorf("on the day of the zone's own depth its standard error is %g m", se)
	}
	if se := s.Account(6, 0).TableSEM; se != 0 {
		t.Errorf("a table out of reach has a standard error of %g m", se)
	}
	p := s.Problem(f.StartOfDay(s.Today), 10)
	west := p.Machines[0].Zones[1]
	before := s.Account(6, 1).TableSEM
	for d, se := range west.TableSEM {
		if !(se > before) {
			t.Errorf("day %d to come: standard error %g m, the day before %g", d, se, before)
		}
		if e := s.Table(1, s.Today.AddDays(d)); e.DepthM != west.TableM[d] || e.SEM != se {
			t.Errorf("day %d to come: the planner has %g ± %g m, the season %+v", d, west.TableM[d], se, e)
		}
		before = se
	}
	// 25 mm fell on the field on the day before the last reading.
	if p := s.Pipes(); len(p) != 1 || p[0].Name != "P1" || p[0].Readings != 2 || p[0].Held != watertable.RecentRain || p[0].RainOn != date(t, "2025-06-04") || len(p[0].Zones) != 1 || p[0].Zones[0] != 1 {
		t.Errorf("pipes: %+v", p)
	}
}

// A pipe read every week for two earlier years, falling evenly: its recession
// is followed, and rain on the fields of its zones holds it.
func TestRecessionReachesThePlan(t *testing.T) {
	var b strings.Builder
	b.WriteString("date,pipe,depth_m\n")
	for d := date(t, "2024-06-07"); !d.After(date(t, "2025-06-06")); d = d.AddDays(7) {
		fmt.Fprintf(&b, "%s,P1,%.4f\n", d, 0.5+0.003*float64(d.DaysSince(date(t, "2024-06-07"))))
	}
	// The small farm's station has 30 and 12 mm on 4 and 6 June.
	dry := []string{"weather.csv", "18,30\n", "18,0\n", "weather.csv", "26,12\n", "26,0\n", "records/rain.csv", "", "<none>"}
	f := mustLoad(t, smallFarm(t, append(dry, "records/water_table.csv", "", b.String())...))
	s := mustWalk(t, f, date(t, "2025-06-08"), WalkOptions{})
	pipe := s.Pipes()[0]
	if pipe.Held != watertable.NotHeld || math.Abs(pipe.Fit.RateMPerDay-0.003) > 1e-6 {
		t.Fatalf("pipe %+v", pipe)
	}
	p := s.Problem(f.StartOfDay(s.Today), 5)
	west := p.Machines[0].Zones[1]
	// 1.50 m on 1 June, and 3 mm a day from then on.
	for d, m := range west.TableM {
		if want := 1.5 + 0.003*float64(7+d); math.Abs(m-want) > 1e-6 {
			t.Errorf("day %d to come: table at %.4f m, want %.4f", d, m, want)
		}
	}
	f = mustLoad(t, smallFarm(t, append(dry[:6:6], "records/rain.csv", "", "date,place,amount_mm,note\n2025-06-07,Round,20,\n", "records/water_table.csv", "", b.String())...))
	s = mustWalk(t, f, date(t, "2025-06-08"), WalkOptions{})
	if p := s.Pipes()[0]; p.Held != watertable.RecentRain || p.RainOn != date(t, "2025-06-07") {
		t.Errorf("after 20 mm on the field: held %d, rain on %s", p.Held, p.RainOn)
	}
}

// A depth on the map of a later day counts for today with the wander of the
// days between, as one of an earlier day does; so it does beside a pipe.
func TestMapOfALaterDay(t *testing.T) {
	for _, pipe := range []bool{false, true} {
		plusMinus := func(day string) float64 {
			t.Helper()
			changes := []string{"zones.geojson", `"water_table_date": "2025-06-01"`, `"water_table_date": "` + day + `"`}
			if !pipe {
				changes = append(changes, "zones.geojson", `, "pipe": "P1"`, "", "records/water_table.csv", "", "<none>")
			}
			f := mustLoad(t, smallFarm(t, changes...))
			return mustWalk(t, f, date(t, "2025-06-08"), WalkOptions{}).Uncertainty(1).TablePlusMinusM
		}
		on, later, latest := plusMinus("2025-06-08"), plusMinus("2025-06-18"), plusMinus("2025-07-18")
		if !(later > on && latest > later) {
			t.Errorf("pipe %v: plus-minus %.3f m by a map of today, %.3f by one of ten days later, %.3f by one of forty", pipe, on, later, latest)
		}
	}
}

// A reading that has leapt counts for nothing until the next one agrees with it,
// and no reading of later days tells of it beforehand.
func TestDoubtedReading(t *testing.T) {
	f := mustLoad(t, smallFarm(t, "records/water_table.csv", "", "date,pipe,depth_m,note\n2025-06-01,P1,1.4,\n2025-06-05,P1,4.6,\n2025-06-07,P1,4.5,\n"))
	s := mustWalk(t, f, date(t, "2025-06-06"), WalkOptions{})
	p := s.Pipes()[0]
	if len(p.Doubted) != 1 || p.Doubted[0].Used() || p.Doubted[0].Reading.Date != date(t, "2025-06-05") || p.Readings != 1 || p.Last.Date != date(t, "2025-06-01") {
		t.Errorf("on 6 June: %+v", p)
	}
	if got := s.Table(1, s.Today); got.DepthM != 1.5 || got.Basis != watertable.HeldLast {
		t.Errorf("on 6 June the table is %+v; want 1.5 m, held", got)
	}
	s = mustWalk(t, f, date(t, "2025-06-08"), WalkOptions{})
	p = s.Pipes()[0]
	if len(p.Doubted) != 1 || !p.Doubted[0].Used() || p.Readings != 3 {
		t.Errorf("on 8 June: %+v", p)
	}
	if got := s.Table(1, date(t, "2025-06-05")).DepthM; math.Abs(got-4.7) > 1e-12 {
		t.Errorf("on 8 June the table of 5 June is at %.3f m; want 4.7, as far down as the pipe's", got)
	}
}
