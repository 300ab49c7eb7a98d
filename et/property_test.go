// What must hold for any weather: seeded random days.

package et_test

import (
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"github.com/golang-sql/civil"

	"sandwick/et"
)

// seed of every random test of this package; printed on failure.
const seed = 56

func random(t *testing.T) *rand.Rand {
	t.Helper()
	t.Cleanup(func() {
		if t.Failed() {
			t.Logf("seed %d", seed)
		}
	})
	return rand.New(rand.NewPCG(seed, 1998))
}

var methods = []et.Method{et.FAO56, et.ASCEShort, et.ASCETall}

// randomDay is a day between plausible limits, everything measured.
func randomDay(r *rand.Rand) (et.Site, et.Day) {
	s := et.Site{LatitudeDeg: r.Float64()*120 - 60, ElevationM: r.Float64() * 3000,
		WindHeightM: 1.5 + r.Float64()*8.5, KRs: 0.16 + 0.03*r.Float64()}
	d := et.MissingDay(civil.Date{Year: 2023, Month: 1, Day: 1}.AddDays(r.IntN(365)))
	d.TminC = r.Float64()*35 - 10
	d.TmaxC = d.TminC + 1 + r.Float64()*20
	d.TdewC = d.TminC - r.Float64()*10
	d.WindMPerS = r.Float64() * 8
	d.RsMJ = et.ExtraterrestrialDaily(et.Radians(s.LatitudeDeg), et.DayOfYear(d.Date)) * (0.2 + 0.55*r.Float64())
	d.RainMM = 0
	return s, d
}

// Reference ET rises with the vapour pressure deficit, with net radiation, and
// with wind where the air is dry enough; all else fixed.
func TestTermsRise(t *testing.T) {
	r := random(t)
	for range 2000 {
		temp := r.Float64()*40 - 5
		d := et.Drivers{RnMJ: r.Float64() * 20, TempC: temp, U2MPerS: 0.1 + r.Float64()*6, VPDKPa: r.Float64() * 4,
			SlopeKPa: et.Slope(temp), GammaKPa: et.PsychrometricConstant(70 + r.Float64()*31)}
		for _, m := range methods {
			total := func(d et.Drivers) float64 { a, b := d.Terms(m.Daily()); return a + b }
			drier, brighter := d, d
			drier.VPDKPa += 0.1
			brighter.RnMJ += 0.5
			if !(total(drier) > total(d)) || !(total(brighter) > total(d)) {
				t.Fatalf("%s: %+v: %v; drier %v, brighter %v", m, d, total(d), total(drier), total(brighter))
			}
			if radiation, aerodynamic := d.Terms(m.Daily()); radiation < 0 || aerodynamic < 0 {
				t.Fatalf("%s: %+v: %v and %v", m, d, radiation, aerodynamic)
			}
		}
	}
}

// A prepared station gives the site's own results, a day is as dry as its dew
// point, and each way of stating the same humidity gives the same ETo.
func TestDailyConsistent(t *testing.T) {
	r := random(t)
	for range 2000 {
		s, d := randomDay(r)
		m := methods[r.IntN(len(methods))]
		a, b := s.Daily(m, d), s.Prepare().Daily(m, d)
		if a != b {
			t.Fatalf("site and station differ: %+v, %+v", a, b)
		}
		if a.Filled != 0 || a.Humidity != et.HumidityDewPoint || math.IsNaN(a.EToMM) {
			t.Fatalf("%+v from %+v", a, d)
		}
		drier := d
		drier.TdewC -= 3
		if x := s.Daily(m, drier); d.WindMPerS > 0.5 && !(x.EaKPa < a.EaKPa) {
			t.Fatalf("drier air: %+v, %+v", x, a)
		}

		x := et.ExtremesOf(d.TmaxC, d.TminC)
		same := d
		same.TdewC = math.NaN()
		same.RHmaxPct = 100 * a.EaKPa / x.E0MinKPa
		for _, c := range []struct {
			set  func(*et.Day)
			want et.Humidity
		}{
			{func(d *et.Day) { d.RHminPct = 100 * a.EaKPa / x.E0MaxKPa }, et.HumidityRHMaxMin},
			{func(*et.Day) {}, et.HumidityRHMax},
			{func(d *et.Day) {
				d.RHmaxPct = math.NaN()
				d.RHmeanPct = 100 * 2 * a.EaKPa / (x.E0MaxKPa + x.E0MinKPa)
			}, et.HumidityRHMean},
			{func(d *et.Day) {
				d.TdryC = d.TmaxC
				d.TwetC = wetBulb(d.TmaxC, a.EaKPa, et.Ventilated.Constant(et.Pressure(s.ElevationM)))
			}, et.HumidityPsychrometer},
		} {
			d := same
			c.set(&d)
			y := s.Daily(m, d)
			if y.Humidity != c.want || y.Filled != 0 || math.Abs(y.EToMM-a.EToMM) > 1e-6 {
				t.Fatalf("%s: ETo %v, want %v as from the dew point; filled %v", y.Humidity, y.EToMM, a.EToMM, y.Filled.Names())
			}
		}
	}
}

// wetBulb solves Eq. 15 for the wet bulb by bisection.
func wetBulb(tdry, ea, constant float64) float64 {
	lo, hi := -80.0, tdry
	for range 100 {
		mid := (lo + hi) / 2
		if et.VapourPressureFromPsychrometer(tdry, mid, constant) < ea {
			lo = mid
		} else {
			hi = mid
		}
	}
	return (lo + hi) / 2
}

// Nothing measured is NaN, nothing estimated goes unmarked, nothing panics.
func TestMissingIsMarked(t *testing.T) {
	r := random(t)
	for range 2000 {
		s, d := randomDay(r)
		var want et.Filled
		drop := func(x *float64, f et.Filled) {
			if r.IntN(2) == 0 {
				*x = math.NaN()
				want |= f
			}
		}
		drop(&d.TdewC, et.FilledHumidity)
		drop(&d.WindMPerS, et.FilledWind)
		drop(&d.RsMJ, et.FilledRadiation)
		drop(&d.RainMM, et.FilledRain)
		x := s.Daily(et.FAO56, d)
		if x.Filled != want || math.IsNaN(x.EToMM) || math.IsNaN(x.RainMM) {
			t.Fatalf("%+v: filled %v, want %v", x, x.Filled.Names(), want.Names())
		}
		if rso := et.ClearSky(x.RaMJ, s.ElevationM); want&et.FilledRadiation != 0 && x.RsMJ > rso {
			t.Fatalf("estimated radiation %v over clear sky %v", x.RsMJ, rso)
		}
		d.TmaxC = math.NaN()
		if x := s.Daily(et.FAO56, d); !math.IsNaN(x.EToMM) {
			t.Fatalf("no highest temperature, but ETo %v", x.EToMM)
		}
	}
	if x := (et.Site{}).Daily(et.FAO56, et.Day{}); x.Filled != 0 {
		t.Errorf("the zero day: %+v", x)
	}
	d := et.MissingDay(civil.Date{Year: 2023, Month: 7, Day: 1})
	d.TmaxC, d.TminC = 30, 15
	if x := (et.Site{LatitudeDeg: 42, WindHeightM: 2}).Daily(et.FAO56, d); !math.IsNaN(x.EToMM) {
		t.Errorf("radiation estimated without a coefficient: %+v", x)
	}
	d.RsMJ, d.WindMPerS = 20, 3
	if x := (et.Site{LatitudeDeg: 42}).Daily(et.FAO56, d); !math.IsNaN(x.EToMM) {
		t.Errorf("wind without its height: %+v", x)
	}
}

// NaN in, NaN out, for each equation.
func TestNaN(t *testing.T) {
	n := math.NaN()
	for name, got := range map[string]float64{
		"Pressure": et.Pressure(n), "PsychrometricConstant": et.PsychrometricConstant(n),
		"SaturationVapourPressure": et.SaturationVapourPressure(n), "DewPoint": et.DewPoint(n),
		"DewPoint of nothing": et.DewPoint(-1), "Slope": et.Slope(n), "MeanTemperature": et.MeanTemperature(20, n),
		"MeanSaturationVapourPressure":   et.MeanSaturationVapourPressure(n, 10),
		"VapourPressureFromPsychrometer": et.VapourPressureFromPsychrometer(20, n, 0.06),
		"VapourPressureFromRH":           et.VapourPressureFromRH(n, 2),
		"RelativeHumidity":               et.RelativeHumidity(n, 2),
		"WindFactor":                     et.WindFactor(n), "WindFactor too low": et.WindFactor(0.05), "WindAt2M": et.WindAt2M(n, 2),
		"SunsetHourAngle": et.SunsetHourAngle(n, 0.1), "ExtraterrestrialDaily": et.ExtraterrestrialDaily(n, 100),
		"ExtraterrestrialHourly": et.ExtraterrestrialHourly(0.7, 100, n), "SunElevation": et.SunElevation(0.7, 0.1, n),
		"SolarFromSunshine":          et.SolarFromSunshine(n, 12, 30),
		"SolarFromTemperatureRange":  et.SolarFromTemperatureRange(n, 0.16, 30),
		"SolarFromTemperatureRange0": et.SolarFromTemperatureRange(10, 0, 30),
		"ClearSky":                   et.ClearSky(n, 0), "NetShortwave": et.NetShortwave(n), "BlackBody": et.BlackBody(n, et.StefanDailyMJ),
		"NetEmissivity": et.NetEmissivity(n), "Cloudiness": et.Cloudiness(n), "Hargreaves": et.Hargreaves(20, n, 30),
		"Hargreaves upside down": et.Hargreaves(10, 20, 30),
	} {
		if !math.IsNaN(got) {
			t.Errorf("%s: %v, want NaN", name, got)
		}
	}
}

// The calendar's own count of days agrees with the table.
func TestDayOfYear(t *testing.T) {
	for d := (civil.Date{Year: 1899, Month: 12, Day: 1}); d.Year < 2105; d = d.AddDays(1) {
		if want := d.In(time.UTC).YearDay(); et.DayOfYear(d) != want {
			t.Fatalf("%s: day %d, want %d", d, et.DayOfYear(d), want)
		}
	}
}
