package weather_test

import (
	"bytes"
	"flag"
	"fmt"
	"math"
	"os"
	"strconv"
	"strings"
	"testing"
	"time"
	_ "time/tzdata" // the tests must not depend on the zones of the machine

	"github.com/gocarina/gocsv"
	"github.com/golang-sql/civil"
	"github.com/rogpeppe/go-internal/txtar"

	"sandwick/et/weather"
)

var update = flag.Bool("update", false, "write the messages found into the txtar files; read them before committing")

func chicago(t testing.TB) *time.Location {
	loc, err := time.LoadLocation("America/Chicago")
	if err != nil {
		t.Fatal(err)
	}
	return loc
}

func options(t testing.TB, file string) weather.Options {
	return weather.Options{File: file, Site: &site, Location: chicago(t)}
}

// pairs runs do over the pairs of files name.csv and name.want of an archive
// and compares what it gives with name.want.
func pairs(t *testing.T, path string, do func(file string, text []byte) string) (n int) {
	a, err := txtar.ParseFile(path)
	if err != nil {
		t.Fatal(err)
	}
	for i := 0; i+1 < len(a.Files); i += 2 {
		in, want := &a.Files[i], &a.Files[i+1]
		n++
		if got := do(in.Name, in.Data); *update {
			want.Data = []byte(got)
		} else if got != string(want.Data) {
			t.Errorf("%s: %s\ngot\n%swant\n%s", path, in.Name, got, want.Data)
		}
	}
	if *update {
		if err := os.WriteFile(path, txtar.Format(a), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	return n
}

func TestBroken(t *testing.T) {
	n := 0
	for _, path := range []string{"testdata/broken_daily.txtar", "testdata/broken_hourly.txtar"} {
		n += pairs(t, path, func(file string, text []byte) string {
			_, ps := weather.Read(bytes.NewReader(text), options(t, file))
			if len(ps) == 0 {
				t.Errorf("%s: %s has no problem", path, file)
			}
			return ps.Error() + "\n"
		})
	}
	if n < 45 {
		t.Errorf("only %d broken files", n)
	}
}

func TestDoubts(t *testing.T) {
	pairs(t, "testdata/doubts_daily.txtar", func(file string, text []byte) string {
		rec, ps := weather.Read(bytes.NewReader(text), options(t, file))
		var b strings.Builder
		for _, p := range append(ps, rec.Doubts...) {
			fmt.Fprintln(&b, p)
		}
		if len(rec.Days) != len(rec.DayPos) || len(rec.Days) != len(rec.RainChance) {
			t.Errorf("%s: %d days, %d places, %d chances", file, len(rec.Days), len(rec.DayPos), len(rec.RainChance))
		}
		for i, d := range rec.Days {
			fmt.Fprintf(&b, "%s", d.Date)
			for _, v := range []float64{d.TmaxC, d.TminC, d.TdewC, d.RHmaxPct, d.RHminPct, d.WindMPerS, d.RsMJ, d.RainMM} {
				if math.IsNaN(v) {
					b.WriteString(" -")
				} else {
					fmt.Fprintf(&b, " %.4g", v)
				}
			}
			fmt.Fprintln(&b, "", strings.Join(d.Filled.Names(), " "))
			if j, ok := rec.Index(d.Date); !ok || j != i {
				t.Errorf("%s: index of %s is %d, %v", file, d.Date, j, ok)
			}
		}
		return b.String()
	})
}

func TestIndexOutside(t *testing.T) {
	rec, _ := weather.Read(strings.NewReader("date,tmax_c,tmin_c\n2024-07-01,25,12\n"), options(t, "a.csv"))
	for _, d := range []string{"2024-06-30", "2024-07-02"} {
		day, _ := civil.ParseDate(d)
		if i, ok := rec.Index(day); ok {
			t.Errorf("%s is at %d", d, i)
		}
	}
	if i, ok := (&weather.Record{}).Index(civil.Date{Year: 2024, Month: 1, Day: 1}); ok {
		t.Errorf("an empty record has a day at %d", i)
	}
}

// TestForecast: the chance of rain comes as a fraction, only where it is given.
func TestForecast(t *testing.T) {
	rec, ps := weather.Read(strings.NewReader("date,tmax_c,tmin_c,rain_mm,rain_chance_pct\n2024-07-01,25,12,8,40\n2024-07-02,26,12,0,\n"), options(t, "forecast.csv"))
	if ps.Err() != nil || len(rec.Doubts) != 0 || rec.RainChance[0] != 0.4 || !math.IsNaN(rec.RainChance[1]) {
		t.Errorf("problems %v, doubts %v, chances %v", ps, rec.Doubts, rec.RainChance)
	}
}

// TestUnits: one day in every unit that a column may have.
func TestUnits(t *testing.T) {
	for _, text := range []string{
		"date,tmax_c,tmin_c,wind_ms,solar_mj,rain_mm\n2024-07-01,30,15,4.4704,20.92,25.4\n",
		"date,tmax_f,tmin_f,wind_mph,solar_langley,rain_in\n2024-07-01,86,59,10,500,1\n",
		"date,tmax_f,tmin_c,wind_kmh,solar_wm2,rain_in\n2024-07-01,86,15,16.09344,242.12962962962962,1\n",
		"date;tmax_f;tmin_c;wind_kn;solar_wm2;rain_in\n2024-07-01;86;15;8,689762419006479;242,12962962962962;1,0\n",
	} {
		rec, ps := weather.Read(strings.NewReader(text), options(t, "a.csv"))
		if ps.Err() != nil || len(rec.Doubts) != 0 {
			t.Errorf("%q: %v %v", text, ps, rec.Doubts)
			continue
		}
		d := rec.Days[0]
		for _, v := range [][2]float64{{d.TmaxC, 30}, {d.TminC, 15}, {d.WindMPerS, 4.4704}, {d.RsMJ, 20.92}, {d.RainMM, 25.4}} {
			if math.Abs(v[0]-v[1]) > 1e-9 {
				t.Errorf("%q: got %g, want %g", text, v[0], v[1])
			}
		}
	}
}

// FuzzRead: any bytes give days without a gap, in order, with possible values,
// and problems and doubts at a line of the file; the days written and read
// again are the same.
func FuzzRead(f *testing.F) {
	for _, path := range []string{"testdata/broken_daily.txtar", "testdata/broken_hourly.txtar", "testdata/doubts_daily.txtar"} {
		a, err := txtar.ParseFile(path)
		if err != nil {
			f.Fatal(err)
		}
		for i := 0; i < len(a.Files); i += 2 {
			f.Add(a.Files[i].Data)
		}
	}
	f.Add([]byte("time,temp_c\n2024-11-03T01:00,5\n2024-11-03T01:00,5\n2024-11-05T02:00,7\n"))
	o := options(f, "f.csv")
	f.Fuzz(func(t *testing.T, text []byte) {
		rec, ps := weather.Read(bytes.NewReader(text), o)
		lines := 1 + bytes.Count(text, []byte("\n"))
		if lines == 1 {
			lines += bytes.Count(text, []byte("\r"))
		}
		for _, p := range append(ps, rec.Doubts...) {
			if p.Msg == "" || p.File != "f.csv" || p.Line < 0 || p.Line > lines || p.Column < 0 {
				t.Fatalf("%+v in %d lines", p, lines)
			}
		}
		for i, d := range rec.Days {
			if i > 0 && d.Date.DaysSince(rec.Days[i-1].Date) != 1 {
				t.Fatalf("%s after %s", d.Date, rec.Days[i-1].Date)
			}
			if d.RHmaxPct > 100 || d.RsMJ < 0 || d.RainMM < 0 || d.WindMPerS < 0 || rec.RainChance[i] > 1 {
				t.Fatalf("impossible: %+v", d)
			}
		}
		if ps.Err() != nil || len(rec.Days) == 0 {
			return
		}
		again, ps := weather.Read(bytes.NewReader(write(t, &rec)), o)
		if ps.Err() != nil || len(again.Days) != len(rec.Days) {
			t.Fatalf("written and read: %d days for %d, %v", len(again.Days), len(rec.Days), ps)
		}
		for i := range rec.Days {
			a, b := rec.Days[i], again.Days[i]
			a.Filled, b.Filled = 0, 0 // a filled value was written as measured
			if fmt.Sprint(a) != fmt.Sprint(b) {
				t.Fatalf("written and read:\n%+v\n%+v", a, b)
			}
		}
	})
}

// fileRow is a day as a file has it.
type fileRow struct {
	Date     string `csv:"date"`
	Tmax     cell   `csv:"tmax_c"`
	Tmin     cell   `csv:"tmin_c"`
	Tdew     cell   `csv:"tdew_c"`
	Tdry     cell   `csv:"tdry_c"`
	Twet     cell   `csv:"twet_c"`
	RHmax    cell   `csv:"rhmax_pct"`
	RHmin    cell   `csv:"rhmin_pct"`
	RHmean   cell   `csv:"rhmean_pct"`
	Wind     cell   `csv:"wind_ms"`
	Solar    cell   `csv:"solar_mj"`
	Sunshine cell   `csv:"sunshine_h"`
	Rain     cell   `csv:"rain_mm"`
}

// cell is a number as a file has it: nothing where it is missing.
type cell float64

func (c cell) MarshalCSV() (string, error) {
	if math.IsNaN(float64(c)) {
		return "", nil
	}
	return strconv.FormatFloat(float64(c), 'g', -1, 64), nil
}

func write(t *testing.T, rec *weather.Record) []byte {
	var rows []fileRow
	for _, d := range rec.Days {
		rows = append(rows, fileRow{d.Date.String(), cell(d.TmaxC), cell(d.TminC), cell(d.TdewC), cell(d.TdryC), cell(d.TwetC), cell(d.RHmaxPct),
			cell(d.RHminPct), cell(d.RHmeanPct), cell(d.WindMPerS), cell(d.RsMJ), cell(d.SunshineH), cell(d.RainMM)})
	}
	var b bytes.Buffer
	if err := gocsv.Marshal(rows, &b); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}
