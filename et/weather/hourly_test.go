package weather_test

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"math"
	"os"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/golang-sql/civil"

	"sandwick/et"
	"sandwick/et/input"
	"sandwick/et/weather"
)

// hourlyText is every hour of the days from..to on the clocks of loc, stamped
// without an offset, as a logger on local time writes them. skip leaves hours out.
func hourlyText(loc *time.Location, from, to civil.Date, shift time.Duration, skip func(time.Time) bool) string {
	var b strings.Builder
	b.WriteString("time,temp_c,rh_pct,wind_ms,solar_wm2,rain_mm\n")
	for t := from.In(loc); t.Before(to.AddDays(1).In(loc)); t = t.Add(time.Hour) {
		if skip != nil && skip(t) {
			continue
		}
		h := float64(t.Hour())
		sun := 0.6 * site.Hourly(et.FAO56, et.MissingHour(t)).RaMJ / 0.0036 // W/m² of a fair day
		fmt.Fprintf(&b, "%s,%.1f,%.0f,%.1f,%.0f,%.1f\n", t.Add(shift).Format("2006-01-02T15:04"),
			12+6*math.Sin(math.Pi*(h-9)/12), 70-20*math.Sin(math.Pi*(h-9)/12), 2+h/24, sun, float64(t.Hour()/23)/2)
	}
	return b.String()
}

func date(t testing.TB, s string) civil.Date {
	d, err := civil.ParseDate(s)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

// TestClockChanges: days of 23 and 25 hours are whole days without a doubt.
func TestClockChanges(t *testing.T) {
	for _, tt := range []struct {
		from, to string
		hours    int
	}{
		{"2024-03-09", "2024-03-11", 71},
		{"2024-11-02", "2024-11-04", 73},
		{"2024-02-28", "2024-03-01", 72},
	} {
		for _, ending := range []bool{false, true} {
			o := options(t, "h.csv")
			o.HourEnding = ending
			shift := time.Duration(0)
			if ending {
				shift = time.Hour
			}
			text := hourlyText(o.Location, date(t, tt.from), date(t, tt.to), shift, nil)
			rec, ps := weather.Read(strings.NewReader(text), o)
			if ps.Err() != nil || len(rec.Doubts) != 0 || len(rec.Days) != 3 || len(rec.Hours) != tt.hours {
				t.Errorf("%s, hour ending %v: %d days, %d hours, problems %v, doubts %v", tt.from, ending, len(rec.Days), len(rec.Hours), ps, rec.Doubts)
				continue
			}
			for i, h := range rec.Hours {
				if want := date(t, tt.from).In(o.Location).Add(time.Duration(i) * time.Hour); !h.Start.Equal(want) {
					t.Fatalf("hour %d starts %v, want %v", i, h.Start, want)
				}
			}
			for i, ref := range rec.References(site, et.FAO56) {
				if i == 0 {
					ref.Filled &^= et.FilledRadiation // the sky of the first night is not known
				}
				if ref.Filled != 0 || ref.HoursSum == 0 || !(ref.EToMM > 0.3 && ref.EToMM < 5) || ref.Date != rec.Days[i].Date {
					t.Errorf("%s: %+v", rec.Days[i].Date, ref)
				}
			}
		}
	}
}

// TestHoursMissing: hours left out are told by day and marked in the result;
// whole days are filled as in a daily file.
func TestHoursMissing(t *testing.T) {
	o := options(t, "h.csv")
	text := hourlyText(o.Location, date(t, "2024-05-01"), date(t, "2024-05-06"), 0, func(at time.Time) bool {
		return at.Day() == 3 || (at.Day() == 5 && at.Hour() < 3)
	})
	rec, ps := weather.Read(strings.NewReader(text), o)
	want := `h.csv:50: rain_mm: no rain measured on 1 day, the first 2024-05-03; it is taken as none unless a gauge tells
h.csv:50: temp_c: no temperature on 2024-05-03; the gap is filled by linear interpolation between the days around
h.csv:50:1: time: no row for 2024-05-03 before this one
h.csv:74:1: time: 2024-05-05 has 21 of its 24 hours; what they do not give is marked as estimated`
	if ps.Err() != nil || rec.Doubts.Error() != want {
		t.Errorf("problems %v, got\n%s\nwant\n%s", ps, rec.Doubts.Error(), want)
	}
	var got []string
	for _, ref := range rec.References(site, et.FAO56) {
		got = append(got, fmt.Sprintf("%d %v", ref.HoursSum, ref.Filled.Names()))
	}
	if want := "24 [radiation], 24 [], 0 [temperature humidity wind radiation rain], 24 [], 0 [temperature humidity wind rain], 24 []"; strings.Join(got, ", ") != want {
		t.Errorf("got %s\nwant %s", strings.Join(got, ", "), want)
	}
	if at := rec.DayPos[2]; at.Line != 50 || at.Column != 0 {
		t.Errorf("the day without a row is at %v", at)
	}
}

func TestHourlyDoubts(t *testing.T) {
	pairs(t, "testdata/doubts_hourly.txtar", func(file string, text []byte) string {
		rec, ps := weather.Read(bytes.NewReader(text), options(t, file))
		var b strings.Builder
		for _, p := range append(ps, rec.Doubts...) {
			fmt.Fprintln(&b, p)
		}
		for _, h := range rec.Hours {
			fmt.Fprintf(&b, "%s %.4g %.4g %.4g %.4g %.4g %.4g\n", h.Start.Format(time.RFC3339), h.TempC, h.TdewC, h.RHPct, h.WindMPerS, h.RsMJ, h.RainMM)
		}
		return b.String()
	})
}

func TestHourlyNeedsSite(t *testing.T) {
	_, ps := weather.Read(strings.NewReader("time,temp_c\n2024-06-01T00:00,20\n"), weather.Options{File: "h.csv"})
	if want := "h.csv:1: time: hourly rows need the site of the station: its latitude, longitude and elevation"; ps.Error() != want {
		t.Errorf("got %v", ps)
	}
}

// TestModelledYear reads a year of hours that a solar model made for an
// airport: NREL TMY3, Greensboro NC. Its months come from different years and are
// put into one year here; rain is left out, it is known to be wrong. The sun
// of the model is the check of ours: a clock an hour off shows at once.
func TestModelledYear(t *testing.T) {
	text, err := os.ReadFile("../../../shared/data/tmy3/723170TYA.CSV")
	if err != nil {
		t.Skip("no TMY3 year beside the checkout: ", err)
	}
	_, body, _ := bytes.Cut(text, []byte("\n"))
	rows, err := csv.NewReader(bytes.NewReader(body)).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	column := func(name string) int {
		for i, h := range rows[0] {
			if h == name {
				return i
			}
		}
		t.Fatalf("no column %s", name)
		return 0
	}
	day, clock, temp, dew, wind, sun := column("Date (MM/DD/YYYY)"), column("Time (HH:MM)"), column("Dry-bulb (C)"), column("Dew-point (C)"), column("Wspd (m/s)"), column("GHI (W/m^2)")
	build := func(shift time.Duration) string {
		var b strings.Builder
		b.WriteString("time,temp_c,tdew_c,wind_ms,solar_wm2\n")
		for _, r := range rows[1:] {
			at, err := time.Parse("01/02/2006", r[day][:6]+"2001")
			if err != nil {
				t.Fatal(err)
			}
			var h int
			if _, err := fmt.Sscanf(r[clock], "%d:", &h); err != nil {
				t.Fatal(err)
			}
			at = at.Add(time.Duration(h)*time.Hour + shift) // stamped at the end of the hour
			fmt.Fprintf(&b, "%s-05:00,%s,%s,%s,%s\n", at.Format("2006-01-02T15:04"), r[temp], r[dew], r[wind], r[sun])
		}
		return b.String()
	}
	greensboro := et.Site{LatitudeDeg: 36.1, LongitudeDeg: -79.95, ElevationM: 273, WindHeightM: 10, KRs: et.KRsInterior}
	read := func(shift time.Duration) (weather.Record, int) {
		rec, ps := weather.Read(strings.NewReader(build(shift)), weather.Options{File: "tmy3.csv", Site: &greensboro, HourEnding: true, Location: time.FixedZone("EST", -5*3600)})
		if ps.Err() != nil {
			t.Fatal(ps)
		}
		sunny := 0
		for _, d := range rec.Doubts {
			if strings.Contains(d.Msg, "sun can well give") {
				sunny++
			}
		}
		t.Logf("shift %v: doubts\n%v", shift, rec.Doubts)
		return rec, sunny
	}
	rec, sunny := read(0)
	if len(rec.Days) != 365 || len(rec.Hours) != 8760 || sunny != 0 {
		t.Errorf("%d days, %d hours, %d doubts about the sun", len(rec.Days), len(rec.Hours), sunny)
	}
	off, sunny := read(time.Hour)
	if sunny == 0 {
		t.Error("a clock an hour off gives no doubt about the sun")
	}
	belied := func(r weather.Record) bool {
		return slices.ContainsFunc(r.Doubts, func(p input.Problem) bool { return strings.Contains(p.Msg, "the sun fits rows 1 hour earlier") })
	}
	if belied(rec) || !belied(off) {
		t.Errorf("the clock is doubted: %v as stamped, %v an hour off", belied(rec), belied(off))
	}
}
