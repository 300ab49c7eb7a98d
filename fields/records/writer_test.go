// Rows added to files as people and spreadsheets leave them.

package records

import (
	"context"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/golang-sql/civil"

	"sandwick/et/input"
	"sandwick/pivot"
)

// paper is a farm folder with the record files given as name, text.
func paper(t testing.TB, files ...string) *Writer {
	t.Helper()
	loc, err := time.LoadLocation("America/Chicago")
	if err != nil {
		t.Fatal(err)
	}
	w := &Writer{Dir: t.TempDir(), US: true, Farm: &Farm{
		Location: loc, Start: civil.Date{Year: 2025, Month: 5, Day: 1},
		Wells: []string{"Reed"}, Fields: []string{"Mint", "Beans"}, Zones: []string{"Ridge"}, Pipes: []string{"P1"},
		Machines: []*pivot.Machine{
			{Name: "Heron", HoursAtFull: 20, TimerMinPct: 10, TimerMaxPct: 100, Efficiency: 0.85, LengthM: 400, FlowM3H: 180, MaxGrossMM: math.Inf(1), MaxLegs: 8},
			{Name: "#2 Plover", HoursAtFull: 20, TimerMinPct: 10, TimerMaxPct: 100, Efficiency: 0.85, LengthM: 400, FlowM3H: 180, MaxGrossMM: math.Inf(1), MaxLegs: 8, Reversible: true},
		},
	}}
	for i := 0; i < len(files); i += 2 {
		w.put(t, files[i], files[i+1])
	}
	return w
}

func (w *Writer) put(t testing.TB, file, text string) {
	t.Helper()
	path := filepath.Join(w.Dir, Dir, file)
	if err := os.MkdirAll(filepath.Dir(path), 0o777); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(path, []byte(text), 0o666); err != nil {
		t.Fatal(err)
	}
}

func (w *Writer) get(t testing.TB, file string) string {
	t.Helper()
	text, err := os.ReadFile(filepath.Join(w.Dir, Dir, file))
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}

var nan = math.NaN()

var noon = time.Date(2025, 6, 13, 17, 0, 0, 0, time.UTC)

func (w *Writer) add(t testing.TB, file string, rows ...Entry) Receipt {
	t.Helper()
	r, err := w.Record(context.Background(), Batch{File: file, What: "a row", Rows: rows}, noon, false)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// records reads the folder back; it must be sound.
func (w *Writer) records(t testing.TB) Records {
	t.Helper()
	r, problems, _ := Read(os.DirFS(w.Dir), w.Farm)
	if len(problems) > 0 {
		t.Fatalf("the files should be sound:\n%v", problems)
	}
	return r
}

func quantity(t testing.TB, text string, d input.Dimension) Value {
	t.Helper()
	q, err := input.ParseQuantity(text, d)
	if err != nil {
		t.Fatal(err)
	}
	return Amount(q)
}

func rainRowOf(t testing.TB, date, place, amount string) Entry {
	return Entry{"date": Word(date), "place": Word(place), "amount": quantity(t, amount, input.Depth)}
}

func TestRowsInTheFilesOwnLayout(t *testing.T) {
	for _, c := range []struct{ what, text, want string }{
		{"no file", "", "date,place,amount_in,note\n2025-06-10,Mint,0.4,\n"},
		{"a header alone", "date,place,amount_in,note\n", "date,place,amount_in,note\n2025-06-10,Mint,0.4,\n"},
		{"no line end", "date,place,amount_in\n2025-06-09,Mint,0.1", "date,place,amount_in\n2025-06-09,Mint,0.1\n2025-06-10,Mint,0.4\n"},
		{"another order and unit", "amount_mm,note,place,date\n2,,Mint,2025-06-09\n", "amount_mm,note,place,date\n2,,Mint,2025-06-09\n10.16,,Mint,2025-06-10\n"},
		{"semicolons and decimal commas", "date;place;amount_mm\n2025-06-09;Mint;2,5\n", "date;place;amount_mm\n2025-06-09;Mint;2,5\n2025-06-10;Mint;10,16\n"},
		{"semicolons and points", "date;place;amount_mm\n2025-06-09;Mint;2.5\n", "date;place;amount_mm\n2025-06-09;Mint;2.5\n2025-06-10;Mint;10.16\n"},
		{"tabs", "date\tplace\tamount_mm\n", "date\tplace\tamount_mm\n2025-06-10\tMint\t10.16\n"},
		{"a byte order mark and CRLF", "\xef\xbb\xbfdate,place,amount_in\r\n2025-06-09,Mint,0.1\r\n", "\xef\xbb\xbfdate,place,amount_in\r\n2025-06-09,Mint,0.1\r\n2025-06-10,Mint,0.4\r\n"},
		{"CR alone", "date,place,amount_in\r2025-06-09,Mint,0.1\r", "date,place,amount_in\r2025-06-09,Mint,0.1\r2025-06-10,Mint,0.4\r"},
		{"trailing commas, blank lines, remarks", "# gauges\n\ndate,place,amount_in,,\n2025-06-09,Mint,0.1,,\n\n", "# gauges\n\ndate,place,amount_in,,\n2025-06-09,Mint,0.1,,\n\n2025-06-10,Mint,0.4,,\n"},
		{"capitals", "Date,Place,Amount_in\n", "Date,Place,Amount_in\n2025-06-10,Mint,0.4\n"},
	} {
		w := paper(t, RainFile, c.text)
		if c.text == "" {
			if err := os.RemoveAll(filepath.Join(w.Dir, Dir)); err != nil {
				t.Fatal(err)
			}
		}
		w.add(t, RainFile, rainRowOf(t, "2025-06-10", "Mint", "0.4in"))
		if got := w.get(t, RainFile); got != c.want {
			t.Errorf("%s: got\n%q, want\n%q", c.what, got, c.want)
		}
		r := w.records(t).Rain
		if last := r[len(r)-1]; math.Abs(last.MM-10.16) > 1e-9 { // 0.4 × 25.4
			t.Errorf("%s: read back as %v mm", c.what, last.MM)
		}
	}
}

// A reading for which the file has no column gets one; all else stays.
func TestNewColumn(t *testing.T) {
	for _, c := range []struct{ text, want string }{
		{
			"date,zone,top_ft,bottom_ft,available_pct,note\n2025-06-06,Ridge,0,2.0,89,\"dry, they say\"\n2025-06-07,Ridge,0,2.0,80\n\n",
			"date,zone,top_ft,bottom_ft,available_pct,note,suction_kpa\n2025-06-06,Ridge,0,2.0,89,\"dry, they say\",\n2025-06-07,Ridge,0,2.0,80,,\n\n2025-06-10,Ridge,0,1,,,25\n",
		}, {
			"\xef\xbb\xbf# probes\r\ndate;zone;top_m;bottom_m;water_pct;;\r\n2025-06-06;Ridge;0;0,5;8,5;;\r\n2025-06-06;Ridge;0;0,5;\"8,5\"",
			"\xef\xbb\xbf# probes\r\ndate;zone;top_m;bottom_m;water_pct;suction_kpa\r\n2025-06-06;Ridge;0;0,5;8,5;;\r\n2025-06-06;Ridge;0;0,5;\"8,5\";\r\n2025-06-10;Ridge;0;0,3048;;25\r\n",
		},
	} {
		w := paper(t, ProbesFile, c.text)
		r := w.add(t, ProbesFile, Entry{"date": Word("2025-06-10"), "zone": Word("Ridge"), "top": quantity(t, "0ft", input.Length),
			"bottom": quantity(t, "1ft", input.Length), "suction": quantity(t, "25kPa", input.Pressure)})
		if got := w.get(t, ProbesFile); got != c.want {
			t.Errorf("got\n%q, want\n%q", got, c.want)
		}
		if len(r.Notes) != 1 || r.Notes[0] != "records/probes.csv gets a new column, suction_kpa" {
			t.Errorf("notes %q", r.Notes)
		}
		if n := len(w.records(t).Probes); n != 3 {
			t.Errorf("%d probes", n)
		}
	}
}

// A name that begins like a remark, and words with everything in them.
func TestAwkwardText(t *testing.T) {
	w := paper(t)
	trip := Trip{Machine: w.Farm.Machines[1], Location: w.Farm.Location, Start: noon, Clockwise: true,
		Legs: []Leg{{To: 90, TimerPct: 42, Water: true}}, Note: "a \"quick\" stop, then\non; =1+1"}
	s, err := trip.Stretches()
	if err != nil {
		t.Fatal(err)
	}
	w.add(t, PassesFile, trip.Entries(s)...)
	p := w.records(t).Passes
	if len(p) != 1 || p[0].Pivot != "#2 Plover" || p[0].Note != "a \"quick\" stop, then on; =1+1" {
		t.Errorf("got %+v of\n%s", p, w.get(t, PassesFile))
	}
}

// What the readers would refuse is refused, in their words, and nothing is written.
func TestRefused(t *testing.T) {
	pass := func(start, end string) Entry {
		return Entry{"pivot": Word("Heron"), "start": Word(start), "end": Word(end), "from": Degrees(0), "to": Degrees(0), "timer": Percent(50), "water": Word("yes")}
	}
	for _, c := range []struct {
		file string
		rows []Entry
		want string
	}{
		{RainFile, []Entry{rainRowOf(t, "2025-06-10", "Mimt", "0.4in")}, `place: no field or pivot has this name; nearest known is Mint (got "Mimt")`},
		{RainFile, []Entry{rainRowOf(t, "2025-06-10", "Mint", "40in")}, `amount_in: is out of range; 0 to 15.75 is accepted (got "40")`},
		{RainFile, []Entry{rainRowOf(t, "2025-06-10", "Mint", "1in"), rainRowOf(t, "2025-06-31", "Mint", "1in")}, `date: no such day in the calendar; write it as year-month-day, like 2024-06-09 (got "2025-06-31")`},
		{PassesFile, []Entry{pass("2025-06-11T06:00", "2025-06-12T22:00")}, `start: begins before the pass of line 2 ends, 2025-06-11T22:00; passes of one machine may not overlap (got "2025-06-11T06:00")`},
		// The row that is refused is not the one complained of: it comes before it.
		{PassesFile, []Entry{pass("2025-06-09T06:00", "2025-06-10T22:00")}, `records/passes.csv:2:7: start: begins before the pass of line 3 ends, 2025-06-10T22:00; passes of one machine may not overlap (got "2025-06-10T06:00")`},
		{WaterTableFile, []Entry{{"date": Word("2025-06-10"), "pipe": Word("P1"), "depth": quantity(t, "3ft", input.Length)}}, `date: pipe P1 has another reading of this day in line 2; keep one (got "2025-06-10")`},
		{CutsFile, []Entry{{"date": Word("2025-06-10"), "field": Word("Mint")}}, `date: field Mint has another cut on this day in line 2; keep one (got "2025-06-10")`},
	} {
		w := paper(t, RainFile, "date,place,amount_in\n",
			PassesFile, "pivot,start,end,from_deg,to_deg,timer_pct,water\nHeron,2025-06-10T06:00,2025-06-11T22:00,0,0,50,yes\n",
			WaterTableFile, "date,pipe,depth_m\n2025-06-10,P1,1\n", CutsFile, "date,field\n2025-06-10,Mint\n")
		before := w.get(t, c.file)
		_, err := w.Record(context.Background(), Batch{File: c.file, Rows: c.rows}, noon, false)
		if err == nil || err.Error() != c.want {
			t.Errorf("got  %v\nwant %s", err, c.want)
		}
		if now := w.get(t, c.file); now != before {
			t.Errorf("%s was changed:\n%s", c.file, now)
		}
	}
}

// A mistake elsewhere in the file is not the new row's.
func TestOldMistakesDoNotHinder(t *testing.T) {
	w := paper(t, RainFile, "date,place,amount_in\n2025-06-09,Nowhere,0.1\n")
	w.add(t, RainFile, rainRowOf(t, "2025-06-10", "Mint", "0.4in"))
	if got := w.get(t, RainFile); !strings.HasSuffix(got, "2025-06-10,Mint,0.4\n") {
		t.Error(got)
	}
	// But a header that cannot be understood is.
	w.put(t, RainFile, "date,place,amount\n")
	_, err := w.Record(context.Background(), Batch{File: RainFile, Rows: []Entry{rainRowOf(t, "2025-06-10", "Mint", "0.4in")}}, noon, false)
	want := "records/rain.csv:1:12: amount: a column's name carries its unit; give amount_mm or amount_in"
	if err == nil || err.Error() != want {
		t.Errorf("got  %v\nwant %s", err, want)
	}
}

func TestDoubts(t *testing.T) {
	w := paper(t, RainFile, "date,place,amount_in\n2025-06-10,Mint,0.4\n")
	r := w.add(t, RainFile, rainRowOf(t, "2025-06-10", "Mint", "0.4in"))
	want := `amount_in: is the same reading as line 2; both are counted (got "0.4")`
	if len(r.Doubts) != 1 || r.Doubts[0].Error() != want {
		t.Errorf("got %v, want %s", r.Doubts, want)
	}
}

func TestDryRunWritesNothing(t *testing.T) {
	w := paper(t)
	r, err := w.Record(context.Background(), Batch{File: RainFile, Rows: []Entry{rainRowOf(t, "2025-06-10", "Mint", "0.4in")}}, noon, true)
	if err != nil || len(r.Lines) != 1 || r.Lines[0] != "2025-06-10,Mint,0.4," {
		t.Errorf("got %+v, %v", r, err)
	}
	if left, err := os.ReadDir(w.Dir); err != nil || len(left) > 0 {
		t.Errorf("left %v, %v", left, err)
	}
}

// Beyond a megabyte only the rows of the same name are looked at; the outcome
// is the same.
func TestLargeFile(t *testing.T) {
	var b strings.Builder
	b.WriteString("pivot,start,end,from_deg,to_deg,direction,timer_pct,water,note\n")
	day := civil.Date{Year: 1990, Month: 1, Day: 1}
	lines := 1
	for ; b.Len() < 2*2*leastBytes; lines++ {
		fmt.Fprintf(&b, "#2 Plover,%vT06:00,%vT22:00,0,0,cw,100,yes,\n", day, day)
		day = day.AddDays(1)
		if lines%1000 == 0 {
			fmt.Fprintf(&b, "Heron,%vT06:00,%vT22:00,0,0,cw,100,yes,\n", day, day)
			lines++
		}
		if day.Year > 2150 {
			day.Year = 1990
		}
	}
	text := strings.ReplaceAll(b.String(), "#2 Plover,", "\"#2 Plover\",")
	w := paper(t, PassesFile, text+"Heron,2025-06-12T06:00,2025-06-13T02:00,0,0,cw,100,yes,\n")
	late := Entry{"pivot": Word("Heron"), "start": Word("2025-06-12T20:00"), "from": Degrees(0), "to": Degrees(0), "direction": Word("cw"), "timer": Percent(100), "water": Word("yes")}
	_, err := w.Record(context.Background(), Batch{File: PassesFile, Rows: []Entry{late}}, noon, false)
	want := fmt.Sprintf(`start: begins before the pass of line %d ends, 2025-06-13T02:00; passes of one machine may not overlap (got "2025-06-12T20:00")`, lines+1)
	if err == nil || err.Error() != want {
		t.Errorf("got  %v\nwant %s", err, want)
	}
	late["start"] = Word("2025-06-13T02:00")
	w.add(t, PassesFile, late)
	if got := w.get(t, PassesFile); !strings.HasSuffix(got, "yes,\nHeron,2025-06-13T02:00,,0,0,cw,100,yes,\n") {
		t.Error(got[len(got)-200:])
	}
}
