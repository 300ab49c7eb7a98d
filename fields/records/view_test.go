// Rows judged by a part of their file, and by all of it.

package records

import (
	"context"
	"fmt"
	"maps"
	"math/rand/v2"
	"os"
	"path/filepath"
	"regexp"
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
	const seeds = 4
	parted := 0
	for seed := range uint64(seeds) {
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
		part.least, whole.least = 200, 1<<30
		at := time.Date(2025, 5, 1, 6, 0, 0, 0, part.Farm.Location)
		for step := range 160 {
			at = at.Add(time.Duration(rng.IntN(14)) * time.Hour)
			when := at
			if rng.IntN(8) == 0 {
				when = when.Add(-time.Duration(rng.IntN(900)) * time.Hour) // late
			}
			file, row := randomEntry(t, rng, when)
			var got, want string
			switch rng.IntN(14) {
			case 0: // by hand, in the middle, the letter case as it comes
				line := strings.Join([]string{"HERON", when.Format("2006-01-02T15:04"), "", "0", "90", "cw", "90", "yes", "\"by; hand,\""}, sep)
				for _, w := range []*Writer{part, whole} {
					text := w.get(t, PassesFile)
					mid := strings.Index(text, end) + len(end)
					w.put(t, PassesFile, text[:mid]+line+end+end+text[mid:])
				}
			case 3, 4, 5:
				text := byHand(rng, part.get(t, file), end, sep)
				part.put(t, file, text)
				whole.put(t, file, text)
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
				if v, err := part.view(must(bookOf(file)), []Entry{row}, false); err == nil && v.whole == nil {
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
		for i := 0; i < len(heads); i += 2 {
			if got, want := part.get(t, heads[i]), whole.get(t, heads[i]); got != want {
				t.Errorf("seed %d: %s\n%s\nwant\n%s", seed, heads[i], got, want)
			}
		}
		if t.Failed() {
			return
		}
	}
	if parted < 10*seeds {
		t.Errorf("%d rows judged by a part of their file", parted)
	}
}

// byHand changes a file, which has a header, as people and spreadsheets do.
func byHand(rng *rand.Rand, text, end, sep string) string {
	lines := strings.SplitAfter(text, "\n")
	rows := lines[1:]
	if len(rows) < 3 {
		return text
	}
	i := rng.IntN(len(rows) - 1) // the last is empty, or not ended
	cells := strings.Split(strings.TrimRight(rows[i], "\r\n"), sep)
	switch rng.IntN(11) {
	case 0:
		rows[i] = ""
	case 1:
		rows[i] += rows[i]
	case 2:
		rows[i] = end + "# seen by nobody" + sep + sep + end + rows[i]
	case 3: // every cell in quotes
		if !strings.Contains(rows[i], `"`) {
			rows[i] = `"` + strings.Join(cells, `"`+sep+`"`) + `"` + end
		}
	case 4: // dates the other way
		rows[i] = regexp.MustCompile(`(\d{4})-(\d\d)-(\d\d)`).ReplaceAllString(rows[i], "$1$2$3")
	case 5: // space, and nothing where something was
		rows[i] = " " + strings.Join(cells, " "+sep+" ") + sep + end
	case 6:
		rows[i] = strings.Join(cells[:rng.IntN(len(cells))], sep) + end
	case 7:
		slices.Sort(rows[:len(rows)-1])
	case 8: // the last line without its end
		if last := len(rows) - 2; rows[last+1] == "" {
			rows[last] = strings.TrimRight(rows[last], "\r\n")
		}
	case 9:
		rows[i] = strings.Replace(rows[i], "2025-0", []string{"2031-0", "2O25-0", "1025-0", "2025-9"}[rng.IntN(4)], 1)
	case 10: // in another case, or a note over two lines, whose quotes nobody can split
		if rows[i] = strings.ToUpper(rows[i]); rng.IntN(4) == 0 {
			rows[i] = strings.TrimRight(rows[i], "\r\n") + sep + "\"two" + end + "lines\"" + end
		}
	}
	return lines[0] + strings.Join(rows, "")
}

func must(b *book, _ bool) *book { return b }

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

// The blocks of a file, wherever they end, are its lines.
func TestSieveInBlocks(t *testing.T) {
	w := oneWell(paper(t), 200)
	w.Farm.Machines[0].TimerMinPct = 1 // of no matter to rows that say theirs
	rng := rand.New(rand.NewPCG(3, 5))
	var b strings.Builder
	b.WriteString(passHeader)
	last := civil.Date{}
	for b.Len() < 5*blockBytes/2 {
		day := civil.Date{Year: 1950, Month: 1, Day: 1}.AddDays(rng.IntN(20000))
		name := []string{"Heron", "\"#2 Plover\"", "\"Heron\""}[rng.IntN(3)]
		to := ""
		if last = maxDay(last, day.AddDays(1)); rng.IntN(3) > 0 {
			to = day.AddDays(3).String() + "T06:00"
			last = maxDay(last, day.AddDays(3))
		}
		fmt.Fprintf(&b, "%s,%sT06:00,%s,0,90,cw,90,yes%s\n", name, day, to, strings.Repeat(",", rng.IntN(3)*rng.IntN(20)))
	}
	l, ps := layoutOf(&books[1], "", []byte(passHeader))
	if len(ps) > 0 {
		t.Fatal(ps)
	}
	text := b.String()
	for range 40 {
		from, to := len(passHeader), len(text)
		if rng.IntN(2) == 0 {
			to = strings.LastIndexByte(text[:to-rng.IntN(2*blockBytes)], '\n') + 1
		}
		for range rng.IntN(50) {
			from += strings.IndexByte(text[from:], '\n') + 1
		}
		day := civil.Date{Year: 1950, Month: 1, Day: 1}.AddDays(rng.IntN(20000))
		a, c := w.sieve(&l, []string{"HERON"}).days(day, day.AddDays(500)), w.sieve(&l, []string{"heron"}).days(day, day.AddDays(500))
		got, ok := a.file(strings.NewReader(text), int64(from), int64(to))
		want, ok2 := c.all([]byte(text[from:to]))
		if !ok || !ok2 || got.lines != want.lines || string(got.text) != string(want.text) || !slices.Equal(got.numbers, want.numbers) || len(got.numbers) == 0 {
			t.Fatalf("%d to %d: %v %v, %d lines of %d, want %d of %d", from, to, ok, ok2, len(got.numbers), got.lines, len(want.numbers), want.lines)
		}
		if a.through() != c.through() || to == len(text) && from == len(passHeader) && a.through() != last {
			t.Fatalf("through %v, want %v and %v", a.through(), c.through(), last)
		}
	}
	long := text[:3*blockBytes/2] + strings.Repeat("x", 2*blockBytes) + text[3*blockBytes/2:]
	if _, ok := w.sieve(&l, nil).file(strings.NewReader(long), int64(len(passHeader)), int64(len(long))); ok {
		t.Error("a line longer than a block")
	}
}

func maxDay(a, b civil.Date) civil.Date {
	if b.After(a) {
		return b
	}
	return a
}

// A file that somebody else wrote to since is not read by its mark, and neither is one
// that was put back as it was.
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

// Names in another letter case are names all the same, in ASCII and beyond, and in
// quotes; a line of undone.csv holds them anywhere.
func TestNamesInAnyCase(t *testing.T) {
	text := "2025-06-01,Heron,x\n2025-06-01,HERON \n\"2025-06-01\",\"héron\"\r\n2025-06-01, HÉRON,x\n\n2025-06-01,hern\n" +
		"2025-06-01,\u212Aite\n20250601,kite,\"\"\"n\"\"\"\n2025-06-01,\"a, \"\"kite\"\"\"\n2025-06-01,\"a, kite\",\n2025-06-01,heron"
	l, ps := layoutOf(&books[0], "", []byte("date,place,amount_mm\n"))
	if len(ps) > 0 {
		t.Fatal(ps)
	}
	for _, c := range []struct {
		names []string
		want  []int
	}{
		{[]string{"Heron"}, []int{1, 2, 11}},
		{[]string{"Héron"}, []int{3, 4}},
		{[]string{"Kite"}, []int{7, 8}},
		{[]string{"\u212Aite"}, []int{7, 8}},
		{[]string{"kite", "hern"}, []int{6, 7, 8}},
		{[]string{"crake"}, nil},
		{nil, nil},
		{[]string{"a, \"Kite\""}, []int{9}},
		{[]string{"A, Kite"}, []int{10}},
	} {
		x, ok := (&Writer{Farm: &Farm{}}).sieve(&l, c.names).all([]byte(text))
		if !ok || x.lines != 11 || !slices.Equal(x.numbers, c.want) {
			t.Errorf("%q: got %v of %d lines, want %v", c.names, x.numbers, x.lines, c.want)
		}
		n := 0
		for line := range strings.Lines(string(x.text)) {
			n++
			if name := c.names[0]; len(c.names) == 1 && !holds([]byte(line), fold(name)) {
				t.Errorf("%q does not hold %q", line, name)
			}
		}
		if n != len(c.want) {
			t.Errorf("%q: text %q", c.names, x.text)
		}
	}
	if holds([]byte("crane"), fold("crake")) {
		t.Error("crane is no crake")
	}
}

// BenchmarkRecord adds a row to files of a week and of many years, everything
// counted that a command does but reading the settings and the map: three writes
// are forced to the disk. The files are the program's own; "by hand" is the first
// row after somebody else wrote to the file, which is on the disk by then, "late" one
// of the year before, and "new name" the first about a field or a machine. "Last" is
// the last pass of a machine asked for, and then a pass recorded, as a command does.
func BenchmarkRecord(b *testing.B) {
	for _, rows := range []int{1_000, 100_000, 1_000_000} {
		day := civil.Date{Year: 1990, Month: 1, Day: 1}
		var text strings.Builder
		text.WriteString("date,place,amount_in,note\n")
		for i := range rows {
			fmt.Fprintf(&text, "%s,%s,0.15,\n", day.AddDays(i/200), []string{"Mint", "Beans"}[i%2])
		}
		last := day.AddDays(rows / 200)
		w := paper(b)
		w.Farm.Fields = append(w.Farm.Fields, "Oats")
		benchRecord(b, fmt.Sprintf("rain, %d rows", rows), w, RainFile, text.String(), map[string]func(i int){
			"":           func(i int) { w.add(b, RainFile, rainRowOf(b, last.AddDays(i/100).String(), "Beans", "0.4in")) },
			", late":     func(int) { w.add(b, RainFile, rainRowOf(b, last.AddDays(-300).String(), "Beans", "0.4in")) },
			", new name": func(int) { w.add(b, RainFile, rainRowOf(b, last.String(), "Oats", "0.4in")) },
		})
		w = paper(b)
		for i := range 201 {
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
		at = at.Add(48 * time.Hour)
		pass := func(name string, at time.Time) {
			w.add(b, PassesFile, Entry{"pivot": Word(name), "start": Word(clock(at)), "end": Word(clock(at.Add(time.Hour))),
				"from": Degrees(0), "to": Degrees(18), "timer": Percent(100), "water": Word("yes")})
		}
		benchRecord(b, fmt.Sprintf("passes, %d rows", rows), w, PassesFile, text.String(), map[string]func(i int){
			"":           func(i int) { pass("M007", at.Add(time.Duration(i)*time.Hour)) },
			", late":     func(int) { pass("M007", at.Add(-150*48*time.Hour-3*time.Hour)) },
			", new name": func(i int) { pass("M200", at.Add(time.Duration(i)*time.Hour)) },
			", last": func(i int) {
				if p, ps := w.LastPass("M007"); p == nil || len(ps) > 0 {
					b.Fatal(p, ps)
				}
				pass("M007", at.Add(time.Duration(i)*time.Hour))
			},
		})
	}
}

// benchRecord runs each way to record, by the mark and after the file was put there.
func benchRecord(b *testing.B, what string, w *Writer, file, text string, ways map[string]func(i int)) {
	put := func(b *testing.B) {
		w.put(b, file, text)
		f, err := os.Open(filepath.Join(w.Dir, Dir, file))
		if err != nil {
			b.Fatal(err)
		}
		defer f.Close()
		if err := f.Sync(); err != nil {
			b.Fatal(err)
		}
	}
	for _, way := range slices.Sorted(maps.Keys(ways)) {
		for _, hand := range []string{"", ", by hand"} {
			b.Run(what+way+hand, func(b *testing.B) {
				put(b)
				if hand == "" {
					ways[""](0)
				}
				b.ReportAllocs()
				i := 0
				for b.Loop() {
					if i++; hand != "" || way == ", late" { // one late row is at odds with the next
						b.StopTimer()
						put(b)
						if w.marks = nil; hand == "" {
							ways[""](0)
						}
						b.StartTimer()
					}
					ways[way](i)
				}
			})
		}
	}
}
