package pivot

import (
	"math"
	"strings"
	"testing"

	"github.com/paulmach/orb"
)

// US customary units by their definitions: 1 in = 25.4 mm, 1 gal = 231 in³.
const (
	ft  = 0.3048
	in  = 25.4            // mm
	ac  = 43560 * ft * ft // m²
	gal = 231 * 0.0254 * 0.0254 * 0.0254
	gpm = gal * 60            // m³/h
	cfs = ft * ft * ft * 3600 // m³/h
)

// sheet is a machine as a printed sheet describes one.
func sheet(flowGPM, radiusFt, hours float64) *Machine {
	return &Machine{
		Name: "sheet", Center: orb.Point{-90, 40}, LengthM: radiusFt * ft, FlowM3H: flowGPM * gpm, HoursAtFull: hours,
		TimerMinPct: 1, TimerMaxPct: 100, MaxGrossMM: math.Inf(1), MaxLegs: 1, Efficiency: 1, WettedM: math.NaN(),
	}
}

func radiusOfAcres(acres float64) float64 { return math.Sqrt(acres * 43560 / math.Pi) }

// Every worked example and table row of testdata/printed.csv that has to do with
// what this package computes, within its printed digit.
func TestPrintedSheets(t *testing.T) {
	checks := map[string]func(x []float64) []float64{
		"area": func(x []float64) []float64 { return []float64{sheet(800, x[0], 20).AreaM2() / ac} },
		"area_gun": func(x []float64) []float64 {
			m := sheet(800, x[0], 20)
			m.EndGunM, m.EndGunArcs = x[1]*ft, []Arc{{300, Azimuth(300).Add(x[2] * 3.6)}}
			return []float64{m.AreaM2() / ac}
		},
		"area_part": func(x []float64) []float64 {
			m := sheet(800, x[0], 20)
			m.Stops = &Arc{45, Azimuth(45).Add(x[1])}
			return []float64{m.AreaM2() / ac}
		},
		// gallons on x[0] acres for x[1] inches
		"gallons": func(x []float64) []float64 {
			m := sheet(500, radiusOfAcres(x[0]), 0.5)
			timer, _ := m.TimerFor(x[1]*in, 0)
			return []float64{m.LegUse(Arc{}, timer, true).VolumeM3 / gal}
		},
		"gpm_hours": func(x []float64) []float64 {
			m := sheet(10, radiusOfAcres(x[0]), 10)
			timer, _ := m.TimerFor(x[1]*in, 0)
			return []float64{10 * m.PassHours(Arc{}, timer)}
		},
		"cfs_hours": func(x []float64) []float64 {
			m := sheet(cfs/gpm, radiusOfAcres(x[0]), 1)
			timer, _ := m.TimerFor(x[1]*in, 0)
			return []float64{m.PassHours(Arc{}, timer)}
		},
		"rate_constant": func([]float64) []float64 {
			m := sheet(700, 1200, 20)
			m.WettedM = 2 * 30 * ft
			return []float64{m.PeakMMPerH() / in / 700 * 1200 * 30}
		},
		"rate_mm_per_min": func(x []float64) []float64 {
			m := sheet(0, x[0]/ft, 20)
			m.FlowM3H = x[1] / 1000 * m.AreaM2() / x[2]
			m.WettedM = x[3]
			return []float64{m.PeakMMPerH() / 60}
		},
		"consistency": func(x []float64) []float64 {
			m := sheet(x[0], x[1], 20)
			m.WettedM = 2 * x[2] * ft
			timer, _ := m.TimerFor(x[3]*in, 0)
			hours, wet, peak := m.PassHours(Arc{}, timer), m.WettedHours(timer), m.PeakMMPerH()/in
			return []float64{m.AreaM2() / ac, hours, m.SpeedMPerH(timer, m.LengthM) / ft, wet, peak, math.Pi / 4 * peak * wet}
		},
		"gpm_per_acre": func(x []float64) []float64 {
			m := sheet(x[0], radiusOfAcres(x[1]), 20)
			return []float64{m.FlowM3H / gpm / (m.AreaM2() / ac)}
		},
		"in_per_day": func(x []float64) []float64 {
			m := sheet(500, 1300, x[1]*24)
			m.FlowM3H *= x[0] * in / m.GrossMM(100, 0)
			return []float64{m.CapacityMMPerDay() / in}
		},
		"mean_rate": func(x []float64) []float64 {
			m := sheet(500, 1300, 20)
			m.WettedM = m.SpeedMPerH(30, m.LengthM) * x[1] / 60
			m.FlowM3H *= x[0] * in / m.GrossMM(30, 0)
			return []float64{math.Pi / 4 * m.PeakMMPerH() / in}
		},
		"flow_cfs": func(x []float64) []float64 {
			m := sheet(500, radiusOfAcres(x[0]), x[3])
			m.Efficiency = x[2] / 100
			m.FlowM3H *= m.GrossForNetMM(x[1]*in) / m.GrossMM(100, 0)
			return []float64{m.FlowM3H / cfs}
		},
		"efficiency": func(x []float64) []float64 {
			m := sheet(500, 1300, 20)
			m.Efficiency = x[1] / x[0]
			net, loss := m.NetMM(80)
			return []float64{net / (net + loss) * 100}
		},
		"capacity": func(x []float64) []float64 {
			m := sheet(x[0]*125, radiusOfAcres(125), 23)
			return []float64{m.CapacityMMPerDay() / in, m.CapacityMMPerDay() * 7 / in}
		},
		"capacity_for": func(x []float64) []float64 {
			m := sheet(600, radiusOfAcres(125), 23)
			return []float64{600.0 / 125 * x[0] * in / m.CapacityMMPerDay()}
		},
		"timer": func(x []float64) []float64 {
			m := sheet(800, 1300, 20) // the table's 121.88 ac are 121.885, cut off
			return []float64{m.PassHours(Arc{}, x[0]), m.GrossMM(x[0], 123) / in}
		},
	}
	seen := map[string]bool{}
	for _, r := range table(t, "printed.csv") {
		check, ok := checks[r["check"]]
		if !ok {
			t.Fatalf("no check named %q", r["check"])
		}
		seen[r["check"]] = true
		var x []float64
		if r["inputs"] != "" {
			for _, s := range strings.Split(r["inputs"], ";") {
				x = append(x, num(t, s))
			}
		}
		want, tol := strings.Split(r["want"], ";"), strings.Split(r["tol"], ";")
		got := check(x)
		if len(got) != len(want) || len(got) != len(tol) {
			t.Fatalf("%s %v: %d results, %d printed, %d tolerances", r["check"], x, len(got), len(want), len(tol))
		}
		for i := range got {
			if w, e := num(t, want[i]), num(t, tol[i]); !(math.Abs(got[i]-w) <= e) {
				t.Errorf("%s %v [%d]: got %.6g, printed %g, allowed %g (%s; %s)", r["check"], x, i, got[i], w, e, r["source"], r["note"])
			}
		}
	}
	for name := range checks {
		if !seen[name] {
			t.Errorf("check %q has no row", name)
		}
	}
}

// A week as it is written down from the panel's timer table: 800 gpm on 121.88
// acres (1300 ft), 20.0 h round at 100 %. Depths and hours are the sums of the printed rows
// (testdata/printed.csv, "timer").
func TestPrintedWeek(t *testing.T) {
	m := sheet(800, 1300, 20) // the table's 121.88 ac are 121.885, cut off
	var sum Use
	var wantH, wantIn float64
	for _, pass := range []struct {
		day          string
		timer, h, in float64
		water        bool
	}{
		{"Monday", 25, 80.00, 1.1602, true},
		{"Thursday, walked round dry", 100, 20.00, 0, false},
		{"Friday", 60, 33.33, 0.4834, true},
		{"Saturday", 80, 25.00, 0.3626, true},
	} {
		u := m.LegUse(Arc{}, pass.timer, pass.water)
		close(t, pass.day+" hours", u.Hours, pass.h, 0.005)
		close(t, pass.day+" inches", u.GrossMM/in, pass.in, 0.00005)
		sum = sum.Add(u)
		wantH, wantIn = wantH+pass.h, wantIn+pass.in
	}
	close(t, "hours of the week", sum.Hours, wantH, 0.02)
	close(t, "hours of pumping", sum.PumpHours, wantH-20, 0.02)
	close(t, "acre-inches", sum.VolumeM3/(ac*in/1000), wantIn*121.88, 0.03)
	close(t, "gallons: gpm × minutes", sum.VolumeM3/gal, 800*60*(wantH-20), 500)
	close(t, "acres of three wet rounds", sum.AreaM2/ac, 3*121.885, 0.0015)
}
