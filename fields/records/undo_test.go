// Rows taken back, recorded by the program or written by hand.

package records

import (
	"context"
	"math/rand/v2"
	"os"
	"sandwick/pivot"
	"strings"
	"testing"
	"time"
)

// undo takes back the last recorded, or the rows of a file whose text has a word.
func (w *Writer) undo(t testing.TB, file, word string) []Row {
	t.Helper()
	rows, _, err := w.Undo(context.Background(), noon, "", func(s *Standing) ([]Row, error) {
		if file == "" {
			rows, _, err := s.Last()
			return rows, err
		}
		for _, r := range s.Rows(file) {
			if strings.Contains(r.Text, word) {
				return []Row{r}, nil
			}
		}
		t.Fatalf("no row with %q in %s", word, file)
		return nil, nil
	}, false)
	if err != nil {
		t.Fatal(err)
	}
	return rows
}

func TestUndoLast(t *testing.T) {
	w := paper(t)
	w.add(t, RainFile, rainRowOf(t, "2025-06-10", "Mint", "0.4in"))
	w.add(t, RainFile, rainRowOf(t, "2025-06-11", "Mint", "1in"), rainRowOf(t, "2025-06-11", "Beans", "1in"))
	text := w.get(t, RainFile)
	if n := len(w.undo(t, "", "")); n != 2 {
		t.Errorf("%d rows taken back, want the two recorded together", n)
	}
	if r := w.records(t).Rain; len(r) != 1 || r[0].MM != 10.16 {
		t.Errorf("left %+v", r)
	}
	w.undo(t, "", "")
	if r := w.records(t).Rain; len(r) != 0 {
		t.Errorf("left %+v", r)
	}
	if now := w.get(t, RainFile); now != text {
		t.Errorf("the file was changed:\n%s", now)
	}
	_, _, err := w.Undo(context.Background(), noon, "", func(s *Standing) ([]Row, error) { r, _, err := s.Last(); return r, err }, false)
	if want := "nothing is known to have been recorded that was not taken back"; err == nil || err.Error() != want {
		t.Errorf("got %v, want %s", err, want)
	}
	const undone = `undone,file,row,note
2025-06-13T12:00,rain.csv,date=2025-06-11; place=Mint; amount_in=1,
2025-06-13T12:00,rain.csv,date=2025-06-11; place=Beans; amount_in=1,
2025-06-13T12:00,rain.csv,date=2025-06-10; place=Mint; amount_in=0.4,
`
	if got := w.get(t, UndoneFile); got != undone {
		t.Errorf("got\n%s", got)
	}
}

// A row written by hand is found by what it says, wherever it moves to.
func TestUndoneRowsAreFoundAgain(t *testing.T) {
	w := paper(t, RainFile, "date,place,amount_in,note\n2025-06-09,Mint,0.10,\n2025-06-10,Mint,0.40,by hand\n2025-06-11,Mint,0.2,\n")
	w.undo(t, RainFile, "by hand")
	for _, text := range []string{
		"date,place,amount_in,note\n2025-06-09,Mint,0.10,\n2025-06-10,Mint,0.40,by hand\n2025-06-11,Mint,0.2,\n",
		"date,place,amount_in,note\n2025-06-11,Mint,0.2,\n2025-06-10,Mint,0.4,by hand\n2025-06-09,Mint,0.10,\n",                    // sorted, zeros gone
		"\xef\xbb\xbfnote;place;date;amount_in\r\n;Mint;2025-06-09;0,1\r\nby hand;Mint;2025-06-10;0,4\r\n;Mint;2025-06-11;0,2\r\n", // columns moved, another program
	} {
		w.put(t, RainFile, text)
		r := w.records(t).Rain
		if len(r) != 2 || r[0].MM != 2.54 || r[1].MM != 5.08 {
			t.Errorf("%q: %+v", text, r)
		}
	}
	// A row that was changed says something else, and counts.
	w.put(t, RainFile, "date,place,amount_in,note\n2025-06-10,Mint,0.45,by hand\n")
	r, problems, doubts := Read(os.DirFS(w.Dir), w.Farm)
	want := `records/undone.csv:2:27: row: no row of rain.csv reads like this; if it was changed it counts again, if it was taken out this line has done its work (got "date=2025-06-10; place=Mint; amount_in=0…")`
	if len(problems) > 0 || len(r.Rain) != 1 || len(doubts) != 1 || doubts[0].Error() != want {
		t.Errorf("got %+v, %v, %v", r.Rain, problems, doubts)
	}
}

// Of rows alike each line takes back one; recording it again puts it back.
func TestUndoOneOfSeveralAlike(t *testing.T) {
	w := paper(t, RainFile, "date,place,amount_in\n2025-06-09,Mint,0.1\n2025-06-09,Mint,0.10\n2025-06-09,Mint,0.1\n")
	for left := 2; left >= 0; left-- {
		w.undo(t, RainFile, "Mint")
		if n := len(w.records(t).Rain); n != left {
			t.Fatalf("%d rows count, want %d", n, left)
		}
	}
	w.add(t, RainFile, rainRowOf(t, "2025-06-09", "Mint", "0.1in"))
	if n := len(w.records(t).Rain); n != 1 {
		t.Errorf("%d rows count, want 1", n)
	}
}

// A pass taken back no longer stands in the way of the one that was meant.
func TestUndonePassGivesWay(t *testing.T) {
	w := paper(t, PassesFile, "pivot,start,end,from_deg,to_deg,timer_pct,water\nHeron,2025-06-10T06:00,2025-06-11T22:00,0,0,50,yes\n")
	again := Entry{"pivot": Word("Heron"), "start": Word("2025-06-10T07:00"), "from": Degrees(0), "to": Degrees(0), "timer": Percent(50), "water": Word("yes")}
	if _, err := w.Record(context.Background(), Batch{File: PassesFile, Rows: []Entry{again}}, noon, false); err == nil {
		t.Fatal("recorded over another pass")
	}
	w.undo(t, PassesFile, "Heron")
	w.add(t, PassesFile, again)
	if p := w.records(t).Passes; len(p) != 1 || p[0].Start.Hour() != 7 {
		t.Errorf("got %+v", p)
	}
}

func TestUndoneIsChecked(t *testing.T) {
	w := paper(t, UndoneFile, "undone,file,row\n2025-06-13T12:00,rian.csv,date=2025-06-09\n,rain.csv,x\n")
	_, problems, _ := Read(os.DirFS(w.Dir), w.Farm)
	want := `records/undone.csv:2:18: file: no file of records has this name; nearest known is rain.csv (got "rian.csv")
records/undone.csv:3:1: undone: empty; every row needs it`
	if problems.Error() != want {
		t.Errorf("got\n%v", problems)
	}
}

// What was recorded last and has been edited since is not guessed at.
func TestUndoLastAfterEdit(t *testing.T) {
	w := paper(t)
	w.add(t, RainFile, rainRowOf(t, "2025-06-10", "Mint", "0.4in"))
	w.put(t, RainFile, strings.Replace(w.get(t, RainFile), "0.4", "0.5", 1))
	_, _, err := w.Undo(context.Background(), noon, "", func(s *Standing) ([]Row, error) { r, _, err := s.Last(); return r, err }, false)
	if want := "what was recorded last, a row, no longer stands in records/rain.csv as it was recorded"; err == nil || err.Error() != want {
		t.Errorf("got %v, want %s", err, want)
	}
}

// Records and undos in any order: what counts is what was recorded less what
// was taken back.
func TestUndoAtRandom(t *testing.T) {
	const seed = 7
	rnd := rand.New(rand.NewPCG(seed, seed))
	w := paper(t)
	var want []float64 // mm, in order of recording
	for step := range 120 {
		if len(want) > 0 && rnd.IntN(3) == 0 {
			w.undo(t, "", "")
			want = want[:len(want)-1]
		} else {
			amount := []string{"0.1in", "0.2in", "0.3in"}[rnd.IntN(3)]
			w.add(t, RainFile, rainRowOf(t, "2025-06-10", "Mint", amount))
			want = append(want, float64(amount[2]-'0')*2.54)
		}
		// The journal remembers so many deeds; none of these runs is longer.
		sum, got := 0.0, 0.0
		for _, mm := range want {
			sum += mm
		}
		for _, r := range w.records(t).Rain {
			got += r.MM
		}
		if diff := sum - got; diff > 1e-9 || diff < -1e-9 {
			t.Fatalf("seed %d, step %d: %v mm count, want %v", seed, step, got, sum)
		}
		if len(want) > 20 {
			for range 10 {
				w.undo(t, "", "")
				want = want[:len(want)-1]
			}
		}
	}
}

// Clocks are put forward on 9 March and back on 2 November 2025 in the farm's
// zone (US rule, 15 U.S.C. 260a: second Sunday in March, first in November).
func TestClockAcrossChanges(t *testing.T) {
	w := paper(t)
	loc := w.Farm.Location
	for utc, want := range map[string]string{
		"2025-06-13T17:00:00Z": "2025-06-13T12:00",
		"2025-11-02T05:30:00Z": "2025-11-02T00:30",
		"2025-11-02T06:30:00Z": "2025-11-02T01:30-05:00", // comes twice
		"2025-11-02T07:30:00Z": "2025-11-02T01:30-06:00",
		"2025-11-02T08:30:00Z": "2025-11-02T02:30",
		"2025-03-09T07:59:00Z": "2025-03-09T01:59",
		"2025-03-09T08:00:00Z": "2025-03-09T03:00",
	} {
		at, err := time.Parse(time.RFC3339, utc)
		if err != nil {
			t.Fatal(err)
		}
		if got := Clock(at, loc); got != want {
			t.Errorf("%s: got %s, want %s", utc, got, want)
		}
	}
}

// A pass of 10 hours over each change is 10 hours when it is read back.
func TestPassOverClockChange(t *testing.T) {
	for _, start := range []string{"2025-03-09T04:00:00Z", "2025-11-02T04:00:00Z", "2025-11-02T06:15:00Z", "2025-11-02T07:15:00Z"} {
		w := paper(t)
		w.Farm.Start.Year = 2024
		at, err := time.Parse(time.RFC3339, start)
		if err != nil {
			t.Fatal(err)
		}
		// 20 h for the circle at full timer: 90 degrees at 50 % are 10 h.
		trip := Trip{Machine: w.Farm.Machines[0], Location: w.Farm.Location, Start: at, Clockwise: true,
			Legs: []Leg{{To: 90, TimerPct: 50, Water: true}, {To: 135, TimerPct: 50}}}
		s, err := trip.Stretches()
		if err != nil {
			t.Fatal(err)
		}
		w.add(t, PassesFile, trip.Entries(s)...)
		p := w.records(t).Passes
		if len(p) != 2 || !p[0].Start.Equal(at) || p[0].Hours() != 10 || !p[1].Start.Equal(at.Add(10*time.Hour)) || p[1].Hours() != 5 {
			t.Errorf("%s: read back as %+v from\n%s", start, p, w.get(t, PassesFile))
		}
	}
}

func TestStretches(t *testing.T) {
	w := paper(t)
	m := w.Farm.Machines[1] // 20 h for the circle at full timer
	start := time.Date(2025, 6, 10, 11, 0, 0, 0, time.UTC)
	at := func(h float64) time.Time { return start.Add(hours(h)) }
	for _, c := range []struct {
		what string
		trip Trip
		want []Stretch
	}{
		{"a circle", Trip{Legs: []Leg{{To: 90, TimerPct: 50, Water: true}}}, []Stretch{{at(0), time.Time{}, 90, 90, 50, true}}},
		{"three legs", Trip{Clockwise: true, Legs: []Leg{{To: 180, TimerPct: 50, Water: true}, {To: 270, TimerPct: 100}, {To: 90, TimerPct: 50, Water: true}}}, []Stretch{
			{at(0), at(10), 90, 180, 50, true}, {at(10), at(15), 180, 270, 100, false}, {at(15), at(35), 270, 90, 50, true}}},
		{"a stand in a leg", Trip{Clockwise: true, Legs: []Leg{{To: 180, TimerPct: 50, Water: true}}, Stands: []Stand{{From: at(-3), To: at(-1)}, {From: at(4), To: at(6)}, {From: at(50), To: at(51)}}}, []Stretch{
			{at(0), at(4), 90, 126, 50, true}, {at(6), at(12), 126, 180, 50, true}}},
		{"a stand at the start", Trip{Legs: []Leg{{To: 0, TimerPct: 50, Water: true}}, Stands: []Stand{{From: at(-1), To: at(2)}}}, []Stretch{
			{at(2), time.Time{}, 90, 0, 50, true}}},
		{"a well shut off stops water only", Trip{Clockwise: true, Legs: []Leg{{To: 180, TimerPct: 50}, {To: 270, TimerPct: 50, Water: true}}, Stands: []Stand{{From: at(4), To: at(12), WetOnly: true}}}, []Stretch{
			{at(0), at(10), 90, 180, 50, false}, {at(12), at(22), 180, 270, 50, true}}},
		{"stopped after a stand", Trip{Clockwise: true, Legs: []Leg{{To: 153, TimerPct: 50, Water: true}}, End: at(9), Stands: []Stand{{From: at(4), To: at(6)}}}, []Stretch{
			{at(0), at(4), 90, 126, 50, true}, {at(6), at(9), 126, 153, 50, true}}},
		{"ended standing", Trip{Clockwise: true, Legs: []Leg{{To: 126, TimerPct: 50, Water: true}}, End: at(5), Stands: []Stand{{From: at(4), To: at(6)}}}, []Stretch{
			{at(0), at(4), 90, 126, 50, true}}},
		{"legs by the clock", Trip{Clockwise: true, Legs: []Leg{{To: 120, TimerPct: nan, Water: true, Until: at(3)}, {To: 200, TimerPct: nan, Water: true}}, End: at(9)}, []Stretch{
			{at(0), at(3), 90, 120, nan, true}, {at(3), at(9), 120, 200, nan, true}}},
	} {
		c.trip.Machine, c.trip.Location, c.trip.Start, c.trip.From = m, w.Farm.Location, start, 90
		got, err := c.trip.Stretches()
		if err != nil || len(got) != len(c.want) {
			t.Errorf("%s: got %+v, %v", c.what, got, err)
			continue
		}
		for i := range got {
			g, want := got[i], c.want[i]
			sameTimer := g.TimerPct == want.TimerPct || g.TimerPct != g.TimerPct && want.TimerPct != want.TimerPct
			if !g.Start.Equal(want.Start) || !g.End.Equal(want.End) || tenth(g.From) != tenth(want.From) || tenth(g.To) != tenth(want.To) || !sameTimer || g.Water != want.Water {
				t.Errorf("%s: row %d is %+v, want %+v", c.what, i, g, want)
			}
		}
	}
	for h, want := range map[float64]pivot.Azimuth{3: 117, 5: 126, 8: 144, 40: 180} { // 9 degrees an hour, still from 4 to 6
		t0 := Trip{Machine: m, Start: start, From: 90, Clockwise: true, Legs: []Leg{{To: 180, TimerPct: 50, Water: true}}, Stands: []Stand{{From: at(4), To: at(6)}}}
		if got := t0.ArmAt(at(h)); tenth(got) != tenth(want) {
			t.Errorf("after %g hours at %g degrees, want %g", h, float64(got), float64(want))
		}
	}
	t1 := Trip{Machine: m, From: 90, Clockwise: true, Legs: []Leg{{To: 180, TimerPct: 50}, {To: 90, TimerPct: 50}}}
	if !t1.StopAt(200) || len(t1.Legs) != 2 || t1.Legs[1].To != 200 {
		t.Errorf("stopped at 200: %+v", t1.Legs)
	}
	if !t1.StopAt(100) || len(t1.Legs) != 1 || t1.Legs[0].To != 100 {
		t.Errorf("stopped at 100: %+v", t1.Legs)
	}
	if t1.StopAt(120) {
		t.Error("stopped where it does not come")
	}
}
