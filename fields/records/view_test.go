// Rows judged by a part of their file, and by all of it.

package records

import (
	"context"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/golang-sql/civil"

	"sandwick/et/input"
	"sandwick/fields/records/journal"
	"sandwick/pivot"
)

// Two people keep the same books, one reading no more of a file than it must, the
// other all of it: what is refused, with which words, and what stands in the files
// in the end is the same, whatever is recorded late, twice, taken back, or written
// by hand in between.
func TestPartAndWholeAgree(t *testing.T) {
	for seed := range uint64(4) {
		rng := rand.New(rand.NewPCG(seed, 11))
		end := []string{"\n", "\r\n"}[seed%2]
		sep := []string{",", ";", "\t"}[seed%3]
		heads := []string{
			RainFile, "date,place,amount_mm,note", PassesFile, "pivot,start,end,from_deg,to_deg,direction,timer_pct,water,note",
			WaterTableFile, "note,date,pipe,depth_m", MetersFile, "date,well,reading,unit,event", CutsFile, "date,field,hay_kg,oil_kg",
		}
		var files []string
		for i := 0; i < len(heads); i += 2 {
			files = append(files, heads[i], strings.ReplaceAll(heads[i+1], ",", sep)+end)
		}
		part, whole := paper(t, files...), paper(t, files...)
		oneWell(part, 200)
		whole.Farm = part.Farm
		part.Farm.Pipes = []string{"P1", "P2"}
		part.least, whole.least = 300, 1<<30
		at := time.Date(2025, 5, 1, 6, 0, 0, 0, part.Farm.Location)
		parted := 0
		for step := range 120 {
			at = at.Add(time.Duration(rng.IntN(14)) * time.Hour)
			when := at
			if rng.IntN(8) == 0 {
				when = when.Add(-time.Duration(rng.IntN(900)) * time.Hour) // late
			}
			file, row := randomEntry(t, rng, when)
			var got, want string
			switch rng.IntN(14) {
			case 0: // by hand, in the middle, the letter case as it comes
				for _, w := range []*Writer{part, whole} {
					text := w.get(t, PassesFile)
					mid := strings.Index(text, end) + len(end)
					line := strings.Join([]string{"HERON", when.Format("2006-01-02T15:04"), "", "0", "90", "cw", "90", "yes", "\"by; hand,\""}, sep)
					w.put(t, PassesFile, text[:mid]+line+end+end+text[mid:])
				}
			case 1:
				got, want = undone(part), undone(whole)
			case 2:
				a, ok := part.Standing().LastRow(file)
				b, ok2 := whole.Standing().LastRow(file)
				got, want = fmt.Sprint(a, ok), fmt.Sprint(b, ok2)
				c, ok := part.Standing().At(file, b.Line-1)
				d, ok2 := whole.Standing().At(file, b.Line-1)
				got, want = got+fmt.Sprint(c, ok), want+fmt.Sprint(d, ok2)
			default:
				if _, ok := journal.ReadPart(part.Dir, Dir+"/"+file); ok {
					parted++
				}
				b := Batch{File: file, What: fmt.Sprint("step ", step), Rows: []Entry{row}}
				r, err := part.Record(context.Background(), b, noon, false)
				s, err2 := whole.Record(context.Background(), b, noon, false)
				got, want = fmt.Sprint(err, r.Keys, r.Notes), fmt.Sprint(err2, s.Keys, s.Notes)
				for _, d := range r.Doubts { // there may be fewer of them
					if !slices.Contains(s.Doubts, d) {
						t.Errorf("seed %d, step %d: doubts\n%v\nwhich all of the file does not\n%v", seed, step, d, s.Doubts)
					}
				}
			}
			if got != want {
				t.Fatalf("seed %d, step %d, %s: by a part\n%s\nby all\n%s\n%s", seed, step, file, got, want, part.get(t, file))
			}
			for _, name := range []string{"Heron", "#2 Plover"} {
				a, _ := part.LastPass(name)
				b, _ := whole.LastPass(name)
				if (a == nil) != (b == nil) || a != nil && *a != *b && !(a.TimerPct != a.TimerPct) {
					t.Fatalf("seed %d, step %d: last pass %+v, by all %+v", seed, step, a, b)
				}
			}
			a, _ := part.LastMeter("Reed")
			b, _ := whole.LastMeter("Reed")
			if (a == nil) != (b == nil) || a != nil && (a.Date != b.Date || a.Pos != b.Pos || a.Unit != b.Unit) {
				t.Fatalf("seed %d, step %d: last reading %+v, by all %+v", seed, step, a, b)
			}
		}
		if parted < 10 {
			t.Errorf("seed %d: %d rows judged by a part of their file", seed, parted)
		}
		for i := 0; i < len(heads); i += 2 {
			if got, want := part.get(t, heads[i]), whole.get(t, heads[i]); got != want {
				t.Errorf("seed %d: %s\n%s\nwant\n%s", seed, heads[i], got, want)
			}
		}
		if t.Failed() {
			return
		}
	}
}

func randomEntry(t *testing.T, rng *rand.Rand, when time.Time) (string, Entry) {
	day := Word(civil.DateOf(when).String())
	switch rng.IntN(6) {
	case 0:
		return RainFile, Entry{"date": day, "place": Word([]string{"Mint", "Beans", "Heron"}[rng.IntN(3)]), "amount": quantity(t, fmt.Sprintf("%d.5mm", rng.IntN(4)), input.Depth)}
	case 1:
		return WaterTableFile, Entry{"date": day, "pipe": Word([]string{"P1", "P2"}[rng.IntN(2)]), "depth": quantity(t, fmt.Sprintf("%d.%dm", 1+2*(rng.IntN(15)/14), rng.IntN(5)), input.Length)}
	case 2:
		return MetersFile, Entry{"date": day, "well": Word("Reed"), "reading": Number(fmt.Sprint(when.Unix() / 100)), "unit": Word([]string{"m3", "gal"}[rng.IntN(2)])}
	case 3:
		return CutsFile, Entry{"date": day, "field": Word([]string{"Mint", "Beans"}[rng.IntN(2)]), "oil": quantity(t, "90.5kg", input.Mass)}
	}
	e := Entry{
		"pivot": Word([]string{"Heron", "#2 Plover"}[rng.IntN(2)]), "start": Word(when.Format("2006-01-02T15:04")), "from": Degrees(0), "to": Degrees(float64(10 * rng.IntN(36))),
		"direction": Word("cw"), "timer": Percent(float64(60 + rng.IntN(40))), "water": Word("yes"),
	}
	if rng.IntN(2) == 0 {
		e["end"] = Word(when.Add(time.Duration(1+rng.IntN(20)) * time.Hour).Format("2006-01-02T15:04"))
	}
	return PassesFile, e
}

// undone takes back what was recorded last and tells what came of it.
func undone(w *Writer) string {
	rows, r, err := w.Undo(context.Background(), noon, "", func(s *Standing) ([]Row, error) {
		rows, _, err := s.Last()
		return rows, err
	}, false)
	return fmt.Sprint(rows, r.Lines, err)
}

// A file that somebody else wrote to since is read whole, and so is one that was
// put back as it was.
func TestPartIsOfAnUntouchedFile(t *testing.T) {
	w := paper(t, RainFile, "date,place,amount_mm\n")
	w.least = 40
	name := Dir + "/" + RainFile
	for day := range 9 {
		w.add(t, RainFile, rainRowOf(t, fmt.Sprintf("2025-06-%02d", 1+day), "Mint", "1mm"))
	}
	part, ok := journal.ReadPart(w.Dir, name)
	if !ok || part.Offset == 0 || !strings.HasPrefix(string(part.Rest), "2025-06-0") || len(part.Rest) > 2*40 {
		t.Fatalf("%v %+v %q", ok, part.Mark, part.Rest)
	}
	path := filepath.Join(w.Dir, name)
	text := w.get(t, RainFile)
	info, err := os.Stat(path)
	if err != nil {
		t.Fatal(err)
	}
	for what, change := range map[string]func() error{
		"a row more": func() error { return os.WriteFile(path, []byte(text+"2025-06-11,Mint,2\n"), 0o666) },
		"as long": func() error {
			return os.WriteFile(path, []byte(strings.Replace(text, "2025-06-02", "2025-06-30", 1)), 0o666)
		},
		"shorter, dated": func() error { return os.WriteFile(path, []byte(text[:len(text)-19]), 0o666) },
		"gone":           func() error { return os.Remove(path) },
	} {
		if err := change(); err != nil {
			t.Fatal(err)
		}
		if what == "shorter, dated" {
			if err := os.Chtimes(path, info.ModTime(), info.ModTime()); err != nil {
				t.Fatal(err)
			}
		}
		if _, ok := journal.ReadPart(w.Dir, name); ok {
			t.Errorf("%s: read by its mark", what)
		}
	}
}

// A line in undone.csv whose row is gone would take back the new one that reads
// alike: it is told, and nothing is recorded that would not count.
func TestRowLikeOneTakenBackAndRemoved(t *testing.T) {
	w := paper(t, RainFile, "date,place,amount_in\n")
	row := rainRowOf(t, "2025-06-10", "Mint", "0.4in")
	w.add(t, RainFile, row)
	if text := undone(w); !strings.Contains(text, "<nil>") {
		t.Fatal(text)
	}
	w.add(t, RainFile, row) // the line is about the first
	if n := len(w.records(t).Rain); n != 1 {
		t.Fatalf("%d readings count, want 1", n)
	}
	w.put(t, RainFile, "date,place,amount_in\n") // both taken out by hand
	_, err := w.Record(context.Background(), Batch{File: RainFile, Rows: []Entry{row}}, noon, false)
	want := "records/undone.csv:2: takes back a row that reads like this one and is not in rain.csv any more; it would take back this one: take that line out first"
	if err == nil || err.Error() != want {
		t.Errorf("got  %v\nwant %s", err, want)
	}
	w.put(t, UndoneFile, "undone,file,row,note\n")
	w.add(t, RainFile, row)
	if n := len(w.records(t).Rain); n != 1 {
		t.Errorf("%d readings count, want 1", n)
	}
}

// What cannot be read is not written.
func TestFileTooLarge(t *testing.T) {
	row := "2025-06-02,Mint,0.15," + strings.Repeat("x", 1000) + "\n"
	w := paper(t, RainFile, "date,place,amount_in,note\n"+strings.Repeat(row, input.MaxFileBytes/len(row)))
	long := rainRowOf(t, "2025-06-10", "Beans", "0.4in")
	long["note"] = Word(strings.Repeat("y", 1100))
	_, err := w.Record(context.Background(), Batch{File: RainFile, Rows: []Entry{long}}, noon, false)
	if err == nil || !strings.Contains(err.Error(), "records/rain.csv: would get larger than the 64 MB that can be read") {
		t.Error(err)
	}
}

// Names in another letter case are names all the same, in ASCII and beyond.
func TestOnlyWith(t *testing.T) {
	text := "a Heron\nHERON\nhéron\nHÉRON x\n\nhern\n\u212Aite\nkite\nKITE\nlast heron"
	lines := strings.SplitAfter(text, "\n")
	for _, c := range []struct {
		names []string
		want  string
	}{
		{[]string{"Heron"}, "0 1 9"},
		{[]string{"Héron"}, "2 3"},
		{[]string{"Kite"}, "6 7 8"},
		{[]string{"\u212Aite"}, "6 7 8"},
		{[]string{"kite", "hern"}, "5 6 7 8"},
		{[]string{"crake"}, ""},
		{nil, ""},
		{[]string{"\"x\""}, "0 1 2 3 4 5 6 7 8 9"},
	} {
		var got []string
		at := 0
		for i, line := range lines {
			for _, l := range onlyWith([]byte(text), c.names, nil) {
				if l[0] == at && l[1] == at+len(line) {
					got = append(got, fmt.Sprint(i))
				}
			}
			at += len(line)
		}
		if strings.Join(got, " ") != c.want {
			t.Errorf("%q: got lines %v, want %s", c.names, got, c.want)
		}
	}
}

// BenchmarkRecord adds a row to files of a week and of many years, everything
// counted that a command does but reading the settings and the map: three writes
// are forced to the disk. The files are the program's own; "by hand" is the first
// row after somebody else wrote to the file, and late a pass of the year before.
func BenchmarkRecord(b *testing.B) {
	for _, rows := range []int{1_000, 100_000, 1_000_000} {
		var text strings.Builder
		text.WriteString("date,place,amount_in,note\n")
		for i := range rows {
			fmt.Fprintf(&text, "%s,%s,0.15,\n", civil.Date{Year: 1990, Month: 1, Day: 1}.AddDays(i/200), []string{"Mint", "Beans"}[i%2])
		}
		rain := func(b *testing.B, w *Writer) { w.add(b, RainFile, rainRowOf(b, "2025-06-10", "Beans", "0.4in")) }
		b.Run(fmt.Sprintf("rain, %d rows", rows), func(b *testing.B) {
			w := paper(b, RainFile, text.String())
			rain(b, w)
			b.ReportAllocs()
			for b.Loop() {
				rain(b, w)
			}
		})
		b.Run(fmt.Sprintf("rain, %d rows, by hand", rows), func(b *testing.B) {
			w := paper(b, RainFile, text.String())
			b.ReportAllocs()
			for b.Loop() {
				b.StopTimer()
				w.put(b, RainFile, text.String())
				b.StartTimer()
				rain(b, w)
			}
		})
		w := paper(b)
		for i := range 200 {
			w.Farm.Machines = append(w.Farm.Machines, &pivot.Machine{Name: fmt.Sprintf("M%03d", i), Well: fmt.Sprintf("W%d", i/2),
				HoursAtFull: 20, TimerMinPct: 10, TimerMaxPct: 100, LengthM: 400, FlowM3H: 180})
		}
		text.Reset()
		text.WriteString(passHeader)
		clock := func(t time.Time) string { return t.Format("2006-01-02T15:04") }
		at := time.Date(1990, 1, 1, 6, 0, 0, 0, time.UTC)
		for i := range rows {
			if i%200 == 0 {
				at = at.Add(48 * time.Hour)
			}
			fmt.Fprintf(&text, "M%03d,%s,%s,0,0,cw,50,yes\n", i%200, clock(at), clock(at.Add(40*time.Hour)))
		}
		pass := func(b *testing.B, at time.Time) {
			w.add(b, PassesFile, Entry{"pivot": Word("M007"), "start": Word(clock(at)), "end": Word(clock(at.Add(time.Hour))),
				"from": Degrees(0), "to": Degrees(18), "timer": Percent(100), "water": Word("yes")})
		}
		for _, what := range []string{"", ", by hand", ", late"} {
			b.Run(fmt.Sprintf("passes, %d rows%s", rows, what), func(b *testing.B) {
				w.put(b, PassesFile, text.String())
				at := at.Add(48 * time.Hour)
				pass(b, at)
				late := at.Add(-150*48*time.Hour - 3*time.Hour)
				b.ReportAllocs()
				for b.Loop() {
					switch at = at.Add(time.Hour); what {
					case ", by hand":
						b.StopTimer()
						w.put(b, PassesFile, text.String())
						b.StartTimer()
						pass(b, at)
					case ", late":
						b.StopTimer()
						w.put(b, PassesFile, text.String())
						pass(b, at)
						b.StartTimer()
						pass(b, late)
					default:
						pass(b, at)
					}
				}
			})
		}
	}
}
