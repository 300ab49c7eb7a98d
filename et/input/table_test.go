package input_test

import (
	"bytes"
	"flag"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/gocarina/gocsv"
	"github.com/rogpeppe/go-internal/txtar"

	"sandwick/et/input"
)

var update = flag.Bool("update", false, "write the messages found into the txtar files; read them before committing")

// gaugeRow has one column of every type.
type gaugeRow struct {
	Date   input.Date   `csv:"date" need:"cell"`
	Place  input.Text   `csv:"place" need:"cell"`
	Amount input.Number `csv:"amount" unit:"depth" need:"cell"`
	Temp   input.Number `csv:"temp" unit:"temperature"`
	At     input.Time   `csv:"at"`
	Melted input.YesNo  `csv:"melted"`
	Note   input.Text   `csv:"note"`
}

// readRows collects the rows that have no problem.
func readRows[R any](r io.Reader, o input.TableOptions) ([]R, input.Header, input.Problems) {
	var rows []R
	h, ps := input.EachRow(r, o, func(row *R, ok bool, _ *input.Problems) {
		if ok {
			rows = append(rows, *row)
		}
	})
	return rows, h, ps
}

func chicago(t testing.TB) *time.Location {
	loc, err := time.LoadLocation("America/Chicago")
	if err != nil {
		t.Fatal(err)
	}
	return loc
}

// show writes rows down with everything a cell knows.
func show(rows []gaugeRow) string {
	var b strings.Builder
	for _, r := range rows {
		fmt.Fprintf(&b, "%s|%s|%.4g|%.4g|%s|%v|%s", r.Date.Value(), r.Place.Value(), r.Amount.Value(), r.Temp.Value(),
			r.At.Value().Format("15:04Z07:00"), r.Melted.Value(), r.Note.Value())
		fmt.Fprintf(&b, "  %s %s %q\n", r.Amount.Pos, r.Amount.Column, r.Amount.Text)
	}
	return b.String()
}

// TestDialects reads one table as different programs and hands write it.
func TestDialects(t *testing.T) {
	const want = "2024-06-09|north|10.16|20|08:30-05:00|true|rain, then hail\n" +
		"2024-06-10|south|0|NaN|00:00Z|false|\n"
	tests := []struct{ name, text, first string }{
		{"plain", "date,place,amount_in,temp_f,at,melted,note\n2024-06-09,north,0.4,68,2024-06-09T08:30,yes,\"rain, then hail\"\n2024-06-10,south,0,,,,\n", `g.csv:2:18 amount_in "0.4"`},
		{"no newline at the end", "date,place,amount_in,temp_f,at,melted,note\n2024-06-09,north,0.4,68,2024-06-09T08:30,yes,\"rain, then hail\"\n2024-06-10,south,0,,,,", `g.csv:2:18 amount_in "0.4"`},
		{"byte order mark and CRLF", "\ufeffdate,place,amount_in,temp_f,at,melted,note\r\n2024-06-09,north,0.4,68,2024-06-09T08:30,yes,\"rain, then hail\"\r\n2024-06-10,south,0,,,,\r\n", `g.csv:2:18 amount_in "0.4"`},
		{"CR alone", "date,place,amount_in,temp_f,at,melted,note\r2024-06-09,north,0.4,68,2024-06-09T08:30,yes,\"rain, then hail\"\r2024-06-10,south,0,,,,\r", `g.csv:2:18 amount_in "0.4"`},
		{"blank and comment lines", "\n# gauge book\n\ndate,place,amount_in,temp_f,at,melted,note\n\n   \n2024-06-09,north,0.4,68,2024-06-09T08:30,yes,\"rain, then hail\"\n# nothing\n,,,,,,\n2024-06-10,south,0,,,,\n\n", `g.csv:7:18 amount_in "0.4"`},
		{"trailing commas", "date,place,amount_in,temp_f,at,melted,note,,\n2024-06-09,north,0.4,68,2024-06-09T08:30,yes,\"rain, then hail\",,\n2024-06-10,south,0,,,,,,,,\n", `g.csv:2:18 amount_in "0.4"`},
		{"spaces and quotes", " Date , \"place\", amount_in ,temp_f,at,melted,note\n 2024-06-09 , \"north\", \"0.4\",68 ,2024-06-09 08:30,Yes,\" rain, then hail \"\n2024-06-10,south,0,,,,\n", `g.csv:2:24 amount_in "0.4"`},
		{"semicolons, decimal comma", "date;place;amount_mm;temp_c;at;melted;note\n2024-06-09;north;10,16;20,0;2024-06-09T08:30;yes;rain, then hail\n2024-06-10;south;0;;;;\n", `g.csv:2:18 amount_mm "10,16"`},
		{"semicolons, decimal point", "date;place;amount_mm;temp_c;at;melted;note\n2024-06-09;north;10.16;20;2024-06-09T08:30;y;rain, then hail\n2024-06-10;south;0;;;;\n", `g.csv:2:18 amount_mm "10.16"`},
		{"tabs, decimal comma", "date\tplace\tamount_mm\ttemp_c\tat\tmelted\tnote\n2024-06-09\tnorth\t10,16\t20\t2024-06-09T13:30Z\ttrue\train, then hail\n2024-06-10\tsouth\t0\t\t\t\t\n", `g.csv:2:18 amount_mm "10,16"`},
		{"other order, note left off", "temp_f,amount_in,place,date,at,melted,note\n68,0.4,north,2024-06-09,2024-06-09T08:30,yes,\"rain, then hail\"\n,0,south,20240610,,no\n", `g.csv:2:4 amount_in "0.4"`},
		{"optional columns missing", "note,place,amount_cm_of_rain,amount_in,date,at,melted,temp_c\n\"rain, then hail\",north,,0.4,2024-06-09,2024-06-09T08:30,yes,20\n,south,,0,2024-06-10,,,\n", `g.csv:2:26 amount_in "0.4"`},
	}
	for _, tt := range tests {
		o := input.TableOptions{File: "g.csv", Location: chicago(t), Mapping: input.Mapping{Ignore: []string{"amount_cm_of_rain"}}}
		rows, _, ps := readRows[gaugeRow](strings.NewReader(tt.text), o)
		var got, first string
		for i, line := range strings.Split(strings.TrimSuffix(show(rows), "\n"), "\n") {
			value, at, _ := strings.Cut(line, "  ")
			got += value + "\n"
			if i == 0 {
				first = at
			}
		}
		if ps.Err() != nil || got != want || first != tt.first {
			t.Errorf("%s: problems %v\ngot\n%swant\n%sfirst amount: got %s, want %s", tt.name, ps, got, want, first, tt.first)
		}
	}
}

// TestForeign reads files as they come from elsewhere.
func TestForeign(t *testing.T) {
	const text = "station 7\nDay,Gauge name,Rain (in.),Air temp,qc\n2024-06-09,north,0.4,-9999.0,A\n2024-06-10,M,M,20,\n"
	rows, h, ps := readRows[gaugeRow](strings.NewReader(text), input.TableOptions{File: "f.csv", Mapping: input.Mapping{
		Columns:   map[string]string{"date": "Day", "place": "Gauge name", "amount_in": "rain (IN.)", "temp_c": "Air temp"},
		Ignore:    []string{"QC"},
		Missing:   []string{"-9999", "M", ""},
		SkipLines: 1,
	}})
	want := "2024-06-09|north|10.16|NaN|00:00Z|false|  f.csv:3:18 Rain (in.) \"0.4\"\n"
	wantPs := "f.csv:4:12: Gauge name: empty; every row needs it\nf.csv:4:14: Rain (in.): empty; every row needs it"
	if got := show(rows); got != want || ps.Error() != wantPs {
		t.Errorf("got\n%s%s\nwant\n%s%s", got, ps, want, wantPs)
	}
	c, ok := h.Column("amount")
	if !ok || c.Unit.Suffix != "in" || c.Name != "Rain (in.)" || c.Pos.String() != "f.csv:2:16" || h.Has("note") {
		t.Errorf("column amount is %+v, %v", c, ok)
	}
}

func TestMappingProblems(t *testing.T) {
	tests := []struct {
		text string
		m    input.Mapping
		want string
	}{
		{"Day,place,amount_in\n", input.Mapping{Columns: map[string]string{"dat": "Day"}},
			"f.csv: dat: the mapping names a column that there is not; nearest known is date\n" +
				"f.csv:1: date: missing from the header; give date\n" +
				"f.csv:1:1: Day: unknown column; known: date, place, amount_mm or amount_in, temp_c or temp_f, at, melted, note"},
		{"date,place,Rain\n", input.Mapping{Columns: map[string]string{"amount": "Rain"}, IgnoreOthers: true},
			"f.csv: amount: the mapping names a column that there is not; its name carries its unit: amount_mm or amount_in\n" +
				"f.csv:1: amount: missing from the header; give amount_mm or amount_in"},
		{"date,place,Rain\n", input.Mapping{Columns: map[string]string{"amount_mm": "Rian"}, IgnoreOthers: true},
			"f.csv:1: Rian: the mapping takes this column for amount_mm, but the header does not have it; nearest known is Rain\n" +
				"f.csv:1: amount: missing from the header; give amount_mm or amount_in"},
		{"date,place,Rain\n", input.Mapping{Columns: map[string]string{"amount_mm": "Rain", "temp_c": "Rain"}},
			"f.csv: Rain: the mapping takes this column for amount_mm and for temp_c; keep one"},
		{"date,place,Rain,amount_in\n", input.Mapping{Columns: map[string]string{"amount_mm": "Rain"}},
			"f.csv:1:17: amount_in: Rain and amount_in are both given; give one of them"},
		{"date,place,amount_in\n", input.Mapping{SkipLines: 5}, "f.csv: fewer than the 5 lines to be skipped"},
	}
	for _, tt := range tests {
		_, _, ps := readRows[gaugeRow](strings.NewReader(tt.text), input.TableOptions{File: "f.csv", Mapping: tt.m})
		if ps.Error() != tt.want {
			t.Errorf("%q %+v\ngot\n%s\nwant\n%s", tt.text, tt.m, ps, tt.want)
		}
	}
}

// archive reads testdata/*.txtar; the archives hold pairs of files name.csv
// and name.want, the problems expected.
func archive(t testing.TB, pattern string, do func(path string, a *txtar.Archive)) {
	paths, err := filepath.Glob(pattern)
	if err != nil || len(paths) == 0 {
		t.Fatalf("no files %s: %v", pattern, err)
	}
	for _, path := range paths {
		a, err := txtar.ParseFile(path)
		if err != nil {
			t.Fatal(err)
		}
		do(path, a)
	}
}

func TestBroken(t *testing.T) {
	cases := 0
	archive(t, "testdata/broken*.txtar", func(path string, a *txtar.Archive) {
		for i := 0; i+1 < len(a.Files); i += 2 {
			in, want := &a.Files[i], &a.Files[i+1]
			cases++
			_, _, ps := readRows[gaugeRow](bytes.NewReader(in.Data), input.TableOptions{File: in.Name, Location: chicago(t)})
			got := ps.Error() + "\n"
			if *update {
				want.Data = []byte(got)
			} else if got != string(want.Data) {
				t.Errorf("%s: %s\ngot\n%swant\n%s", path, in.Name, got, want.Data)
			}
			if len(ps) == 0 {
				t.Errorf("%s: %s has no problem", path, in.Name)
			}
		}
		if *update {
			if err := os.WriteFile(path, txtar.Format(a), 0o644); err != nil {
				t.Fatal(err)
			}
		}
	})
	if cases < 25 {
		t.Errorf("only %d broken files", cases)
	}
}

// TestBrokenBytes holds what a text archive cannot.
func TestBrokenBytes(t *testing.T) {
	head := "date,place,amount_in\n"
	many := head + strings.Repeat("2024-06-09,north,x\n", 2*input.MaxProblems)
	tests := []struct {
		name string
		in   io.Reader
		want string
	}{
		{"empty", strings.NewReader(""), "b.csv: the file is empty; its first line must name the columns"},
		{"blank", strings.NewReader("\n\r\n  \n# x\n"), "b.csv: the file is empty; its first line must name the columns"},
		{"UTF-16", strings.NewReader("\xff\xfed\x00a\x00"), "b.csv: UTF-16 text; save the file as UTF-8"},
		{"Latin-1", strings.NewReader(head + "2024-06-09,caf\xe9,0.1\n"), `b.csv:2:12: place: not UTF-8 text; save the file as UTF-8 (got "caf\xe9")`},
		{"terminal codes", strings.NewReader(head + "2024-06-09,\x1b[31mred,0.1\n"), `b.csv:2:12: place: control characters in the text; take them out (got "\x1b[31mred")`},
		{"long line", strings.NewReader(head + "2024-06-09," + strings.Repeat("x", input.MaxLineBytes) + ",1\n"), "b.csv:2: a line of more than 64 kB; this is no table of rows"},
		{"large file", io.MultiReader(strings.NewReader(head), &endless{}), "b.csv: larger than 64 MB; split the file"},
		{"failing disk", io.MultiReader(strings.NewReader(head), failing{}), "b.csv: cannot be read: unexpected EOF"},
	}
	for _, tt := range tests {
		_, _, ps := readRows[gaugeRow](tt.in, input.TableOptions{File: "b.csv"})
		if ps.Error() != tt.want {
			t.Errorf("%s: got\n%s\nwant\n%s", tt.name, ps, tt.want)
		}
	}
	_, _, ps := readRows[gaugeRow](strings.NewReader(many), input.TableOptions{File: "b.csv"})
	if n := len(ps); n != input.MaxProblems+1 || ps[n-1].Error() != "b.csv:1001: too many problems; the rest of the file was not read" {
		t.Errorf("%d problems, the last %v", n, ps[n-1])
	}
}

type endless struct{}

func (endless) Read(p []byte) (int, error) {
	for i := range p {
		p[i] = '\n'
	}
	return len(p), nil
}

type failing struct{}

func (failing) Read([]byte) (int, error) { return 0, io.ErrUnexpectedEOF }

func TestOneOf(t *testing.T) {
	var c input.Text
	c.Text, c.Column, c.Pos = "Right", "direction", input.Pos{File: "p.csv", Line: 4, Column: 9}
	if _, err := c.OneOf("cw", "ccw"); err == nil || err.Error() != `p.csv:4:9: direction: unknown word; give cw or ccw (got "Right")` {
		t.Errorf("got %v", err)
	}
	c.Text = "CCW"
	if w, err := c.OneOf("cw", "ccw"); w != "ccw" || err != nil {
		t.Errorf("got %q, %v", w, err)
	}
	if w, err := (input.Text{}).OneOf("cw"); w != "" || err != nil {
		t.Errorf("got %q, %v", w, err)
	}
}

func TestRowStructFaultsPanic(t *testing.T) {
	for name, read := range map[string]func(){
		"plain field": func() {
			readRows[struct {
				A string `csv:"a"`
			}](strings.NewReader("a\n"), input.TableOptions{})
		},
		"no tag": func() { readRows[struct{ A input.Text }](strings.NewReader("a\n"), input.TableOptions{}) },
		"no dimension": func() {
			readRows[struct {
				A input.Number `csv:"a" unit:"colour"`
			}](strings.NewReader("a\n"), input.TableOptions{})
		},
		"mistyped needs": func() {
			readRows[struct {
				A input.Number `csv:"a" need:"x"`
			}](strings.NewReader("a\n"), input.TableOptions{})
		},
	} {
		t.Run(name, func(t *testing.T) {
			defer func() {
				if recover() == nil {
					t.Error("no panic")
				}
			}()
			read()
		})
	}
}

// FuzzReadRows: any bytes give rows or problems with a valid line, and rows
// written and read again are the same.
func FuzzReadRows(f *testing.F) {
	f.Add([]byte("date,place,amount_in,temp_f,at,melted,note\n2024-06-09,north,0.4,68,2024-06-09T08:30,yes,x\n"))
	f.Add([]byte("\ufeffdate;place;amount_mm\r\n2024-06-09;south;10,5\r\n"))
	f.Add([]byte("date\tplace\tamount_mm\n2024-06-09\t\"a\nb\"\t1\n\n#\n\"\n"))
	archive(f, "testdata/broken*.txtar", func(_ string, a *txtar.Archive) {
		for i := 0; i < len(a.Files); i += 2 {
			f.Add(a.Files[i].Data)
		}
	})
	f.Fuzz(func(t *testing.T, text []byte) {
		rows, _, ps := readRows[gaugeRow](bytes.NewReader(text), input.TableOptions{File: "f.csv"})
		lines := 1 + bytes.Count(text, []byte("\n"))
		if lines == 1 {
			lines += bytes.Count(text, []byte("\r"))
		}
		for _, p := range ps {
			if p.Msg == "" || p.File != "f.csv" || p.Line < 0 || p.Line > lines || p.Column < 0 {
				t.Fatalf("problem %+v in %d lines", p, lines)
			}
		}
		if !slices.IsSortedFunc(ps, func(a, b input.Problem) int { return a.Pos.Compare(b.Pos) }) && len(ps) <= input.MaxProblems {
			t.Fatalf("not in order: %v", ps)
		}
		type plain struct {
			Date   string  `csv:"date"`
			Place  string  `csv:"place"`
			Amount float64 `csv:"amount_mm"`
			Note   string  `csv:"note"`
		}
		var out []plain
		for _, r := range rows {
			if !r.Date.Given() || !r.Place.Given() || math.IsNaN(r.Amount.Value()) {
				t.Fatalf("a row without what it needs: %+v", r)
			}
			out = append(out, plain{r.Date.Value().String(), r.Place.Value(), r.Amount.Value(), r.Note.Value()})
		}
		var b bytes.Buffer
		if err := gocsv.Marshal(out, &b); err != nil {
			t.Fatal(err)
		}
		again, _, ps := readRows[gaugeRow](&b, input.TableOptions{File: "again.csv"})
		if ps.Err() != nil || len(again) != len(rows) {
			t.Fatalf("written and read: %d rows for %d, %v", len(again), len(rows), ps)
		}
		for i, r := range again {
			if got := (plain{r.Date.Value().String(), r.Place.Value(), r.Amount.Value(), r.Note.Value()}); got != out[i] {
				t.Fatalf("row %d: got %+v, want %+v", i, got, out[i])
			}
		}
	})
}

// BenchmarkReadRows reads ten years of daily gauge readings.
func BenchmarkReadRows(b *testing.B) {
	var text bytes.Buffer
	text.WriteString("date,place,amount_in,note\n")
	day := time.Date(2015, 1, 1, 0, 0, 0, 0, time.UTC)
	for i := range 3653 {
		fmt.Fprintf(&text, "%s,north,0.%02d,\n", day.AddDate(0, 0, i).Format(time.DateOnly), i%100)
	}
	b.ReportAllocs()
	b.SetBytes(int64(text.Len()))
	for b.Loop() {
		rows, _, ps := readRows[gaugeRow](bytes.NewReader(text.Bytes()), input.TableOptions{})
		if len(rows) != 3653 || ps.Err() != nil {
			b.Fatal(len(rows), ps)
		}
	}
}
