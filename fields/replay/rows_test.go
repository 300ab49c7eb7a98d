package replay

import (
	"math"
	"testing"
	"time"

	"sandwick/pivot"
	"sandwick/pivot/runplan"
)

func at(day, hour, minute int) time.Time {
	return time.Date(2025, 6, day, hour, minute, 0, 0, time.UTC)
}

// TestRows by hand: ten hours of one leg over 100 degrees with a stand of two
// hours after four are 40 degrees, then 60.
func TestRows(t *testing.T) {
	pass := runplan.Pass{
		Pivot: "P", Start: at(1, 6, 0), End: at(1, 20, 0), StartDeg: 30,
		Pauses: []runplan.Window{{From: at(1, 10, 0), To: at(1, 12, 0)}},
		Legs: []runplan.Leg{
			{FromDeg: 30, ToDeg: 290, Water: true, TimerPct: 40, Start: at(1, 6, 0), End: at(1, 18, 0)},
			{FromDeg: 290, ToDeg: 270, TimerPct: 100, Start: at(1, 18, 0), End: at(1, 20, 0)},
		},
	}
	rows := Rows(&pass)
	want := []struct {
		from, to   pivot.Azimuth
		start, end time.Time
		water      bool
	}{
		{30, 350, at(1, 6, 0), at(1, 10, 0), true},
		{350, 290, at(1, 12, 0), at(1, 18, 0), true},
		{290, 270, at(1, 18, 0), at(1, 20, 0), false},
	}
	if len(rows) != len(want) {
		t.Fatalf("%d rows, want %d: %+v", len(rows), len(want), rows)
	}
	for i, w := range want {
		r := &rows[i]
		if math.Abs(float64(r.From-w.from)) > 1e-9 || math.Abs(float64(r.To-w.to)) > 1e-9 || !r.Start.Equal(w.start) || !r.End.Equal(w.end) || r.Water != w.water || r.Clockwise {
			t.Errorf("row %d: %+v, want %+v", i, *r, w)
		}
	}
	// A whole turn without a stand stays one.
	turn := runplan.Pass{Clockwise: true, Legs: []runplan.Leg{{FromDeg: 90, ToDeg: 90, Water: true, Start: at(1, 6, 0), End: at(2, 6, 0)}}}
	if rows := Rows(&turn); len(rows) != 1 || rows[0].Arc().Span() != 360 {
		t.Errorf("a whole turn: %+v", rows)
	}
}

// TestStands by hand: shut from 14 to 19 on two days.
func TestStands(t *testing.T) {
	shut := []runplan.Window{{From: at(1, 14, 0), To: at(1, 19, 0)}, {From: at(2, 14, 0), To: at(2, 19, 0)}}
	for _, c := range []struct {
		at     time.Time
		hours  float64
		start  time.Time
		pauses int
	}{
		{at(1, 6, 0), 8, at(1, 6, 0), 0},   // done as it shuts
		{at(1, 6, 0), 8.5, at(1, 6, 0), 1}, // half an hour over
		{at(1, 15, 0), 2, at(1, 19, 0), 0}, // not before it opens
		{at(1, 14, 0), 2, at(1, 19, 0), 0}, // as it shuts: not before it opens
		{at(1, 6, 0), 30, at(1, 6, 0), 2},  // 8 h, stand, 19 h, stand, 3 h
		{at(3, 6, 0), 30, at(3, 6, 0), 0},  // after the last
	} {
		start, pauses := Stands(c.at, c.hours, shut)
		if !start.Equal(c.start) || len(pauses) != c.pauses {
			t.Errorf("%s for %g h: starts %s with %d stands, want %s and %d", c.at, c.hours, start, len(pauses), c.start, c.pauses)
		}
	}
	// Windows that touch are one stand.
	start, pauses := Stands(at(1, 6, 0), 10, []runplan.Window{{From: at(1, 8, 0), To: at(1, 10, 0)}, {From: at(1, 10, 0), To: at(1, 11, 0)}})
	if !start.Equal(at(1, 6, 0)) || len(pauses) != 1 || !pauses[0].To.Equal(at(1, 11, 0)) {
		t.Errorf("two windows that touch: %s %v", start, pauses)
	}
}

// TestWholeTrip: round and back, and from stop to stop.
func TestWholeTrip(t *testing.T) {
	m := runplan.Machine{Machine: pivot.Machine{
		Name: "P", Well: "W", LengthM: 300, FlowM3H: 180, HoursAtFull: 12, TimerMinPct: 5, TimerMaxPct: 100,
		MaxGrossMM: 30, MaxLegs: 4, Efficiency: 0.9, Reversible: true,
	}, ArmDeg: 20}
	p := runplan.Problem{Now: at(1, 6, 0), Days: 5, Machines: []runplan.Machine{m}, Wells: []runplan.Well{{Name: "W", FlowM3H: 200, MaxHoursPerDay: 24}}}
	trip := WholeTrip(&p, 0, 9, true, p.Now)
	if trip.Legs[0].FromDeg != 20 || trip.Legs[0].ToDeg != 20 || !trip.Clockwise {
		t.Errorf("full circle: %+v", trip)
	}
	// 10 mm gross on the circle at 180 m³/h: π × 300² × 0.010 / 180 hours.
	if got, want := m.PassHours(pivot.Arc{From: 20, To: 20}, trip.Legs[0].TimerPct), math.Pi*300*300*0.010/180; math.Abs(got-want) > 0.01*want {
		t.Errorf("10 mm take %.2f h, want %.2f", got, want)
	}
	p.Machines[0].Stops = &pivot.Arc{From: 20, To: 290}
	if trip = WholeTrip(&p, 0, 9, false, p.Now); !trip.Clockwise || trip.Legs[0].ToDeg != 290 {
		t.Errorf("from the first stop: %+v", trip)
	}
	p.Machines[0].ArmDeg = 290
	if trip = WholeTrip(&p, 0, 9, true, p.Now); trip.Clockwise || trip.Legs[0].ToDeg != 20 {
		t.Errorf("from the second stop: %+v", trip)
	}
	// Twelve pumping hours a day: a trip of more than a day stands at night.
	p.Machines[0].Stops, p.Wells[0].MaxHoursPerDay = nil, 12
	trip = WholeTrip(&p, 0, 20, true, p.Now)
	if len(trip.Pauses) < 2 || trip.Pauses[0].From.Hour() != 12 || trip.Pauses[0].To.Hour() != 0 {
		t.Errorf("twelve hours a day: %v", trip.Pauses)
	}
}
