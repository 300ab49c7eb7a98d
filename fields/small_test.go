// The small farm of testdata and the means to change it.

package fields

import (
	"fmt"
	"io/fs"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/rogpeppe/go-internal/txtar"

	"github.com/golang-sql/civil"
)

// smallFarm is testdata/small.txtar with changes: triples of file, old text
// and new text; old "" replaces the file, new "<none>" takes it away.
func smallFarm(t testing.TB, changes ...string) fs.FS {
	t.Helper()
	ar, err := txtar.ParseFile("testdata/small.txtar")
	if err != nil {
		t.Fatal(err)
	}
	m := fstest.MapFS{}
	for _, f := range ar.Files {
		m[f.Name] = &fstest.MapFile{Data: f.Data}
	}
	for i := 0; i < len(changes); i += 3 {
		name, old, now := changes[i], changes[i+1], changes[i+2]
		switch {
		case now == "<none>":
			delete(m, name)
		case old == "":
			m[name] = &fstest.MapFile{Data: []byte(now)}
		default:
			text := string(m[name].Data)
			if strings.Count(text, old) == 0 {
				t.Fatalf("%s does not contain %q", name, old)
			}
			m[name] = &fstest.MapFile{Data: []byte(strings.Replace(text, old, now, 1))}
		}
	}
	return m
}

func mustLoad(t testing.TB, fsys fs.FS) *Farm {
	t.Helper()
	f, problems := LoadFS(fsys)
	if len(problems) > 0 {
		t.Fatalf("the farm should be sound:\n%v", problems)
	}
	return f
}

func mustWalk(t testing.TB, f *Farm, today civil.Date, o WalkOptions) *Season {
	t.Helper()
	s, err := f.Walk(today, o)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func date(t testing.TB, text string) civil.Date {
	t.Helper()
	d, err := civil.ParseDate(text)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

// bigFarm is the small farm cut into 720 cells over a water table, with 121
// days of made-up weather from 2 May 2025.
func bigFarm(t testing.TB) fs.FS {
	t.Helper()
	zone := func(name, table, ring string) string {
		return `{"type": "Feature", "properties": {"zone": "` + name + `", "field": "Round", "soil": "grit", ` + table +
			`}, "geometry": {"type": "Polygon", "coordinates": [[` + ring + `]]}}`
	}
	zones := `{"type": "FeatureCollection", "features": [` + strings.Join([]string{
		zone("Middle", `"water_table_m": 0.9`, "[-95.001,43.999],[-94.999,43.999],[-94.999,44.001],[-95.001,44.001],[-95.001,43.999]"),
		zone("East", `"water_table_m": null`, "[-95,43.99],[-94.99,43.99],[-94.99,44.01],[-95,44.01],[-95,44.001],[-94.999,44.001],[-94.999,43.999],[-95,43.999],[-95,43.99]"),
		zone("West", `"water_table_m": 1.5`, "[-95,43.99],[-95,43.999],[-95.001,43.999],[-95.001,44.001],[-95,44.001],[-95,44.01],[-95.01,44.01],[-95.01,43.99],[-95,43.99]"),
	}, ",\n") + `]}`
	var weather, passes strings.Builder
	weather.WriteString("date,tmax_c,tmin_c,rhmax_pct,rhmin_pct,wind_ms,solar_mj,rain_mm\n")
	passes.WriteString("pivot,start,end,from_deg,to_deg,direction,water\n")
	d := civil.Date{Year: 2025, Month: 5, Day: 2}
	for i := range 121 {
		rain := 0
		if i%9 == 4 {
			rain = 14
		}
		fmt.Fprintf(&weather, "%s,%d,%d,88,%d,%d.%d,%d,%d\n", d, 24+i%7, 11+i%5, 38+i%11, 1+i%3, i%10, 18+i%9, rain)
		if i%5 == 1 {
			fmt.Fprintf(&passes, "Wheel,%sT06:00,%sT10:00,0,0,cw,yes\n", d, d.AddDays(1))
		}
		d = d.AddDays(1)
	}
	return smallFarm(t, "farm.toml", "slice_deg = 90", "slice_deg = 1",
		"farm.toml", "start = 2025-06-01", "start = 2025-05-02",
		"farm.toml", `mode = "single"`+"\nlayers = 1", `mode = "dual"`+"\nlayers = 4",
		"farm.toml", "kc_ini = 0.4\nkc_mid = 0.4\nkc_end = 0.4\n", "",
		"zones.geojson", "", zones, "weather.csv", "", weather.String(), "records/passes.csv", "", passes.String(),
		"records/rain.csv", "", "<none>", "records/water_table.csv", "", "<none>", "records/probes.csv", "", "<none>",
		"records/seen.csv", "", "<none>", "forecast.csv", "", "<none>")
}
