// Checks against general-purpose science that has nothing to do with FAO-56:
// saturation pressure of water, and where the sun stands.

package et_test

import (
	"math"
	"testing"

	"github.com/golang-sql/civil"

	"sandwick/et"
)

// wagnerPruss is the saturation pressure of water in kPa by the auxiliary
// equation of Wagner and Pruss (1993, J. Phys. Chem. Ref. Data 22:783-787), as
// IAPWS adopted it; coefficients typed from memory and held to two points that
// anybody can look up, below.
func wagnerPruss(tempC float64) float64 {
	const tc, pc = 647.096, 22064.0 // K, kPa
	T := tempC + 273.15
	τ := 1 - T/tc
	return pc * math.Exp(tc/T*(-7.85951783*τ+1.84408259*math.Pow(τ, 1.5)-11.7866497*math.Pow(τ, 3)+
		22.6807411*math.Pow(τ, 3.5)-15.9618719*math.Pow(τ, 4)+1.80122502*math.Pow(τ, 7.5)))
}

// goffGratch is the same by Goff and Gratch (1946), the formula of the WMO
// technical regulations, over water; from memory.
func goffGratch(tempC float64) float64 {
	const ts = 373.16
	T := tempC + 273.16
	return 0.1 * math.Pow(10, -7.90298*(ts/T-1)+5.02808*math.Log10(ts/T)-
		1.3816e-7*(math.Pow(10, 11.344*(1-T/ts))-1)+
		8.1328e-3*(math.Pow(10, -3.49149*(ts/T-1))-1)+math.Log10(1013.246))
}

func TestSaturationVapourPressureIndependent(t *testing.T) {
	// The formulas themselves: the triple point of water is 0.611657 kPa at
	// 0.01 °C, and water boils at 100 °C at 101.3 to 101.4 kPa.
	for _, f := range []func(float64) float64{wagnerPruss, goffGratch} {
		if x := f(0.01); math.Abs(x-0.611657) > 0.001 {
			t.Fatalf("triple point: %v kPa", x)
		}
		if x := f(100); math.Abs(x-101.4) > 0.15 {
			t.Fatalf("boiling point: %v kPa", x)
		}
	}
	worst := 0.0
	for temp := -10.0; temp <= 50; temp += 0.5 {
		refs := []func(float64) float64{goffGratch}
		if temp >= 0.01 { // Wagner and Pruss begin at the triple point
			refs = append(refs, wagnerPruss)
		}
		for _, ref := range refs {
			diff := et.SaturationVapourPressure(temp)/ref(temp) - 1
			worst = max(worst, math.Abs(diff))
			if math.Abs(diff) > 0.003 {
				t.Errorf("e°(%v) differs by %.3f %%", temp, 100*diff)
			}
		}
		const h = 0.01
		slope := (wagnerPruss(temp+h) - wagnerPruss(temp-h)) / (2 * h)
		if diff := et.Slope(temp)/slope - 1; temp > 0.1 && math.Abs(diff) > 0.004 {
			t.Errorf("Δ(%v) differs by %.3f %%", temp, 100*diff)
		}
		if back := et.DewPoint(et.SaturationVapourPressure(temp)); math.Abs(back-temp) > 1e-9 {
			t.Errorf("dew point of saturated air at %v °C is %v", temp, back)
		}
	}
	t.Logf("e° over -10 to 50 °C: largest difference %.3f %%", 100*worst)
}

// almanacSun is the sun's declination in radians and the equation of time in
// minutes by the low-precision formulas of the Astronomical Almanac (page C5;
// 0.01° and 0.1 min from 1950 to 2050; from memory), n days from 2000-01-01
// 12:00 UT.
func almanacSun(n float64) (declination, equationMin float64) {
	const deg = math.Pi / 180
	L := math.Mod(280.460+0.9856474*n, 360)
	g := (357.528 + 0.9856003*n) * deg
	λ := (L + 1.915*math.Sin(g) + 0.020*math.Sin(2*g)) * deg
	ε := (23.439 - 0.0000004*n) * deg
	α := math.Atan2(math.Cos(ε)*math.Sin(λ), math.Cos(λ)) / deg
	return math.Asin(math.Sin(ε) * math.Sin(λ)), 4 * math.Remainder(L-α, 360)
}

func TestSunIndependent(t *testing.T) {
	const deg = math.Pi / 180
	epoch := civil.Date{Year: 2000, Month: 1, Day: 1}

	// The almanac itself: solstice and equinox of 2023 (any calendar).
	for _, c := range []struct {
		date civil.Date
		want float64
	}{
		{civil.Date{Year: 2023, Month: 6, Day: 21}, 23.44},
		{civil.Date{Year: 2023, Month: 9, Day: 23}, 0.0},
		{civil.Date{Year: 2023, Month: 12, Day: 22}, -23.44},
	} {
		if δ, _ := almanacSun(float64(c.date.DaysSince(epoch))); math.Abs(δ/deg-c.want) > 0.2 {
			t.Fatalf("%s: declination %.2f°", c.date, δ/deg)
		}
	}

	var worstδ, worstN, worstSc float64
	for d := (civil.Date{Year: 2021, Month: 1, Day: 1}); d.Year < 2025; d = d.AddDays(1) { // a leap cycle
		j := et.DayOfYear(d)
		δ, equation := almanacSun(float64(d.DaysSince(epoch)))
		worstδ = max(worstδ, math.Abs(et.Declination(j)-δ)/deg)
		worstSc = max(worstSc, math.Abs(et.SeasonalCorrection(j)*60-equation))
		for lat := -50.0; lat <= 50; lat += 10 {
			// Day length from the general rising condition, sun's centre on the
			// horizon: cos H = -tan φ tan δ.
			want := 24 / math.Pi * math.Acos(-math.Tan(lat*deg)*math.Tan(δ))
			got := et.DaylightHours(et.SunsetHourAngle(et.Radians(lat), et.Declination(j)))
			worstN = max(worstN, math.Abs(got-want))
		}
	}
	t.Logf("2021 to 2024: declination within %.2f°, day length to 50° within %.3f h, equation of time within %.2f min", worstδ, worstN, worstSc)
	// A single sine cannot follow Earth's ellipse: Eq. 24 puts the autumn equinox
	// three days early, where declination changes by 0.4° a day.
	if worstδ > 1.3 || worstN > 0.22 || worstSc > 1.5 {
		t.Errorf("declination %.2f° (limit 1.3), day length %.3f h (0.22), equation of time %.2f min (1.5)", worstδ, worstN, worstSc)
	}
}

// Ra of a day is the sum of its hours, and a numerical integral of the sun's
// height says the same, at every latitude: the two printed forms, Eqs. 21 and
// 28, must agree with geometry and with each other.
func TestExtraterrestrialIntegral(t *testing.T) {
	for lat := -90.0; lat <= 90; lat += 7.5 {
		for j := 1; j <= 365; j += 13 {
			φ, δ := et.Radians(lat), et.Declination(j)
			hours, integral := 0.0, 0.0
			const steps = 24 * 60
			for i := range steps {
				ω := (float64(i)+0.5)/steps*2*math.Pi - math.Pi
				integral += max(0, math.Sin(et.SunElevation(φ, δ, ω))) * 24 * 60 / steps
			}
			integral *= et.SolarConstantMJ * et.InverseDistance(j)
			for h := range 24 {
				hours += et.ExtraterrestrialHourly(φ, j, et.HourAngle(float64(h)+0.77, et.Meridians{}, 0))
			}
			day := et.ExtraterrestrialDaily(φ, j)
			if math.Abs(day-hours) > 1e-9 || math.Abs(day-integral) > 0.002 {
				t.Errorf("latitude %v, day %d: day %v, hours %v, integral %v", lat, j, day, hours, integral)
			}
		}
	}
}

// Polar day and night, after FAO-56's own limits on ωs.
func TestPolar(t *testing.T) {
	φ := et.Radians(70)
	if n := et.DaylightHours(et.SunsetHourAngle(φ, et.Declination(172))); n != 24 {
		t.Errorf("midsummer at 70°: %v h of day", n)
	}
	if n := et.DaylightHours(et.SunsetHourAngle(φ, et.Declination(355))); n != 0 {
		t.Errorf("midwinter at 70°: %v h of day", n)
	}
	d := et.MissingDay(civil.Date{Year: 2023, Month: 12, Day: 21})
	d.TmaxC, d.TminC, d.WindMPerS, d.SunshineH, d.RainMM = -5, -15, 2, 0, 0
	r := et.Site{LatitudeDeg: 70, WindHeightM: 2, KRs: et.KRsInterior}.Daily(et.FAO56, d)
	if r.RaMJ != 0 || r.RsMJ != 0 || math.IsNaN(r.EToMM) || math.Abs(r.EToMM) > 1 {
		t.Errorf("polar night: %+v", r)
	}
}
