// Speed: one year of days at one station, and one year of hours.

package et_test

import (
	"testing"
	"time"

	"github.com/golang-sql/civil"

	"sandwick/et"
)

// benchDays is one year of days at 42° north with everything measured.
func benchDays() []et.Day {
	var days []et.Day
	for i := range 365 {
		d := et.MissingDay(civil.Date{Year: 2023, Month: 1, Day: 1}.AddDays(i))
		d.TmaxC, d.TminC, d.TdewC, d.WindMPerS, d.RsMJ, d.RainMM = 20+float64(i%13), 8+float64(i%7), 7, 2.5, 18, 0
		days = append(days, d)
	}
	return days
}

var benchSite = et.Site{LatitudeDeg: 42, LongitudeDeg: -85, ElevationM: 250, WindHeightM: 10, KRs: et.KRsInterior}

// benchSum keeps a benchmark honest: the work is used and its result known.
func benchSum(b *testing.B, sum float64) {
	b.Helper()
	if !(sum > 300 && sum < 3000) {
		b.Fatalf("a year of reference ET is %v mm", sum)
	}
}

func BenchmarkSiteDaily(b *testing.B) {
	days := benchDays()
	b.ReportAllocs()
	sum, n := 0.0, 0
	for b.Loop() {
		sum = 0
		for _, d := range days {
			sum += benchSite.Daily(et.FAO56, d).EToMM
		}
		n += len(days)
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(n), "ns/station-day")
	benchSum(b, sum)
}

func BenchmarkStationDaily(b *testing.B) {
	days, st := benchDays(), benchSite.Prepare()
	b.ReportAllocs()
	sum, n := 0.0, 0
	for b.Loop() {
		sum = 0
		for _, d := range days {
			sum += st.Daily(et.FAO56, d).EToMM
		}
		n += len(days)
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(n), "ns/station-day")
	benchSum(b, sum)
}

func BenchmarkRollUp(b *testing.B) {
	start := time.Date(2023, 1, 1, 6, 0, 0, 0, time.UTC)
	hours := make([]et.Hour, 0, 365*24)
	for i := range 365 * 24 {
		h := et.MissingHour(start.Add(time.Duration(i) * time.Hour))
		h.TempC, h.TdewC, h.WindMPerS, h.RainMM = 14, 7, 2.5, 0
		h.RsMJ = et.SolarFromSunshine(6, 12, benchSite.Hourly(et.FAO56, h).RaMJ)
		hours = append(hours, h)
	}
	b.ReportAllocs()
	sum := 0.0
	for b.Loop() {
		sum = 0
		for _, d := range benchSite.RollUp(et.FAO56, nil, hours) {
			if d.Hours == 24 {
				sum += d.Reference.EToMM
			}
		}
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(len(hours)), "ns/hour")
	benchSum(b, sum)
}
