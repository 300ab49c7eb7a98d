// Speed and memory: ten seasons of two hundred pivots.

package books

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/golang-sql/civil"

	"sandwick/fields"
)

// bigFarm writes a farm of so many pivots with so many seasons of records, the
// last of them 2025: a pass every fourth day, meters read every month. Every
// circle has a high and a low half.
func bigFarm(t testing.TB, dir string, pivots, seasons int) {
	t.Helper()
	var farm, zones, weather, history, passes, meters, rain strings.Builder
	farm.WriteString("[farm]\nname = \"Long Row\"\ntimezone = \"America/Chicago\"\nunits = \"us\"\n[site]\nlatitude_deg = 44\nlongitude_deg = -95\nelevation_m = 300\n" +
		"[season]\nstart = 2025-04-20\nend = 2025-10-15\n[[soils]]\nname = \"grit\"\nhydraulics = \"field sand\"\n[prices]\nlabour_per_start = 10\n")
	zones.WriteString(`{"type": "FeatureCollection", "features": [`)
	passes.WriteString("pivot,start,end,from_deg,to_deg,direction,timer_pct,water\n")
	meters.WriteString("date,well,reading,unit,event\n")
	rain.WriteString("date,place,amount_mm\n")
	const dx, dy = 0.011, 0.008
	for p := range pivots {
		x, y := -95+dx*float64(p%20), 44+dy*float64(p/20)
		if p%2 == 0 {
			fmt.Fprintf(&farm, "[[wells]]\nname = \"W%d\"\nflow_m3h = 400\nseason_limit_m3 = 900000\nenergy = {per_kwh = 0.1, peak = [{from = \"14:00\", to = \"19:00\", per_kwh = 0.3}]}\n", p/2)
		}
		fmt.Fprintf(&farm, "[[pivots]]\nname = \"P%03d\"\nwell = \"W%d\"\ncenter = [%.6f, %.6f]\nlength_m = 400\nflow_m3h = 180\nhours_at_full_timer = 14\npower_kw = 40\n", p, p/2, x, y)
		fmt.Fprintf(&farm, "[[fields]]\nname = \"F%03d\"\npivot = \"P%03d\"\ncrop = \"peppermint\"\nstart = 2025-04-20\n", p, p)
		if p > 0 {
			zones.WriteByte(',')
		}
		box := func(name, table string, x0, x1 float64) {
			fmt.Fprintf(&zones, "\n{\"type\": \"Feature\", \"properties\": {\"zone\": \"%s%03d\", \"field\": \"F%03d\", \"soil\": \"grit\", \"water_table_m\": %s}, \"geometry\": {\"type\": \"Polygon\", \"coordinates\": [[[%.6f,%.6f],[%.6f,%.6f],[%.6f,%.6f],[%.6f,%.6f],[%.6f,%.6f]]]}}",
				name, p, p, table, x0, y-dy/2, x1, y-dy/2, x1, y+dy/2, x0, y+dy/2, x0, y-dy/2)
		}
		box("low", "1.1", x-dx/2, x)
		zones.WriteByte(',')
		box("high", "null", x, x+dx/2)
	}
	zones.WriteString("]}\n")
	head := "date,tmax_c,tmin_c,rhmax_pct,rhmin_pct,wind_ms,solar_mj,rain_mm\n"
	weather.WriteString(head)
	history.WriteString(head)
	for k := seasons - 1; k >= 0; k-- {
		first := civil.Date{Year: 2025 - k, Month: 4, Day: 20}
		out := &history
		if k == 0 {
			out = &weather
		}
		for i := range 179 {
			d := first.AddDays(i)
			wet := 0
			if i%6 == 2 {
				wet = 9 + i%5
			}
			fmt.Fprintf(out, "%s,%d,%d,88,%d,%d.%d,%d,%d\n", d, 22+i%9, 9+i%6, 38+i%11, 1+i%3, i%10, 9+i%8, wet)
			if i%4 == 0 {
				for p := range pivots {
					fmt.Fprintf(&passes, "P%03d,%sT%02d:30,%sT%02d:30,0,0,cw,,yes\n", p, d, 6+p%5, d.AddDays(1), 12+p%5)
				}
			}
			if d.Day == 1 {
				for w := range (pivots + 1) / 2 {
					fmt.Fprintf(&meters, "%s,W%d,%d,m3,\n", d, w, 1000000*(seasons-k)+5300*i+w)
				}
			}
			if wet > 0 {
				for p := 0; p < pivots; p += 7 {
					fmt.Fprintf(&rain, "%s,F%03d,%d.%d\n", d, p, wet, p%10)
				}
			}
		}
	}
	files := map[string]string{
		"farm.toml": farm.String(), "zones.geojson": zones.String(), "weather.csv": weather.String(), "history.csv": history.String(),
		"records/passes.csv": passes.String(), "records/meters.csv": meters.String(), "records/rain.csv": rain.String(),
	}
	if err := os.MkdirAll(filepath.Join(dir, "records"), 0o755); err != nil {
		t.Fatal(err)
	}
	for name, text := range files {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
}

// BenchmarkTenSeasons is the whole of a report but the printing: files read,
// the season walked, the books kept.
func BenchmarkTenSeasons(b *testing.B) {
	dir := b.TempDir()
	if keep := os.Getenv("SANDWICK_BIG_FARM"); keep != "" { // to run the program itself on it
		dir = keep
	}
	bigFarm(b, dir, 200, 10)
	b.ReportAllocs()
	for b.Loop() {
		f, problems := fields.Load(dir)
		if len(problems) > 0 {
			b.Fatal(problems)
		}
		s, err := f.Walk(civil.Date{Year: 2025, Month: 10, Day: 16}, fields.WalkOptions{})
		if err != nil {
			b.Fatal(err)
		}
		books := Make(s, Usual())
		if len(books.Earlier) != 9 || !(books.Total.M3 > 0) {
			b.Fatalf("%d earlier seasons, %g m³", len(books.Earlier), books.Total.M3)
		}
	}
}

// BenchmarkMake is the books alone.
func BenchmarkMake(b *testing.B) {
	dir := b.TempDir()
	bigFarm(b, dir, 20, 10)
	f, problems := fields.Load(dir)
	if len(problems) > 0 {
		b.Fatal(problems)
	}
	s, err := f.Walk(civil.Date{Year: 2025, Month: 10, Day: 16}, fields.WalkOptions{})
	if err != nil {
		b.Fatal(err)
	}
	b.ReportAllocs()
	for b.Loop() {
		if books := Make(s, Usual()); math.IsNaN(books.Total.M3) {
			b.Fatal("no total")
		}
	}
}
