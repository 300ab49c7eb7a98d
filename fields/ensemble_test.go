// Earlier years re-dated, the forecast's chances dealt out, dry spells by gauge.

package fields

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"
	"time"

	"github.com/golang-sql/civil"

	"sandwick/et/spells"
)

// yearRows writes history rows of [from, through]: rain and temperatures by date.
func yearRows(b *strings.Builder, from, through civil.Date, row func(civil.Date) (tmax, rain string)) {
	for d := from; !d.After(through); d = d.AddDays(1) {
		tmax, rain := row(d)
		tmin := "12"
		if tmax == "" {
			tmin = ""
		}
		fmt.Fprintf(b, "%s,%s,%s,85,40,2,8,%s\n", d, tmax, tmin, rain)
	}
}

const historyHead = "date,tmax_c,tmin_c,rhmax_pct,rhmin_pct,wind_ms,solar_mj,rain_mm\n"

// juneHistory has May to July of 2020 to 2024. Rain of d June of year y is
// (y-2020)+d/100 mm, which names its day; 2022 misses the rain of 9 June and
// the temperatures of 1 to 15 June 2023.
func juneHistory() string {
	var b strings.Builder
	b.WriteString(historyHead)
	for year := 2020; year <= 2024; year++ {
		yearRows(&b, civil.Date{Year: year, Month: 5, Day: 1}, civil.Date{Year: year, Month: 7, Day: 31}, func(d civil.Date) (string, string) {
			tmax, rain := fmt.Sprint(20+year-2020), "0"
			if d.Month == time.June {
				rain = fmt.Sprintf("%.2f", float64(year-2020)+float64(d.Day)/100)
				if year == 2022 && d.Day == 9 {
					rain = ""
				}
				if year == 2023 && d.Day <= 15 {
					tmax = ""
				}
			}
			return tmax, rain
		})
	}
	return b.String()
}

func yearDay(d civil.Date) int { return d.In(time.UTC).YearDay() }

func yearsOf(t testing.TB, f *Farm, today civil.Date) *Years {
	t.Helper()
	y, problems := f.Years(today)
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	return y
}

func TestEnsemble(t *testing.T) {
	f := mustLoad(t, smallFarm(t, HistoryFile, "", juneHistory()))
	today := date(t, "2025-06-08")
	s := mustWalk(t, f, today, WalkOptions{})
	y := yearsOf(t, f, today)
	e := s.Ensemble(y, 5)
	if e.From != today || e.Days != 5 || e.ForecastDays != 2 {
		t.Errorf("%+v", e)
	}
	if len(e.LeftOut) != 1 || e.LeftOut[0] != (LeftOut{2022, 1}) {
		t.Errorf("left out: %v", e.LeftOut)
	}
	if len(e.Scenarios) != 4 {
		t.Fatalf("%d scenarios", len(e.Scenarios))
	}
	// Three days of 2023 without temperatures; its first two are forecast.
	if e.FilledDays != 3 {
		t.Errorf("%d days filled", e.FilledDays)
	}
	wet := 0
	for k, year := range []int{2020, 2021, 2023, 2024} {
		sc := &e.Scenarios[k]
		if sc.Year != year {
			t.Fatalf("scenario %d is of %d", k, sc.Year)
		}
		for d := range 5 {
			sky := &sc.Skies[d]
			if sky.Date != today.AddDays(d) {
				t.Errorf("%d, day %d is dated %v", year, d, sky.Date)
			}
			want := float64(year-2020) + float64(8+d)/100
			if d < 2 {
				want = sky.RainMM
				if sky.Basis != Forecast {
					t.Errorf("%d, day %d: %v", year, d, sky.Basis)
				}
			} else if sky.Basis != Past {
				t.Errorf("%d, day %d: %v", year, d, sky.Basis)
			}
			if math.Abs(sky.RainMM-want) > 1e-9 || sc.Fields[0].RainMM[d] != sky.RainMM {
				t.Errorf("%d, day %d: %g mm, field %g; want %g", year, d, sky.RainMM, sc.Fields[0].RainMM[d], want)
			}
			if sc.Fields[0].Demand[d].EToMM != sky.EToMM || !(sky.EToMM > 1) {
				t.Errorf("%d, day %d: ETo %g, field %g", year, d, sky.EToMM, sc.Fields[0].Demand[d].EToMM)
			}
			if year != 2023 && d >= 2 && sky.TmaxC != float64(20+year-2020) {
				t.Errorf("%d, day %d: Tmax %g", year, d, sky.TmaxC)
			}
		}
		if sc.Skies[0].RainMM != 0 { // 0 % on the 8th
			t.Errorf("%d: rain on the 8th", year)
		}
		// 10 mm at 40 % on the 9th: of four years the two whose 9th was wettest.
		if rain := sc.Skies[1].RainMM; rain == 10 {
			wet++
			if year < 2023 {
				t.Errorf("%d is wet on the 9th", year)
			}
		} else if rain != 0 {
			t.Errorf("%d: %g mm on the 9th", year, rain)
		}
	}
	if wet != 2 {
		t.Errorf("%d of 4 years are wet on the 9th", wet)
	}
	// The 12 June of 2023 has the mean of the years that have temperatures within
	// three days of it: 2020, 2021, 2022 and 2024, 7 days each.
	if got, want := e.Scenarios[2].Skies[4].TmaxC, (20+21+22+24)/4.0; math.Abs(got-want) > 1e-9 {
		t.Errorf("filled Tmax %g, want %g", got, want)
	}
}

// What was not known in the morning is not in the scenarios.
func TestYearsEndToday(t *testing.T) {
	f := mustLoad(t, smallFarm(t, HistoryFile, "", juneHistory()+"2025-05-01,20,12,85,40,2,8,0\n"))
	if y := yearsOf(t, f, date(t, "2023-06-10")); y.Days() != date(t, "2023-06-10").DaysSince(date(t, "2020-05-01")) {
		t.Errorf("%d days known", y.Days())
	}
	s := mustWalk(t, f, date(t, "2025-06-08"), WalkOptions{})
	e := s.Ensemble(yearsOf(t, f, date(t, "2023-06-10")), 5)
	for _, sc := range e.Scenarios {
		if sc.Year >= 2023 {
			t.Errorf("a scenario of %d", sc.Year)
		}
	}
	if y := yearsOf(t, f, date(t, "2019-01-01")); y.Days() != 0 {
		t.Errorf("%d days known before the record", y.Days())
	} else if _, _, ok := y.Span(); ok {
		t.Error("a span of no days")
	}
}

// Windows that hold 29 February or run across New Year have every year's days
// in order.
func TestCalendarWindows(t *testing.T) {
	var b strings.Builder
	b.WriteString(historyHead)
	yearRows(&b, civil.Date{Year: 2015, Month: 1, Day: 1}, civil.Date{Year: 2023, Month: 12, Day: 31}, func(d civil.Date) (string, string) {
		return "20", fmt.Sprintf("%.3f", float64(yearDay(d))/1000)
	})
	for _, tt := range []struct {
		today  string
		first  int // scenarios from this year
		last   int
		yearly func(year int) civil.Date // the day of the record that stands for today
	}{
		{"2024-02-27", 2015, 2023, func(y int) civil.Date { return civil.Date{Year: y, Month: 2, Day: 27} }},
		{"2024-02-29", 2015, 2023, func(y int) civil.Date {
			if y%4 == 0 {
				return civil.Date{Year: y, Month: 2, Day: 29}
			}
			return civil.Date{Year: y, Month: 2, Day: 28}
		}},
		{"2023-12-28", 2015, 2022, func(y int) civil.Date { return civil.Date{Year: y, Month: 12, Day: 28} }},
	} {
		var w strings.Builder
		w.WriteString(historyHead)
		yearRows(&w, civil.Date{Year: 2023, Month: 12, Day: 1}, civil.Date{Year: 2024, Month: 3, Day: 1}, func(civil.Date) (string, string) { return "20", "0" })
		f := mustLoad(t, smallFarm(t, HistoryFile, "", b.String(), WeatherFile, "", w.String(), ForecastFile, "", "<none>",
			"farm.toml", "start = 2025-06-01", "start = 2023-12-02", "farm.toml", "start = 2025-05-01", "start = 2023-12-02",
			"records/rain.csv", "", "<none>", "records/passes.csv", "", "<none>", "records/water_table.csv", "", "<none>",
			"records/probes.csv", "", "<none>", "records/meters.csv", "", "<none>", "records/seen.csv", "", "<none>",
			"zones.geojson", `"water_table_m": 1.5, "water_table_date": "2025-06-01", "pipe": "P1"`, `"water_table_m": null`))
		today := date(t, tt.today)
		s := mustWalk(t, f, today, WalkOptions{})
		e := s.Ensemble(yearsOf(t, f, today), 10)
		if n := len(e.Scenarios); n != tt.last-tt.first+1 || e.Scenarios[0].Year != tt.first || e.Scenarios[n-1].Year != tt.last {
			t.Fatalf("%s: %d scenarios, %+v", tt.today, n, e.LeftOut)
		}
		for _, sc := range e.Scenarios {
			for d := range 10 {
				want := float64(yearDay(tt.yearly(sc.Year).AddDays(d))) / 1000
				if got := sc.Skies[d].RainMM; math.Abs(got-want) > 1e-9 {
					t.Errorf("%s, %d, day %d: the day of year is %g, want %g", tt.today, sc.Year, d, 1000*got, 1000*want)
				}
			}
		}
	}
}

// Chances are met to within half a scenario, whatever the years.
func TestChancesAreMet(t *testing.T) {
	const seed = 21
	rng := rand.New(rand.NewPCG(seed, 0))
	var b strings.Builder
	b.WriteString(historyHead)
	yearRows(&b, civil.Date{Year: 2006, Month: 6, Day: 1}, civil.Date{Year: 2024, Month: 7, Day: 1}, func(civil.Date) (string, string) {
		if rng.IntN(3) > 0 {
			return "21", "0"
		}
		return "21", fmt.Sprintf("%.1f", 20*rng.Float64())
	})
	chances := []float64{0, 5, 20, 33, 50, 80, 100}
	fc := "date,tmax_c,tmin_c,rhmax_pct,rhmin_pct,wind_ms,solar_mj,rain_mm,rain_chance_pct\n"
	for i, c := range chances {
		fc += fmt.Sprintf("2025-06-%02d,28,13,80,35,2,26,8,%g\n", 8+i, c)
	}
	f := mustLoad(t, smallFarm(t, HistoryFile, "", b.String(), ForecastFile, "", fc))
	today := date(t, "2025-06-08")
	s := mustWalk(t, f, today, WalkOptions{})
	e := s.Ensemble(yearsOf(t, f, today), 12)
	n := float64(len(e.Scenarios))
	if n != 19 {
		t.Fatalf("%g scenarios", n)
	}
	for d, c := range chances {
		wet := 0.0
		for _, sc := range e.Scenarios {
			if mm := sc.Skies[d].RainMM; mm == 8 {
				wet++
			} else if mm != 0 {
				t.Errorf("day %d: %g mm", d, mm)
			}
		}
		if math.Abs(wet/n-c/100) > 0.5/n+1e-12 {
			t.Errorf("chance %g %%: wet in %g of %g", c, wet, n)
		}
	}
	again := s.Ensemble(yearsOf(t, f, today), 12)
	for k := range e.Scenarios {
		for d := range e.Days {
			if e.Scenarios[k].Skies[d].RainMM != again.Scenarios[k].Skies[d].RainMM {
				t.Fatal("the same farm, another ensemble")
			}
		}
	}
}

// An amount without a chance falls for certain; a gauge read today is a fact.
func TestForecastWithoutChance(t *testing.T) {
	fc := "date,tmax_c,tmin_c,rhmax_pct,rhmin_pct,wind_ms,solar_mj,rain_mm\n2025-06-08,28,13,80,35,2,26,4\n2025-06-09,27,14,85,45,2.2,20,10\n"
	f := mustLoad(t, smallFarm(t, HistoryFile, "", juneHistory(), ForecastFile, "", fc, "records/rain.csv", "", "date,place,amount_mm,note\n2025-06-08,Round,7,\n"))
	today := date(t, "2025-06-08")
	s := mustWalk(t, f, today, WalkOptions{})
	for _, sc := range s.Ensemble(yearsOf(t, f, today), 3).Scenarios {
		if sc.Skies[0].RainMM != 4 || sc.Skies[1].RainMM != 10 || sc.Fields[0].RainMM[0] != 7 || sc.Fields[0].RainMM[1] != 10 {
			t.Errorf("%d: station %g and %g, field %g and %g", sc.Year, sc.Skies[0].RainMM, sc.Skies[1].RainMM, sc.Fields[0].RainMM[0], sc.Fields[0].RainMM[1])
		}
	}
}

// The dry scenario has the forecast's air, then the rainless days' mean, and no rain.
func TestDryScenario(t *testing.T) {
	f := mustLoad(t, smallFarm(t, HistoryFile, "", juneHistory()))
	today := date(t, "2025-06-08")
	s := mustWalk(t, f, today, WalkOptions{})
	y := yearsOf(t, f, today)
	dry := s.DryScenario(y, 5, spells.DefaultRule())
	for d := range 5 {
		if dry.Skies[d].RainMM != 0 || dry.Fields[0].RainMM[d] != 0 {
			t.Errorf("rain on day %d", d)
		}
	}
	if dry.Skies[0].Basis != Forecast || dry.Skies[0].TmaxC != 28 {
		t.Errorf("the first day: %+v", dry.Skies[0])
	}
	// Only 2020 has less than 1 mm in June.
	if got := dry.Skies[4]; got.Basis != Normal || math.Abs(got.TmaxC-20) > 1e-9 {
		t.Errorf("a day beyond the forecast: %v, Tmax %g", got.Basis, got.TmaxC)
	}
	none := s.DryScenario(&Years{}, 5, spells.DefaultRule())
	if none.Skies[4].Basis != Carried {
		t.Errorf("without years: %v", none.Skies[4].Basis)
	}
	if e := s.Ensemble(&Years{}, 5); len(e.Scenarios) != 0 {
		t.Errorf("without years: %+v", e)
	}
	// Put to the planner: the same problem with other weather.
	p := s.Problem(f.StartOfDay(today), 5)
	q := dry.Under(f, p)
	for z := range q.Machines[0].Zones {
		if q.Machines[0].Zones[z].RainMM[1] != 0 || p.Machines[0].Zones[z].RainMM[1] != 4 {
			t.Errorf("rain of the 9th: %g in the scenario, %g expected", q.Machines[0].Zones[z].RainMM[1], p.Machines[0].Zones[z].RainMM[1])
		}
	}
}

// Dry days at the station and by the fields' gauges. testdata/small.txtar: the
// station has 30 mm on the 4th and 12 mm on the 6th, when the gauge under the
// wheel had none.
func TestDryRuns(t *testing.T) {
	f := mustLoad(t, smallFarm(t))
	s := mustWalk(t, f, date(t, "2025-06-08"), WalkOptions{})
	station, by, err := s.DryRuns(spells.DefaultRule())
	if err != nil {
		t.Fatal(err)
	}
	through := date(t, "2025-06-07")
	if want := (DryRun{"", through, 1, false}); station != want {
		t.Errorf("station: %+v, want %+v", station, want)
	}
	if want := (DryRun{"Round", through, 3, false}); len(by) != 1 || by[0] != want {
		t.Errorf("field: %+v, want %+v", by, want)
	}
	// By a rule of 40 mm there was no useful rain at all.
	station, _, _ = s.DryRuns(spells.Rule{MinMM: 40})
	if station.Days != 9 || !station.AtLeast {
		t.Errorf("by 40 mm: %+v", station)
	}
	// Morning of the 4th: the day's own rain is not known.
	s = mustWalk(t, f, date(t, "2025-06-04"), WalkOptions{})
	station, _, _ = s.DryRuns(spells.DefaultRule())
	if station.Days != 0 || station.Through != date(t, "2025-06-03") { // 3 mm on the 3rd
		t.Errorf("on the 4th: %+v", station)
	}
}
