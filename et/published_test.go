// Every number of FAO-56 worked examples 2 to 20, of the Annex 2 spots and of
// the ASCE-EWRI days, from the files in testdata.

package et_test

import (
	"encoding/csv"
	"math"
	"os"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/golang-sql/civil"

	"sandwick/et"
)

// rows reads a file of testdata into one map a row.
func rows(t *testing.T, name string) []map[string]string {
	t.Helper()
	f, err := os.Open("testdata/" + name)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	all, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var list []map[string]string
	for _, rec := range all[1:] {
		row := map[string]string{}
		for i, name := range all[0] {
			row[name] = rec[i]
		}
		list = append(list, row)
	}
	return list
}

func number(t *testing.T, s string) float64 {
	t.Helper()
	x, err := strconv.ParseFloat(strings.TrimSpace(s), 64)
	if err != nil {
		t.Fatal(err)
	}
	return x
}

// halfUnit is half a unit of the last digit of a printed number.
func halfUnit(printed string) float64 {
	mantissa, _, _ := strings.Cut(printed, "e")
	x, _ := strconv.ParseFloat(printed, 64)
	m, _ := strconv.ParseFloat(mantissa, 64)
	scale := 1.0
	if m != 0 {
		scale = x / m
	}
	_, decimals, _ := strings.Cut(mantissa, ".")
	return 0.5000001 * math.Pow(10, -float64(len(decimals))) * scale
}

// misprinted are values that FAO-56 prints otherwise than its own equations
// and inputs give; the recomputed value is asserted instead.
var misprinted = map[string]string{
	"Ex19 02-03 h/aerodynamic term": "printed 0.01; Eq. 53 with the printed inputs gives 0.018",
	"Ex17/gamma":                    "printed 0.0674 from P rounded to 101.3; unrounded 0.06735, and another line prints 0.0667",
}

// meteo is one daily example's weather, as FAO-56 states it.
type meteo struct {
	latDeg, elevationM float64
	date               civil.Date
	tmax, tmin         float64
	u2                 float64
	ea                 func(et.Extremes) float64
	rs                 func(raMJ, daylightH float64) float64
	g                  float64
}

// chain works a daily example through and hands every step over by the name
// that testdata uses.
func chain(in meteo, put func(name string, v float64)) {
	tmean := et.MeanTemperature(in.tmax, in.tmin)
	x := et.ExtremesOf(in.tmax, in.tmin)
	p := et.Pressure(in.elevationM)
	Δ, γ, ea, es := et.Slope(tmean), et.PsychrometricConstant(p), in.ea(x), x.Mean()
	put("P", p)
	put("Tmean", tmean)
	put("Delta", Δ)
	put("gamma", γ)
	put("e0(Tmax)", x.E0MaxKPa)
	put("e0(Tmin)", x.E0MinKPa)
	put("es", es)
	put("ea", ea)
	put("es-ea", es-ea)

	j := et.DayOfYear(in.date)
	φ := et.Radians(in.latDeg)
	ra := et.ExtraterrestrialDaily(φ, j)
	n := et.DaylightHours(et.SunsetHourAngle(φ, et.Declination(j)))
	rs := in.rs(ra, n)
	rso := et.ClearSky(ra, in.elevationM)
	bodyMax, bodyMin := et.BlackBody(in.tmax, et.StefanDailyMJ), et.BlackBody(in.tmin, et.StefanDailyMJ)
	rns := et.NetShortwave(rs)
	rnl := et.NetLongwave((bodyMax+bodyMin)/2, et.NetEmissivity(ea), et.Cloudiness(rs/rso))
	rn := et.NetRadiation(rns, rnl)
	put("J", float64(j))
	put("Ra", ra)
	put("N", n)
	put("Rs", rs)
	put("Rs as water", et.MMFromMJ(rs))
	put("Rso", rso)
	put("Rs/Rso", rs/rso)
	put("Rns", rns)
	put("sigma Tmax^4", bodyMax)
	put("sigma Tmin^4", bodyMin)
	put("mean", (bodyMax+bodyMin)/2)
	put("mean sigma T^4", (bodyMax+bodyMin)/2)
	put("0.34-0.14sqrt(ea)", et.NetEmissivity(ea))
	put("1.35Rs/Rso-0.35", et.Cloudiness(rs/rso))
	put("Rnl", rnl)
	put("Rn", rn)
	put("Rn as water", et.MMFromMJ(rn))
	put("G", in.g)
	put("Rn-G", rn-in.g)
	put("0.408(Rn-G)", et.MMFromMJ(rn-in.g))

	c := et.FAO56.Daily()
	denominator := Δ + γ*(1+c.Cd*in.u2)
	radiation, aerodynamic := et.Drivers{RnMJ: rn, GMJ: in.g, TempC: tmean, U2MPerS: in.u2,
		VPDKPa: es - ea, SlopeKPa: Δ, GammaKPa: γ}.Terms(c)
	put("1+0.34u2", 1+c.Cd*in.u2)
	put("Delta/[Delta+gamma(1+0.34u2)]", Δ/denominator)
	put("Delta/[..]", Δ/denominator)
	put("gamma/[..]", γ/denominator)
	put("900/(T+273) u2", c.Cn/(tmean+273)*in.u2)
	put("radiation term", radiation)
	put("aerodynamic term", aerodynamic)
	put("ETo", radiation+aerodynamic)
}

func date(month time.Month, day int) civil.Date {
	return civil.Date{Year: 1997, Month: month, Day: day}
}

// fromKRs and fromSunshine are the ways in which the examples come by Rs.
func fromKRs(tmax, tmin, kRs float64) func(ra, n float64) float64 {
	return func(ra, _ float64) float64 { return et.SolarFromTemperatureRange(tmax-tmin, kRs, ra) }
}

func fromSunshine(hours float64) func(ra, n float64) float64 {
	return func(ra, n float64) float64 { return et.SolarFromSunshine(hours, n, ra) }
}

// worked is examples 2 to 20 by our functions, "example/quantity" to value.
func worked() map[string]float64 {
	v := map[string]float64{}
	in := func(example string) func(string, float64) {
		return func(name string, x float64) { v[example+"/"+name] = x }
	}
	given := func(x float64) func(et.Extremes) float64 { return func(et.Extremes) float64 { return x } }

	put := in("Ex2")
	put("P", et.Pressure(1800))
	put("gamma", et.PsychrometricConstant(et.Pressure(1800)))

	put = in("Ex3")
	put("e0(Tmax)", et.SaturationVapourPressure(24.5))
	put("e0(Tmin)", et.SaturationVapourPressure(15))
	put("es", et.MeanSaturationVapourPressure(24.5, 15))
	put("e0(Tmean=19.75)", et.SaturationVapourPressure(19.75))

	put = in("Ex4")
	put("P", et.Pressure(1200))
	put("e0(Twet)", et.SaturationVapourPressure(19.5))
	put("ea", et.VapourPressureFromPsychrometer(25.6, 19.5, et.Ventilated.Constant(et.Pressure(1200))))

	put = in("Ex5")
	x5 := et.ExtremesOf(25, 18)
	put("e0(Tmin)", x5.E0MinKPa)
	put("e0(Tmax)", x5.E0MaxKPa)
	put("ea (RHmax,RHmin)", x5.VapourPressureFromRHMaxMin(82, 54))
	put("ea (RHmean, Eq 19)", x5.VapourPressureFromRHMean((82+54)/2.0))
	in("Ex6")("es-ea", x5.Mean()-x5.VapourPressureFromRHMaxMin(82, 54))

	put = in("Ex7")
	bangkok, rio := 13+44/60.0, -(22 + 54/60.0)
	put("Bangkok decimal", bangkok)
	put("Bangkok rad", et.Radians(bangkok))
	put("Rio decimal", rio)
	put("Rio rad", et.Radians(rio))

	put = in("Ex8")
	j8, φ8 := et.DayOfYear(date(time.September, 3)), et.Radians(-20)
	δ8 := et.Declination(j8)
	put("J", float64(j8))
	put("phi", φ8)
	put("dr", et.InverseDistance(j8))
	put("delta", δ8)
	put("omega_s", et.SunsetHourAngle(φ8, δ8))
	put("sin(phi)sin(delta)", math.Sin(φ8)*math.Sin(δ8))
	put("cos(phi)cos(delta)", math.Cos(φ8)*math.Cos(δ8))
	put("Ra", et.ExtraterrestrialDaily(φ8, j8))
	put("Ra as water", et.MMFromMJ(et.ExtraterrestrialDaily(φ8, j8)))
	in("Ex9")("N", et.DaylightHours(et.SunsetHourAngle(φ8, δ8)))

	put = in("Ex10")
	j10, φ10 := et.DayOfYear(date(time.May, 15)), et.Radians(-22.9)
	ra10 := et.ExtraterrestrialDaily(φ10, j10)
	n10 := et.DaylightHours(et.SunsetHourAngle(φ10, et.Declination(j10)))
	rs10 := et.SolarFromSunshine(220/31.0, n10, ra10)
	put("J", float64(j10))
	put("Ra", ra10)
	put("N", n10)
	put("n", 220/31.0)
	put("Rs", rs10)
	put("Rs as water", et.MMFromMJ(rs10))

	put = in("Ex11")
	rso11 := et.ClearSky(ra10, 0)
	bodyMax, bodyMin := et.BlackBody(25.1, et.StefanDailyMJ), et.BlackBody(19.1, et.StefanDailyMJ)
	// The clouds of the example come from its unrounded Rs.
	rnl11 := et.NetLongwave((bodyMax+bodyMin)/2, et.NetEmissivity(2.1), et.Cloudiness(rs10/rso11))
	put("Rso", rso11)
	put("sigma", et.StefanDailyMJ)
	put("sigma Tmax^4", bodyMax)
	put("sigma Tmin^4", bodyMin)
	put("0.34-0.14sqrt(ea)", et.NetEmissivity(2.1))
	put("Rs/Rso", rs10/rso11)
	put("1.35Rs/Rso-0.35", et.Cloudiness(rs10/rso11))
	put("Rnl", rnl11)
	put("Rnl as water", et.MMFromMJ(rnl11))

	put = in("Ex12")
	put("Rns", et.NetShortwave(rs10))
	put("Rnl", rnl11)
	put("Rn", et.NetRadiation(et.NetShortwave(rs10), rnl11))
	put("Rn as water", et.MMFromMJ(et.NetRadiation(et.NetShortwave(rs10), rnl11)))

	put = in("Ex13")
	put("G April", et.SoilHeatMonthly(14.1, 18.8))
	put("G as water", et.MMFromMJ(et.SoilHeatMonthly(14.1, 18.8)))

	put = in("Ex14")
	put("factor", et.WindFactor(10))
	put("u2", et.WindAt2M(3.2, 10))

	lyon := meteo{latDeg: 45.72, elevationM: 200, date: date(time.July, 15), tmax: 26.6, tmin: 14.8, u2: 2,
		ea: func(et.Extremes) float64 { return et.VapourPressureFromTmin(14.8) }, rs: fromKRs(26.6, 14.8, et.KRsInterior)}
	chain(lyon, in("Ex15"))
	chain(meteo{latDeg: 13.73, elevationM: 2, date: date(time.April, 15), tmax: 34.8, tmin: 25.6,
		ea: given(2.85), rs: fromKRs(34.8, 25.6, et.KRsCoastal)}, in("Ex16"))

	put = in("Ex17")
	chain(meteo{latDeg: 13.73, elevationM: 2, date: date(time.April, 15), tmax: 34.8, tmin: 25.6, u2: 2,
		ea: given(2.85), rs: fromSunshine(8.5), g: et.SoilHeatMonthSoFar(29.2, 30.2)}, put)
	put("n/N", 8.5/v["Ex17/N"])

	put = in("Ex18")
	u18 := et.WindAt2M(10/3.6, 10)
	chain(meteo{latDeg: 50.8, elevationM: 100, date: date(time.July, 6), tmax: 21.5, tmin: 12.3, u2: u18,
		ea: func(x et.Extremes) float64 { return x.VapourPressureFromRHMaxMin(84, 63) },
		rs: fromSunshine(9.25), g: et.SoilHeatDaily}, put)
	put("uz", 10/3.6)
	put("wind factor", et.WindFactor(10))
	put("u2", u18)
	put("n/N", 9.25/v["Ex18/N"])

	put = in("Ex19")
	j19, φ19 := et.DayOfYear(date(time.October, 1)), et.Radians(16.22)
	put("J", float64(j19))
	put("phi", φ19)
	put("dr", et.InverseDistance(j19))
	put("delta", et.Declination(j19))
	put("b", 2*math.Pi*float64(j19-81)/364)
	put("Sc", et.SeasonalCorrection(j19))
	hour := func(example string, clockH, temp, rh, u2, rs, cloudRatio float64, daylight bool) {
		put := in(example)
		ω := et.HourAngle(clockH, et.Meridians{ZoneWestDeg: 15, SiteWestDeg: 16.25}, et.SeasonalCorrection(j19))
		Δ, γ, e0 := et.Slope(temp), et.PsychrometricConstant(et.Pressure(8)), et.SaturationVapourPressure(temp)
		ea := et.VapourPressureFromRH(rh, e0)
		ra := et.ExtraterrestrialHourly(φ19, j19, ω)
		rso := et.ClearSky(ra, 8)
		if daylight {
			cloudRatio = rs / rso
		}
		body := et.BlackBody(temp, et.StefanHourlyMJ)
		rns := et.NetShortwave(rs)
		rnl := et.NetLongwave(body, et.NetEmissivity(ea), et.Cloudiness(cloudRatio))
		rn := et.NetRadiation(rns, rnl)
		g := et.SoilHeatHourly(rn, daylight)
		radiation, aerodynamic := et.Drivers{RnMJ: rn, GMJ: g, TempC: temp, U2MPerS: u2,
			VPDKPa: e0 - ea, SlopeKPa: Δ, GammaKPa: γ}.Terms(et.FAO56.Hourly(daylight))
		put("t", clockH)
		put("omega", ω)
		put("omega1", ω-math.Pi/24)
		put("omega2", ω+math.Pi/24)
		put("Delta", Δ)
		put("gamma", γ)
		put("e0(T)", e0)
		put("ea", ea)
		put("es-ea", e0-ea)
		put("Ra", ra)
		put("Rso", rso)
		put("Rns", rns)
		put("sigma T^4", body)
		put("0.34-0.14sqrt(ea)", et.NetEmissivity(ea))
		put("Rs/Rso", cloudRatio)
		put("1.35Rs/Rso-0.35", et.Cloudiness(cloudRatio))
		put("Rnl", rnl)
		put("Rn", rn)
		put("G", g)
		put("Rn-G", rn-g)
		put("0.408(Rn-G)", et.MMFromMJ(rn-g))
		put("radiation term", radiation)
		put("aerodynamic term", aerodynamic)
		put("ETo", radiation+aerodynamic)
	}
	hour("Ex19 02-03 h", 2.5, 28, 90, 1.9, 0, 0.8, false)
	hour("Ex19 14-15 h", 14.5, 38, 52, 3.3, 2.45, math.NaN(), true)

	put = in("Ex20")
	chain(lyon, put)
	put("ea (Tdew=Tmin)", v["Ex20/ea"])
	put("RHmax", et.RelativeHumidity(v["Ex20/ea"], v["Ex20/e0(Tmin)"]))
	put("RHmin", et.RelativeHumidity(v["Ex20/ea"], v["Ex20/e0(Tmax)"]))
	put("RHmean", (v["Ex20/RHmax"]+v["Ex20/RHmin"])/2)
	put("ETo Hargreaves", et.Hargreaves(26.6, 14.8, v["Ex20/Ra"]))
	for name, u2 := range map[string]float64{"ETo if u2=1": 1, "ETo if u2=3": 3} {
		windy := lyon
		windy.u2 = u2
		chain(windy, func(step string, x float64) {
			if step == "ETo" {
				put(name, x)
			}
		})
	}
	return v
}

func TestWorkedExamples(t *testing.T) {
	got, asserted := worked(), 0
	for _, row := range rows(t, "fao56_examples.csv") {
		key := row["example"] + "/" + row["quantity"]
		if row["role"] == "input" {
			continue
		}
		x, ok := got[key]
		if !ok {
			t.Errorf("%s, p. %s: %s is not computed", row["source"], row["page"], row["quantity"])
			continue
		}
		asserted++
		_, wrong := misprinted[key]
		if tol := halfUnit(row["printed"]); !wrong && !(math.Abs(x-number(t, row["printed"])) <= tol) {
			t.Errorf("%s, p. %s: %s = %v, printed %s ± %.2g", row["source"], row["page"], row["quantity"], x, row["printed"], tol)
		}
		if row["recomputed"] != "" {
			want := number(t, row["recomputed"])
			tol := max(1e-3*math.Abs(want), halfUnit(row["recomputed"]))
			if !(math.Abs(x-want) <= tol) {
				t.Errorf("%s, p. %s: %s = %v, recomputed %s ± %.2g", row["source"], row["page"], row["quantity"], x, row["recomputed"], tol)
			}
		}
	}
	if asserted < 219 {
		t.Errorf("only %d numbers checked", asserted)
	}
}

// Spots of FAO-56 Annex 2, and Ra and N at places and days.
func TestAnnex2(t *testing.T) {
	middle := map[string]int{"May": 135, "Jun": 166, "Jul": 196, "Aug": 227, "Sep": 258} // day 15 of the month
	for _, row := range rows(t, "fao56_annex2.csv") {
		what := row["source"] + ", " + row["key"] + " " + row["variant"]
		check := func(name string, got float64, printed string) {
			t.Helper()
			if want := number(t, printed); !(math.Abs(got-want) <= halfUnit(strings.TrimSpace(printed))) {
				t.Errorf("%s: %s = %v, want %s", what, name, got, printed)
			}
		}
		_, after, _ := strings.Cut(row["key"], "=")
		at, _ := strconv.ParseFloat(after, 64)
		switch name := row["quantity"]; name {
		case "P":
			check(name, et.Pressure(at), row["value"])
		case "gamma":
			check(name, et.PsychrometricConstant(et.Pressure(at)), row["value"])
		case "e0(T)":
			check(name, et.SaturationVapourPressure(at), row["value"])
		case "Delta":
			check(name, et.Slope(at), row["value"])
		case "sigma TK^4":
			check(name, et.BlackBody(at, et.StefanDailyMJ), row["value"])
		case "J":
			d, err := time.Parse("2 Jan 2006", row["key"]+" 1997")
			if err != nil {
				t.Fatal(err)
			}
			check(name, float64(et.DayOfYear(civil.DateOf(d))), row["value"])
		case "Ra", "N", "Ra; N":
			φ := et.Radians(number(t, strings.TrimPrefix(row["key"], "lat ")))
			j, ok := middle[row["variant"]]
			if !ok {
				j = int(number(t, strings.TrimPrefix(row["variant"], "J ")))
			}
			ra, n := et.ExtraterrestrialDaily(φ, j), et.DaylightHours(et.SunsetHourAngle(φ, et.Declination(j)))
			if name == "Ra; N" {
				wantRa, wantN, _ := strings.Cut(row["value"], ";")
				check("Ra", ra, wantRa)
				check("N", n, wantN)
			} else {
				check(name, map[string]float64{"Ra": ra, "N": n}[name], row["value"])
			}
		default:
			t.Errorf("%s: %s is not computed", what, name)
		}
	}
}

// ASCE-EWRI (2005) Appendix C, Greeley, from memory: within 0.03 mm.
func TestASCEGreeley(t *testing.T) {
	const tolMM = 0.03
	greeley := et.Site{LatitudeDeg: 40.41, LongitudeDeg: -104.78, ElevationM: 1462.4, WindHeightM: 3, KRs: et.KRsInterior}
	for _, row := range rows(t, "asce_greeley.csv") {
		d, err := civil.ParseDate(row["date"])
		if err != nil {
			t.Fatal(err)
		}
		day := et.MissingDay(d)
		day.TmaxC, day.TminC = number(t, row["tmax_c"]), number(t, row["tmin_c"])
		day.TdewC = et.DewPoint(number(t, row["ea_kpa"]))
		day.RsMJ, day.WindMPerS, day.RainMM = number(t, row["rs_mj"]), number(t, row["wind_3m_ms"]), 0
		for _, c := range []struct {
			m    et.Method
			want string
		}{{et.ASCEShort, "etos_mm"}, {et.ASCETall, "etrs_mm"}} {
			got, want := greeley.Daily(c.m, day), number(t, row[c.want])
			if !(math.Abs(got.EToMM-want) <= tolMM) {
				t.Errorf("%s %s: %.3f mm, recalled %.2f ± %.2f (%s)", row["date"], c.m, got.EToMM, want, tolMM, row["source"])
			}
			if got.Filled != 0 {
				t.Errorf("%s: filled %v", row["date"], got.Filled.Names())
			}
		}
	}
}

// FAO-56 Example 4, p. 38, names the coefficients of the three kinds of
// psychrometer.
func TestPsychrometerCoefficients(t *testing.T) {
	want := map[string]et.Psychrometer{
		"apsy (ventilated)":          et.Ventilated,
		"apsy natural ventilation":   et.NaturallyVentilated,
		"apsy indoor non-ventilated": et.Indoor,
	}
	for _, row := range rows(t, "fao56_examples.csv") {
		if kind, ok := want[row["quantity"]]; ok {
			delete(want, row["quantity"])
			if got := kind.Coefficient(); got != number(t, row["printed"]) {
				t.Errorf("%s: %v, want %s", row["quantity"], got, row["printed"])
			}
		}
	}
	if len(want) != 0 {
		t.Errorf("no rows for %v", want)
	}
}

// The coefficients of the standardized forms follow from the crops' resistances
// (ASCE-EWRI 2005 Table of constants, from memory: short 70 s/m a day, 50 by
// day, 200 by night; tall 45, 30 and 200): Cd is rs over ra u2. Under short grass ra is
// FAO-56 Eq. 4; for the tall crop it is what the daily pair implies.
func TestASCECoefficients(t *testing.T) {
	const h, z = 0.12, 2.0
	d, zom := 2.0/3*h, 0.123*h
	short := math.Log((z-d)/zom) * math.Log((z-d)/(0.1*zom)) / (0.41 * 0.41) // FAO-56 Eq. 4 times u2
	tall := 45 / 0.38
	for _, c := range []struct {
		name      string
		got, want float64
		tol       float64
	}{
		{"short, day of 24 h", et.ASCEShort.Daily().Cd, 70 / short, 0.005},
		{"short, by day", et.ASCEShort.Hourly(true).Cd, 50 / short, 0.005},
		{"short, by night", et.ASCEShort.Hourly(false).Cd, 200 / short, 0.005},
		{"tall, by day", et.ASCETall.Hourly(true).Cd, 30 / tall, 0.005},
		{"tall, by night", et.ASCETall.Hourly(false).Cd, 200 / tall, 0.05},
		{"short, Cn of an hour", et.ASCEShort.Hourly(true).Cn, et.ASCEShort.Daily().Cn / 24, 1},
		{"tall, Cn of an hour", et.ASCETall.Hourly(true).Cn, et.ASCETall.Daily().Cn / 24, 1},
	} {
		if math.Abs(c.got-c.want) > c.tol {
			t.Errorf("%s: %v, want %.4f ± %v", c.name, c.got, c.want, c.tol)
		}
	}

	// Rs/Rso stays within 0.3 and 1 in the standardized forms (ASCE-EWRI, from
	// memory), at most 1 in FAO-56 (p. 52): beyond, net long-wave is the same.
	s := et.Site{LatitudeDeg: 42, ElevationM: 250, WindHeightM: 2, KRs: et.KRsInterior}
	day := et.MissingDay(date(time.July, 1))
	day.TmaxC, day.TminC, day.TdewC, day.WindMPerS, day.RainMM = 25, 15, 12, 2, 0
	rnl := func(m et.Method, ratio float64) float64 {
		d := day
		d.RsMJ = ratio * et.ClearSky(et.ExtraterrestrialDaily(et.Radians(42), 182), 250)
		return et.NetShortwave(d.RsMJ) - s.Daily(m, d).RnMJ
	}
	for _, m := range methods {
		if math.Abs(rnl(m, 1)-rnl(m, 1.2)) > 1e-9 {
			t.Errorf("%s: clearer than clear", m)
		}
		if same := math.Abs(rnl(m, 0.3)-rnl(m, 0.1)) < 1e-9; same != (m != et.FAO56) {
			t.Errorf("%s: darker than dark: %v and %v", m, rnl(m, 0.3), rnl(m, 0.1))
		}
	}
}
