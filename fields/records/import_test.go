// Files from elsewhere taken over, once and again.

package records

import (
	"context"
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"time"

	"sandwick/et/input"
	"sandwick/pivot"
)

func (w *Writer) take(make func(*Taken) Batch) (Taken, error) {
	var taken Taken
	_, err := w.Record(context.Background(), make(&taken), noon, false)
	return taken, err
}

func TestImportRain(t *testing.T) {
	w := paper(t, RainFile, "date,place,amount_in,note\n2025-06-08,Mint,0.10,by hand\n")
	mapping := input.Mapping{Columns: map[string]string{"date": "Day", "amount_mm": "Total"}, IgnoreOthers: true, Missing: []string{"-9999"}}
	file := "Day;Total;Battery\n2025-06-08;2,5;99\n2025-06-09;12,7;99\n2025-06-10;-9999;98\n2025-06-11;0;98\n"
	bring := func(text string) (Taken, error) {
		return w.take(func(taken *Taken) Batch {
			return w.ImportRain(Import{File: "gauge.csv", Text: strings.NewReader(text), Mapping: mapping, Name: "Mint"}, taken)
		})
	}
	taken, err := bring(file)
	if err != nil || taken.New != 2 || taken.Known != 1 {
		t.Fatalf("got %+v, %v", taken, err)
	}
	want := "date,place,amount_in,note\n2025-06-08,Mint,0.10,by hand\n2025-06-09,Mint,0.5,\n2025-06-11,Mint,0,\n"
	if got := w.get(t, RainFile); got != want {
		t.Errorf("got\n%s", got)
	}
	// The same again changes nothing.
	taken, err = bring(file)
	if err != nil || taken.New != 0 || taken.Known != 3 {
		t.Errorf("got %+v, %v", taken, err)
	}
	// Rows that disagree are told one by one, and nothing is taken over.
	_, err = bring("Day;Total;Battery\n2025-06-08;3;99\n2025-06-09;12,7;99\n2025-06-11;1;99\n2025-06-12;5;99\n")
	said := `gauge.csv:2:12: Total: disagrees with rain.csv: 2025-06-08 at Mint has 2.54 mm there; mend one of them (got "3")
gauge.csv:4:12: Total: disagrees with rain.csv: 2025-06-11 at Mint has 0 mm there; mend one of them (got "1")`
	if err == nil || err.Error() != said {
		t.Errorf("got\n%v", err)
	}
	// Mistakes have the place in the file they come from.
	_, err = bring("Day;Total\n2025-06-13;900\n2025-06-31;1\n")
	said = `gauge.csv:2:12: Total: is out of range; 0 to 400 is accepted (got "900")
gauge.csv:3:1: Day: no such day in the calendar; write it as year-month-day, like 2024-06-09 (got "2025-06-31")`
	if err == nil || err.Error() != said {
		t.Errorf("got\n%v", err)
	}
	if got := w.get(t, RainFile); got != want {
		t.Errorf("got\n%s", got)
	}
}

// Two readings of a day add up; a third in the file's next export is at odds.
func TestImportRainTwoReadingsADay(t *testing.T) {
	w := paper(t)
	bring := func(text string) (Taken, error) {
		return w.take(func(taken *Taken) Batch {
			return w.ImportRain(Import{File: "gauge.csv", Text: strings.NewReader("date,place,amount_mm\n" + text)}, taken)
		})
	}
	for again, want := range []Taken{{New: 2}, {Known: 2}} {
		if taken, err := bring("2025-06-08,Mint,2\n2025-06-08,Mint,2\n"); err != nil || taken.New != want.New || taken.Known != want.Known {
			t.Errorf("%d: got %+v, %v", again, taken, err)
		}
	}
	if _, err := bring("2025-06-08,Mint,2\n2025-06-08,Mint,2\n2025-06-08,Mint,2\n"); err == nil {
		t.Error("a third reading was taken over")
	}
	if _, err := bring("2025-06-09,,2\n"); err == nil || err.Error() != "gauge.csv:2: place: is missing; name the place of the whole file with --place" {
		t.Errorf("got %v", err)
	}
}

func (w *Writer) bringLog(text string) (Taken, error) {
	return w.take(func(taken *Taken) Batch {
		return w.ImportPasses(Import{File: "log.csv", Text: strings.NewReader(text), Name: "Heron"}, LogWords{}, taken)
	})
}

// A log of a run that is known: legs of several settings, a stand, a walk back
// (of a machine that can). Whatever the steps of the log, the legs come out.
func TestImportLogOfAKnownRun(t *testing.T) {
	type leg struct {
		hours, deg float64 // deg > 0 clockwise
		timer      float64
		water      string
	}
	// 20 h for the circle at full timer: 0.18 × timer degrees an hour.
	run := []leg{{10, 90, 50, "yes"}, {5, 90, 100, "no"}, {3, 0, 50, "no"}, {20, 180, 50, "yes"}, {4, -36, 50, "yes"}, {2, 0, 50, "no"}}
	start := time.Date(2025, 6, 10, 11, 0, 0, 0, time.UTC)
	want := "pivot,start,end,from_deg,to_deg,direction,timer_pct,water,note\n" +
		"Heron,2025-06-10T06:00,2025-06-10T16:00,300,30,cw,50,yes,\n" +
		"Heron,2025-06-10T16:00,2025-06-10T21:00,30,120,cw,100,no,\n" +
		"Heron,2025-06-11T00:00,2025-06-11T20:00,120,300,cw,50,yes,\n" +
		"Heron,2025-06-11T20:00,2025-06-12T00:00,300,264,ccw,50,yes,\n"
	for _, step := range []float64{1.0 / 60, 5.0 / 60, 0.25, 1, 0} { // hours; 0: changes alone and every 5 h
		var b strings.Builder
		b.WriteString("time,azimuth_deg,timer_pct,water_on\n")
		h, az := 0.0, 300.0
		write := func(h, az float64, l leg) {
			at := start.Add(hours(h)).Round(time.Second)
			fmt.Fprintf(&b, "%s,%.1f,%g,%s\n", at.Format(time.RFC3339), math.Mod(az+720, 360), l.timer, l.water)
		}
		for _, l := range run {
			by := step
			if by == 0 {
				by = 5
			}
			for part := 0.0; part < l.hours-1e-9; part += by {
				write(h+part, az+l.deg*part/l.hours, l)
			}
			h, az = h+l.hours, az+l.deg
		}
		write(h, az, run[len(run)-1])
		w := paper(t)
		w.Farm.Machines[0].Reversible = true
		taken, err := w.bringLog(b.String())
		if err != nil {
			t.Errorf("step %g h: %v", step, err)
			continue
		}
		if got := w.get(t, PassesFile); !nearlySame(got, want) {
			t.Errorf("step %g h: got\n%s", step, got)
		}
		if len(taken.Notes) > 0 {
			t.Errorf("step %g h: %q", step, taken.Notes)
		}
		text := w.get(t, PassesFile)
		again, err := w.bringLog(b.String())
		if err != nil || again.New != 0 || again.Known != 4 || w.get(t, PassesFile) != text {
			t.Errorf("step %g h, again: %+v, %v", step, again, err)
		}
	}
}

// nearlySame compares rows of passes but for a few minutes and a degree: a log
// cannot tell when, between two of its rows, an arm stopped.
func nearlySame(got, want string) bool {
	a, b := strings.Split(strings.TrimSpace(got), "\n"), strings.Split(strings.TrimSpace(want), "\n")
	if len(a) != len(b) {
		return false
	}
	for i := range a[1:] {
		x, y := strings.Split(a[i+1], ","), strings.Split(b[i+1], ",")
		for c := range y {
			switch c {
			case 1, 2:
				p, err1 := time.Parse("2006-01-02T15:04", x[c])
				q, err2 := time.Parse("2006-01-02T15:04", y[c])
				if err1 != nil || err2 != nil || p.Sub(q).Abs() > 6*time.Minute {
					return false
				}
			case 3, 4:
				p, err1 := input.ParseNumber(x[c])
				q, err2 := input.ParseNumber(y[c])
				if err1 != nil || err2 != nil || math.Abs(p-q) > 1 {
					return false
				}
			default:
				if x[c] != y[c] {
					return false
				}
			}
		}
	}
	return true
}

// A log taken over at random points while it grows gives the same passes as
// one taken over at its end.
func TestImportGrowingLog(t *testing.T) {
	const seed = 3
	rnd := rand.New(rand.NewPCG(seed, 9))
	start := time.Date(2025, 6, 1, 11, 0, 0, 0, time.UTC)
	lines := []string{"time,azimuth_deg,timer_pct,water_on"}
	h, az, timer, water := 0.0, 0.0, 50.0, "yes"
	for range 400 {
		if rnd.IntN(12) == 0 {
			timer, water = float64(20+10*rnd.IntN(8)), []string{"yes", "no"}[rnd.IntN(2)]
		}
		lines = append(lines, fmt.Sprintf("%s,%.1f,%g,%s", start.Add(hours(h)).Format(time.RFC3339), math.Mod(az, 360), timer, water))
		h += 0.5
		az += 0.5 * 0.18 * timer
	}
	whole := paper(t)
	if _, err := whole.bringLog(strings.Join(lines, "\n")); err != nil {
		t.Fatal(err)
	}
	grown := paper(t)
	for n := 1; n < len(lines); n += 1 + rnd.IntN(40) {
		if _, err := grown.bringLog(strings.Join(lines[:n], "\n")); err != nil {
			t.Fatalf("seed %d, %d lines: %v", seed, n, err)
		}
	}
	if _, err := grown.bringLog(strings.Join(lines, "\n")); err != nil {
		t.Fatal(err)
	}
	if a, b := joined(whole.get(t, PassesFile)), joined(grown.get(t, PassesFile)); a != b {
		t.Errorf("at its end\n%s\nas it grew\n%s", a, b)
	}
}

// joined are the rows of passes in order of time, with those put together that
// go on where another ends.
func joined(text string) string {
	rows := strings.Split(strings.TrimSpace(text), "\n")[1:]
	slices.SortFunc(rows, func(a, b string) int { return strings.Compare(a[6:], b[6:]) }) // after "Heron,"
	var out [][]string
	for _, row := range rows {
		c := strings.Split(row, ",")
		if n := len(out); n > 0 && goesOn(out[n-1], c) {
			out[n-1][2], out[n-1][4] = c[2], c[4]
			continue
		}
		out = append(out, c)
	}
	text = ""
	for _, c := range out {
		text += strings.Join(c, ",") + "\n"
	}
	return text
}

// goesOn tells whether a row goes on where another ends, but for a minute or less
// than what a panel tells from standing.
func goesOn(a, b []string) bool {
	end, err1 := time.Parse("2006-01-02T15:04", a[2])
	start, err2 := time.Parse("2006-01-02T15:04", b[1])
	to, err3 := input.ParseNumber(a[4])
	from, err4 := input.ParseNumber(b[3])
	return errors.Join(err1, err2, err3, err4) == nil && start.Sub(end).Abs() <= time.Minute &&
		apart(pivot.Azimuth(to), pivot.Azimuth(from)) <= stillDeg && slices.Equal(a[5:], b[5:])
}

// The logs of three days, one leg or more across either midnight, at a pace that
// is not quite even: in any order the passes are those of the three joined, and
// whatever is taken over again after them changes nothing.
func TestImportLogDayByDay(t *testing.T) {
	for _, step := range []time.Duration{time.Minute, 15 * time.Minute, time.Hour} {
		const head = "time,azimuth_deg,timer_pct,water_on\n"
		var days [3]string
		start := time.Date(2025, 6, 10, 5, 0, 0, 0, time.UTC) // midnight on the farm
		az := 20.0
		for at := start.Add(6 * time.Hour); at.Before(start.Add(70 * time.Hour)); at = at.Add(step) {
			h := at.Sub(start).Hours()
			timer, water, way := 50.0, "yes", 1.0
			switch {
			case h < 9:
				water = "no"
			case h >= 30 && h < 33: // it stands
				way = 0
			case h >= 33:
				timer, way = 80, -1
			}
			days[int(h/24)] += fmt.Sprintf("%s,%.1f,%g,%s\n", at.Format(time.RFC3339), math.Mod(az+7200, 360), timer, water)
			az += way * step.Hours() * 0.18 * timer * (1 + 0.1*math.Sin(h))
		}
		whole := paper(t)
		whole.Farm.Machines[0].Reversible = true
		log := head + days[0] + days[1] + days[2]
		if _, err := whole.bringLog(log); err != nil {
			t.Fatal(err)
		}
		want := joined(whole.get(t, PassesFile))
		if strings.Count(want, "\n") < 3 {
			t.Fatalf("too few legs:\n%s", want)
		}
		same := func(w *Writer, name string) {
			t.Helper()
			before := w.get(t, PassesFile)
			for i, text := range []string{days[0], days[1], days[2], log, days[0] + days[1], days[1] + days[2]} {
				taken, err := w.bringLog(head + strings.TrimPrefix(text, head))
				if err != nil || taken.New != 0 || w.get(t, PassesFile) != before {
					t.Fatalf("every %v, %s, again (%d): %+v, %v\n%s", step, name, i, taken, err, w.get(t, PassesFile))
				}
			}
		}
		same(whole, "joined")
		for _, order := range [][]int{{0, 1, 2}, {0, 2, 1}, {1, 0, 2}, {1, 2, 0}, {2, 0, 1}, {2, 1, 0}} {
			w := paper(t)
			w.Farm.Machines[0].Reversible = true
			for _, d := range order {
				if _, err := w.bringLog(head + days[d]); err != nil {
					t.Fatalf("every %v, order %v, day %d: %v", step, order, d, err)
				}
			}
			if got := joined(w.get(t, PassesFile)); got != want {
				t.Fatalf("every %v, order %v: got\n%s\nwant\n%s", step, order, got, want)
			}
			same(w, fmt.Sprint("order ", order))
		}
	}
}

// A log goes on from what was recorded by hand, or has the part before it, or
// both: the rest is recorded, and it joins.
func TestImportLogGoesOnFromHand(t *testing.T) {
	const header = "pivot,start,end,from_deg,to_deg,direction,timer_pct,water\n"
	hand := "Heron,2025-06-10T06:00,2025-06-10T10:00,0,36,cw,50,yes\n"
	row := func(hour, minute int) string { // 9 degrees an hour
		return fmt.Sprintf("2025-06-10T%02d:%02d,%g,50,yes\n", hour, minute, 9*(float64(hour-6)+float64(minute)/60))
	}
	for _, c := range []struct{ log, want string }{
		{row(8, 0) + row(10, 30) + row(12, 0), "Heron,2025-06-10T10:00,2025-06-10T12:00,36,54,cw,50,yes\n"},
		{row(10, 0) + row(12, 0), "Heron,2025-06-10T10:00,2025-06-10T12:00,36,54,cw,50,yes\n"},
		{row(10, 15) + row(12, 0), "Heron,2025-06-10T10:00,2025-06-10T12:00,36,54,cw,50,yes\n"},
		{"2025-06-10T04:00,342,50,yes\n" + row(7, 0), "Heron,2025-06-10T04:00,2025-06-10T06:00,342,0,cw,50,yes\n"},
		{"2025-06-10T04:00,342,50,yes\n" + row(7, 0) + row(12, 0), "Heron,2025-06-10T04:00,2025-06-10T06:00,342,0,cw,50,yes\nHeron,2025-06-10T10:00,2025-06-10T12:00,36,54,cw,50,yes\n"},
		{row(7, 0) + row(9, 0), ""},
		{row(6, 0) + row(10, 1), ""},
		// The arm stood after what was recorded by hand: nothing between.
		{"2025-06-10T13:00,36,50,yes\n2025-06-10T15:00,54,50,yes\n", "Heron,2025-06-10T13:00,2025-06-10T15:00,36,54,cw,50,yes\n"},
	} {
		w := paper(t, PassesFile, header+hand)
		for range 2 {
			_, err := w.bringLog("time,azimuth_deg,timer_pct,water_on\n" + c.log)
			if got := w.get(t, PassesFile); err != nil || got != header+hand+c.want {
				t.Errorf("%s%v\ngot\n%swant\n%s", c.log, err, got, header+hand+c.want)
			}
		}
	}
	w := paper(t, PassesFile, header+hand)
	_, err := w.bringLog("time,azimuth_deg,timer_pct,water_on\n2025-06-10T08:00,30,50,yes\n2025-06-10T12:00,66,50,yes\n")
	if err == nil || !strings.Contains(err.Error(), "disagrees with line 2 of passes.csv") {
		t.Errorf("12 degrees off: %v", err)
	}
}

// Where the settings change between two logs, the last row of the first tells
// how the arm was set meanwhile. If that log comes first nobody remembers.
func TestImportLogsThatMeetAtAChange(t *testing.T) {
	const head = "time,azimuth_deg,timer_pct,water_on\n"
	day1, day2 := head+"2025-06-10T20:00,0,50,yes\n2025-06-10T23:00,27,50,yes\n", head+"2025-06-11T01:00,45,50,no\n2025-06-11T03:00,63,50,no\n"
	w := paper(t)
	for _, log := range []string{day2, day1} {
		if _, err := w.bringLog(log); err != nil {
			t.Fatal(err)
		}
	}
	want := "Heron,2025-06-10T20:00,2025-06-11T01:00,0,45,cw,50,yes,\nHeron,2025-06-11T01:00,2025-06-11T03:00,45,63,cw,50,no,\n"
	if got := joined(w.get(t, PassesFile)); got != want {
		t.Errorf("got\n%s", got)
	}
	w = paper(t)
	if _, err := w.bringLog(day1); err != nil {
		t.Fatal(err)
	}
	taken, err := w.bringLog(day2)
	said := "between the pass recorded until 2025-06-10T23:00 and the first row of the log, 2025-06-11T01:00, the arm turned 18 degrees, and nothing tells how it was set: record that by hand, or take over a log that has both"
	if err != nil || len(taken.Notes) != 2 || taken.Notes[0] != said {
		t.Errorf("got %q, %v", taken.Notes, err)
	}
	if _, err := w.bringLog(day1 + strings.TrimPrefix(day2, head)); err != nil {
		t.Fatal(err)
	}
	if got := joined(w.get(t, PassesFile)); got != want {
		t.Errorf("got\n%s", got)
	}
}

// Clocks are put back on 2 November 2025 at 02:00: the hour from 01:00 comes
// twice, and a log in local time goes through it twice.
func TestImportLogOverClockChange(t *testing.T) {
	w := paper(t)
	taken, err := w.bringLog(`time,azimuth_deg,timer_pct,water_on
2025-11-02 00:30,0,50,yes
2025-11-02 01:00,4.5,50,yes
2025-11-02 01:30,9,50,yes
2025-11-02 01:00,13.5,50,yes
2025-11-02 01:30,18,50,yes
2025-11-02 02:00,22.5,50,yes
2025-11-02 02:30,22.5,50,no
2025-11-02 04:00,22.5,50,no
`)
	if err != nil || taken.New != 1 {
		t.Fatalf("got %+v, %v", taken, err)
	}
	p := w.records(t).Passes
	if len(p) != 1 || p[0].Hours() != 2.5 || p[0].To != 22.5 {
		t.Errorf("got %+v", p)
	}
}

func TestImportLogRefused(t *testing.T) {
	for _, c := range []struct{ text, want string }{
		{"2025-06-10T06:00,0,50,on\n", `log.csv:2:23: water_on: neither yes nor no; name the log's own words in farm.toml under [imports.passes]: on = [...], off = [...] (got "on")`},
		{"2025-06-10T06:00,0,50,yes\n2025-06-10T06:30,200,50,yes\n2025-06-10T07:00,205,50,yes\n", "log.csv:3: the arm turned 160 degrees in 0.5 hours, faster than Heron can"},
		{"2025-06-10T06:00,0,50,yes\n2025-06-11T06:00,100,50,yes\n", "log.csv:3: 24.0 hours after the row before it the arm is 100 degrees away and may have turned either way; a log with a row at least every 10 hours is accepted"},
		{"2025-06-10T06:00,0,50,yes\n2025-06-10T06:00,10,50,yes\n", "log.csv:3: the arm is at 10 degrees here and at 0 in line 2, at the same time"},
		{"2025-06-10T06:00,400,50,yes\n", `log.csv:2:18: azimuth_deg: is out of range; 0 to 360 is accepted (got "400")`},
		{"10.6.2025 06:00,0,50,yes\n", `log.csv:2:1: time: not a date; write it as year-month-day, like 2024-06-09 (got "10.6.2025 06:00")`},
	} {
		w := paper(t)
		_, err := w.bringLog("time,azimuth_deg,timer_pct,water_on\n" + c.text)
		if err == nil || err.Error() != c.want {
			t.Errorf("got  %v\nwant %s", err, c.want)
		}
	}
	w := paper(t, PassesFile, "pivot,start,end,from_deg,to_deg,timer_pct,water\nHeron,2025-06-10T05:00,2025-06-10T20:00,0,135,50,no\n")
	_, err := w.bringLog("time,azimuth_deg,timer_pct,water_on\n2025-06-10T06:00,9,50,yes\n2025-06-10T08:00,27,50,yes\n2025-06-10T11:00,27,50,no\n")
	want := "log.csv:2: disagrees with line 2 of passes.csv: from the log 2025-06-10T06:00 to 2025-06-10T08:00, 9 to 27 degrees, timer 50 %, water yes; there 2025-06-10T05:00 to 2025-06-10T20:00, 0 to 135, timer 50 %, water no"
	if err == nil || err.Error() != want {
		t.Errorf("got  %v\nwant %s", err, want)
	}
}
