// The season's books against arithmetic done here from the published equations.

package fields

import (
	"math"
	"testing"
	"time"

	"github.com/golang-sql/civil"
)

// eto is FAO-56 Eq. 6 written out anew for a day with temperature, humidity,
// wind at 2 m and radiation all measured: FAO Irrigation and Drainage Paper 56,
// chapters 3 and 4.
func eto(j int, latDeg, elevM, tmax, tmin, rhmax, rhmin, u2, rs float64) float64 {
	e0 := func(t float64) float64 { return 0.6108 * math.Exp(17.27*t/(t+237.3)) }
	es := (e0(tmax) + e0(tmin)) / 2
	ea := (e0(tmin)*rhmax/100 + e0(tmax)*rhmin/100) / 2
	tm := (tmax + tmin) / 2
	delta := 4098 * e0(tm) / math.Pow(tm+237.3, 2)
	gamma := 0.665e-3 * 101.3 * math.Pow((293-0.0065*elevM)/293, 5.26)
	phi := latDeg * math.Pi / 180
	x := 2 * math.Pi * float64(j) / 365
	dec := 0.409 * math.Sin(x-1.39)
	ws := math.Acos(-math.Tan(phi) * math.Tan(dec))
	ra := 24 * 60 / math.Pi * 0.0820 * (1 + 0.033*math.Cos(x)) * (ws*math.Sin(phi)*math.Sin(dec) + math.Cos(phi)*math.Cos(dec)*math.Sin(ws))
	rso := (0.75 + 2e-5*elevM) * ra
	k4 := func(t float64) float64 { return math.Pow(t+273.16, 4) }
	rnl := 4.903e-9 * (k4(tmax) + k4(tmin)) / 2 * (0.34 - 0.14*math.Sqrt(ea)) * (1.35*math.Min(rs/rso, 1) - 0.35)
	rn := 0.77*rs - rnl
	return (0.408*delta*rn + gamma*900/(tm+273)*u2*(es-ea)) / (delta + gamma*(1+0.34*u2))
}

func TestSmallFarmByHand(t *testing.T) {
	f := mustLoad(t, smallFarm(t, "zones.geojson", `"water_table_m": 1.5, "water_table_date": "2025-06-01", "pipe": "P1"`, `"water_table_m": null`,
		"records/water_table.csv", "", "<none>"))
	s := mustWalk(t, f, date(t, "2025-06-08"), WalkOptions{KeepCells: true})
	if s.Days() != 7 || len(f.Cells()) != 4 {
		t.Fatalf("%d days and %d cells; want 7 and 4", s.Days(), len(f.Cells()))
	}

	// The machine: 100 m³/h for 24 h on π 200² m², of which 85 % arrives. From
	// 18:00 on 2 June it takes six hours over each quarter, clockwise from north.
	gross := 1000 * 100 * 24 / (math.Pi * 200 * 200)
	net := 0.85 * gross
	irrigation := [4][7]float64{ // by slice and day
		{0, net, 0, 0, 0, 0, 0}, // north-east, 18:00 to 24:00
		{0, 0, net, 0, 0, 0, 0},
		{0, 0, net, 0, 0, 0, 0},
		{0, 0, net, 0, 0, 0, 0},
	}
	// The station, but the field's gauge on 4 June and the pivot's on 6 June.
	rain := [7]float64{0, 0, 3, 25, 0, 0, 0}
	weather := [7][6]float64{ // tmax, tmin, rhmax, rhmin, wind, solar
		{26, 12, 88, 41, 2.5, 23}, {27, 13, 85, 40, 2.2, 24}, {28, 14, 86, 38, 1.9, 25}, {24, 13, 92, 50, 2.4, 18},
		{23, 10, 90, 45, 2.0, 24.5}, {25, 11, 88, 42, 1.8, 26}, {27, 12, 84, 39, 2.3, 25.5},
	}
	const kc, taw = 0.4, 1000 * (0.12 - 0.04) * 1.0 // FAO-56 Eq. 82
	for slice := range 4 {
		depletion := 0.10 * taw
		for d := range 7 {
			w := weather[d]
			et0 := eto(152+d, 44, 300, w[0], w[1], w[2], w[3], w[4], w[5]) // 1 June is day 152
			etc := kc * et0
			// FAO-56 Eqs. 85 and 88, draining before ET as in Example 38.
			depletion -= rain[d] + irrigation[slice][d]
			perc := math.Max(0, -depletion)
			depletion = math.Max(0, depletion) + etc
			cell := -1
			for i, c := range f.Cells() {
				if c.Slice == slice {
					cell = i
				}
			}
			a := s.Cell(d, cell)
			for _, c := range []struct {
				what      string
				got, want float64
			}{
				{"ETo", s.Skies[d].EToMM, et0}, {"ETc", a.ETcMM, etc}, {"ET", a.ETMM, etc}, {"Ks", a.Ks, 1},
				{"net", a.NetMM, irrigation[slice][d]}, {"gross", a.GrossMM, irrigation[slice][d] / 0.85}, {"rain", a.RainMM, rain[d]},
				{"percolation", a.PercolationMM, perc}, {"depletion", a.DepletionMM, depletion}, {"TAW", a.TAWMM, taw}, {"upflux", a.UpfluxMM, 0},
			} {
				// Relative to mm of a day; slices of the ellipsoid's plane are exact quarters.
				if math.Abs(c.got-c.want) > 1e-6 {
					t.Errorf("slice %d on %s: %s is %.9f, want %.9f", slice, s.Date(d), c.what, c.got, c.want)
				}
			}
		}
	}

	// Zones are means of two equal quarters; the books of the week close.
	east := 0
	if got, want := s.Account(1, east).GrossMM, gross/2; math.Abs(got-want) > 1e-6 {
		t.Errorf("east on 2 June got %.6f mm gross, want %.6f", got, want)
	}
	for z := range f.Zones {
		in, out := s.StartMM[z], 0.0
		for d := range s.Days() {
			a := s.Account(d, z)
			in += a.RainMM + a.NetMM + a.UpfluxMM + a.CorrectMM
			out += a.RunoffMM + a.ETMM + a.PercMM
			if math.Abs(a.GrossMM-a.NetMM-a.SprayMM) > 1e-12 {
				t.Errorf("spray loss of zone %d on day %d does not add up", z, d)
			}
		}
		if left := s.Account(6, z).StorageMM; math.Abs(in-out-left) > 1e-9 {
			t.Errorf("zone %d: %.12f mm in, %.12f out, %.12f left", z, in, out, left)
		}
	}
	// 2400 m³ in 24 hours, six of them on 2 June; one start.
	if p := s.Pumped[0]; math.Abs(p[1].VolumeM3-600) > 1e-6 || math.Abs(p[2].VolumeM3-1800) > 1e-6 || math.Abs(p[2].Hours-18) > 1e-9 || p[1].Starts+p[2].Starts != 1 {
		t.Errorf("pumped %+v on 2 June and %+v on 3 June", p[1], p[2])
	}
}

func TestTableFollowsPipe(t *testing.T) {
	f := mustLoad(t, smallFarm(t))
	s := mustWalk(t, f, date(t, "2025-06-08"), WalkOptions{})
	// The pipe falls from 1.40 m on 1 June to 1.60 m on 5 June and is held; the
	// zone stood 1.50 m deep on 1 June.
	for d, want := range []float64{1.50, 1.55, 1.60, 1.65, 1.70, 1.70, 1.70} {
		if got := s.Account(d, 1).TableM; math.Abs(got-want) > 1e-12 {
			t.Errorf("%s: table at %.4f m, want %.2f", s.Date(d), got, want)
		}
		if !math.IsInf(s.Account(d, 0).TableM, 1) {
			t.Errorf("%s: the east has a table", s.Date(d))
		}
	}
}

// The same pass over each change of the clocks: hours and water are those of
// the machine, the days those of the calendar.
func TestPassOverClockChange(t *testing.T) {
	for _, c := range []struct {
		name, start, end string
		day              string
		hours            [2]float64 // on the day and on the next
	}{
		// 2025-03-09 has 23 hours in Chicago, 2025-11-02 has 25 (IANA tz database).
		{"spring", "2025-03-09T00:00", "2025-03-10T12:00", "2025-03-09", [2]float64{23, 12}},
		{"autumn", "2025-11-02T00:00", "2025-11-03T12:00", "2025-11-02", [2]float64{25, 12}},
		{"neither", "2025-06-02T00:00", "2025-06-03T12:00", "2025-06-02", [2]float64{24, 12}},
	} {
		f := mustLoad(t, smallFarm(t,
			"records/passes.csv", "", "pivot,start,end,from_deg,to_deg,direction,water\nWheel,"+c.start+","+c.end+",10,10,ccw,yes\n",
			"farm.toml", "start = 2025-06-01", "start = 2025-06-01"))
		cal := newCalendar(date(t, c.day), 2, f.Location)
		w := f.water(0, cal, begunBy(f.passes(0), cal.start[2]))
		for i, want := range c.hours {
			if got := w.pumped[i]; math.Abs(got.Hours-want) > 1e-9 || math.Abs(got.VolumeM3-100*want) > 1e-6 {
				t.Errorf("%s: day %d has %.6f h and %.3f m³, want %.0f h and %.0f m³", c.name, i, got.Hours, got.VolumeM3, want, 100*want)
			}
		}
		sum := 0.0
		for d := range 2 {
			for s := range w.slices {
				sum += w.grossMM[d*w.slices+s] * f.SliceM2(0)[s] / 1000
			}
		}
		if want := 100 * (c.hours[0] + c.hours[1]); math.Abs(sum-want) > 1e-6 {
			t.Errorf("%s: %.6f m³ on the ground, want %.0f", c.name, sum, want)
		}
	}
}

func TestLateWeather(t *testing.T) {
	f := mustLoad(t, smallFarm(t))
	s := mustWalk(t, f, date(t, "2025-06-12"), WalkOptions{})
	want := []Basis{Measured, Measured, Measured, Measured, Measured, Measured, Measured, Forecast, Forecast, Carried, Carried}
	mean := 0.0
	for d, b := range want {
		if s.Skies[d].Basis != b || s.Account(d, 0).Basis != b {
			t.Errorf("%s is %s, want %s", s.Date(d), s.Skies[d].Basis, b)
		}
		if b == Measured {
			mean += s.Skies[d].EToMM / CarryDays
		}
	}
	if got := s.Skies[10].EToMM; math.Abs(got-mean) > 1e-12 || s.Skies[10].RainMM != 0 || len(s.Skies[10].Filled.Names()) != 5 {
		t.Errorf("carried day: %+v; want ETo %.6f, no rain, all inputs marked", s.Skies[10], mean)
	}
	if got := s.Skies[8].RainMM; math.Abs(got-4) > 1e-12 { // 10 mm at 40 %
		t.Errorf("forecast rain counts as %.3f mm, want 4", got)
	}
	if s.WeatherThrough != date(t, "2025-06-07") || s.Estimated != 4 {
		t.Errorf("weather through %s, %d days estimated; want 2025-06-07 and 4", s.WeatherThrough, s.Estimated)
	}
	const msg = "weather.csv: the record ends 4 day(s) before 2025-06-12; forecast.csv stands in for 2 of them, the others carry the mean weather of the last 7 measured days, without rain"
	if len(s.Doubts) != 1 || s.Doubts[0].Error() != msg {
		t.Errorf("doubts:\n%v\nwant:\n%s", s.Doubts, msg)
	}
	// What is measured from today on is not known yet.
	early := mustWalk(t, f, date(t, "2025-06-04"), WalkOptions{})
	if early.Days() != 3 || early.WeatherThrough != date(t, "2025-06-03") {
		t.Errorf("%d days walked through %s", early.Days(), early.WeatherThrough)
	}
	if sky := early.Ahead(f.StartOfDay(early.Today), 2).Skies[0]; sky.Basis == Measured {
		t.Error("a plan of 4 June knows that day's weather")
	}
}

func TestProblem(t *testing.T) {
	f := mustLoad(t, smallFarm(t,
		"records/passes.csv", "2025-06-02T18:00,2025-06-03T18:00,0,0,cw,50,yes,", "2025-06-07T20:00,2025-06-08T20:00,0,0,cw,50,yes,",
		"records/rain.csv", "2025-06-06,Wheel,0,the shower missed us", "2025-06-08,Wheel,7,"))
	s := mustWalk(t, f, date(t, "2025-06-08"), WalkOptions{})
	now := time.Date(2025, 6, 8, 8, 0, 0, 0, f.Location)
	p := s.Problem(now, 14)
	if len(p.Machines) != 1 || len(p.Wells) != 1 || p.Days != 14 || !p.Now.Equal(now) || p.Prices.LabourPerStart != 10 {
		t.Fatalf("problem: %+v", p)
	}
	m := &p.Machines[0]
	// The pass running since 20:00 ends 24 hours later where it began.
	if !m.FreeAt.Equal(now.Add(12*time.Hour)) || m.ArmDeg != 0 || m.RunningM3H != 100 {
		t.Errorf("free at %s at %g degrees, drawing %g", m.FreeAt, m.ArmDeg, m.RunningM3H)
	}
	net := 0.85 * 1000 * 100 * 24 / (math.Pi * 200 * 200)
	for _, c := range m.Cells {
		// Slice 0 had its water from 20:00 to 02:00: a third of it today.
		want := [4]float64{net / 3, net, net, net}[c.Slice]
		if len(c.GivenMM) != 14 || math.Abs(c.GivenMM[0]-want) > 1e-6 || c.GivenMM[1] != 0 {
			t.Errorf("slice %d is given %v, want %.4f today", c.Slice, c.GivenMM, want)
		}
	}
	w := &p.Wells[0]
	if math.Abs(w.HoursToday-8) > 1e-9 || !math.IsInf(w.SeasonM3Left, 1) {
		t.Errorf("well: %g hours today, %g m³ left", w.HoursToday, w.SeasonM3Left)
	}
	// 9, 10, 16 and 17 June are Mondays and Tuesdays.
	if len(w.NoRun) != 4 || !w.NoRun[0].From.Equal(time.Date(2025, 6, 9, 14, 0, 0, 0, f.Location)) || w.NoRun[0].Why != "load control" {
		t.Errorf("no-run hours: %v", w.NoRun)
	}
	if got := [2]float64{w.EnergyPerKWh(now), w.EnergyPerKWh(now.Add(6 * time.Hour))}; got != [2]float64{0.1, 0.3} {
		t.Errorf("energy costs %v", got)
	}
	z := &m.Zones[1]
	if z.RainMM[0] != 7 || math.Abs(z.RainMM[1]-4) > 1e-12 || z.RainMM[2] != 0 {
		t.Errorf("expected rain %v; want 7 by the gauge, 4 by the forecast, none beyond", z.RainMM)
	}
	day := func(d int) time.Time { return time.Date(2025, 6, d, 0, 0, 0, 0, f.Location) }
	if len(z.NoWater) != 2 || !z.NoWater[0].From.Equal(day(15)) || !z.NoWater[0].To.Equal(day(16)) || !z.NoWater[1].From.Equal(day(18)) || !z.NoWater[1].To.Equal(day(23)) {
		t.Errorf("no water: %v; want all of the 15th, and the two days before the cut of the 20th, that day and two after", z.NoWater)
	}
	if w := m.NoRun; len(w) != 1 || !w[0].From.Equal(day(20)) || !w[0].To.Equal(day(23)) || w[0].Why != "dry for the cut of 2025-06-20" {
		t.Errorf("the machine stands %v; want the day of the cut and two after", w)
	}
	if !(z.SeasonETMM > 200 && z.SeasonETMM < 500) { // 0.4 × 5 mm × 153 days is 306
		t.Errorf("seasonal ET of %.0f mm", z.SeasonETMM)
	}
}

func TestGaugeRain(t *testing.T) {
	f := mustLoad(t, smallFarm(t, "records/rain.csv", "",
		"date,place,amount_mm\n2025-06-02,Round,3\n2025-06-02,Wheel,9\n2025-06-03,Wheel,4\n2025-06-03,Wheel,5\n2025-06-04,Round,1\n2025-06-04,Round,2\n"))
	got := f.gaugeRain(date(t, "2025-06-01"), 5, date(t, "2025-06-05"))
	want := []float64{math.NaN(), 3, 9, 3, math.NaN()}
	for i := range want {
		if got[i] != want[i] && !(math.IsNaN(got[i]) && math.IsNaN(want[i])) {
			t.Errorf("day %d: %v, want %v", i, got[i], want[i])
		}
	}
}

func BenchmarkWalk(b *testing.B) {
	f := mustLoad(b, bigFarm(b))
	today := civil.Date{Year: 2025, Month: 8, Day: 30}
	b.ReportAllocs()
	for b.Loop() {
		s, err := f.Walk(today, WalkOptions{})
		if err != nil || s.Days() != 120 {
			b.Fatal(err, s.Days())
		}
	}
	b.ReportMetric(float64(len(f.Cells())), "cells")
}
