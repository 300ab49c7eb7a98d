// Random farms: whatever is recorded, the books add up.

package books

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"
	"testing/fstest"
	"time"

	"github.com/golang-sql/civil"

	"sandwick/fields"
)

// sumTol is how far sums may differ, relative to their size.
const sumTol = 1e-6

func TestBooksAddUp(t *testing.T) {
	for seed := range uint64(40) {
		rng := rand.New(rand.NewPCG(seed, 5))
		m := randomFarm(rng)
		s := walk(t, m, "2025-07-05", fields.WalkOptions{KeepCells: true})
		b := Make(s, Usual())
		if t.Failed() {
			return
		}
		addUp(t, b)
		if t.Failed() {
			t.Fatalf("seed %d\n%s\n%s\n%s", seed, m["farm.toml"].Data, m["records/passes.csv"].Data, m["records/meters.csv"].Data)
		}
	}
}

// randomFarm has one to four circles on one to three wells, zones that may leave
// part of a circle out, an end gun here and there, and passes, meters and rain at
// random.
func randomFarm(rng *rand.Rand) fstest.MapFS {
	var farm, zones, passes, meters, rain, weather strings.Builder
	farm.WriteString("[farm]\nname = \"Dice\"\ntimezone = \"America/Chicago\"\nslice_deg = 30\n[site]\nlatitude_deg = 44\nlongitude_deg = -95\nelevation_m = 300\n[season]\nstart = 2025-06-01\ninitial_depletion_pct = 20\n" +
		"[[soils]]\nname = \"grit\"\nhydraulics = \"field sand\"\ncurve_number = 70\n[prices]\nlabour_per_start = 7\n")
	wells, pivots := 1+rng.IntN(3), 1+rng.IntN(4)
	meters.WriteString("date,well,reading,unit,event\n")
	for w := range wells {
		nitrate := ""
		if rng.IntN(2) == 0 {
			nitrate = fmt.Sprintf("nitrate_ppm = %d\n", rng.IntN(20))
		}
		fmt.Fprintf(&farm, "[[wells]]\nname = \"W%d\"\nflow_m3h = 900\nfuel_per_h = %d\nenergy = {per_kwh = 0.1, peak = [{from = \"22:00\", to = \"07:00\", per_kwh = 0.05}]}\n%s", w, rng.IntN(5), nitrate)
		count := rng.Float64() * 5000
		for day := rng.IntN(12) - 5; day < 36; day += 1 + rng.IntN(12) {
			event := ""
			switch rng.IntN(10) {
			case 0:
				event, count = "replaced", rng.Float64()*100
			case 1:
				event = "missing"
			case 2:
				count = max(0, count-500) // nobody says why
			default:
				count += rng.Float64() * 9000
			}
			text := fmt.Sprintf("%.1f", count)
			if event == "missing" {
				text = ""
			}
			fmt.Fprintf(&meters, "%s,W%d,%s,m3,%s\n", civil.Date{Year: 2025, Month: 6, Day: 1}.AddDays(day), w, text, event)
		}
	}
	zones.WriteString(`{"type": "FeatureCollection", "features": [`)
	passes.WriteString("pivot,start,end,from_deg,to_deg,direction,timer_pct,water\n")
	rain.WriteString("date,place,amount_mm\n")
	loc, err := time.LoadLocation("America/Chicago")
	if err != nil {
		panic(err)
	}
	comma := ""
	for p := range pivots {
		x := -95 + 0.02*float64(p)
		gun := ""
		if rng.IntN(3) == 0 {
			gun = "end_gun_throw_m = 20\nend_gun_flow_m3h = 25\nend_gun_arcs = [[40, 130], [200, 215]]\n"
		}
		fmt.Fprintf(&farm, "[[pivots]]\nname = \"P%d\"\nwell = \"W%d\"\ncenter = [%.3f, 44]\nlength_m = 250\nflow_m3h = %d\nhours_at_full_timer = 9\npower_kw = 25\ndry_power_kw = 3\nefficiency_pct = 84\nreversible = true\n%s", p, rng.IntN(wells), x, 90+rng.IntN(80), gun)
		fmt.Fprintf(&farm, "[[fields]]\nname = \"F%d\"\npivot = \"P%d\"\ncrop = \"peppermint\"\nstart = 2025-05-01\n", p, p)
		split := x - 0.002 + 0.004*rng.Float64()
		right := x + 0.006
		if rng.IntN(2) == 0 {
			right = x + 0.002 // a strip of the circle lies in no zone
		}
		table := "null"
		if rng.IntN(2) == 0 {
			table = fmt.Sprintf("%.2f", 0.6+rng.Float64())
		}
		for i, r := range [][2]float64{{x - 0.006, split}, {split, right}} {
			fmt.Fprintf(&zones, "%s\n{\"type\": \"Feature\", \"properties\": {\"zone\": \"Z%d%d\", \"field\": \"F%d\", \"soil\": \"grit\", \"water_table_m\": %s}, \"geometry\": {\"type\": \"Polygon\", \"coordinates\": [[[%.6f,43.996],[%.6f,43.996],[%.6f,44.004],[%.6f,44.004],[%.6f,43.996]]]}}",
				comma, p, i, p, table, r[0], r[1], r[1], r[0], r[0])
			comma, table = ",", "null"
		}
		at, deg := time.Date(2025, 5, 30, rng.IntN(24), 0, 0, 0, loc), rng.IntN(360)
		for at.Before(time.Date(2025, 7, 3, 0, 0, 0, 0, loc)) {
			to := rng.IntN(360)
			span, way := (to-deg+360)%360, "cw"
			if rng.IntN(2) == 0 {
				span, way = 360-span, "ccw"
			}
			if span == 0 {
				span = 360
			}
			hours := 9 * float64(span) / 360 * (1 + 4*rng.Float64())
			end := at.Add(time.Duration(hours*3600) * time.Second).Add(time.Minute).Truncate(time.Minute)
			water := "yes"
			if rng.IntN(3) == 0 {
				water = "no"
			}
			fmt.Fprintf(&passes, "P%d,%s,%s,%d,%d,%s,,%s\n", p, at.Format(time.RFC3339), end.Format(time.RFC3339), deg, to, way, water)
			deg, at = to, end
			if rng.IntN(2) == 0 {
				at = at.Add(time.Duration(rng.IntN(90)) * time.Hour)
			}
		}
		for day := 1; day < 30; day += 1 + rng.IntN(9) {
			fmt.Fprintf(&rain, "2025-06-%02d,F%d,%.1f\n", day, p, 30*rng.Float64()*rng.Float64())
		}
	}
	zones.WriteString("]}\n")
	weather.WriteString("date,tmax_c,tmin_c,rhmax_pct,rhmin_pct,wind_ms,solar_mj,rain_mm\n")
	for i := range 32 { // two days short of the books
		wet := ""
		if rng.IntN(8) > 0 {
			wet = fmt.Sprint(max(0, rng.IntN(40)-25))
		}
		fmt.Fprintf(&weather, "%s,%d,%d,%d,%d,%d.%d,%d,%s\n", civil.Date{Year: 2025, Month: 6, Day: 1}.AddDays(i), 22+rng.IntN(12), 8+rng.IntN(9), 80+rng.IntN(15), 30+rng.IntN(30), 1+rng.IntN(4), rng.IntN(10), 10+rng.IntN(16), wet)
	}
	m := fstest.MapFS{}
	for name, text := range map[string]string{
		"farm.toml": farm.String(), "zones.geojson": zones.String(), "weather.csv": weather.String(),
		"records/passes.csv": passes.String(), "records/meters.csv": meters.String(), "records/rain.csv": rain.String(),
	} {
		m[name] = &fstest.MapFile{Data: []byte(text)}
	}
	return m
}

// addUp holds cells against zones, zones against fields, fields against wells,
// wells against the farm, and months and days against the season.
func addUp(t *testing.T, b *Books) {
	t.Helper()
	s, f := b.Season, b.Season.Farm
	same := func(what string, got, want float64) {
		t.Helper()
		if !(math.Abs(got-want) <= sumTol*max(math.Abs(got), math.Abs(want), 1e-3)) {
			t.Errorf("%s: %.9g, want %.9g", what, got, want)
		}
	}
	var ground Ground
	var drawn, wells Drawn
	for i := range b.Fields {
		fd := &b.Fields[i]
		var zones, months, days Entry
		var cells Ground
		for z := range fd.Zones {
			zones.Add(&fd.Zones[z].Season)
		}
		for m := range fd.Months {
			months.Add(&fd.Months[m])
		}
		for d := range fd.Days {
			days.Add(&fd.Days[d])
		}
		for c, cell := range f.Cells() {
			if f.ZoneField(cell.Zone) != i {
				continue
			}
			for d := range s.Days() {
				a := s.Cell(d, c)
				v := cell.AreaM2 / 1000
				cells.RainM3 += v * a.RainMM
				cells.NetM3 += v * a.NetMM
				cells.GrossM3 += v * a.GrossMM
				cells.UpfluxM3 += v * a.UpfluxMM
				cells.ETM3 += v * a.ETMM
				cells.ETcM3 += v * a.ETcMM
				cells.PercM3 += v * a.PercolationMM
				cells.RunoffM3 += v * a.RunoffMM
				cells.CorrectM3 += v * a.CorrectMM
			}
		}
		for what, pair := range map[string][2]float64{
			"rain": {cells.RainM3, fd.Season.RainM3}, "net": {cells.NetM3, fd.Season.NetM3}, "gross": {cells.GrossM3, fd.Season.GrossM3},
			"upflux": {cells.UpfluxM3, fd.Season.UpfluxM3}, "ET": {cells.ETM3, fd.Season.ETM3}, "ETc": {cells.ETcM3, fd.Season.ETcM3},
			"percolation": {cells.PercM3, fd.Season.PercM3}, "runoff": {cells.RunoffM3, fd.Season.RunoffM3}, "corrections": {cells.CorrectM3, fd.Season.CorrectM3},
			"gross by hours × flow": {cells.GrossM3, fd.Season.PassM3},
		} {
			same(fd.Name+": cells, "+what, pair[0], pair[1])
		}
		same(fd.Name+": spray", fd.Season.SprayM3, fd.Season.GrossM3-fd.Season.NetM3)
		for what, e := range map[string]*Entry{"zones": &zones, "months": &months, "days": &days} {
			for name, pair := range numbers(e, &fd.Season) {
				if what == "days" && (name == "EffectiveM3" || name == "NetPercolationM3" || name[0] == 's') {
					continue // by month and by tour only
				}
				same(fd.Name+": "+what+", "+name, pair[0], pair[1])
			}
		}
		closes(t, b)
		if sk := fd.Season.SkippedM2; sk < -1e-6 || sk > fd.Season.ToursM2+1e-6 {
			t.Errorf("%s: %g of %g m² skipped", fd.Name, sk, fd.Season.ToursM2)
		}
		drawn.Add(&fd.Season.Drawn)
		ground.Add(&fd.Season.Ground)
	}
	drawn.Add(&b.Loose)
	drawn.Add(&b.Bare)
	for i := range b.Wells {
		w := &b.Wells[i]
		wells.Add(&w.Season)
		var months, days Drawn
		for m := range w.Months {
			months.Add(&w.Months[m])
		}
		for d := range w.Days {
			days.Add(&w.Days[d])
		}
		for name, pair := range drawnNumbers(&months, &w.Season) {
			same(w.Name+": months, "+name, pair[0], pair[1])
		}
		for name, pair := range drawnNumbers(&days, &w.Season) {
			same(w.Name+": days, "+name, pair[0], pair[1])
		}
		if w.Season.MeterM3 > w.Season.M3*(1+sumTol) || w.Season.M3 < 0 || w.PeakDay.M3 > w.Peak30.M3*(1+sumTol) {
			t.Errorf("%s: %+v, highest day %+v, 30 days %+v", w.Name, w.Season, w.PeakDay, w.Peak30)
		}
		metered := 0.0
		for k := range w.Intervals {
			if v := &w.Intervals[k]; v.Used() && !v.From.Before(b.From) && !v.To.After(b.To) {
				metered += v.MeterM3
			}
		}
		if w.Season.MeterM3 < metered*(1-sumTol) {
			t.Errorf("%s: the meter's intervals hold %g, the season %g", w.Name, metered, w.Season.MeterM3)
		}
	}
	for name, pair := range drawnNumbers(&drawn, &wells) {
		same("fields and the rest against wells, "+name, pair[0], pair[1])
	}
	for name, pair := range drawnNumbers(&wells, &b.Total.Drawn) {
		same("wells against the farm, "+name, pair[0], pair[1])
	}
	same("fields against the farm, ET", ground.ETM3, b.Total.ETM3)
	same("fields against the farm, rain", ground.RainM3, b.Total.RainM3)
	same("hours × flow against the walk", wells.PassM3, walked(s))
}

// walked is what the walk itself booked as pumped.
func walked(s *fields.Season) float64 {
	sum := 0.0
	for p := range s.Pumped {
		for d := range s.Pumped[p] {
			sum += s.Pumped[p][d].VolumeM3
		}
	}
	return sum
}

func drawnNumbers(a, b *Drawn) map[string][2]float64 {
	return map[string][2]float64{
		"M3": {a.M3, b.M3}, "MeterM3": {a.MeterM3, b.MeterM3}, "PassM3": {a.PassM3, b.PassM3}, "CheckM3": {a.CheckM3, b.CheckM3},
		"PumpHours": {a.PumpHours, b.PumpHours}, "DryHours": {a.DryHours, b.DryHours}, "TimerHours": {a.TimerHours, b.TimerHours},
		"Starts": {a.Starts, b.Starts}, "EnergyKWh": {a.EnergyKWh, b.EnergyKWh}, "EnergyCost": {a.EnergyCost, b.EnergyCost},
		"FuelCost": {a.FuelCost, b.FuelCost}, "LabourCost": {a.LabourCost, b.LabourCost}, "NitrateKg": {a.NitrateKg, b.NitrateKg},
		"UntestedM3": {a.UntestedM3, b.UntestedM3},
	}
}

// numbers pairs everything that adds up; names of what tours save begin small.
func numbers(a, b *Entry) map[string][2]float64 {
	m := drawnNumbers(&a.Drawn, &b.Drawn)
	for name, pair := range map[string][2]float64{
		"RainM3": {a.RainM3, b.RainM3}, "NetM3": {a.NetM3, b.NetM3}, "UpfluxM3": {a.UpfluxM3, b.UpfluxM3}, "CorrectM3": {a.CorrectM3, b.CorrectM3},
		"ETM3": {a.ETM3, b.ETM3}, "PercM3": {a.PercM3, b.PercM3}, "RunoffM3": {a.RunoffM3, b.RunoffM3}, "StorageM3": {a.StorageM3, b.StorageM3},
		"GrossM3": {a.GrossM3, b.GrossM3}, "SprayM3": {a.SprayM3, b.SprayM3}, "ETcM3": {a.ETcM3, b.ETcM3}, "EffectiveM3": {a.EffectiveM3, b.EffectiveM3},
		"BelowM3": {a.BelowM3, b.BelowM3}, "NetPercolationM3": {a.NetPercolationM3, b.NetPercolationM3}, "StressM2Days": {a.StressM2Days, b.StressM2Days},
		"FilledETM3": {a.FilledETM3, b.FilledETM3}, "CarriedETM3": {a.CarriedETM3, b.CarriedETM3}, "StationM3": {a.StationM3, b.StationM3},
		"CarriedM3": {a.CarriedM3, b.CarriedM3}, "NoRainM2Days": {a.NoRainM2Days, b.NoRainM2Days},
		"skip ToursM2": {a.ToursM2, b.ToursM2}, "skip SkippedM2": {a.SkippedM2, b.SkippedM2}, "skip SavedM3": {a.SavedM3, b.SavedM3},
		"skip SavedKWh": {a.SavedKWh, b.SavedKWh}, "skip SavedCost": {a.SavedCost, b.SavedCost},
	} {
		m[name] = pair
	}
	return m
}
