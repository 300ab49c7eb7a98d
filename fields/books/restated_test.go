// Totals restated when records come late, and books over odd calendars.

package books

import (
	"fmt"
	"math"
	"strings"
	"testing"
	"testing/fstest"
	"time"

	"github.com/golang-sql/civil"

	"sandwick/fields"
)

const gallon = 3.785411784e-3 // NIST SP 811

// A gauge read late changes the field's rain by exactly that, and nothing that
// was withdrawn; the balance still closes.
func TestLateRain(t *testing.T) {
	before := keep(t, files(t), "2025-06-07")
	after := keep(t, files(t, "records/rain.csv", "2025-06-03,Long mint,5\n", "2025-06-03,Long mint,5\n2025-05-28,Short mint,12.5\n"), "2025-06-07")
	perMM := before.Fields[1].AreaM2 / 1000
	near(t, "rain", after.Fields[1].Season.RainM3-before.Fields[1].Season.RainM3, 12.5*perMM, 1e-6)
	near(t, "the other field", after.Fields[0].Season.RainM3, before.Fields[0].Season.RainM3, 0)
	near(t, "withdrawn", after.Total.M3, before.Total.M3, 0)
	near(t, "not the station's any more", before.Fields[1].Season.StationM3-after.Fields[1].Season.StationM3, 0, 1e-9)
	for i := range after.Fields {
		near(t, "closure", after.Fields[i].Season.ClosureM3(), 0, 1e-9*after.Fields[i].Season.InM3())
	}
	// Also that day's missing rain of the station: a reading there, 0 too, is a measurement.
	dry := keep(t, files(t, "records/rain.csv", "2025-06-03,Long mint,5\n", "2025-06-03,Long mint,5\n2025-06-02,Long mint,0\n"), "2025-06-07")
	near(t, "days without any rain measured", before.Fields[0].Season.NoRainM2Days/before.Fields[0].AreaM2, 1, 1e-12)
	near(t, "with a gauge", dry.Fields[0].Season.NoRainM2Days, 0, 0)
	near(t, "the field without", dry.Fields[1].Season.NoRainM2Days/dry.Fields[1].AreaM2, 1, 1e-12)
}

// Taking a record back restates what it had changed, and a meter reading taken
// back leaves its water to hours × flow.
func TestUndone(t *testing.T) {
	undo := func(file, row string) []string {
		return []string{"records/undone.csv", "", "undone,file,row,note\n2025-06-06T10:00," + file + "," + row + ",\n"}
	}
	before := keep(t, files(t), "2025-06-07")
	rain := keep(t, files(t, undo("rain.csv", "date=2025-06-03; place=Long mint; amount_mm=5")...), "2025-06-07")
	// The station's 3 mm count again.
	near(t, "rain", before.Fields[0].Season.RainM3-rain.Fields[0].Season.RainM3, 2*before.Fields[0].AreaM2/1000, 1e-6)
	meter := keep(t, files(t, undo("meters.csv", "date=2025-06-03; well=North; reading=1615600; unit=gal")...), "2025-06-07")
	near(t, "withdrawn", meter.Total.M3-before.Total.M3, (648000-615600)*gallon, 1e-6)
	near(t, "by the meter", meter.Total.MeterM3, 0, 0)
	pass := keep(t, files(t, undo("passes.csv", "pivot=Short; start=2025-05-29T06:00; end=2025-05-29T16:00; from_deg=0; to_deg=0; direction=cw; water=yes")...), "2025-06-07")
	near(t, "South", before.Wells[1].Season.M3-pass.Wells[1].Season.M3, 180000*gallon, 1e-6)
	for _, b := range []*Books{rain, meter, pass} {
		closes(t, b)
	}
}

// A meter replaced on 30 May: the old one read on the day it went, or not.
func TestMeterReplaced(t *testing.T) {
	meters := func(rows string) []string {
		return []string{"records/meters.csv", "", "date,well,reading,unit,event\n2025-05-26,North,1000000,gal,\n" + rows + "2025-06-03,North,310000,gal,\n"}
	}
	read := keep(t, files(t, meters("2025-05-30,North,1300000,gal,\n2025-05-30,North,0,gal,replaced\n")...), "2025-06-07")
	may := &read.Wells[0].Months[0]
	near(t, "May, both meters read", may.M3, (300000+310000)*gallon, 1e-6)
	near(t, "of it by the meter", may.MeterM3, may.M3, 1e-9)
	not := keep(t, files(t, meters("2025-05-30,North,0,gal,replaced\n")...), "2025-06-07")
	may = &not.Wells[0].Months[0]
	near(t, "May, the old one not read", may.M3, (324000+310000)*gallon, 1e-6)
	near(t, "of it by the meter", may.MeterM3, 310000*gallon, 1e-6)
	if may.Basis() != ByBoth {
		t.Errorf("May rests on %q", may.Basis())
	}
	if v := not.Wells[0].Intervals[0]; v.Used() || v.Fault != Replaced {
		t.Errorf("the interval of the old meter: %+v", v)
	}
	// A reading that comes after --today is not known yet.
	early := keep(t, files(t), "2025-06-02")
	near(t, "before the second reading", early.Wells[0].Season.MeterM3, 0, 0)
	near(t, "by hours × flow", early.Wells[0].Season.M3, 648000*gallon, 1e-6)
}

// elsewhere keeps the books of a farm of one circle at another place and time.
func elsewhere(t testing.TB, zone string, lat float64, first, passes, today string) *Books {
	t.Helper()
	start := date(t, first)
	var weather strings.Builder
	weather.WriteString("date,tmax_c,tmin_c,rhmax_pct,rhmin_pct,wind_ms,solar_mj,rain_mm\n")
	for i := range 12 {
		fmt.Fprintf(&weather, "%s,%d,%d,88,%d,2.%d,%d,%d\n", start.AddDays(i), 14+i%5, 3+i%4, 45+i, i, 4+i%3, i%4)
	}
	m := fstest.MapFS{}
	for name, text := range map[string]string{
		"farm.toml": fmt.Sprintf(`[farm]
name = "Elsewhere"
timezone = "%s"
units = "si"
slice_deg = 90
[site]
latitude_deg = %g
longitude_deg = 10
elevation_m = 100
[season]
start = %s
initial_depletion_pct = 25
[[wells]]
name = "W"
flow_m3h = 120
energy = {per_kwh = 0.1, peak = [{from = "00:00", to = "06:00", per_kwh = 0.2}]}
[[pivots]]
name = "P"
well = "W"
center = [10.0, %g]
length_m = 200
flow_m3h = 100
hours_at_full_timer = 8
power_kw = 20
[[soils]]
name = "grit"
hydraulics = "field sand"
[[fields]]
name = "F"
pivot = "P"
crop = "cover"
start = %s
end = %s
`, zone, lat, start, lat, start, start.AddDays(60)),
		"zones.geojson": fmt.Sprintf(`{"type": "FeatureCollection", "features": [{"type": "Feature", "properties": {"zone": "Z", "field": "F", "soil": "grit", "water_table_m": null},
"geometry": {"type": "Polygon", "coordinates": [[[9.98,%[1]g],[10.02,%[1]g],[10.02,%[2]g],[9.98,%[2]g],[9.98,%[1]g]]]}}]}`, lat-0.01, lat+0.01),
		"weather.csv":        weather.String(),
		"records/passes.csv": "pivot,start,end,from_deg,to_deg,direction,water\n" + passes,
	} {
		m[name] = &fstest.MapFile{Data: []byte(text)}
	}
	return keep(t, m, today)
}

// Clocks put forward and back: a pass over the night is as long as it really was,
// and its water too; no hour is lost or counted twice between the days.
func TestDaylightSaving(t *testing.T) {
	for _, c := range []struct {
		name, first, pass, today string
		hours                    float64
		days                     [2]float64 // hours on the day before and on the day of the change
		cost                     float64    // 20 kW, 0.2 from midnight to six, else 0.1
	}{
		{"forward", "2025-03-05", "P,2025-03-08T20:00,2025-03-09T08:00,0,0,cw,yes\n", "2025-03-17", 11, [2]float64{4, 7}, 20 * (0.1*4 + 0.2*5 + 0.1*2)},
		{"back", "2025-10-29", "P,2025-11-01T20:00,2025-11-02T08:00,0,0,cw,yes\n", "2025-11-10", 13, [2]float64{4, 9}, 20 * (0.1*4 + 0.2*7 + 0.1*2)},
	} {
		b := elsewhere(t, "America/Chicago", 44, c.first, c.pass, c.today)
		w := &b.Wells[0]
		near(t, c.name+": hours", w.Season.PumpHours, c.hours, 1e-9)
		near(t, c.name+": volume", w.Season.M3, 100*c.hours, 1e-6)
		near(t, c.name+": cost", w.Season.EnergyCost, c.cost, 1e-9)
		near(t, c.name+": hours of the day before", w.Days[3].PumpHours, c.days[0], 1e-9)
		near(t, c.name+": hours of the day", w.Days[4].PumpHours, c.days[1], 1e-9)
		closes(t, b)
	}
}

// A season over 29 February, one over New Year south of the equator, and one at
// 60 degrees north in midsummer and in a dark autumn.
func TestOddCalendars(t *testing.T) {
	leap := elsewhere(t, "America/Chicago", 44, "2024-02-24", "P,2024-02-28T18:00,2024-03-01T06:00,0,0,cw,yes\n", "2024-03-07")
	near(t, "29 February", leap.Wells[0].Days[5].PumpHours, 24, 1e-9)
	if len(leap.Months) != 2 || leap.Months[0].Days != 6 || leap.Months[0].Last != (civil.Date{Year: 2024, Month: 2, Day: 29}) {
		t.Errorf("months %+v", leap.Months)
	}
	closes(t, leap)

	south := elsewhere(t, "Australia/Hobart", -42, "2024-12-26", "P,2024-12-31T18:00,2025-01-01T06:00,0,0,cw,yes\n", "2025-01-07")
	if len(south.Months) != 2 || south.Months[1].First != (civil.Date{Year: 2025, Month: 1, Day: 1}) {
		t.Errorf("months %+v", south.Months)
	}
	near(t, "December", south.Wells[0].Months[0].M3, 600, 1e-6)
	near(t, "January", south.Wells[0].Months[1].M3, 600, 1e-6)
	near(t, "highest 30 days", south.Wells[0].Peak30.M3, 1200, 1e-6)
	closes(t, south)

	for _, first := range []string{"2025-06-15", "2025-10-20"} {
		north := elsewhere(t, "Europe/Oslo", 60, first, "P,"+first+"T06:00,"+first+"T18:00,0,0,cw,yes\n", date(t, first).AddDays(12).String())
		if et := north.Total.ETM3; !(et > 0) {
			t.Errorf("%s: ET %g", first, et)
		}
		closes(t, north)
	}
}

// An earlier season that has a 29 February where this one has none.
func TestYearsBefore(t *testing.T) {
	leap := civil.Date{Year: 2024, Month: 2, Day: 29}
	if got := yearsBefore(leap, 1); got != (civil.Date{Year: 2023, Month: 2, Day: 28}) {
		t.Error(got)
	}
	if got := yearsBefore(leap, 4); got != (civil.Date{Year: 2020, Month: 2, Day: 29}) {
		t.Error(got)
	}
}

// Seasons side by side: passes and meters of earlier years are counted in their
// season, to the same day and as a whole, by this season's start.
func TestEarlierSeasons(t *testing.T) {
	passes := `pivot,start,end,from_deg,to_deg,direction,water
Long,2023-06-01T06:00,2023-06-01T18:00,0,0,cw,yes
Long,2024-05-30T06:00,2024-05-30T18:00,0,0,cw,yes
Long,2024-07-10T06:00,2024-07-10T18:00,0,0,cw,yes
Long,2025-05-20T06:00,2025-05-20T18:00,0,0,cw,yes
Long,2025-05-27T18:00,2025-05-28T06:00,0,0,cw,yes
`
	meters := `date,well,reading,unit,event
2024-05-01,North,0,gal,
2024-06-15,North,300000,gal,
2024-10-01,North,640000,gal,
`
	b := keep(t, files(t, "records/passes.csv", "", passes, "records/meters.csv", "", meters, "records/cuts.csv", "", "date,field,oil_kg\n2024-07-01,Long mint,500\n"), "2025-06-07")
	const one = 324000 * gallon
	near(t, "this season", b.Total.M3, one, 1e-6)
	if len(b.Earlier) != 2 {
		t.Fatalf("%d earlier seasons, want 2024 and 2023", len(b.Earlier))
	}
	p := &b.Earlier[0]
	// From 26 May 2024 to 25 May 2025; the pass of 20 May 2025 lies in it, unmetered.
	near(t, "2024", p.Whole.M3, (300000+340000)*gallon+one, 1e-6)
	near(t, "2024 by the meter", p.Whole.MeterM3, 640000*gallon, 1e-6)
	near(t, "2024 to 6 June", p.ToDate.M3, 300000*gallon, 1e-6)
	near(t, "oil", p.OilKg, 500, 0)
	near(t, "2023", b.Earlier[1].Whole.M3, one, 1e-6)
	near(t, "rest of 2024", p.Rest[0].M3, 340000*gallon+one, 1e-6)
	// Two weather-less years tell the season's end by the well's own use.
	if pr := b.Wells[0].Projection; pr.Method != ByOwnSeasons || pr.Years != 2 {
		t.Errorf("projection %+v", pr)
	} else {
		near(t, "projection, least", pr.Least, one, 1e-6)
		near(t, "projection, most", pr.Most, one+340000*gallon+one, 1e-6)
		near(t, "projection, mean", pr.Mean, (pr.Least+pr.Most)/2, 1e-6)
	}
}

// With weather of earlier years the season's end follows from what the crop will
// need: no rain asks the most, and every year stays between least and most.
func TestProjectionByWeather(t *testing.T) {
	var history strings.Builder
	history.WriteString("date,tmax_c,tmin_c,rhmax_pct,rhmin_pct,wind_ms,solar_mj,rain_mm\n")
	for year := 2020; year < 2025; year++ {
		for i := range 60 {
			rain := 0
			if i%3 == 0 {
				rain = 2 * (year - 2020)
			}
			fmt.Fprintf(&history, "%s,%d,%d,85,40,2.%d,%d,%d\n", civil.Date{Year: year, Month: 5, Day: 20}.AddDays(i), 25+i%5, 12+i%4, i%10, 18+i%7, rain)
		}
	}
	b := keep(t, files(t, "history.csv", "", history.String()), "2025-06-07")
	for i := range b.Wells {
		w := &b.Wells[i]
		p := w.Projection
		if p.Method != ByWeatherYears || p.Years != 5 || !(p.Least < p.Mean && p.Mean < p.Most) || p.Least < w.Season.M3 {
			t.Errorf("%s: %+v with %g to date", w.Name, p, w.Season.M3)
		}
	}
	over := keep(t, files(t, "history.csv", "", history.String(), "farm.toml", "start = 2025-05-26\n", "start = 2025-05-26\nend = 2025-06-06\n"), "2025-06-07")
	if p := over.Wells[0].Projection; p.Method != SeasonOver || p.Mean != over.Wells[0].Season.M3 {
		t.Errorf("after the season: %+v", p)
	}
}

// Days without weather carry the mean of those before, and the books say how much
// of ET rests on them.
func TestCarriedDays(t *testing.T) {
	b := keep(t, files(t), "2025-06-10")
	if w := b.Weather; w.Days != 15 || w.Carried != 3 || w.Measured != 12 {
		t.Errorf("weather %+v", w)
	}
	g := &b.Fields[1].Season.Ground
	var want float64
	for d := 12; d < 15; d++ {
		want += b.Fields[1].Days[d].ETM3
	}
	near(t, "ET on carried days", g.CarriedETM3, want, 1e-9)
	// 3 June has its humidity estimated.
	near(t, "ET on estimated days", g.FilledETM3, want+b.Fields[1].Days[8].ETM3, 1e-9)
}

// Tours: half a circle watered is half of it skipped, at the tour's own price.
func TestSkipped(t *testing.T) {
	b := keep(t, files(t), "2025-06-07")
	f := &b.Fields[0]
	if f.Rounds != 3 {
		t.Errorf("%d tours, want 3", f.Rounds)
	}
	near(t, "skipped", f.Season.SkippedM2/f.Season.ToursM2, 0.5/3, 1e-9)
	near(t, "saved", f.Season.SavedM3, 324000*gallon, 1e-6)
	// A tour under way is not counted yet: the second one, on the evening it began.
	early := keep(t, files(t), "2025-06-01")
	near(t, "under way", early.Fields[0].Season.SkippedM2, 0, 1e-9)
}

// The last pass of a season that a rain stopped and that went on a day later is
// one tour; ground watered twice begins another.
func TestRounds(t *testing.T) {
	passes := `pivot,start,end,from_deg,to_deg,direction,water
Long,2025-05-27T06:00,2025-05-27T12:00,0,180,cw,yes
Long,2025-05-28T08:00,2025-05-28T12:00,180,300,cw,yes
Long,2025-05-28T12:00,2025-05-28T14:00,300,0,cw,no
Long,2025-05-28T14:00,2025-05-29T02:00,0,0,cw,yes
`
	s := walk(t, files(t, "records/passes.csv", "", passes), "2025-06-07", fields.WalkOptions{})
	r := s.Farm.Rounds(0, s.Farm.StartOfDay(s.From), s.Farm.StartOfDay(s.Today))
	if len(r) != 2 {
		t.Fatalf("%d tours, want 2: %+v", len(r), r)
	}
	for i, want := range []float64{1, 1, 1, 30.0 / 90} {
		near(t, "share watered", r[0].Wet[i], want, 1e-9)
	}
	near(t, "dry hours", r[0].DryHours, 2, 1e-9)
	near(t, "wet hours", r[0].WetHours, 10, 1e-9)
	near(t, "water", r[0].WetM3, 10*60*450*gallon, 1e-6)
	cut := s.Farm.Rounds(0, time.Date(2025, 5, 27, 9, 0, 0, 0, s.Farm.Location), s.Farm.StartOfDay(s.Today))
	near(t, "cut off at 09:00", cut[0].WetM3, 7*60*450*gallon, 1e-6)
}

// closes holds the balance of every field and the sums against each other.
func closes(t testing.TB, b *Books) {
	t.Helper()
	for i := range b.Fields {
		g := &b.Fields[i].Season.Ground
		if c := g.ClosureM3(); !(math.Abs(c) <= 1e-9*max(1, g.InM3())) {
			t.Errorf("%s: %g m³ are unaccounted for", b.Fields[i].Name, c)
		}
	}
	if math.Abs(b.ClosureMM) > fields.MaxClosureMM {
		t.Errorf("a cell does not close by %g mm", b.ClosureMM)
	}
}
