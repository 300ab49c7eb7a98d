package pivot

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"
	"time"
	_ "time/tzdata" // the zone is there on every machine
)

// Twenty hours a round at 100 %: 90 degrees take 5 h at 100 %, 10 h at 50 %.
func ExampleMachine_HoursTo() {
	m := flats()
	trip := Trip{Clockwise: true, Legs: []Leg{
		{From: 315, To: 45, TimerPct: 50, Water: true},
		{From: 45, To: 135, TimerPct: 100},
	}}
	for _, a := range []Azimuth{315, 0, 45, 90, 135, 200} {
		h, passed := m.HoursTo(trip, a)
		fmt.Println(a, h, passed)
	}
	fmt.Println(m.TripHours(trip), m.ArmAfter(trip, 5), m.ArmAfter(trip, 12.5))
	// Output:
	// 315 0 true
	// 0 5 true
	// 45 10 true
	// 90 12.5 true
	// 135 15 true
	// 200 0 false
	// 15 0 90
}

// The night the clocks go back has 25 hours; the arm does not know.
func TestElapsedTimeAcrossTheClockChange(t *testing.T) {
	zone, err := time.LoadLocation("America/Chicago")
	if err != nil {
		t.Fatal(err)
	}
	m := flats()
	h, ok := m.HoursTo(Trip{true, []Leg{{0, 180, 100, true}}}, 180)
	if !ok || h != 10 {
		t.Fatalf("half a round takes %v h", h)
	}
	start := time.Date(2025, time.November, 1, 20, 0, 0, 0, zone)
	end := start.Add(time.Duration(h * float64(time.Hour)))
	if got := end.Format("2 Jan 15:04 MST"); got != "2 Nov 05:00 CST" {
		t.Errorf("ten hours after 20:00 the clock says %s", got)
	}
}

func TestTripProperty(t *testing.T) {
	rng := rand.New(rand.NewPCG(10, 20))
	for range 500 {
		m := flats()
		trip := Trip{Clockwise: rng.IntN(2) == 0}
		at, turned := Azimuth(rng.Float64()*360), 0.0
		for turned < 300 && len(trip.Legs) < 5 {
			d := 1 + rng.Float64()*55
			turned += d
			if !trip.Clockwise {
				d = -d
			}
			trip.Legs = append(trip.Legs, Leg{at, at.Add(d), 10 + 90*rng.Float64(), true})
			at = at.Add(d)
		}
		all := m.TripHours(trip)
		h := rng.Float64() * all
		a := m.ArmAfter(trip, h)
		back, ok := m.HoursTo(trip, a)
		if !ok || math.Abs(back-h) > 1e-6 {
			t.Errorf("seed 10,20: after %v h the arm is at %v, which it passes at %v (%v)", h, a, back, ok)
		}
		if got := m.ArmAfter(trip, all+1); got != at {
			t.Errorf("seed 10,20: ends at %v, want %v", got, at)
		}
		if got := m.ArmAfter(trip, -1); got != trip.Legs[0].From {
			t.Errorf("seed 10,20: before the start at %v", got)
		}
		// The other way about, the same legs backwards take as long.
		mirror := Trip{Clockwise: !trip.Clockwise}
		for i := len(trip.Legs) - 1; i >= 0; i-- {
			l := trip.Legs[i]
			mirror.Legs = append(mirror.Legs, Leg{l.To, l.From, l.TimerPct, l.Water})
		}
		close(t, "there and back", m.TripHours(mirror), all, 1e-9)
		if b, ok := m.HoursTo(mirror, a); !ok || math.Abs(b-(all-h)) > 1e-6 {
			t.Errorf("seed 10,20: on the way back %v is passed at %v, want %v", a, b, all-h)
		}
	}
	m := flats()
	if a := m.ArmAfter(Trip{}, 1); !math.IsNaN(float64(a)) {
		t.Errorf("a trip without legs ends at %v", a)
	}
	hair := Trip{true, []Leg{{90, 180, 50, true}}}
	if h, ok := m.HoursTo(hair, 90-1e-12); h != 0 || !ok {
		t.Errorf("a hair behind the start is passed at %v (%v)", h, ok)
	}
	round := Trip{true, []Leg{{90, 90, 100, true}}}
	if h, ok := m.HoursTo(round, 90); h != 0 || !ok || m.TripHours(round) != 20 || m.ArmAfter(round, 15) != 0 {
		t.Errorf("full turn: start passed at %v, %v h, after 15 h at %v", h, m.TripHours(round), m.ArmAfter(round, 15))
	}
}

func TestCanTravel(t *testing.T) {
	full, part, barrier, oneWay := flats(), flats(), flats(), flats()
	part.Stops, barrier.Stops = &Arc{300, 60}, &Arc{0, 0}
	oneWay.Reversible = false
	for _, c := range []struct {
		name     string
		m        *Machine
		from, to Azimuth
		cw, want bool
	}{
		{"full", full, 10, 10, true, true},
		{"full, back", full, 10, 350, false, true},
		{"one way", oneWay, 10, 20, true, true},
		{"one way, back", oneWay, 20, 10, false, false},
		{"stop to stop", part, 300, 60, true, true},
		{"stop to stop, back", part, 60, 300, false, true},
		{"across the gap", part, 60, 300, true, false},
		{"within", part, 350, 20, true, true},
		{"within, the wrong way round", part, 350, 20, false, false},
		{"from outside", part, 200, 20, true, false},
		{"to outside", part, 0, 70, true, false},
		{"round a part circle", part, 0, 0, true, false},
		{"at the stop, further", part, 60, 61, true, false},
		{"barrier, whole turn", barrier, 0, 0, true, true},
		{"barrier, whole turn back", barrier, 0, 360, false, true},
		{"barrier, from the middle", barrier, 180, 0, true, true},
		{"barrier, across", barrier, 350, 10, true, false},
		{"barrier, away", barrier, 0, 350, false, true},
	} {
		if got := c.m.CanTravel(c.from, c.to, c.cw); got != c.want {
			t.Errorf("%s: %v", c.name, got)
		}
	}
}
