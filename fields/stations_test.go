// Five stations of the US Climate Reference Network (NOAA NCEI, product daily01,
// 2020) as farms of one unirrigated field: their files as they are, read
// through the mapping in farm.toml. Skipped where the data is absent.

package fields

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"testing"
	"testing/fstest"
)

// stationFarm is a farm around a station's file. Texture is the class of the
// network's soil table near the surface.
func stationFarm(t *testing.T, src []byte, lat, lon, elevFt float64, texture string) fstest.MapFS {
	t.Helper()
	farm := fmt.Sprintf(`
[farm]
name = "Station"
timezone = "Etc/GMT+6" # the network's day is one of local standard time
[site]
latitude_deg = %g
longitude_deg = %g
elevation_ft = %g
[season]
start = 2020-01-01
[weather]
columns = {date = "lst_date", tmax_c = "t_daily_max", tmin_c = "t_daily_min", rain_mm = "p_daily_calc", solar_mj = "solarad_daily", rhmax_pct = "rh_daily_max", rhmin_pct = "rh_daily_min", rhmean_pct = "rh_daily_avg"}
ignore_others = true
[[soils]]
name = "plot"
hydraulics = %q
[[fields]]
name = "Plot"
crop = "cover"
start = 2020-01-01
`, lat, lon, elevFt, texture)
	w := 0.001
	zones := fmt.Sprintf(`{"type": "FeatureCollection", "features": [{"type": "Feature",
 "properties": {"zone": "Plot", "field": "Plot", "soil": "plot", "water_table_m": null},
 "geometry": {"type": "Polygon", "coordinates": [[[%[1]g, %[2]g], [%[3]g, %[2]g], [%[3]g, %[4]g], [%[1]g, %[4]g], [%[1]g, %[2]g]]]}}]}`,
		lon-w, lat-w, lon+w, lat+w)
	return fstest.MapFS{
		"farm.toml":     {Data: []byte(farm)},
		"zones.geojson": {Data: []byte(zones)},
		"weather.csv":   {Data: src},
	}
}

func TestStations(t *testing.T) {
	dir := filepath.Join("..", "..", "shared", "data", "uscrn-2020")
	if _, err := os.Stat(dir); err != nil {
		t.Skip("the USCRN station files are not beside the checkout")
	}
	for _, st := range []struct {
		file             string
		lat, lon, elevFt float64 // from the network's soil table
		texture          string
	}{
		{"CRND-2020-CO_Nunn_7_NNE.csv", 40.8066, -104.7552, 5390, "sand (class average)"},
		{"CRND-2020-GA_Newton_11_SW.csv", 31.1923, -84.4465, 156, "loamy sand (class average)"},
		{"CRND-2020-IL_Champaign_9_SW.csv", 40.0528, -88.3729, 700, "silty clay loam"},
		{"CRND-2020-OK_Stillwater_2_W.csv", 36.1181, -97.0914, 890, "clay loam"},
		{"CRND-2020-TX_Monahans_6_ENE.csv", 31.6219, -102.8071, 2724, "sand (class average)"},
	} {
		t.Run(st.file, func(t *testing.T) {
			src, err := os.ReadFile(filepath.Join(dir, st.file))
			if err != nil {
				t.Fatal(err)
			}
			f := mustLoad(t, stationFarm(t, src, st.lat, st.lon, st.elevFt, st.texture))
			s := mustWalk(t, f, date(t, "2021-01-01"), WalkOptions{KeepCells: true})
			if s.Days() != 366 {
				t.Fatalf("%d days walked, want 366", s.Days())
			}
			var eto, et, rain, perc, runoff float64
			estimates := map[string]int{}
			for d := range s.Days() {
				a, sky := s.Account(d, 0), &s.Skies[d]
				in := f.Weather.Days[d]
				names := sky.Filled.Names()
				// The network's daily product has no wind: every day says so.
				if !slices.Contains(names, "wind") {
					t.Fatalf("%s: wind is not marked as estimated: %v", a.Date, names)
				}
				for what, missing := range map[string]bool{
					"radiation": math.IsNaN(in.RsMJ), "rain": math.IsNaN(in.RainMM),
				} {
					if missing != slices.Contains(names, what) && sky.Basis == Measured {
						t.Errorf("%s: %s missing: %v, marked: %v", a.Date, what, missing, names)
					}
				}
				if sky.Basis != Measured && len(names) != 5 {
					t.Errorf("%s is %s but marks only %v", a.Date, sky.Basis, names)
				}
				for _, n := range names {
					estimates[n]++
				}
				eto += a.EToMM
				et += a.ETMM
				rain += a.RainMM
				perc += a.PercMM
				runoff += a.RunoffMM
				if !(a.DepletMM >= -1e-9 && a.DepletMM <= a.TAWMM+20) { // bare ground may dry to TEW
					t.Errorf("%s: depletion %.2f of %.2f mm", a.Date, a.DepletMM, a.TAWMM)
				}
				if !(a.Ks >= 0 && a.Ks <= 1+1e-12) { // a quotient of sums over layers: rounding
					t.Errorf("%s: Ks %g", a.Date, a.Ks)
				}
			}
			if left := s.StartMM[0] + rain - runoff - et - perc - s.Account(365, 0).StorageMM; math.Abs(left) > 1e-7 {
				t.Errorf("the year's books miss %.3g mm", left)
			}
			if s.Estimated > 0 && len(s.Doubts) == 0 {
				t.Error("days without weather pass without a word")
			}
			t.Logf("ETo %.0f, rain %.0f, ET %.0f, percolation %.0f mm; estimated days by input: %v; %d doubts", eto, rain, et, perc, estimates, len(f.Doubts)+len(s.Doubts))
		})
	}
}
