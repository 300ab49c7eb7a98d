// Files from elsewhere through the real commands: five stations of the US
// Climate Reference Network (NOAA NCEI, product daily01, 2020), columns as the
// network has them. Skipped where the data is not beside the checkout.

package main

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"
)

// stationFarm writes a farm of one field without a pivot around a station file.
func stationFarm(t *testing.T, file string) (dir string) {
	t.Helper()
	data, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	// The file carries its own place, columns longitude and latitude.
	rows := strings.SplitN(string(data), "\n", 3)
	place := map[string]float64{}
	for i, name := range strings.Split(rows[0], ",") {
		if name == "longitude" || name == "latitude" {
			if place[name], err = strconv.ParseFloat(strings.Split(rows[1], ",")[i], 64); err != nil {
				t.Fatal(err)
			}
		}
	}
	lon, lat := place["longitude"], place["latitude"]
	dir = t.TempDir()
	files := map[string][]byte{
		"weather.csv": data,
		"farm.toml": fmt.Appendf(nil, `
[farm]
name = "Station"
timezone = "Etc/GMT+6"
units = "si"
[site]
latitude_deg = %g
longitude_deg = %g
elevation_m = 500
[season]
start = 2020-01-01
[weather]
columns = { date = "lst_date", tmax_c = "t_daily_max", tmin_c = "t_daily_min", rain_mm = "p_daily_calc", solar_mj = "solarad_daily", rhmax_pct = "rh_daily_max", rhmin_pct = "rh_daily_min" }
ignore_others = true
[[soils]]
name = "plot"
hydraulics = "sand (class average)"
[[fields]]
name = "Plot"
crop = "cover"
start = 2020-01-01
`, lat, lon),
		"zones.geojson": fmt.Appendf(nil, `{"type": "FeatureCollection", "features": [{"type": "Feature",
			"properties": {"zone": "Plot", "field": "Plot", "soil": "plot", "water_table_m": null},
			"geometry": {"type": "Polygon", "coordinates": [[[%[1]g, %[2]g], [%[3]g, %[2]g], [%[3]g, %[4]g], [%[1]g, %[4]g], [%[1]g, %[2]g]]]}}]}`,
			lon, lat, lon+0.001, lat+0.001),
	}
	for name, data := range files {
		if err := os.WriteFile(filepath.Join(dir, name), data, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	return dir
}

func TestStationsThroughTheCommands(t *testing.T) {
	files, err := filepath.Glob(filepath.FromSlash("../../../shared/data/uscrn-2020/CRND-*.csv"))
	if err != nil {
		t.Fatal(err)
	}
	if len(files) == 0 {
		t.Skip("the station files are not beside the checkout")
	}
	for _, file := range files {
		t.Run(filepath.Base(file), func(t *testing.T) {
			dir := stationFarm(t, file)
			command := func(args ...string) string {
				t.Helper()
				var out, messages bytes.Buffer
				p := testProgram(time.Date(2021, 3, 1, 18, 0, 0, 0, time.UTC))
				if status := p.run(context.Background(), append(args, "--farm", dir), strings.NewReader(""), &out, &messages); status != exitDone {
					t.Fatalf("%v: exit status %d\n%s", args, status, messages.String())
				}
				if text := out.String(); strings.Contains(text, "NaN") || strings.Contains(text, "Inf") {
					t.Errorf("%v prints a number that is none", args)
				}
				return out.String()
			}
			unwrapped := func(text string) string { return strings.Join(strings.Fields(text), " ") }
			for _, name := range []string{"et", "balance"} {
				var answer struct {
					Rows []struct {
						Date   string
						Filled []string
					}
				}
				if err := json.Unmarshal([]byte(command(name, "--json")), &answer); err != nil {
					t.Fatal(err)
				}
				if len(answer.Rows) != 366 {
					t.Fatalf("%s: %d rows, want 366: 2020 was a leap year", name, len(answer.Rows))
				}
				for _, r := range answer.Rows {
					if !slices.Contains(r.Filled, "wind") {
						t.Fatalf("%s: %s: wind was not measured and is not marked: %v", name, r.Date, r.Filled)
					}
				}
				if lines := strings.Count(command(name, "--csv"), "\n"); lines != 367 {
					t.Errorf("%s --csv: %d lines, want a header and 366 rows", name, lines)
				}
			}
			if text := unwrapped(command("et")); !strings.Contains(text, "wind") || !strings.Contains(text, "Something was estimated on 366 days.") {
				t.Errorf("et says nothing of the wind:\n%s", text)
			}
			if text := unwrapped(command("balance")); !strings.Contains(text, "*") || !strings.Contains(text, "the books close") {
				t.Errorf("balance marks nothing:\n%s", text)
			}
			// Weather that ended two months ago makes no plan, and a farm without a pivot has none to make.
			var out, messages bytes.Buffer
			p := testProgram(time.Date(2021, 3, 1, 18, 0, 0, 0, time.UTC))
			if status := p.run(context.Background(), []string{"plan", "--farm", dir}, strings.NewReader(""), &out, &messages); status != exitNo || out.Len() > 0 {
				t.Errorf("plan: exit status %d, %s", status, messages.String())
			}
		})
	}
}
