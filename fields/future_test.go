// What is dated later than the day of the work plays no part in it.

package fields

import (
	"fmt"
	"io/fs"
	"os"
	"regexp"
	"strings"
	"testing"
	"testing/fstest"
	"time"

	"github.com/golang-sql/civil"

	"sandwick/fields/records"
	"sandwick/fields/settings"
	"sandwick/fields/zonemap"
)

// folder reads a farm folder into memory.
func folder(t testing.TB, dir string) fstest.MapFS {
	t.Helper()
	m := fstest.MapFS{}
	for _, name := range []string{settings.File, zonemap.File, WeatherFile, ForecastFile, HistoryFile,
		records.Dir + "/" + records.RainFile, records.Dir + "/" + records.PassesFile, records.Dir + "/" + records.ProbesFile,
		records.Dir + "/" + records.WaterTableFile, records.Dir + "/" + records.CutsFile, records.Dir + "/" + records.MetersFile, records.Dir + "/" + records.SeenFile} {
		data, err := os.ReadFile(dir + "/" + name)
		if err != nil {
			t.Fatal(err)
		}
		m[name] = &fstest.MapFile{Data: data}
	}
	return m
}

// until is a farm folder without the rows dated after a moment. Weather of that
// day itself is not known in its morning either.
func until(m fstest.MapFS, now string) fstest.MapFS {
	out := fstest.MapFS{}
	day, _, _ := strings.Cut(now, "T")
	for name, file := range m {
		column, last := 0, day+"Z"
		switch name {
		case records.Dir + "/" + records.PassesFile:
			column, last = 1, now
		case WeatherFile:
			last = day
		case HistoryFile, ForecastFile, settings.File, zonemap.File:
			out[name] = file
			continue
		}
		rows := strings.SplitAfter(string(file.Data), "\n")
		kept := rows[:1]
		for _, row := range rows[1:] {
			if cells := strings.Split(row, ","); len(cells) > column && cells[column] <= last && !(name == WeatherFile && cells[column] >= day) {
				kept = append(kept, row)
			}
		}
		out[name] = &fstest.MapFile{Data: []byte(strings.Join(kept, ""))}
	}
	return out
}

// known is everything that status, balance and plan are made from on a morning.
func known(t *testing.T, fsys fs.FS, now string) string {
	t.Helper()
	f := mustLoad(t, fsys)
	at, err := time.ParseInLocation("2006-01-02T15:04", now, f.Location)
	if err != nil {
		t.Fatal(err)
	}
	s := mustWalk(t, f, civil.DateOf(at), WalkOptions{KeepCells: true})
	var b strings.Builder
	tell := func(what string, v any) { fmt.Fprintf(&b, "%s %v\n", what, v) }
	for i := range s.accounts {
		tell("account", s.accounts[i])
	}
	for i := range s.cells {
		tell("cell", s.cells[i])
	}
	for i := range s.Skies {
		tell("sky", s.Skies[i])
	}
	tell("states", s.States)
	tell("pumped", s.Pumped)
	tell("corrected", s.CorrectTodayMM)
	tell("doubts", s.Doubts)
	tell("pipes", s.Pipes())
	a := s.Ahead(at, 10)
	for i := range a.Skies {
		tell("ahead", a.Skies[i])
	}
	p := &a.Problem
	for i := range p.Wells {
		p.Wells[i].EnergyPerKWh = nil
		tell("well", p.Wells[i])
	}
	for i := range p.Machines {
		m := &p.Machines[i]
		for z := range m.Zones {
			zone := m.Zones[z]
			zone.TriggerMM, zone.Column = nil, nil
			for e := range zone.Ends {
				zone.Ends[e].Column = nil
			}
			tell("zone", zone)
		}
		for c := range m.Cells {
			tell("machine's cell", m.Cells[c])
		}
		tell("machine", []any{m.ArmDeg, m.FreeAt, m.RunningM3H, m.NoRun, m.NoWater})
	}
	standing, err := s.Standing(at, 10)
	if err != nil {
		t.Fatal(err)
	}
	tell("standing", standing)
	tell("crops", s.CropAhead())
	years, _ := f.Years(s.Today)
	for _, sc := range s.Ensemble(years, 10).Scenarios {
		tell("scenario", sc.Fields)
	}
	tell("calibration", s.Calibrate())
	return pointer.ReplaceAllString(b.String(), "a column") // where a column lies in memory is no fact
}

var pointer = regexp.MustCompile(`0x[0-9a-f]{6,}`)

// On a past morning nothing of a later day changes anything: not weather, rain,
// passes, probes, pipes, cuts, meters or sightings.
func TestNothingOfTheFuture(t *testing.T) {
	m := folder(t, demo)
	// What lies in the demo's past is made to have cuts, and gaps across the mornings.
	m[records.Dir+"/"+records.CutsFile].Data = append(m[records.Dir+"/"+records.CutsFile].Data,
		"2025-06-14,Heron Mint,,,\n2025-06-15,Heron Mint,,,\n2025-06-25,Heron Mint,,,\n"...)
	var weather []string
	for _, row := range strings.SplitAfter(string(m[WeatherFile].Data), "\n") {
		if !strings.HasPrefix(row, "2025-06-13") && !strings.HasPrefix(row, "2025-07-01") {
			weather = append(weather, row)
		}
	}
	m[WeatherFile].Data = []byte(strings.Join(weather, ""))
	for _, now := range []string{"2025-06-14T06:00", "2025-06-15T06:00", "2025-07-02T06:00", "2025-07-03T12:00", "2025-07-16T20:30"} {
		all, part := strings.Split(known(t, m, now), "\n"), strings.Split(known(t, until(m, now), now), "\n")
		if len(all) != len(part) {
			t.Fatalf("%s: %d facts with the future, %d without", now, len(all), len(part))
		}
		for i := range all {
			if all[i] != part[i] {
				n := 0
				for n < min(len(all[i]), len(part[i])) && all[i][n] == part[i][n] {
					n++
				}
				n = max(0, n-60)
				t.Errorf("%s: with the future\n…%.200s\nwithout\n…%.200s", now, all[i][n:], part[i][n:])
				break
			}
		}
	}
}

// A gauge reading of a later date is no forecast; one of this morning counts.
func TestRainOfTheFuture(t *testing.T) {
	f := mustLoad(t, smallFarm(t, "records/rain.csv", "2025-06-04,Round,25,\n", "2025-06-04,Round,25,\n2025-06-08,Round,4,\n2025-06-09,Round,40,\n"))
	s := mustWalk(t, f, date(t, "2025-06-08"), WalkOptions{})
	now := f.StartOfDay(s.Today).Add(6 * time.Hour)
	rain := s.Ahead(now, 3).Problem.Machines[0].Zones[0].RainMM
	if rain[0] != 4 || rain[1] != 0.4*10 || rain[2] != 0 { // the forecast's 10 mm × 40 %
		t.Errorf("expected rain %v; want 4, read today, then 4 by the forecast and none", rain)
	}
	if got := s.DryScenario(nil, 3, f.Outlook.Rule).Fields[0].RainMM; got[0] != 4 || got[1] != 0 {
		t.Errorf("rain of the dry scenario %v; want 4, read today, and none", got)
	}
}
