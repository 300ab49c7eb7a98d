// The demo through the program's own eyes: its files are read without a word,
// and on its day the ground stands as the demo means it to stand.

package main

import (
	"math"
	"strings"
	"testing"

	"sandwick/fields"
	"sandwick/soilwater/watertable"
)

// low tells whether a zone is meant to be fed from below all summer.
func low(zone string) bool {
	return strings.HasSuffix(zone, "swale") || strings.HasSuffix(zone, "hollow") || strings.HasSuffix(zone, "slough")
}

// between tells whether a zone lies on the slope between low and high ground.
func between(zone string) bool {
	return strings.HasSuffix(zone, "slope") || strings.HasSuffix(zone, "bench")
}

func walkDemo(t *testing.T) (*fields.Farm, *fields.Season) {
	t.Helper()
	farm, problems := fields.Load(demoDir)
	for _, p := range problems {
		t.Error(p)
	}
	if t.Failed() {
		t.FailNow()
	}
	season, err := farm.Walk(farm.Today, fields.WalkOptions{})
	if err != nil {
		t.Fatal(err)
	}
	for _, d := range farm.Doubts {
		t.Errorf("doubt: %v", d)
	}
	return farm, season
}

// TestDemoGround: the ranges are common practice on sand, no published source:
// low ground over a table at about 3 ft stays wet without irrigation, high
// ground stands near its trigger, mint uses 5 to 8 mm a day in July, and from
// full the high sand reaches its trigger in two to four days of mint, four to
// nine of corn.
func TestDemoGround(t *testing.T) {
	farm, season := walkDemo(t)
	last := season.Days() - 1
	for z := range farm.Zones {
		name := farm.Zones[z].Name
		var use, days float64
		for d := range season.Days() {
			a := season.Account(d, z)
			if math.Abs(a.ClosureMM) > 1e-9 {
				t.Errorf("%s %s: the books are open by %g mm", name, a.Date, a.ClosureMM)
			}
			if a.Date.Before(date(year, 7, 1)) {
				continue
			}
			use += a.ETcMM
			days++
			if low(name) && (a.StressM2 > 0 || a.DepletMM > 0.05*a.TAWMM) {
				t.Errorf("%s %s: %.1f of %.1f mm gone; low ground should stay wet", name, a.Date, a.DepletMM, a.TAWMM)
			}
		}
		use /= days
		if use < 5 || use > 8 {
			t.Errorf("%s: unstressed crop ET in July is %.1f mm a day, want 5 to 8", name, use)
		}
		if low(name) || between(name) {
			continue
		}
		a := season.Account(last, z)
		if share := a.DepletMM / a.TriggerMM; share < 0.4 || share > 1.6 {
			t.Errorf("%s: %.1f mm gone, trigger %.1f: not near its trigger", name, a.DepletMM, a.TriggerMM)
		}
		lo, hi := 2.0, 4.0
		if strings.HasPrefix(name, "Bittern") {
			lo, hi = 4, 9
		}
		if n := a.RAWMM / use; n < lo || n > hi {
			t.Errorf("%s: trigger after %.1f days from full, want %g to %g", name, n, lo, hi)
		}
	}
}

// TestDemoMeters: what the meters show between readings is what the recorded
// passes pumped at the nominal flow, less the shortfall the wells are given.
func TestDemoMeters(t *testing.T) {
	farm, season := walkDemo(t)
	for w := range wells {
		var pumped float64 // to the last reading
		var first, through float64
		for _, m := range farm.Records.Meters {
			if m.Well != wells[w].Name {
				continue
			}
			m3 := m.Reading * m3PerGallon // the demo's meters count gallons
			if first == 0 {
				first = m3
			}
			through = m3
		}
		end := date(year, 7, 15)
		for p := range farm.Pivots {
			if farm.Pivots[p].Machine.Well != wells[w].Name {
				continue
			}
			for d := range season.Days() {
				if season.Date(d).Before(end) {
					pumped += season.Pumped[p][d].VolumeM3
				}
			}
		}
		if got, want := (through-first)/pumped, wells[w].RealFlow; math.Abs(got-want) > 0.04 {
			t.Errorf("%s: the meter shows %.2f of what the passes pumped, want %.2f", wells[w].Name, got, want)
		}
	}
}

// One pipe is read often enough, and in the year before, for its table to be
// carried on along a recession; the others are held.
func TestDemoRecession(t *testing.T) {
	_, season := walkDemo(t)
	for _, p := range season.Pipes() {
		switch c := &p.Carried; {
		case len(p.Doubted) > 0:
			t.Errorf("%s: %+v", p.Name, p.Doubted)
		case p.Name != closePipe && c.Held == watertable.NotHeld:
			t.Errorf("%s is carried on", p.Name)
		case p.Name == closePipe && (c.Held != watertable.NotHeld || !(c.Fit.RateMPerDay > 2*c.Fit.RateSE())):
			t.Errorf("%s is not carried on: held %d, %+v, %+v", p.Name, c.Held, c.Fit, c.Score)
		}
	}
}
