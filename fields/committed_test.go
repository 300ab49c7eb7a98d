// Trips under way and trips entered ahead, as the planner gets them.

package fields

import (
	"math"
	"slices"
	"testing"
	"time"

	"github.com/golang-sql/civil"

	"sandwick/pivot/runplan"
)

const oldPass = "Wheel,2025-06-02T18:00,2025-06-03T18:00,0,0,cw,50,yes,"

// The small farm on Sun 8 June 2025, the first day without weather measured. Its
// machine puts 100 m3/h on slices of pi/4 x 200^2 m2, at 85 % efficiency: an
// hour on one slice is 100/31416 m = 3.183 mm gross, 2.706 mm net.
func TestCommitted(t *testing.T) {
	perHour := 100 / (math.Pi / 4 * 200 * 200) * 1000 * 0.85
	at := func(text string) string { return "2025-06-" + text }
	for _, c := range []struct {
		name, rows, now string
		free            string
		arm             float64
		m3h             float64
		given           [4][2]float64 // hours of water by slice, today and tomorrow
		want            []Committed   // with Start and End as below
		times           []string
	}{
		{"the rest of a trip in rows", "Wheel,2025-06-08T04:00,2025-06-08T10:00,0,90,cw,,yes,\nWheel,2025-06-08T10:00,2025-06-08T16:00,90,180,cw,,no,\nWheel,2025-06-08T16:00,2025-06-09T02:00,180,225,cw,,yes,", "08T06:00",
			"09T02:00", 225, 100, [4][2]float64{{6, 0}, {0, 0}, {8, 2}}, []Committed{{From: 0, To: 225, Clockwise: true, Water: true, Begun: true}}, []string{"08T04:00", "09T02:00"}},
		{"a trip that starts this minute", "Wheel,2025-06-08T06:00,2025-06-08T16:00,0,90,cw,,yes,", "08T06:00",
			"08T16:00", 90, 100, [4][2]float64{{10, 0}}, []Committed{{From: 0, To: 90, Clockwise: true, Water: true, Begun: true}}, []string{"08T06:00", "08T16:00"}},
		{"a stand in no-run hours, in the midst of it", "Wheel,2025-06-09T06:00,2025-06-09T14:00,0,90,cw,,yes,\nWheel,2025-06-09T19:00,2025-06-09T23:00,90,180,cw,,yes,", "09T15:00",
			"09T23:00", 180, 100, [4][2]float64{{8, 0}, {4, 0}}, []Committed{{From: 0, To: 180, Clockwise: true, Water: true, Begun: true}}, []string{"09T06:00", "09T23:00"}},
		{"one entered ahead", "Wheel,2025-06-09T06:00,2025-06-09T12:00,0,90,cw,,yes,", "08T06:00",
			"09T12:00", 90, 0, [4][2]float64{{0, 6}}, []Committed{{From: 0, To: 90, Clockwise: true, Water: true}}, []string{"09T06:00", "09T12:00"}},
		{"one under way and one ahead", "Wheel,2025-06-08T04:00,2025-06-08T10:00,0,90,cw,,yes,\nWheel,2025-06-08T12:00,2025-06-08T18:00,90,0,ccw,,no,", "08T06:00",
			"08T18:00", 0, 0, [4][2]float64{{6, 0}}, []Committed{{From: 0, To: 90, Clockwise: true, Water: true, Begun: true}, {From: 90, To: 0}}, []string{"08T04:00", "08T10:00", "08T12:00", "08T18:00"}},
		{"looked back at from later", "Wheel,2025-06-07T04:00,2025-06-07T10:00,0,90,cw,,yes,\nWheel,2025-06-07T10:00,2025-06-07T16:00,90,180,cw,,yes,\nWheel,2025-06-08T10:00,2025-06-08T16:00,180,90,ccw,,yes,", "06T06:00",
			"06T06:00", 0, 0, [4][2]float64{}, nil, nil},
	} {
		t.Run(c.name, func(t *testing.T) {
			f := mustLoad(t, smallFarm(t, "records/passes.csv", oldPass, oldPass+"\n"+c.rows))
			when := func(text string) time.Time {
				d, err := time.ParseInLocation("2006-01-02T15:04", at(text), f.Location)
				if err != nil {
					t.Fatal(err)
				}
				return d
			}
			now := when(c.now)
			s := mustWalk(t, f, civil.DateOf(now), WalkOptions{})
			p := s.Problem(now, 3)
			m := &p.Machines[0]
			if !m.FreeAt.Equal(when(c.free)) || float64(m.ArmDeg) != c.arm || m.RunningM3H != c.m3h {
				t.Errorf("free %v at %g deg, drawing %g; want %s, %g, %g", m.FreeAt, float64(m.ArmDeg), m.RunningM3H, c.free, c.arm, c.m3h)
			}
			for i := range m.Cells {
				cell := &m.Cells[i]
				for d := range 2 {
					got := 0.0
					if cell.GivenMM != nil {
						got = cell.GivenMM[d]
					}
					if want := c.given[cell.Slice][d] * perHour; math.Abs(got-want) > 1e-3*want+1e-9 {
						t.Errorf("slice %d, day %d: %g mm given, want %g", cell.Slice, d, got, want)
					}
				}
			}
			got := f.Committed(0, now)
			if len(got) != len(c.want) {
				t.Fatalf("committed %+v; want %d", got, len(c.want))
			}
			for i, want := range c.want {
				want.Start, want.End = when(c.times[2*i]), when(c.times[2*i+1])
				g := got[i]
				if !g.Start.Equal(want.Start) || !g.End.Equal(want.End) {
					t.Errorf("trip %d: %v to %v, want %v to %v", i, g.Start, g.End, want.Start, want.End)
				}
				g.Start, g.End = want.Start, want.End
				if g != want {
					t.Errorf("trip %d: %+v, want %+v", i, g, want)
				}
			}
		})
	}
}

// A trip entered ahead takes its well in its own time, and not before.
func TestAheadTakesItsWell(t *testing.T) {
	const second = `
[[pivots]]
name = "Second"
well = "North"
center = [-95.02, 44.0]
length_m = 200
flow_m3h = 100
hours_at_full_timer = 12

[[crops]]`
	f := mustLoad(t, smallFarm(t, "farm.toml", "\n[[crops]]", second, "records/passes.csv", oldPass, oldPass+"\nWheel,2025-06-09T06:00,2025-06-09T12:00,0,90,cw,,yes,"))
	s := mustWalk(t, f, date(t, "2025-06-08"), WalkOptions{})
	now := f.StartOfDay(s.Today).Add(6 * time.Hour)
	p := s.Problem(now, 3)
	if w := p.Machines[1].NoRun; len(w) != 1 || !w[0].From.Equal(now.Add(24*time.Hour)) || !w[0].To.Equal(now.Add(30*time.Hour)) || w[0].Why != "the well serves Wheel" {
		t.Errorf("the other machine of the well stands %+v", w)
	}
}

// TestHoursOfRecordedTrips: a well's hours of the day count what is recorded of
// them, once where two machines ran side by side, and trips entered ahead draw
// from the well in their own time.
func TestHoursOfRecordedTrips(t *testing.T) {
	second := "[[pivots]]\nname = \"Spare\"\nwell = \"North\"\ncenter = [-94.9, 44]\nlength_m = 200\nflow_m3h = 100\n" +
		"hours_at_full_timer = 12\nefficiency_pct = 85\nreversible = true\nparked_deg = 0\n"
	f := mustLoad(t, smallFarm(t, "farm.toml", "[[pivots]]", second+"\n[[pivots]]",
		"records/passes.csv", oldPass, oldPass+"\nWheel,2025-06-08T01:00,2025-06-08T04:00,0,45,cw,,yes,\nSpare,2025-06-08T02:00,2025-06-08T05:00,0,90,cw,,yes,"+
			"\nWheel,2025-06-08T10:00,2025-06-08T12:00,45,75,cw,,yes,\nWheel,2025-06-09T10:00,2025-06-09T14:00,75,0,ccw,,yes,"))
	now := time.Date(2025, 6, 8, 6, 0, 0, 0, f.Location)
	p := mustWalk(t, f, civil.DateOf(now), WalkOptions{}).Problem(now, 3)
	if got := p.Wells[0].HoursToday; math.Abs(got-4) > 1e-9 { // 01:00 to 05:00
		t.Errorf("%g hours pumped today, want 4", got)
	}
	var draws []runplan.Draw
	for i := range p.Machines {
		draws = append(draws, p.Machines[i].Recorded...)
	}
	if len(draws) != 2 || draws[0].To.Sub(draws[0].From) != 2*time.Hour || draws[1].To.Sub(draws[1].From) != 4*time.Hour || draws[0].M3H != 100 {
		t.Fatalf("entered ahead: %+v", draws)
	}
	// Six hours of today are spoken for; an allowance of eight leaves two.
	p.Wells[0].MaxHoursPerDay = 8
	for h, ok := range map[int]bool{1: true, 3: false} {
		timer := 100 * 12.0 / 360 * 20 / float64(h) // 20 degrees in h hours
		spare := slices.IndexFunc(p.Machines, func(m runplan.Machine) bool { return m.Name == "Spare" })
		from := p.Machines[spare].ArmDeg
		r, err := runplan.Evaluate(p, runplan.Plan{Passes: []runplan.Pass{{
			Pivot: "Spare", Start: now.Add(7 * time.Hour), Clockwise: true, StartDeg: from,
			Legs: []runplan.Leg{{FromDeg: from, ToDeg: from + 20, Water: true, TimerPct: timer}},
		}}})
		if err != nil || r.Feasible() != ok {
			t.Errorf("%d hours more: %v, %v", h, r.Violation, err)
		}
	}
}
