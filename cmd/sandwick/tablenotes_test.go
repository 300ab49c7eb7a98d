// How a pipe is carried on, in words.

package main

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"sandwick/cmd/sandwick/internal/units"
	"sandwick/fields"
	"sandwick/soilwater/watertable"

	"github.com/golang-sql/civil"
)

// Readings every week through 19 September, looked at on 21 September.
func pipe(n int, depth func(day float64) float64, rain func(civil.Date) float64) fields.PipeState {
	last := civil.Date{Year: 2025, Month: 9, Day: 19}
	readings := make([]watertable.Reading, n)
	for i := range readings {
		back := 7 * (n - 1 - i)
		readings[i] = watertable.Reading{Date: last.AddDays(-back), DepthM: depth(float64(-back))}
	}
	p := watertable.New(readings, last.AddDays(2), rain)
	return fields.PipeState{Name: "P1", Readings: n, Carried: p.Carried()}
}

func TestReadAgo(t *testing.T) {
	for read, want := range map[string]string{
		"2025-09-21": "read today", "2025-09-20": "read 1 day ago", "2025-09-01": "read 20 days ago",
		"2025-09-22": "of 22 Sep 2025, later than today", "2026-07-01": "of 1 Jul 2026, later than today",
	} {
		d, err := civil.ParseDate(read)
		if err != nil {
			t.Fatal(err)
		}
		if got := readAgo(d, civil.Date{Year: 2025, Month: 9, Day: 21}); got != want {
			t.Errorf("read on %s: %q; want %q", read, got, want)
		}
	}
}

func TestPipeNote(t *testing.T) {
	fall := func(day float64) float64 { return 2 + 0.01*day }
	for _, c := range []struct {
		name   string
		p      fields.PipeState
		us, si string
	}{
		{"carried", pipe(20, fall, nil),
			"water table from pipe P1, read 2 days ago, falling 0.39 in a day then, give or take 0.00 in, by the recession of 5 readings (r2 1.00); 10-day forecasts on this pipe were off by 0.00 in, no change by 3.94 in: low, slope",
			"water table from pipe P1, read 2 days ago, falling 10.0 mm a day then, give or take 0.0 mm, by the recession of 5 readings (r2 1.00); 10-day forecasts on this pipe were off by 0.0 mm, no change by 100.0 mm: low, slope"},
		{"few", pipe(3, fall, nil), "water table from pipe P1, read 2 days ago, held since, as a recession takes 4 readings within 28 days and since much rain, and it has 3: low, slope", ""},
		{"rain", pipe(20, fall, func(d civil.Date) float64 {
			if d.Day == 20 {
				return 25
			}
			return 0
		}), "water table from pipe P1, read 2 days ago, held since, as 0.59 in or more of rain fell by Sat 20 Sep: low, slope", ""},
		{"rising", pipe(20, func(day float64) float64 { return 2 - 0.01*day }, nil), "water table from pipe P1, read 2 days ago, held since, as it was not falling: low, slope", ""},
		{"poor", pipe(20, func(day float64) float64 { return 2 + 0.2*math.Sin(day*day) }, nil), "water table from pipe P1, read 2 days ago, held since, as its readings follow no even recession (r2 0.01): low, slope", ""},
		{"untried", pipe(8, fall, nil), "water table from pipe P1, read 2 days ago, held since, as this pipe's past allows 3 trial forecasts, and 8 are needed to trust one: low, slope", ""},
		{"no skill", pipe(100, func(day float64) float64 { return 2 + 0.01*math.Mod(day+41+42*30, 42) }, nil), "water table from pipe P1, read 2 days ago, held since, as forecasts would not have beaten no change on this pipe (off by 10.30 in against 9.31 in in 31 trials): low, slope", ""},
	} {
		note := pipeNote(&c.p, civil.Date{Year: 2025, Month: 9, Day: 21}, "low, slope")
		if got := note(units.US); got != c.us {
			t.Errorf("%s: got\n%s\nwant\n%s", c.name, got, c.us)
		}
		if got := note(units.SI); c.si != "" && got != c.si {
			t.Errorf("%s: got\n%s\nwant\n%s", c.name, got, c.si)
		}
	}
}

// A reading that is not trusted is told with what rests on the one before it,
// until readings after it are used.
func TestPipeNoteOfADoubtedReading(t *testing.T) {
	today := civil.Date{Year: 2025, Month: 9, Day: 21}
	read := func(daysAgo int, m float64) watertable.Reading {
		return watertable.Reading{Date: today.AddDays(-daysAgo), DepthM: m}
	}
	note := func(readings ...watertable.Reading) string {
		used, doubts := watertable.Check(readings)
		p := watertable.New(used, today, nil)
		state := fields.PipeState{Name: "P1", Readings: p.Readings(), Doubted: doubts, Carried: p.Carried()}
		return pipeNote(&state, today, "low, slope")(units.US)
	}
	const few = "water table from pipe P1, read %s ago, held since, as a recession takes 4 readings within 28 days and since much rain, and it has %d: low, slope"
	const not = "; the reading of Sat 20 Sep, 13.9 ft, is not trusted, 10.5 ft off in 4 days: what is skipped there rests on the one before; read the pipe again"
	for _, c := range []struct{ got, want string }{
		{note(read(5, 1.03), read(1, 4.24)), fmt.Sprintf(few, "5 days", 1) + not},
		{note(read(5, 1.03), read(1, 4.24), read(0, 1.04)), strings.Replace(fmt.Sprintf(few, "", 2), "read  ago", "read today", 1)},
		{note(read(5, 1.03), read(1, 4.24), read(0, 4.2)), strings.Replace(fmt.Sprintf(few, "", 3), "read  ago", "read today", 1)},
	} {
		if c.got != c.want {
			t.Errorf("got\n%s\nwant\n%s", c.got, c.want)
		}
	}
}
