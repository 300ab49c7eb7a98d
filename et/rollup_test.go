// Hours joined to days: clock changes, missing hours, and real hourly data.

package et_test

import (
	"encoding/csv"
	"fmt"
	"math"
	"os"
	"testing"
	"time"
	_ "time/tzdata" // the test's time zone, wherever it runs

	"github.com/golang-sql/civil"

	"sandwick/et"
)

func location(t *testing.T, name string) *time.Location {
	t.Helper()
	loc, err := time.LoadLocation(name)
	if err != nil {
		t.Fatal(err)
	}
	return loc
}

var plains = et.Site{LatitudeDeg: 42, LongitudeDeg: -85, ElevationM: 250, WindHeightM: 2, KRs: et.KRsInterior}

// clearHours is n hours from start with a plain daily rhythm and a clear sky.
func clearHours(s et.Site, start time.Time, n int) []et.Hour {
	hours := make([]et.Hour, n)
	for i := range hours {
		h := et.MissingHour(start.Add(time.Duration(i) * time.Hour))
		ω := 2 * math.Pi * (float64(h.Start.UTC().Hour()) + s.LongitudeDeg/15 - 15) / 24
		h.TempC, h.TdewC, h.WindMPerS, h.RainMM = 20+7*math.Cos(ω), 9, 2, 0.5
		h.RHPct = et.RelativeHumidity(et.SaturationVapourPressure(9), et.SaturationVapourPressure(h.TempC))
		h.RsMJ = et.ClearSky(s.Hourly(et.FAO56, h).RaMJ, s.ElevationM)
		hours[i] = h
	}
	return hours
}

// The days on which clocks change in the American Midwest have 23 and 25 hours
// (US Energy Policy Act of 2005: second Sunday of March, first of November).
func TestRollUpClockChange(t *testing.T) {
	loc := location(t, "America/Detroit")
	for _, c := range []struct {
		date civil.Date
		want int
	}{
		{civil.Date{Year: 2023, Month: 3, Day: 11}, 24},
		{civil.Date{Year: 2023, Month: 3, Day: 12}, 23},
		{civil.Date{Year: 2023, Month: 11, Day: 5}, 25},
		{civil.Date{Year: 2023, Month: 7, Day: 4}, 24},
	} {
		hours := clearHours(plains, c.date.AddDays(-1).In(loc), 24*4)
		found := false
		for _, d := range plains.RollUp(et.FAO56, loc, hours) {
			if d.Day.Date != c.date {
				continue
			}
			found = true
			if d.Hours != c.want || d.Expected != c.want || d.Reference.HoursSum != c.want {
				t.Errorf("%s: %d of %d hours, %d summed; want %d", c.date, d.Hours, d.Expected, d.Reference.HoursSum, c.want)
			}
			if want := 0.5 * float64(c.want); math.Abs(d.Day.RainMM-want) > 1e-9 {
				t.Errorf("%s: rain %v mm, want %v", c.date, d.Day.RainMM, want)
			}
		}
		if !found {
			t.Errorf("%s is not there", c.date)
		}
	}
}

// What a day lacks, it says; what it cannot do without, it does not invent.
func TestRollUpMissing(t *testing.T) {
	loc := location(t, "America/Detroit")
	date := civil.Date{Year: 2023, Month: 7, Day: 4}
	nan := math.NaN()
	for _, c := range []struct {
		name    string
		spoil   func(hour int, h *et.Hour) (keep bool)
		summed  bool
		noETo   bool
		filled  et.Filled
		missing func(et.Day) bool
	}{
		{name: "whole", spoil: func(int, *et.Hour) bool { return true }, summed: true},
		{name: "two hours gone by night", spoil: func(h int, _ *et.Hour) bool { return h != 1 && h != 2 },
			filled: et.FilledTemperature | et.FilledHumidity | et.FilledWind | et.FilledRain},
		{name: "noon hour gone", spoil: func(h int, _ *et.Hour) bool { return h != 13 },
			filled: et.FilledTemperature | et.FilledHumidity | et.FilledWind | et.FilledRain | et.FilledRadiation},
		{name: "ten hours gone", spoil: func(h int, _ *et.Hour) bool { return h > 9 }, noETo: true,
			filled: et.FilledHumidity | et.FilledWind | et.FilledRain | et.FilledRadiation},
		{name: "no thermometer", spoil: func(_ int, h *et.Hour) bool { h.TempC = nan; return true }, noETo: true},
		{name: "no anemometer", spoil: func(_ int, h *et.Hour) bool { h.WindMPerS = nan; return true }, summed: true,
			filled: et.FilledWind},
		{name: "no humidity", spoil: func(_ int, h *et.Hour) bool { h.TdewC, h.RHPct = nan, nan; return true },
			filled: et.FilledHumidity},
		{name: "dew point only", spoil: func(_ int, h *et.Hour) bool { h.RHPct = nan; return true }, summed: true},
		{name: "relative humidity only", spoil: func(_ int, h *et.Hour) bool { h.TdewC = nan; return true }, summed: true},
		{name: "no radiation by night", spoil: func(h int, x *et.Hour) bool {
			if h < 5 || h > 21 {
				x.RsMJ = nan
			}
			return true
		}, summed: true},
		{name: "no pyranometer", spoil: func(_ int, h *et.Hour) bool { h.RsMJ = nan; return true },
			filled: et.FilledRadiation},
		{name: "no gauge", spoil: func(_ int, h *et.Hour) bool { h.RainMM = nan; return true }, summed: true,
			filled: et.FilledRain},
	} {
		var hours []et.Hour
		for i, h := range clearHours(plains, date.AddDays(-1).In(loc), 48) {
			if i < 24 || c.spoil(i-24, &h) {
				hours = append(hours, h)
			}
		}
		days := plains.RollUp(et.FAO56, loc, hours)
		d := days[len(days)-1]
		if d.Day.Date != date || (d.Reference.HoursSum > 0) != c.summed || d.Reference.Filled != c.filled ||
			math.IsNaN(d.Reference.EToMM) != c.noETo {
			t.Errorf("%s: %d of %d hours, summed %d, ETo %v, filled %v; want summed %v, no ETo %v, filled %v", c.name,
				d.Hours, d.Expected, d.Reference.HoursSum, d.Reference.EToMM, d.Reference.Filled.Names(),
				c.summed, c.noETo, c.filled.Names())
		}
	}
}

// The clouds of the night are those of the evening before; the very first night
// has no evening and says so.
func TestRollUpFirstNight(t *testing.T) {
	loc := location(t, "America/Detroit")
	hours := clearHours(plains, civil.Date{Year: 2023, Month: 7, Day: 4}.In(loc), 48)
	days := plains.RollUp(et.ASCEShort, loc, hours)
	if len(days) != 2 || days[0].Reference.Filled != et.FilledRadiation || days[1].Reference.Filled != 0 {
		t.Errorf("%+v", days)
	}
	// Hours told twice, or out of order, count once; no location is UTC.
	twice := append(append([]et.Hour{}, hours...), hours...)
	again := plains.RollUp(et.ASCEShort, loc, twice)
	if fmt.Sprint(again) != fmt.Sprint(days) {
		t.Errorf("hours told twice change the days: %+v", again)
	}
	if utc := plains.RollUp(et.FAO56, nil, hours); len(utc) != 3 || utc[1].Hours != 24 {
		t.Errorf("in UTC: %+v", utc)
	}
	if none := plains.RollUp(et.FAO56, loc, nil); none != nil {
		t.Errorf("no hours: %+v", none)
	}
}

// One year of real hours, Greensboro NC (NREL TMY3 station 723170, local
// standard time, hour-ending stamps): the sum of hours against the daily
// equation. FAO-56 gives no figure for their agreement; ASCE-EWRI (2005) found
// the two within a few percent over a season (from memory), and the ASCE
// hourly form, whose stomata close by night, nearer to the daily one.
func TestHourlyAgainstDailyTMY3(t *testing.T) {
	f, err := os.Open("../../shared/data/tmy3/723170TYA.CSV")
	if err != nil {
		t.Skip("no TMY3 file beside the checkout: nothing to compare")
	}
	defer f.Close()
	r := csv.NewReader(f)
	r.FieldsPerRecord = -1
	records, err := r.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	station := et.Site{LatitudeDeg: 36.100, LongitudeDeg: -79.950, ElevationM: 273, WindHeightM: 10, KRs: et.KRsInterior}
	loc := time.FixedZone("", -5*3600)
	const ghi, dryBulb, dewPoint, rh, wind = 4, 31, 34, 37, 46
	if h := records[1]; h[ghi] != "GHI (W/m^2)" || h[dryBulb] != "Dry-bulb (C)" || h[dewPoint] != "Dew-point (C)" ||
		h[rh] != "RHum (%)" || h[wind] != "Wspd (m/s)" {
		t.Fatalf("unexpected columns %v", h)
	}
	var hours []et.Hour
	for _, rec := range records[2:] {
		day, err := time.ParseInLocation("01/02/2006", rec[0], loc)
		if err != nil {
			t.Fatal(err)
		}
		var end int
		if _, err := fmt.Sscanf(rec[1], "%d:00", &end); err != nil {
			t.Fatal(err)
		}
		// Months come from different years: put all in one without a leap day.
		h := et.MissingHour(time.Date(2001, day.Month(), day.Day(), end-1, 0, 0, 0, loc))
		h.TempC, h.TdewC, h.RHPct = number(t, rec[dryBulb]), number(t, rec[dewPoint]), number(t, rec[rh])
		h.WindMPerS, h.RsMJ, h.RainMM = number(t, rec[wind]), number(t, rec[ghi])*0.0036, 0
		hours = append(hours, h)
	}
	if len(hours) != 8760 {
		t.Fatalf("%d hours", len(hours))
	}
	for _, c := range []struct {
		m                 et.Method
		yearPct, meanDiff float64 // limits: total of the year in %, mean absolute difference of a day in mm
	}{{et.FAO56, 4, 0.25}, {et.ASCEShort, 1.5, 0.25}, {et.ASCETall, 2, 0.35}} {
		var sum, whole, diff float64
		days := station.RollUp(c.m, loc, hours)
		for i, d := range days {
			if d.Reference.HoursSum != 24 {
				t.Fatalf("%s: %d hours", d.Day.Date, d.Reference.HoursSum)
			}
			if i > 0 && d.Reference.Filled != 0 {
				t.Fatalf("%s: filled %v", d.Day.Date, d.Reference.Filled.Names())
			}
			once := station.Daily(c.m, d.Day).EToMM
			sum += d.Reference.EToMM
			whole += once
			diff += math.Abs(d.Reference.EToMM - once)
		}
		pct, mean := 100*(sum/whole-1), diff/float64(len(days))
		t.Logf("%s: %d days, hours sum to %.0f mm, days to %.0f mm (%+.1f %%), mean absolute difference %.2f mm/day",
			c.m, len(days), sum, whole, pct, mean)
		if len(days) != 365 || math.Abs(pct) > c.yearPct || mean > c.meanDiff {
			t.Errorf("%s: outside %v %% and %v mm", c.m, c.yearPct, c.meanDiff)
		}
	}
}

// Where no sun has told of the clouds, Rs/Rso is assumed within what FAO-56
// p. 75 gives for nights (0.4 to 0.6 humid, 0.7 to 0.8 dry), and marked.
func TestHourlyUnknownSky(t *testing.T) {
	h := et.MissingHour(time.Date(2023, 7, 4, 6, 0, 0, 0, time.UTC)) // 01:00 local
	h.TempC, h.TdewC, h.WindMPerS = 18, 12, 1
	for _, unknown := range []float64{math.NaN(), 0} {
		h.SkyRatio = unknown
		r := plains.Hourly(et.FAO56, h)
		if r.Filled != et.FilledRadiation || r.SkyRatio < 0.6 || r.SkyRatio > 0.7 || r.RsMJ != 0 || math.IsNaN(r.EToMM) {
			t.Errorf("%+v", r)
		}
	}
	h.SkyRatio = 0.9
	if r := plains.Hourly(et.FAO56, h); r.Filled != 0 || r.SkyRatio != 0.9 {
		t.Errorf("%+v", r)
	}
	// By day with the sun up, radiation missing is not invented.
	h.Start = h.Start.Add(11 * time.Hour)
	if r := plains.Hourly(et.FAO56, h); !math.IsNaN(r.EToMM) || r.RaMJ < 3 {
		t.Errorf("%+v", r)
	}
}
