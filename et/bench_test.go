package et

import (
	"testing"

	"github.com/golang-sql/civil"
)

// benchDays is one year of days at 42° north with everything measured.
func benchDays() []Day {
	var days []Day
	for i := range 365 {
		d := MissingDay(civil.Date{Year: 2023, Month: 1, Day: 1}.AddDays(i))
		d.TmaxC, d.TminC, d.TdewC, d.WindMPerS, d.RsMJ, d.RainMM = 20+float64(i%13), 8+float64(i%7), 7, 2.5, 18, 0
		days = append(days, d)
	}
	return days
}

var benchSite = Site{LatitudeDeg: 42, LongitudeDeg: -85, ElevationM: 250, WindHeightM: 10, KRs: KRsInterior}

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
			sum += benchSite.Daily(FAO56, d).EToMM
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
			sum += st.Daily(FAO56, d).EToMM
		}
		n += len(days)
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(n), "ns/station-day")
	benchSum(b, sum)
}
