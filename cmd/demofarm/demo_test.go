// The committed demo is what the generator writes, and its parts fit together.

package main

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/golang-sql/civil"
)

const demoDir = "../../testdata/demo"

func TestDemoIsWhatTheGeneratorWrites(t *testing.T) {
	written := map[string]bool{"README.md": true}
	for _, f := range generate(defaultOptions()) {
		written[f.Path] = true
		got, err := os.ReadFile(filepath.Join(demoDir, filepath.FromSlash(f.Path)))
		if err != nil {
			t.Error(err)
			continue
		}
		if !bytes.Equal(got, f.Data) {
			t.Errorf("%s is not what the generator writes: go run ./cmd/demofarm -out testdata/demo", f.Path)
		}
	}
	err := filepath.WalkDir(demoDir, func(path string, d os.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		rel, err := filepath.Rel(demoDir, path)
		if err != nil {
			return err
		}
		if !written[filepath.ToSlash(rel)] {
			t.Errorf("%s: the generator does not write this file", rel)
		}
		return nil
	})
	if err != nil {
		t.Error(err)
	}
}

func TestSameSeedSameBytes(t *testing.T) {
	o := defaultOptions()
	o.Seed, o.Whole = 7, true
	first, second, other := generate(o), generate(o), generate(options{Seed: 8, HistoryYears: 15, Today: o.Today, Whole: true})
	for i := range first {
		if !bytes.Equal(first[i].Data, second[i].Data) {
			t.Errorf("%s differs between two runs with one seed", first[i].Path)
		}
		if first[i].Path == "weather.csv" && bytes.Equal(first[i].Data, other[i].Data) {
			t.Error("two seeds gave the same weather")
		}
	}
}

// TestPassesCanBeRun checks what steel and water allow, over many seasons: one
// machine at a time on a well that cannot feed two, the arm where it was left,
// no travel outside the stops, no running under load control, and times that
// agree with the timer.
func TestPassesCanBeRun(t *testing.T) {
	for seed := uint64(1); seed <= 12; seed++ {
		o := defaultOptions()
		o.Seed, o.Whole = seed, true
		trips := operate(through(o.season(), o.last()), o.last())
		if len(trips) < 20 {
			t.Errorf("seed %d: only %d trips in a season", seed, len(trips))
		}
		arm := make([]int, len(machines))
		for i, m := range machines {
			arm[i] = m.ParkedDeg
		}
		busy := map[string]trip{}
		for _, tr := range trips {
			m := machines[tr.Machine]
			if tr.From != arm[tr.Machine] {
				t.Errorf("seed %d: %s starts at %d on %s, the arm stands at %d", seed, m.Pivot, tr.From, tr.Start, arm[tr.Machine])
			}
			arm[tr.Machine] = tr.To
			if last, ok := busy[m.Well]; ok && tr.Start.Before(last.End) {
				t.Errorf("seed %d: %s starts %s while %s runs on %s", seed, m.Pivot, tr.Start, machines[last.Machine].Pivot, m.Well)
			}
			busy[m.Well] = tr
			deg := (tr.To - tr.From + 360) % 360
			if !tr.Clockwise {
				deg = (tr.From - tr.To + 360) % 360
			}
			if deg == 0 {
				deg = 360
			}
			if m.StartDeg != m.StopDeg {
				// Where the trip begins and how far it goes, clockwise from the first stop.
				low := (tr.From - m.StartDeg + 360) % 360
				if !tr.Clockwise {
					low -= deg
				}
				if low < 0 || low+deg > int(m.span()) {
					t.Errorf("seed %d: %s from %d over %d degrees leaves its stops", seed, m.Pivot, tr.From, deg)
				}
			}
			if got, want := tr.End.Sub(tr.Start).Hours(), m.hours(tr.Timer, float64(deg)); math.Abs(got-want) > 1.0/60 {
				t.Errorf("seed %d: %s %s: %g h for %d degrees at %g %%, want %g", seed, m.Pivot, tr.Start, got, deg, tr.Timer, want)
			}
			for _, w := range wells {
				if w.Name == m.Well && (w.running(tr.Start) != tr.Start || tr.End.After(w.nextStop(tr.Start))) {
					t.Errorf("seed %d: %s runs %s to %s through load control", seed, m.Pivot, tr.Start, tr.End)
				}
			}
			if !m.Cut.IsZero() && tr.End.After(clock(m.Cut.AddDays(-m.DryDays), 0)) && tr.Start.Before(clock(m.Cut, 24)) {
				t.Errorf("seed %d: %s runs %s in the dry days before the cut", seed, m.Pivot, tr.Start)
			}
		}
	}
}

// TestMapCoversTheCircles lays a fine grid over each circle: every spot that
// the machine can wet is in exactly one zone.
func TestMapCoversTheCircles(t *testing.T) {
	var doc struct {
		Features []struct {
			Properties struct{ Zone, Field string }
			Geometry   struct{ Coordinates [][][2]float64 }
		}
	}
	if err := json.Unmarshal(zonesGeoJSON(), &doc); err != nil {
		t.Fatal(err)
	}
	names := map[string]bool{}
	for _, f := range doc.Features {
		if names[f.Properties.Zone] {
			t.Errorf("two zones named %s", f.Properties.Zone)
		}
		names[f.Properties.Zone] = true
	}
	for i, m := range machines {
		zones := len(grounds[i].Strips)
		if grounds[i].RidgeIn >= 0 {
			zones++
		}
		if zones < 3 || zones > 5 {
			t.Errorf("%s has %d zones", m.Pivot, zones)
		}
		reach := (m.LengthFt + m.GunThrowFt) * mPerFoot
		shares := map[string]int{}
		total := 0
		const step = 7.3
		for x := -reach; x <= reach; x += step {
			for y := -reach; y <= reach; y += step {
				azimuth := math.Mod(math.Atan2(x, y)*180/math.Pi+360, 360)
				if math.Hypot(x, y) > reach || m.span() < 360 && math.Mod(azimuth-float64(m.StartDeg)+360, 360) > m.span() {
					continue
				}
				total++
				p := toLonLat(point{m.EastM + x, m.NorthM + y})
				in := 0
				for _, f := range doc.Features {
					inside := false
					for _, ring := range f.Geometry.Coordinates {
						inside = inside != contains(ring, p)
					}
					if inside {
						in++
						shares[f.Properties.Zone]++
						if f.Properties.Field != m.Field {
							t.Errorf("%s reaches into %s", m.Pivot, f.Properties.Zone)
						}
					}
				}
				if in != 1 {
					t.Errorf("%s: the spot %.0f m east, %.0f m north is in %d zones", m.Pivot, x, y, in)
				}
			}
		}
		for zone, n := range shares {
			share := float64(n) / float64(total)
			t.Logf("%s: %.0f %% of %s", zone, 100*share, m.Pivot)
			if share < 0.04 {
				t.Errorf("%s is only %.1f %% of its circle", zone, 100*share)
			}
		}
	}
}

// contains is the even-odd rule.
func contains(ring [][2]float64, p point) bool {
	in := false
	for i := range ring {
		a, b := ring[i], ring[(i+1)%len(ring)]
		if (a[1] > p.y) != (b[1] > p.y) && p.x < a[0]+(b[0]-a[0])*(p.y-a[1])/(b[1]-a[1]) {
			in = !in
		}
	}
	return in
}

func TestMetersNeverRunBack(t *testing.T) {
	for _, f := range generate(defaultOptions()) {
		if f.Path != "records/meters.csv" {
			continue
		}
		rows, err := csv.NewReader(bytes.NewReader(f.Data)).ReadAll()
		if err != nil {
			t.Fatal(err)
		}
		last := map[string]string{}
		for _, r := range rows[1:] {
			if len(r[2]) < len(last[r[1]]) || len(r[2]) == len(last[r[1]]) && r[2] < last[r[1]] {
				t.Errorf("%s %s: reading %s after %s", r[0], r[1], r[2], last[r[1]])
			}
			last[r[1]] = r[2]
		}
		if len(last) != len(wells) {
			t.Errorf("readings of %d wells, want %d", len(last), len(wells))
		}
	}
}

func TestRunRefusesBadOptions(t *testing.T) {
	for _, c := range []struct {
		args string
		want string
	}{
		{"", "wanted -out FOLDER"},
		{"-out x extra", "no other words"},
		{"-out x -today yesterday", `got "yesterday"`},
		{"-out x -today 2025-01-05", "outside 2025-05-31 to 2025-09-18"},
		{"-out x -years 0", "outside 1 to 60 (got 0)"},
		{"-out x -seed minus", "invalid value"},
	} {
		var msg strings.Builder
		if code := run(strings.Fields(c.args), &msg); code != 2 || !strings.Contains(msg.String(), c.want) {
			t.Errorf("demofarm %s: exit %d, %q; want 2 and %q", c.args, code, msg.String(), c.want)
		}
	}
}

func TestRunWritesAFinishedSeason(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "farm")
	var msg strings.Builder
	if code := run([]string{"-out", dir, "-seed", "3", "-years", "2", "-whole"}, &msg); code != 0 {
		t.Fatalf("exit %d: %s", code, msg.String())
	}
	weather, err := os.ReadFile(filepath.Join(dir, "weather.csv"))
	if err != nil {
		t.Fatal(err)
	}
	lines := strings.Split(strings.TrimSpace(string(weather)), "\n")
	from, to := seasonSpan(2025)
	if len(lines) != 1+to.DaysSince(from)+1 || !strings.HasPrefix(lines[len(lines)-1], to.String()) {
		t.Errorf("%d lines, the last %q; want a season to %s", len(lines), lines[len(lines)-1], to)
	}
	if _, err := os.Stat(filepath.Join(dir, "forecast.csv")); !os.IsNotExist(err) {
		t.Error("a finished season has a forecast")
	}
}

func TestDrySpellIsHeld(t *testing.T) {
	o := defaultOptions()
	for _, w := range o.season() {
		if dry := !w.Date.Before(o.DryFrom) && !w.Date.After(o.DryTo); dry && w.RainMM > 0 {
			t.Errorf("%s: %g mm in the dry spell", w.Date, w.RainMM)
		}
	}
	if d := (civil.Date{Year: 2025, Month: 7, Day: 19}); o.Today != d {
		t.Errorf("today is %s, want %s", o.Today, d)
	}
}

// span is how much of the circle the machine travels, degrees.
func (m machine) span() float64 {
	if m.StartDeg == m.StopDeg {
		return 360
	}
	return float64((m.StopDeg - m.StartDeg + 360) % 360)
}
