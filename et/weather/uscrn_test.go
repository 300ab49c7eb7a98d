package weather_test

import (
	"bytes"
	"encoding/csv"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"testing"

	"sandwick/et"
	"sandwick/et/weather"
)

// uscrn is how the daily files of the US Climate Reference Network (NOAA NCEI,
// product daily01) are read without touching them. They have no wind.
var uscrn = weather.Mapping{
	Columns: map[string]string{
		"date": "lst_date", "tmax_c": "t_daily_max", "tmin_c": "t_daily_min", "rain_mm": "p_daily_calc",
		"solar_mj": "solarad_daily", "rhmax_pct": "rh_daily_max", "rhmin_pct": "rh_daily_min", "rhmean_pct": "rh_daily_avg",
	},
	IgnoreOthers: true,
	Missing:      []string{"-9999", "-99"},
}

// TestStations reads five real stations and counts every estimate. The counts
// wanted are taken from the raw text by the standard library alone.
func TestStations(t *testing.T) {
	const dir = "../../../shared/data/uscrn-2020"
	if _, err := os.Stat(dir); err != nil {
		t.Skip("no USCRN stations beside the checkout: ", err)
	}
	// Elevation from soils.csv, listed there in feet; position from the files.
	for _, st := range []struct {
		file string
		site et.Site
	}{
		{"CRND-2020-CO_Nunn_7_NNE.csv", et.Site{LatitudeDeg: 40.81, LongitudeDeg: -104.76, ElevationM: 5390 * 0.3048}},
		{"CRND-2020-GA_Newton_11_SW.csv", et.Site{LatitudeDeg: 31.19, LongitudeDeg: -84.45, ElevationM: 156 * 0.3048}},
		{"CRND-2020-IL_Champaign_9_SW.csv", et.Site{LatitudeDeg: 40.05, LongitudeDeg: -88.37, ElevationM: 700 * 0.3048}},
		{"CRND-2020-OK_Stillwater_2_W.csv", et.Site{LatitudeDeg: 36.12, LongitudeDeg: -97.09, ElevationM: 890 * 0.3048}},
		{"CRND-2020-TX_Monahans_6_ENE.csv", et.Site{LatitudeDeg: 31.62, LongitudeDeg: -102.81, ElevationM: 2724 * 0.3048}},
	} {
		st.site.WindHeightM, st.site.KRs = 2, et.KRsInterior
		text, err := os.ReadFile(filepath.Join(dir, st.file))
		if err != nil {
			t.Fatal(err)
		}
		raw, err := csv.NewReader(bytes.NewReader(text)).ReadAll()
		if err != nil {
			t.Fatal(err)
		}
		column := map[string]int{}
		for i, name := range raw[0] {
			column[name] = i
		}
		empty := func(names ...string) (n int) { // rows in which one of the columns is empty
			for _, row := range raw[1:] {
				for _, name := range names {
					if row[column[name]] == "" {
						n++
						break
					}
				}
			}
			return n
		}
		noHumidity := 0 // rows without any humidity that FAO-56 can use
		for _, row := range raw[1:] {
			if row[column["rh_daily_max"]] == "" && row[column["rh_daily_avg"]] == "" {
				noHumidity++
			}
		}
		rec, ps := weather.Read(bytes.NewReader(text), weather.Options{File: st.file, Mapping: uscrn, Site: &st.site})
		if ps.Err() != nil {
			t.Errorf("%s: %v", st.file, ps)
			continue
		}
		got, lost := map[string]int{}, 0
		for i, ref := range rec.References(st.site, et.FAO56) {
			for _, name := range ref.Filled.Names() {
				got[name]++
			}
			if math.IsNaN(ref.EToMM) {
				lost++
			} else if ref.EToMM < -0.5 || ref.EToMM > 15 {
				t.Errorf("%s: ETo of %s is %g", st.file, ref.Date, ref.EToMM)
			}
			want, err := strconv.ParseFloat(raw[i+1][column["t_daily_max"]], 64)
			if err == nil && rec.Days[i].TmaxC != want {
				t.Errorf("%s: Tmax of %s is %g, want %g", st.file, ref.Date, ref.TmaxC, want)
			}
		}
		want := map[string]int{
			"temperature": empty("t_daily_max", "t_daily_min"), // all gaps are single days inside the year
			"humidity":    noHumidity,
			"wind":        len(raw) - 1,
			"radiation":   empty("solarad_daily"),
			"rain":        empty("p_daily_calc"),
		}
		for name, n := range want {
			if got[name] != n {
				t.Errorf("%s: %d days marked for %s, want %d", st.file, got[name], name, n)
			}
		}
		if len(rec.Days) != 366 || lost != 0 {
			t.Errorf("%s: %d days, %d of them without ETo", st.file, len(rec.Days), lost)
		}
		t.Logf("%s: estimated %v, doubts:\n%v", st.file, got, rec.Doubts)
	}
}
